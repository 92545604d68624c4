"""How long a sensor may say the same: as long as its own last day shows that it does.

Noise alone moves a live sensor, but by how much against its last digit differs: one with steps of 0.01 never says the
same twice for ten minutes, one with steps of 1 % may do so half the night. So the longest spell of bit-identical values
of the last day is remembered, and four times that is allowed; never less than the floor, never more than the shop's
limit. Which sensors freeze (Field pitfall 14): those measured once and re-read, or whose bus is stuck.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field

from server.screening.track import Moment, since_s

DAY_MS = 86_400_000
ALLOWED_TIMES = 4.0
"""Common practice, no source: nights differ, but not four times."""
LEAST_REPEATS = 12
"""So many identical values in a row before a sensor's own history may condemn it: a slow one says few in an hour."""
LONGEST_PAUSE_MS = 6 * 3_600_000
"""After a longer pause nobody knows what it did meanwhile: the spell begins anew. So does the day that is watched, also
where a clock jumped."""


@dataclass(slots=True)
class Stillness:
    """Both quantities of one sensor together; they may come in messages of their own."""

    stuck: bool = False
    _said: dict[str, float] = field(default_factory=dict)
    _since_ms: int = 0
    _since_mono_s: float | None = None
    _repeats: int = 0
    _last: Moment | None = None
    _watched_from_ms: int = 0
    _spells: deque[tuple[int, float]] = field(default_factory=deque)
    """(ended ms, length s), each shorter than the one before it: the first is the longest of the last day."""
    _condemned_after_s: float | None = None

    def note(self, values: Iterable[tuple[str, float]], at: Moment) -> None:
        """One more message with these raw values."""
        if self._last is not None and since_s(self._last.t_ms, self._last.mono_s, at) * 1000.0 > LONGEST_PAUSE_MS:
            self.rest()
        if self._last is None or not 0 <= at.t_ms - self._last.t_ms <= LONGEST_PAUSE_MS:
            self._spells.clear()
            self._watched_from_ms = at.t_ms
        moved = False
        for quantity, raw in values:
            if self._said.get(quantity) != raw:
                self._said[quantity] = raw
                moved = True
        if moved:
            self._end()
            self._since_ms, self._since_mono_s, self._repeats, self.stuck = at.t_ms, at.mono_s, 0, False
        elif self._last is not None and at.t_ms != self._last.t_ms:
            self._repeats += 1
        self._last = at

    def rest(self) -> None:
        """What was said so far teaches nothing, and begins no spell."""
        self._said.clear()
        self._last = self._condemned_after_s = None
        self._repeats, self.stuck = 0, False

    def judge(self, at: Moment, longest_s: float, floor_s: float) -> bool:
        """Whether it has stood still for too long by then: ``longest_s`` for any sensor, less by its own history."""
        if not self._repeats:  # it has just moved: nothing to ask
            self.stuck = False
            return False
        still_s = since_s(self._since_ms, self._since_mono_s, at)
        allowed_s = longest_s
        if self._repeats >= LEAST_REPEATS and self._since_ms - self._watched_from_ms >= DAY_MS:
            while self._spells and self._spells[0][0] < self._since_ms - DAY_MS:
                self._spells.popleft()
            own_s = ALLOWED_TIMES * self._spells[0][1] if self._spells else 0.0
            allowed_s = min(longest_s, max(own_s, floor_s))
        self.stuck = still_s >= allowed_s
        if self.stuck and self._condemned_after_s is None:
            self._condemned_after_s = allowed_s
        return self.stuck

    def _end(self) -> None:
        if self._last is None:
            return
        length_s = since_s(self._since_ms, self._since_mono_s, self._last)
        if self._condemned_after_s is not None:
            # It may have been a very still night after all, or a dead chip: allow more next time, but not all of it.
            length_s = min(length_s, self._condemned_after_s)
            self._condemned_after_s = None
        while self._spells and self._spells[-1][1] <= length_s:
            self._spells.pop()
        self._spells.append((self._last.t_ms, length_s))
