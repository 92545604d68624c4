"""Time, as two numbers: a wall clock for labels and a monotonic clock for waiting. Nothing else calls ``time``.

The wall clock may be wrong: a board without a battery starts in 1970 or where it was switched off, and a time service
puts it right minutes later, or never where there is no network. So each moment also says whether the wall clock is set.
What is done about it: :mod:`server.shop_clock`.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from server.time_service import synchronised

RELEASED_MS = 1_795_000_000_000
"""2026-11-18: a wall clock before this is not set."""
LATEST_MS = 4_102_444_800_000
"""2100-01-01: nor is one after this."""
ASK_AGAIN_S = 1.0


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment: ``wall_ms`` since 1970 UTC, ``mono_s`` on a clock that never steps; is the wall clock set?

    ``vouched`` is what the machine's time service says of a wall clock that might be right: True that it is, False that
    it has not looked yet, None where there is no such service.
    """

    wall_ms: int
    mono_s: float
    wall_is_set: bool = True
    vouched: bool | None = True


class Clock(Protocol):
    """The only way to know the time. ``sleep`` takes seconds of *this* clock, which a demo may run faster."""

    def now(self) -> Instant:
        """The moment, both clocks read together."""

    async def sleep(self, seconds: float) -> None:
        """Wait that many seconds of this clock."""


class SystemClock:
    """The machine's own. Set is a wall clock that is not before ``not_before_ms``, not after 2100, and of which no time
    service of the machine says that it has yet to look. ``ask`` is how that is found out: see
    :func:`server.time_service.synchronised`. Once vouched for, it stays so: a network that goes takes no time away."""

    def __init__(self, not_before_ms: int = 0, ask: Callable[[int], bool | None] = synchronised) -> None:
        self.not_before_ms = not_before_ms
        self._ask = ask
        self._vouched: bool | None = None
        self._asked_s: float | None = None

    def now(self) -> Instant:
        wall_ms, mono_s = time.time_ns() // 1_000_000, time.monotonic()
        if not self.not_before_ms <= wall_ms < LATEST_MS:
            return Instant(wall_ms, mono_s, wall_is_set=False, vouched=None)
        if not self._vouched and (self._asked_s is None or mono_s - self._asked_s >= ASK_AGAIN_S):
            self._asked_s, self._vouched = mono_s, self._ask(wall_ms)
        return Instant(wall_ms, mono_s, self._vouched is not False, self._vouched)

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


async def woken_within(woken: asyncio.Event, clock: Clock, seconds: float) -> None:
    """Wait for the event, for as long as that by the clock at most."""
    waiting, pause = asyncio.ensure_future(woken.wait()), asyncio.ensure_future(clock.sleep(seconds))
    try:
        await asyncio.wait({waiting, pause}, return_when=asyncio.FIRST_COMPLETED)
    finally:
        waiting.cancel()
        pause.cancel()
