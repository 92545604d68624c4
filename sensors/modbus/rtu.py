"""Frames of Modbus RTU as far as reading registers needs them: the question, the answer in what came, or why none.

From "MODBUS over Serial Line, Specification and Implementation Guide V1.02" (frame, silence, CRC) and "MODBUS
Application Protocol Specification V1.1b3" (functions 3 and 4, exception codes), of modbus.org; both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Function = Literal["holding", "input"]
Parity = Literal["none", "even", "odd"]
FUNCTION_CODES: dict[Function, int] = {"holding": 3, "input": 4}
EXCEPTIONS = {
    1: "illegal function",
    2: "illegal data address",
    3: "illegal data value",
    4: "device failure",
    5: "acknowledge, still busy",
    6: "device busy",
    8: "memory parity error",
    10: "gateway path unavailable",
    11: "gateway target did not respond",
}
"""The names the application protocol gives its exception codes."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One question: ``count`` registers from ``register`` (0-based, as on the wire) of ``unit`` (1..247)."""

    unit: int
    function: int
    register: int
    count: int

    @property
    def frame(self) -> bytes:
        """The question as it goes over the wire."""
        body = bytes((self.unit, self.function))
        return closed(body + self.register.to_bytes(2, "big") + self.count.to_bytes(2, "big"))

    @property
    def heads(self) -> tuple[tuple[bytes, int], tuple[bytes, int]]:
        """How a right answer and an exception begin, and how many bytes each is long."""
        size = 2 * self.count
        return (bytes((self.unit, self.function, size)), 5 + size), (bytes((self.unit, self.function | 0x80)), 5)


class Unanswered(Exception):
    """A question without its answer. ``kind`` is counted, ``received`` is what came instead, the text names what was
    found and what would be right."""

    def __init__(self, kind: str, text: str, received: bytes = b"") -> None:
        super().__init__(text)
        self.kind, self.received = kind, received


def crc16(content: bytes) -> int:
    """CRC-16/MODBUS: polynomial 0x8005 reflected (0xA001), start 0xFFFF. Over a frame with its CRC (low byte first) it
    is 0. Serial line guide V1.02, section 6.2.2 (from memory)."""
    crc = 0xFFFF
    for byte in content:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ 0xA001 if crc & 1 else crc >> 1
    return crc


def closed(body: bytes) -> bytes:
    """``body`` with its CRC behind it."""
    return body + crc16(body).to_bytes(2, "little")


def silence_s(baud: int) -> float:
    """Seconds of silence between two frames: 3.5 characters of 11 bits, above 19,200 baud 1.75 ms. Serial line guide
    V1.02, section 2.5.1.1 (from memory)."""
    return 0.00175 if baud > 19_200 else 3.5 * 11 / baud


def answer_in(received: bytes, ask: Ask) -> bytes | None:
    """The first whole answer to ``ask``, or exception, with its CRC right, wherever in ``received`` it is; else None.

    Before it may lie a spike of a line that turns round, our own question from an adapter that echoes, or an answer
    that came too late for another unit.
    """
    for head, size in ask.heads:
        start = received.find(head)
        while 0 <= start <= len(received) - size:
            frame = received[start : start + size]
            if crc16(frame) == 0:
                return frame
            start = received.find(head, start + 1)
    return None


def refused(code: int, ask: Ask, answer: bytes) -> Unanswered:
    """What to say about an exception, by its code."""
    name = EXCEPTIONS.get(code, "a code of its own")
    wanted = f"{ask.count} registers from {ask.register} with function {ask.function}"
    hint = "a probe in order; switch it off and on, and look at its sheet"
    if code in {1, 2, 3}:
        hint = "registers of its sheet, counted from 0 (30001 and 40001 there are 0 here)"
    text = f"found exception {code} ({name}) to {wanted}; would be right: {hint}"
    return Unanswered(f"exception {code}", text, answer)


def why_none(received: bytes, ask: Ask) -> Unanswered:
    """What to say about ``received`` once waiting is over and :func:`answer_in` finds nothing in it."""
    came = received.removeprefix(ask.frame)
    (head, size), (error_head, error_size) = ask.heads
    if not came:
        echo = "only our own question, echoed" if received else "no answer"
        hint = "an answer; look at power, wires A and B, unit_id, baud and parity"
        return Unanswered("timeout", f"found {echo}; would be right: {hint}", received)
    if len(came) >= error_size and crc16(came) == 0 and not came.startswith((head, error_head)):
        found = f"a frame of unit {came[0]} with function {came[1]} and {len(came)} bytes"
        wanted = f"unit {ask.unit}, function {ask.function}, {size} bytes; is there a second master on the bus?"
        return Unanswered("foreign", f"found {found}; would be right: {wanted}", received)
    came = came[max(0, came.find(head)) :]  # a spike before it is no part of it
    whole = error_size if came.startswith(error_head) else size
    if len(came) < whole:
        text = f"found {len(came)} bytes ({shown(came)}); would be right: {whole} beginning {head.hex(' ')}"
        return Unanswered("torn", text, received)
    said, right = came[whole - 2 : whole], closed(came[: whole - 2])[-2:]
    hint = "steady bytes; look at baud and parity, the terminating resistors, and for two devices with one unit_id"
    found = f"{shown(came)} with CRC {said.hex(' ')}"
    return Unanswered("crc", f"found {found}; would be right: CRC {right.hex(' ')} over it, {hint}", received)


def shown(content: bytes) -> str:
    """The first bytes in hexadecimal."""
    return content[:24].hex(" ") + (" ..." if len(content) > 24 else "")
