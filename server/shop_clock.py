"""The shop's clock: the machine's while that is set, and the record's own count of time while it is not.

While nobody vouches for the wall clock, labels go on from the newest one in the record, at the pace of the monotonic
clock, and say so. A wall clock that becomes set is not followed by itself: what was labelled so far has to be moved
first, so :meth:`look` only reports it and :meth:`adopt` follows (:mod:`server.boots` does both between two turns).
A wall clock that steps while it is set is followed at once, and reported.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from server.clock import RELEASED_MS, Clock, Instant
from server.stores.port import Boot

JUMP_MS = 5000
"""A wall clock that moves by more against the monotonic one between two looks was set; by less, it was corrected."""
AGREES_MS = 60_000
"""As far may the two clocks of one boot be apart at two starts without a step between them: steering moves both alike.
Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Change:
    """What a look found: the clock became *set* (not followed yet), was *lost* or *jumped* (followed already). The same
    moment had the label ``from_ms`` and has ``to_ms`` now."""

    what: Literal["set", "lost", "jumped"]
    from_ms: int
    to_ms: int


class ShopClock:
    """Wraps a machine's clock. Until :meth:`begin` it is that clock."""

    def __init__(self, machine: Clock) -> None:
        self.machine = machine
        self.sleep = machine.sleep
        self.is_set = True
        self.first_ms = 0
        """While unset: the first label of this stretch."""
        self._floor_offset_ms = 0
        self._offset_ms, self._seen_offset_ms = 0, 0

    @property
    def wall_minus_mono_ms(self) -> int:
        """What is added to the monotonic clock for a label: as last looked at, or as counted on while unset."""
        return self._offset_ms

    def begin(self, newest_ms: int | None, floor_ms: int | None, last: Boot | None, boot: str) -> None:
        """Decide whether the wall clock is set. ``newest_ms`` is the newest label of the record, ``floor_ms`` what a
        wall clock must not lie before where nobody vouches for it, ``last`` the record's last stretch of time and
        ``boot`` the name of this run of the monotonic clock."""
        now = self.machine.now()
        # It moves on: a clock that stood an hour behind at the start is no less wrong an hour later.
        self._floor_offset_ms = (floor_ms or 0) - round(now.mono_s * 1000)
        self._offset_ms = self._seen_offset_ms = _offset_ms(now)
        same = last if last is not None and last.token == boot else None
        if same is not None and same.clock_set and abs(same.wall_minus_mono_ms - self._offset_ms) <= AGREES_MS:
            return  # set earlier in this boot, and nobody has touched it since
        mono_ms = round(now.mono_s * 1000)
        if same is not None and not same.clock_set and mono_ms + same.wall_minus_mono_ms >= (newest_ms or 0):
            self._offset_ms, self.first_ms, self.is_set = same.wall_minus_mono_ms, same.first_ms, False
        elif not self._believed(now):
            self.first_ms = RELEASED_MS if newest_ms is None else newest_ms + 1
            self._offset_ms, self.is_set = self.first_ms - mono_ms, False

    def now(self) -> Instant:
        """The moment as the shop counts it."""
        now = self.machine.now()
        if self.is_set and _could_be(now):
            return now if now.wall_is_set else replace(now, wall_is_set=True)
        return Instant(round(now.mono_s * 1000) + self._offset_ms, now.mono_s, self.is_set, now.vouched)

    def look(self) -> Change | None:
        """Compare both clocks; once a turn. None where nothing happened."""
        now = self.machine.now()
        offset_ms, known_ms = _offset_ms(now), self._offset_ms
        label_ms = round(now.mono_s * 1000) + known_ms
        if not self.is_set:
            found = self._believed(now, stepped=abs(offset_ms - self._seen_offset_ms) > JUMP_MS)
            return Change("set", label_ms, now.wall_ms) if found else None
        if not _could_be(now):
            self._seen_offset_ms, self.is_set, self.first_ms = offset_ms, False, label_ms
            return Change("lost", label_ms, label_ms)
        self._offset_ms = offset_ms
        return Change("jumped", label_ms, now.wall_ms) if abs(offset_ms - known_ms) > JUMP_MS else None

    def adopt(self, change: Change) -> None:
        """Follow the wall clock from now on: what was labelled before has been moved."""
        self._offset_ms += change.to_ms - change.from_ms
        self.is_set = True

    def _believed(self, now: Instant, *, stepped: bool = False) -> bool:
        """Whoever sets a clock while we look means it, also to before the newest row: that one was the mistake. A
        service that still waits for the network does not say no to a hand that set it onward."""
        is_onward = now.wall_ms >= round(now.mono_s * 1000) + self._floor_offset_ms
        if not now.wall_is_set:
            return stepped and is_onward and now.wall_ms >= RELEASED_MS
        return bool(now.vouched) or stepped or is_onward


def _could_be(now: Instant) -> bool:
    """Whether this may be the time, for a clock that was set before: a time service that came up late and has not
    looked yet does not say no to it."""
    return now.wall_is_set or now.vouched is False


def _offset_ms(now: Instant) -> int:
    return now.wall_ms - round(now.mono_s * 1000)
