"""Probes on a fictional RS-485 bus: they answer Modbus RTU on the far end of a pseudo-terminal, rightly or as told."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from sensors.modbus.rtu import closed, crc16
from sensors.simulated import PtyPair

Fault = Literal["silent", "crc", "torn", "exception"]
QUESTION_SIZE = 8
"""Bytes of a question for registers, CRC included."""
LOOK_AGAIN_S = 0.05
"""While nobody has the port open its far end cannot be waited on."""

Answerer = Callable[[bytes], bytes]
"""A whole question to the bytes of its answer; none for silence."""


@dataclass(frozen=True, slots=True)
class SimulatedProbe:
    """A device that holds ``registers`` (by address from 0), the same for functions 3 and 4, and may be out of order:
    ``silent``, with a wrong ``crc``, ``torn`` in the middle, or answering ``exception`` 4."""

    registers: Mapping[int, int]
    fault: Fault | None = None

    def answer(self, question: bytes) -> bytes:
        """The bytes that answer a whole question with its CRC right."""
        whole = closed(bytes((question[0],)) + self._said(question))
        if self.fault == "silent":
            return b""
        if self.fault == "crc":
            return whole[:-1] + bytes((whole[-1] ^ 0x55,))
        return whole[: len(whole) // 2] if self.fault == "torn" else whole

    def _said(self, question: bytes) -> bytes:
        function = question[1]
        first, count = int.from_bytes(question[2:4], "big"), int.from_bytes(question[4:6], "big")
        code = self._refused(function, range(first, first + count))
        if code:
            return bytes((function | 0x80, code))
        words = (self.registers[register] for register in range(first, first + count))
        return bytes((function, 2 * count)) + b"".join(word.to_bytes(2, "big") for word in words)

    def _refused(self, function: int, wanted: range) -> int:
        """The exception code of the application protocol V1.1b3, section 7 (from memory); 0 for none."""
        if function not in {3, 4}:
            return 1
        if not 1 <= len(wanted) <= 125:
            return 3
        if any(register not in self.registers for register in wanted):
            return 2
        return 4 if self.fault == "exception" else 0


class SimulatedBus:
    """The far end of a bus: hears every question and lets the unit that is meant answer. ``questions`` keeps the last
    thousand, those to units that are not there too."""

    def __init__(self, pair: PtyPair, units: Mapping[int, Answerer]) -> None:
        self.pair = pair
        self.units = dict(units)
        self.questions: deque[bytes] = deque(maxlen=1000)
        self._heard = b""

    async def run(self) -> None:
        """Answer until cancelled. Cancel it before the pair is closed."""
        while True:
            content = self.pair.read()
            if content is None:
                self._heard = b""
                await asyncio.sleep(LOOK_AGAIN_S)
            elif content:
                self._hear(content)
            else:
                await readable(self.pair)

    def _hear(self, content: bytes) -> None:
        self._heard = (self._heard + content)[-32 * QUESTION_SIZE :]
        while (question := self._next()) is not None:
            self.questions.append(question)
            answerer = self.units.get(question[0])
            if answerer is not None:
                self.pair.write(answerer(question))

    def _next(self) -> bytes | None:
        """The next whole question with its CRC right; what lies before it is noise."""
        for start in range(len(self._heard) - QUESTION_SIZE + 1):
            question = self._heard[start : start + QUESTION_SIZE]
            if crc16(question) == 0:
                self._heard = self._heard[start + QUESTION_SIZE :]
                return question
        return None


async def readable(pair: PtyPair) -> None:
    """Wait until the far side writes, or closes the port."""
    loop = asyncio.get_running_loop()
    ready: asyncio.Future[None] = loop.create_future()

    def tell() -> None:
        if not ready.done():
            ready.set_result(None)

    loop.add_reader(pair.fileno(), tell)
    try:
        await ready
    finally:
        loop.remove_reader(pair.fileno())
