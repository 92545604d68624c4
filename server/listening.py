"""Listening on request: ports that nobody reads and brokers, side by side, for some seconds."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from sensors.listening import BAUDS, Line, hear_broker, hear_port
from sensors.mqtt.source import MqttSource
from sensors.ports import SERIAL_FOLDER, lasting_names
from server.clock import Clock
from server.heard import HeardDocument, Place, PortPart, Told, notes
from server.reading import SourceState
from server.snapshot import Speaker

LONGEST_S = 30.0


class Busy(Exception):
    """Somebody listens already: two at once would want the same ports."""


class Listening:
    """Listens, one request at a time. The same command id is one listening: asked again, it is answered the same.

    ``sources`` are the wires that run, whose ports are left to them; ``place`` what is configured; ``folder`` where the
    lasting names of serial ports are kept.
    """

    def __init__(
        self,
        clock: Clock,
        sources: Callable[[], Sequence[SourceState]] = tuple,
        place: Callable[[], Place] = Place,
        *,
        folder: Path = SERIAL_FOLDER,
        line: Line | None = None,
    ) -> None:
        self._clock, self._sources, self._place, self._line = clock, sources, place, line
        self.folder = folder
        self._last: tuple[str, asyncio.Future[HeardDocument]] | None = None

    def ports(self) -> list[str]:
        """The lasting name of every port that is plugged in."""
        return lasting_names(self.folder)

    async def listen(
        self, command_id: str, ports: Sequence[str], brokers: Sequence[MqttSource], seconds: float, speaker: Speaker
    ) -> HeardDocument:
        """What is heard there. Raises :class:`Busy`."""
        if self._last is not None:
            last_id, outcome = self._last
            if last_id == command_id and not outcome.cancelled():
                return await asyncio.shield(outcome)
            if not outcome.done():
                raise Busy
        mine: asyncio.Future[HeardDocument] = asyncio.get_running_loop().create_future()
        self._last = command_id, mine
        try:
            document = await self._heard(ports, brokers, seconds, speaker)
        except BaseException:
            mine.cancel()
            raise
        mine.set_result(document)
        return document

    async def _heard(
        self, ports: Sequence[str], brokers: Sequence[MqttSource], seconds: float, speaker: Speaker
    ) -> HeardDocument:
        held = self._held(ports)
        free = [port for port in ports if port not in held]
        async with asyncio.TaskGroup() as group:
            lines = {p: group.create_task(hear_port(p, seconds, self._now, bauds=BAUDS, line=self._line)) for p in free}
            topics = [(broker, group.create_task(hear_broker(broker, seconds))) for broker in brokers]
        told = Told(speaker, self._place())

        def document() -> HeardDocument:
            parts: list[PortPart] = []
            for port in ports:
                if port in lines:
                    parts.append(told.port(lines[port].result()))
                else:
                    parts.append(told.held(port, held[port].source, held[port].last_bytes))
            return HeardDocument(
                seconds=seconds,
                ports=parts,
                brokers=[told.broker(task.result(), broker) for broker, task in topics],
                notes=notes(speaker, ports),
            )

        return await asyncio.to_thread(document)  # guessing takes its time where a broker says much

    def _held(self, ports: Sequence[str]) -> Mapping[str, SourceState]:
        """Those of the ports that a running wire reads: two names may lead to one device."""
        readers = {os.path.realpath(state.where): state for state in self._sources() if state.where.startswith("/")}
        return {port: readers[target] for port in ports if (target := os.path.realpath(port)) in readers}

    def _now(self) -> tuple[int, float]:
        instant = self._clock.now()
        return instant.wall_ms, instant.mono_s
