"""A clock that a test moves from outside the process: it stands still until told, however fast the machine is.

The file holds two numbers of 8 bytes, each written at one stroke: the monotonic clock in ms, and what is added to it
for the wall clock.
"""

from __future__ import annotations

import asyncio
import mmap
import struct
from pathlib import Path

from server.clock import Instant

LOOK_S = 0.005
_NUMBER = struct.Struct("<q")


class _Shared:
    def __init__(self, path: Path) -> None:
        with path.open("r+b") as file:
            self._map = mmap.mmap(file.fileno(), 16)

    def get(self, at: int) -> int:
        return int(_NUMBER.unpack_from(self._map, at)[0])

    def put(self, at: int, number: int) -> None:
        self._map[at : at + 8] = _NUMBER.pack(number)


class ToldClock:
    """:class:`server.clock.Clock` on such a file."""

    def __init__(self, path: Path) -> None:
        self._shared = _Shared(path)

    def now(self) -> Instant:
        mono_ms = self._shared.get(0)
        return Instant(mono_ms + self._shared.get(8), mono_ms / 1000.0)

    async def sleep(self, seconds: float) -> None:
        until_s = self.now().mono_s + seconds
        while self.now().mono_s < until_s - 1e-9:  # noqa: ASYNC110  another process moves it
            await asyncio.sleep(LOOK_S)


class Hand:
    """What moves it."""

    def __init__(self, path: Path, start_ms: int) -> None:
        path.write_bytes(bytes(16))
        self._shared = _Shared(path)
        self._shared.put(8, start_ms)

    @property
    def mono_ms(self) -> int:
        return self._shared.get(0)

    def advance(self, seconds: float) -> None:
        self._shared.put(0, self.mono_ms + round(seconds * 1000))

    def step_wall(self, seconds: float) -> None:
        """Set the wall clock by so much, as a hand or a time service does."""
        self._shared.put(8, self._shared.get(8) + round(seconds * 1000))
