"""Checksums at the end of a line: ``T=20.4 RH=41.2*5C``. A line that was torn or stuck together does not pass.

Whatever the sum, it is written the way NMEA 0183 does: behind the last ``*``, in hexadecimal digits, the most
significant first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import reduce
from operator import xor
from typing import Literal

from sensors.decoding import Decoded, Unreadable
from sensors.line_formats import LineFormat

Checksum = Literal["none", "xor-hex", "crc8-smbus", "crc16-modbus"]


def _table(polynomial: int, shifted: Callable[[int, int], int]) -> tuple[int, ...]:
    def entry(value: int) -> int:
        for _ in range(8):
            value = shifted(value, polynomial)
        return value

    return tuple(entry(value) for value in range(256))


_CRC8 = _table(0x07, lambda value, p: ((value << 1) ^ p if value & 0x80 else value << 1) & 0xFF)
_CRC16 = _table(0xA001, lambda value, p: (value >> 1) ^ p if value & 1 else value >> 1)


def xor_of(content: bytes) -> int:
    """All bytes combined by exclusive or, 0..255; in NMEA 0183 the bytes between ``$`` (or ``!``) and ``*``."""
    return reduce(xor, content, 0)


def crc8_smbus(content: bytes) -> int:
    """CRC-8/SMBUS, 0..255: polynomial 0x07, begun with 0. Source: CRC RevEng catalogue; SMBus, packet error code."""
    crc = 0
    for byte in content:
        crc = _CRC8[crc ^ byte]
    return crc


def crc16_modbus(content: bytes) -> int:
    """CRC-16/MODBUS, 0..65535: polynomial 0x8005 reflected, begun with 0xFFFF. Source: CRC RevEng catalogue;
    MODBUS over Serial Line V1.02, 6.2.2."""
    crc = 0xFFFF
    for byte in content:
        crc = (crc >> 8) ^ _CRC16[(crc ^ byte) & 0xFF]
    return crc


_SUMS: Mapping[Checksum, tuple[int, Callable[[bytes], int]]] = {
    "xor-hex": (2, xor_of),
    "crc8-smbus": (2, crc8_smbus),
    "crc16-modbus": (4, crc16_modbus),
}
"""How many digits, and the sum."""


def checked(line_format: LineFormat, checksum: Checksum) -> LineFormat:
    """``line_format`` over the part before the checksum; a line whose checksum is wrong or missing raises
    :class:`sensors.decoding.Unreadable`. ``none`` gives ``line_format`` back. For ``xor-hex`` a ``$`` or ``!`` in front
    is no part of the line, as in NMEA 0183."""
    if checksum == "none":
        return line_format
    digits, sum_of = _SUMS[checksum]

    def decode(line: bytes) -> Decoded:
        content, star, written = line.rstrip().rpartition(b"*")
        if not star or not re.fullmatch(rb"[0-9A-Fa-f]{%d}" % digits, written):
            right = f"* and {digits} hexadecimal digits at the end ({checksum})"
            raise Unreadable(f"found no checksum in {repr(line[-12:])[1:]}; would be right: {right}")
        if checksum == "xor-hex" and content[:1] in {b"$", b"!"}:
            content = content[1:]
        given = sum_of(content)
        if int(written, 16) != given:
            hint = "a byte was lost or changed on the wire"
            raise Unreadable(f"found checksum {written.decode().upper()}; would be right: {given:0{digits}X}; {hint}")
        return line_format(content)

    return decode
