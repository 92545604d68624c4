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
    left out. Whatever the split, the same bytes give the same lines, and no more than ``limit`` bytes are held."""

    def __init__(self, limit: int) -> None:
        self._limit = limit
        self._buffer = b""
        self._whole = False
        self._told = False

    def feed(self, chunk: bytes) -> list[Line]:
        """The lines that ``chunk`` completes."""
        lines: list[Line] = []
        *ended, rest = chunk.split(b"\n")
        for piece in ended:
            self._add(piece, lines)
            content = self._buffer.rstrip(b"\r")
            if content and self._whole:
                lines.append(Line(content))
            self._buffer, self._whole, self._told = b"", True, False
        self._add(rest, lines)
        return lines

    def tell_again(self) -> None:
        """Nobody listened so far: a line without an end that was told already is told once more if it goes on."""
        self._told = False

    def _add(self, piece: bytes, lines: list[Line]) -> None:
        if self._told:
            return
        self._buffer += piece[: self._limit + 1]
        if len(self._buffer) > self._limit:
            # Told once, the first one too: at a wrong baud rate no newline may ever come. The rest is skipped.
            lines.append(Line(self._buffer[: self._limit], cut=True))
            self._buffer, self._whole, self._told = b"", False, True
