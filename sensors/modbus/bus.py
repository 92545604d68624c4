"""Probes on an RS-485 bus, asked in turn by Modbus RTU behind one serial port."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from sensors.decoding import Unreadable
from sensors.driver import Listener, Now, sleep_of
from sensors.modbus.faults import Faults
from sensors.modbus.link import Link
from sensors.modbus.registers import Probe
from sensors.modbus.rtu import Ask, Parity, Unanswered
from sensors.sample import RawSample, RefusedPayload
from sensors.serial_port import explained
from sensors.threads import in_daemon_thread


class ModbusBus:
    """Driver for one bus, see :class:`sensors.driver.Driver`.

    Every ``period_s`` of the clock behind ``now`` each probe is asked once, one question at a time; rounds that were
    slept through or took too long are left out, not made up for. A probe that does not answer costs ``timeout_s`` (real
    seconds) and stops no other; what is wrong with it is handed on once and counted in :attr:`faults`. ``check`` is
    asked in a thread before the port is opened and may refuse it.
    """

    def __init__(
        self,
        source_id: str,
        port: str,
        *,
        probes: Sequence[Probe],
        baud: int = 9600,
        parity: Parity = "none",
        stop_bits: int = 1,
        period_s: float = 30.0,
        timeout_s: float = 1.0,
        check: Callable[[], None] = lambda: None,
        now: Now,
    ) -> None:
        self.source_id = source_id
        self.port = port
        self.faults = Faults(source_id)
        """How often each probe answered, and how often not, by kind."""
        self._probes = tuple(probes)
        self._baud, self._parity, self._stop_bits = baud, parity, stop_bits
        self._period_s, self._timeout_s = period_s, timeout_s
        self._check = check
        self._now, self._sleep = now, sleep_of(now)

    async def run(self, listener: Listener) -> None:
        """Ask until cancelled; the port is closed by then. Raises LinkLost and LinkRefused."""
        link = Link(
            self.port, baud=self._baud, parity=self._parity, stop_bits=self._stop_bits, timeout_s=self._timeout_s
        )
        try:
            await in_daemon_thread(self._check, f"look at {self.port}")
            try:
                await link.open()
            except (OSError, ValueError) as err:
                raise explained(self.port, err) from err
            listener.connected()
            await self._rounds(link, listener)
        finally:
            link.close()

    async def _rounds(self, link: Link, listener: Listener) -> None:
        began_s = self._now()[1]
        turn = 0
        while True:
            for probe in self._probes:
                await self._poll(link, probe, listener)
            gone_s = self._now()[1] - began_s
            # Never the same turn twice: a sleep may end a hair early.
            turn = max(turn + 1, math.floor(gone_s / self._period_s) + 1)
            await link.unless_gone(self._sleep(max(0.0, turn * self._period_s - gone_s)))

    async def _poll(self, link: Link, probe: Probe, listener: Listener) -> None:
        """Ask one probe for all its figures; hand on one sample, or what was wrong.

        After a question without its answer its others are left for the next round: an answer that comes too late names
        no question, and would pass for that to the next.
        """
        answers: dict[Ask, tuple[int, ...]] = {}
        try:
            for ask in probe.asks():
                try:
                    answers[ask] = await link.read(ask)
                finally:
                    if link.received:
                        listener.bytes_heard(link.received)
            values = probe.values(answers)
        except Unanswered as err:
            self._refuse(probe, err.kind, str(err), err.received, listener)
        except Unreadable as err:
            self._refuse(probe, "nonsense", str(err), link.received, listener)
        else:
            self.faults.answered_well(probe.device)
            listener.heard(RawSample(self.source_id, probe.device, values, *self._now()))

    def _refuse(self, probe: Probe, kind: str, reason: str, received: bytes, listener: Listener) -> None:
        heard_ms, mono_s = self._now()
        unsaid = self.faults.failed(probe.device, kind, mono_s)
        if unsaid is not None:
            where = f"{self.port} unit {probe.unit}"
            text = f"probe {probe.device}, unit {probe.unit}: {reason}{unsaid}"
            listener.heard(RefusedPayload(self.source_id, where, received, text, heard_ms))
