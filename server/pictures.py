"""What a picture is: JPEG or PNG, told by its own bytes, never by what somebody calls it.

Only the frame is read: PNG's signature, first and last chunk (ISO/IEC 15948, sections 5.2 and 11.2), JPEG's markers up
to the scan (ISO/IEC 10918-1, annex B). Nothing is decoded: what shows it does that.
"""

from __future__ import annotations

import zlib

KINDS = ("image/jpeg", "image/png")
PICTURED = "pictured"
"""The kind of journal entry of one that was put."""
LONGEST_SIDE = 20_000
_PNG, _PNG_END = b"\x89PNG\r\n\x1a\n", b"\x00\x00\x00\x00IEND\xaeB\x60\x82"
_NO_FRAME = frozenset({0xC4, 0xC8, 0xCC})
"""Markers between C0 and CF that begin no frame: DHT, JPG, DAC."""


class NoPicture(ValueError):
    """What came is neither; the text says what was found."""


def kind_of(data: bytes) -> str:
    """Its media type, one of :data:`KINDS`. Raises NoPicture for anything else, for one that is cut off, and for sides
    that are no picture's (0, or more than 20,000 points)."""
    if data.startswith(_PNG):
        _sides("PNG", *_png_sides(data))
        return "image/png"
    if data.startswith(b"\xff\xd8\xff"):
        _sides("JPEG", *_jpeg_sides(data))
        return "image/jpeg"
    raise NoPicture(f"{len(data)} bytes that begin with {data[:8].hex(' ') or 'nothing'}")


def _png_sides(data: bytes) -> tuple[int, int]:
    head = data[8:33]
    whole = len(head) == 25 and head[:8] == b"\x00\x00\x00\x0dIHDR"
    if not whole or zlib.crc32(head[4:21]) != int.from_bytes(head[21:25], "big"):
        raise NoPicture("a PNG whose header is damaged")
    if not data.endswith(_PNG_END):
        raise NoPicture("a PNG that is cut off")
    return int.from_bytes(head[8:12], "big"), int.from_bytes(head[12:16], "big")


def _jpeg_sides(data: bytes) -> tuple[int, int]:
    at, sides = 2, None
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if marker == 0xFF:
            at += 1
            continue
        if 0xC0 <= marker <= 0xCF and marker not in _NO_FRAME:
            frame = data[at + 4 : at + 9]
            sides = (int.from_bytes(frame[3:5], "big"), int.from_bytes(frame[1:3], "big"))
        if marker == 0xDA:
            if sides is None:
                raise NoPicture("a JPEG without a frame")
            if b"\xff\xd9" not in data[at:]:
                raise NoPicture("a JPEG that is cut off")
            return sides
        at += 2 + length
    raise NoPicture("a JPEG without a scan")


def _sides(name: str, width: int, height: int) -> None:
    if not (0 < width <= LONGEST_SIDE and 0 < height <= LONGEST_SIDE):
        raise NoPicture(f"a {name} of {width} x {height} points")
