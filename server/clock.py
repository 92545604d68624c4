"""Time, as two numbers: a wall clock for labels and a monotonic clock for waiting. Nothing else calls ``time``."""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment: ``wall_ms`` since 1970 UTC, ``mono_s`` on a clock that never steps; is the wall clock set?"""

    wall_ms: int
    mono_s: float
    wall_is_set: bool = True


class Clock(Protocol):
    """The only way to know the time. ``sleep`` takes seconds of *this* clock, which a demo may run faster."""

    def now(self) -> Instant:
        """The moment, both clocks read together."""

    async def sleep(self, seconds: float) -> None:
        """Wait that many seconds of this clock."""


class SystemClock:
    """The machine's own. ``not_before_ms`` is the release date or newest row: an earlier wall clock is not set."""

    def __init__(self, not_before_ms: int = 0) -> None:
        self.not_before_ms = not_before_ms

    def now(self) -> Instant:
        wall_ms = time.time_ns() // 1_000_000
        return Instant(wall_ms, time.monotonic(), wall_ms >= self.not_before_ms)

    async def sleep(self, seconds: float) -> None:
        await asyncio.sleep(seconds)


class ScaledClock:
    """A clock that starts at ``start_ms`` and runs ``speed`` times as fast; both its numbers are scaled alike."""

    def __init__(self, start_ms: int, speed: float = 1.0) -> None:
        if not 0.0 < speed <= 3600.0:
            raise ValueError(f"speed: found {speed}; would be right: more than 0 and at most 3600")
        self.start_ms = start_ms
        self.speed = speed
        self._began_s = time.monotonic()

    def now(self) -> Instant:
        gone_s = (time.monotonic() - self._began_s) * self.speed
        return Instant(self.start_ms + round(gone_s * 1000), gone_s)

    async def sleep(self, seconds: float) -> None:
        await asyncio.sleep(seconds / self.speed)


class ManualClock:
    """A clock that moves only when told, for tests and for laying down a past."""

    def __init__(self, start_ms: int = 0) -> None:
        self._now = Instant(start_ms, 0.0)

    def now(self) -> Instant:
        return self._now

    def advance(self, seconds: float) -> None:
        """Move both clocks on by ``seconds`` (never back)."""
        if seconds < 0:
            raise ValueError(f"advance: found {seconds} s; would be right: 0 or more")
        self._now = Instant(self._now.wall_ms + round(seconds * 1000), self._now.mono_s + seconds)

    async def sleep(self, seconds: float) -> None:
        self.advance(seconds)
        await asyncio.sleep(0)
