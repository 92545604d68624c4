"""Rows straight from the pages of a SQLite file, for what a damaged tree no longer leads to.

Written after the published file format (sqlite.org, "Database File Format": pages 1.6, records 2.1, free list 1.5,
write-ahead log 4). A page above a leaf that is damaged hides leaves that are whole; here every page is looked at by
itself. What does not parse is left out, cell by cell; whether a row makes sense is for the caller to judge.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

PAGE_BYTES = 4096
"""Of every file we have made. A header that says otherwise is damaged."""
_LEAF_TABLE, _LEAF_INDEX, _INNER_INDEX = 13, 10, 2
_WAL_MAGIC = {0x377F0682: "<", 0x377F0683: ">"}
_WAL_HEADER, _FRAME_HEADER = 32, 24
_MOST_LOCAL_TABLE = PAGE_BYTES - 35
_MOST_LOCAL_INDEX = (PAGE_BYTES - 12) * 64 // 255 - 23
_LEAST_LOCAL = (PAGE_BYTES - 12) * 32 // 255 - 23
_MOST_COLUMNS = 20
_INT_BYTES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


@dataclass(frozen=True, slots=True)
class Cell:
    """One row as it lies there. ``rowid`` is None in a table that has none (and in an index)."""

    rowid: int | None
    values: tuple[Any, ...]


class _NoCell(Exception):
    """Bytes that are no row."""


class PageFile:
    """The pages of a file, with what its write-ahead log has committed over them. Raises OSError without a file."""

    def __init__(self, path: Path) -> None:
        self._file: BinaryIO = path.open("rb")
        self._log: BinaryIO | None = None
        self._in_log: dict[int, int] = {}
        self.count = path.stat().st_size // PAGE_BYTES
        log = path.with_name(path.name + "-wal")
        if log.exists():
            self._log = log.open("rb")
            self._in_log = _committed(self._log)
            self.count = max([self.count, *self._in_log])

    def close(self) -> None:
        """Let the files go."""
        self._file.close()
        if self._log is not None:
            self._log.close()

    def page(self, number: int) -> bytes:
        """A page, counted from 1; empty where there is none or it cannot be read."""
        try:
            if self._log is not None and number in self._in_log:
                self._log.seek(self._in_log[number])
                return self._log.read(PAGE_BYTES)
            self._file.seek((number - 1) * PAGE_BYTES)
            page = self._file.read(PAGE_BYTES)
        except OSError:  # the medium cannot read this one
            return b""
        return page if len(page) == PAGE_BYTES else b""

    def free(self) -> set[int]:
        """Pages of the free list, as far as it leads: what they hold was deleted."""
        found: set[int] = set()
        head = self.page(1)
        trunk = int.from_bytes(head[32:36], "big") if head else 0
        while 0 < trunk <= self.count and trunk not in found:
            page = self.page(trunk)
            if len(page) < PAGE_BYTES:
                break
            found.add(trunk)
            count = min(int.from_bytes(page[4:8], "big"), PAGE_BYTES // 4 - 2)
            found.update(struct.unpack_from(f">{count}I", page, 8))
            trunk = int.from_bytes(page[:4], "big")
        return found

    def has_rowids(self, number: int) -> bool | None:
        """Whether the rows on a page have a number; None where it is no page of rows."""
        start = 100 if number == 1 else 0
        kind = self.page(number)[start : start + 1]
        return {b"\r": True, b"\n": False, b"\x02": False}.get(kind)

    def holds_all_of(self, table: str) -> bool:
        """Whether a small table with row numbers, of one page, can be read whole. Looks for its page in the schema."""
        for number in range(1, self.count + 1):
            if self.has_rowids(number):
                for cell in self.slots(number):
                    if cell and len(cell.values) == 5 and cell.values[:3] == ("table", table, table):
                        root = int(cell.values[3] or 0)
                        return self.has_rowids(root) is True and None not in self.slots(root)
        return False

    def is_inner(self, number: int) -> bool:
        """Whether a page of rows stands above others: then each of its rows lies between two of those."""
        start = 100 if number == 1 else 0
        return self.page(number)[start : start + 1] == bytes([_INNER_INDEX])

    def inner(self, number: int) -> int | None:
        """None of a leaf; of an inner page its number where it leads to leaves, 0 where that is not so or not known."""
        if not self.is_inner(number):
            return None
        kinds = {self.page(page)[:1] for page in self.below(number)}
        return number if bytes([_LEAF_INDEX]) in kinds else 0

    def below(self, number: int) -> list[int]:
        """The pages that an inner page of rows leads to, as far as it can be read."""
        page = self.page(number)
        if not self.is_inner(number):
            return []
        offsets = [at for at in self._offsets(page, 0) if at + 4 <= PAGE_BYTES]
        return [*(int.from_bytes(page[at : at + 4], "big") for at in offsets), int.from_bytes(page[8:12], "big")]

    def slots(self, number: int) -> list[Cell | None]:
        """The rows that lie on a page in the page's own order, None for one that cannot be read; empty where it is no
        page of rows."""
        page = self.page(number)
        start = 100 if number == 1 else 0
        if len(page) < PAGE_BYTES or page[start] not in (_LEAF_TABLE, _LEAF_INDEX, _INNER_INDEX):
            return []
        found: list[Cell | None] = []
        for offset in self._offsets(page, start):
            try:
                found.append(self._cell(page, page[start], offset))
            except (_NoCell, IndexError, struct.error, UnicodeDecodeError):
                found.append(None)
        if page[start] != _LEAF_TABLE and None not in found and not self._adds_up(page):
            found.append(None)
        return found

    def _adds_up(self, page: bytes) -> bool:
        """Whether rows and free blocks make up what is in use of a page of an index (1.6: cells, free blocks)."""
        used, free = page[7], int.from_bytes(page[1:3], "big")
        for offset in self._offsets(page, 0):
            start = offset + 4 if page[0] == _INNER_INDEX else offset
            size, at = _varint(page, start)
            if size > _MOST_LOCAL_INDEX:
                return True  # it runs on over other pages: none of ours that is looked at for this
            used += max(4, at + size - offset)
        while 0 < free <= PAGE_BYTES - 4:
            after, size = struct.unpack_from(">2H", page, free)
            used += size
            free = after if after > free else 0
        return used == PAGE_BYTES - (int.from_bytes(page[5:7], "big") or PAGE_BYTES)

    @staticmethod
    def _offsets(page: bytes, start: int) -> tuple[int, ...]:
        (count,) = struct.unpack_from(">H", page, start + 3)
        first = start + (12 if page[start] == _INNER_INDEX else 8)
        return struct.unpack_from(f">{min(count, (PAGE_BYTES - first) // 2)}H", page, first)

    def _cell(self, page: bytes, kind: int, at: int) -> Cell:
        if kind == _INNER_INDEX:
            at += 4
        size, at = _varint(page, at)
        rowid: int | None = None
        if kind == _LEAF_TABLE:
            rowid, at = _varint(page, at)
            rowid = rowid - (1 << 64) if rowid >> 63 else rowid
        most = _MOST_LOCAL_TABLE if kind == _LEAF_TABLE else _MOST_LOCAL_INDEX
        if size <= most:
            payload = page[at : at + size]
        else:
            if size > self.count * PAGE_BYTES:
                raise _NoCell
            local = _LEAST_LOCAL + (size - _LEAST_LOCAL) % (PAGE_BYTES - 4)
            local = local if local <= most else _LEAST_LOCAL
            payload = page[at : at + local] + self._overflow(page, at + local, size - local)
        if len(payload) != size:
            raise _NoCell
        return Cell(rowid, _record(payload))

    def _overflow(self, page: bytes, at: int, left: int) -> bytes:
        (number,) = struct.unpack_from(">I", page, at)
        parts: list[bytes] = []
        while left > 0:
            more = self.page(number) if number > 0 else b""
            if not more:
                raise _NoCell
            parts.append(more[4 : 4 + min(left, PAGE_BYTES - 4)])
            left -= len(parts[-1])
            (number,) = struct.unpack_from(">I", more, 0)
        return b"".join(parts)


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where it ends."""
    value = 0
    for _ in range(8):
        byte = data[at]
        at += 1
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at
    return value << 8 | data[at], at + 1


def _record(payload: bytes) -> tuple[Any, ...]:
    head, at = _varint(payload, 0)
    types: list[int] = []
    while at < head:
        one, at = _varint(payload, at)
        types.append(one)
        if len(types) > _MOST_COLUMNS:
            raise _NoCell
    if at != head:
        raise _NoCell
    values: list[Any] = []
    for one in types:
        value, at = _value(payload, at, one)
        values.append(value)
    if at != len(payload):
        raise _NoCell
    return tuple(values)


def _value(data: bytes, at: int, kind: int) -> tuple[Any, int]:
    if kind >= 12:
        end = at + (kind - 12) // 2
        if end > len(data):
            raise _NoCell
        return (data[at:end].decode("utf-8") if kind % 2 else data[at:end]), end
    if kind in _INT_BYTES:
        end = at + _INT_BYTES[kind]
        return int.from_bytes(data[at:end], "big", signed=True), end
    if kind == 7:
        return struct.unpack_from(">d", data, at)[0], at + 8
    if kind in (0, 8, 9):
        return {0: None, 8: 0, 9: 1}[kind], at
    raise _NoCell


def _committed(log: BinaryIO) -> dict[int, int]:
    """Page number to the offset of its newest committed image in the log; none where the log cannot be read."""
    head = log.read(_WAL_HEADER)
    order = _WAL_MAGIC.get(int.from_bytes(head[:4], "big"))
    if len(head) < _WAL_HEADER or order is None or int.from_bytes(head[8:12], "big") != PAGE_BYTES:
        return {}
    sums = _checksum(head[:24], (0, 0), order)
    if sums != struct.unpack(">2I", head[24:]):
        return {}
    found: dict[int, int] = {}
    pending: dict[int, int] = {}
    while len(frame := log.read(_FRAME_HEADER + PAGE_BYTES)) == _FRAME_HEADER + PAGE_BYTES:
        number, commit = struct.unpack_from(">2I", frame, 0)
        sums = _checksum(frame[24:], _checksum(frame[:8], sums, order), order)
        if frame[8:16] != head[16:24] or sums != struct.unpack_from(">2I", frame, 16):
            break
        pending[number] = log.tell() - PAGE_BYTES
        if commit:
            found.update(pending)
            pending.clear()
    return found


def _checksum(data: bytes, sums: tuple[int, int], order: str) -> tuple[int, int]:
    first, second = sums
    words = struct.unpack(f"{order}{len(data) // 4}I", data)
    for even, odd in zip(words[::2], words[1::2], strict=True):
        first = (first + even + second) & 0xFFFFFFFF
        second = (second + odd + first) & 0xFFFFFFFF
    return first, second
