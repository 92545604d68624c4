"""One open RS-485 bus. The only importer of pymodbus.

pymodbus opens the port for us alone, sends the question, waits and decodes. What it does not say is why nothing came: a
frame whose CRC is wrong it drops without a word and runs into its timeout. So we look at the bytes its trace shows
(:mod:`sensors.modbus.rtu`) and hand it a frame only when that is whole, right and the answer to the question.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable
from typing import Any, TypeVar

from pymodbus import FramerType, ModbusException
from pymodbus.client import AsyncModbusSerialClient
from pymodbus.exceptions import ConnectionException

from sensors.driver import LinkLost
from sensors.modbus.rtu import Ask, Parity, answer_in, refused, silence_s, why_none

SETTING_UP_S = 1.0
_T = TypeVar("_T")
_LETTERS: dict[Parity, str] = {"none": "N", "even": "E", "odd": "O"}

# It dumps the last frames at every silence. What went wrong is told by us, once; who wants the frames sets a level.
_log = logging.getLogger("pymodbus")
if _log.level == logging.NOTSET:
    _log.setLevel(logging.CRITICAL + 1)


class Link:
    """A bus from :meth:`open` to :meth:`close`, made on the running loop. ``timeout_s`` is real seconds to wait for an
    answer. One question at a time."""

    def __init__(self, port: str, *, baud: int, parity: Parity, stop_bits: int, timeout_s: float) -> None:
        self.port = port
        self._baud = baud
        self._received = b""
        self._ask: Ask | None = None
        self._up: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._gone: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._client = AsyncModbusSerialClient(
            port,
            framer=FramerType.RTU,
            baudrate=baud,
            parity=_LETTERS[parity],
            stopbits=stop_bits,
            timeout=timeout_s,
            retries=0,  # the next poll is the retry
            reconnect_delay=0,  # the supervisor alone tries again
            trace_packet=self._trace,
            trace_connect=self._note,
        )

    async def open(self) -> None:
        """Open the port, locked for us. Raises OSError and ValueError as the operating system and pyserial say."""
        # The library's connect() logs the error and answers False; but who holds the port is in the error.
        context = self._client.ctx
        context.transport, _ = await context.call_create()
        # A transport closed before it is set up fails in the loop: wait for that, cancelled or not.
        up = asyncio.ensure_future(asyncio.wait({self._up}, timeout=SETTING_UP_S))
        try:
            await asyncio.shield(up)
        finally:
            await asyncio.wait({up})
        if not self._up.done():
            raise OSError(f"found no way to wait for bytes from {self.port}")

    def close(self) -> None:
        """Let the port go. Twice is once."""
        self._client.close()

    @property
    def received(self) -> bytes:
        """What has come since the last question was sent."""
        return self._received

    async def read(self, ask: Ask) -> tuple[int, ...]:
        """The registers asked for. Raises :class:`Unanswered`, and :class:`LinkLost` as soon as the port is gone."""
        self._received = b""
        await self.unless_gone(asyncio.sleep(silence_s(self._baud)))
        self._ask = ask
        read = self._client.read_holding_registers if ask.function == 3 else self._client.read_input_registers
        try:
            reply = await self.unless_gone(read(ask.register, count=ask.count, device_id=ask.unit))
        except ConnectionException:
            raise self._lost() from None
        except ModbusException:
            raise why_none(self._received, ask) from None
        finally:
            self._ask = None
        if reply.isError():
            raise refused(reply.exception_code, ask, self._received)
        return tuple(reply.registers)

    async def unless_gone(self, work: Awaitable[_T]) -> _T:
        """What ``work`` returns or raises, or :class:`LinkLost` as soon as the port is gone."""
        task = asyncio.ensure_future(work)
        try:
            either: set[asyncio.Future[Any]] = {task, self._gone}
            await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
        finally:
            # Not awaited directly: asyncio.wait_for of Python 3.11, deep in the library, can swallow a cancellation.
            task.cancel()
            await asyncio.wait({task})
        if task.cancelled():
            raise self._lost()
        return task.result()

    def _lost(self) -> LinkLost:
        return LinkLost(f"{self.port}: reading failed; is it unplugged?")

    def _note(self, connected: bool) -> None:
        """pymodbus: the transport came up or went."""
        future = self._up if connected else self._gone
        if not future.done():
            future.set_result(None)

    def _trace(self, sending: bool, content: bytes) -> bytes:
        """pymodbus: bytes to send, or all that came since; what we return it works on. Padded, because it keeps what
        is left over for the next answer."""
        if sending:
            self._received = b""
            return content
        self._received = content
        answer = None if self._ask is None else answer_in(content, self._ask)
        return b"" if answer is None else answer.ljust(len(content), b"\0")
