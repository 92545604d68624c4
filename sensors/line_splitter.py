"""From chunks of bytes, split anywhere, to whole lines."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Line:
    """One line without its end. ``cut`` if it had no newline within the limit; then ``content`` is its beginning."""

    content: bytes
    cut: bool = False


class LineSplitter:
    """Keeps what has no newline yet. The first line is dropped, since reading begins anywhere in it; empty lines are
    left out. Whatever the split, the same bytes give the same lines."""

    def __init__(self, limit: int) -> None:
        self._limit = limit
        self._buffer = b""
        self._skipping = True

    def feed(self, chunk: bytes) -> list[Line]:
        """The lines that ``chunk`` completes."""
        lines: list[Line] = []
        *ended, rest = chunk.split(b"\n")
        for piece in ended:
            self._add(piece, lines)
            content = self._buffer.rstrip(b"\r")
            if content and not self._skipping:
                lines.append(Line(content))
            self._buffer, self._skipping = b"", False
        self._add(rest, lines)
        return lines

    def _add(self, piece: bytes, lines: list[Line]) -> None:
        if self._skipping:
            return
        self._buffer += piece
        if len(self._buffer) > self._limit:
            # Told once; the rest of the line is skipped up to its newline.
            lines.append(Line(self._buffer[: self._limit], cut=True))
            self._buffer, self._skipping = b"", True
