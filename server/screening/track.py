"""What is remembered of one series, and when a sample was measured."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from statistics import median
from typing import NamedTuple

LONGEST_INTERVAL_S = 6 * 3600.0
PERIOD_UNKNOWN_S = 300.0
LEAST_PERIOD_S = 60.0
PERIODS_LEARNT = 20


@dataclass(slots=True)
class Track:
    """The last good value of a series, a jump waiting for a witness, and what was said last. ``recent`` holds (label,
    value) of the last minutes where a sensor of the same zone may want a witness."""

    series: str
    good_t_ms: int | None = None
    good_mono_s: float | None = None
    good_value: float = 0.0
    stated_ms: int | None = None
    """The newest label that was the device's own."""
    given_ms: int | None = None
    """The last label that we gave, and what the wall clock said then: in a burst labels run ahead of it."""
    clock_ms: int | None = None
    held_t_ms: int | None = None
    held_mono_s: float | None = None
    held_value: float = 0.0
    last_raw: float | None = None
    said_ms: int = 0
    said_mono_s: float | None = None
    pauses_s: deque[float] = field(default_factory=lambda: deque(maxlen=PERIODS_LEARNT))
    """From each of the last words to the next."""
    recent: deque[tuple[int, float]] | None = None

    def say(self, raw: float, at: Moment) -> None:
        """One more word of this series, believed or not."""
        if self.last_raw is not None:
            pause_s = since_s(self.said_ms, self.said_mono_s, at)
            if 0.0 < pause_s < LONGEST_INTERVAL_S:
                self.pauses_s.append(pause_s)
        self.last_raw, self.said_ms, self.said_mono_s = raw, at.t_ms, at.mono_s

    def raw_within(self, periods: float, at: Moment) -> float | None:
        """What was said last, if that is no longer ago than so many of its periods (5 minutes until one is known)."""
        if self.last_raw is None:
            return None
        gone_s = abs(since_s(self.said_ms, self.said_mono_s, at))
        return self.last_raw if gone_s <= periods * max(self._period_s(), LEAST_PERIOD_S) else None

    def _period_s(self) -> float:
        """The median of its pauses: one word that came twice, or early, makes no rhythm."""
        return median(self.pauses_s) if self.pauses_s else PERIOD_UNKNOWN_S


class Moment(NamedTuple):
    """When a sample was measured, as far as is known: its label, both clocks when it was heard (the monotonic one is
    None for what a record from before the start says), and whether the label is the device's own."""

    t_ms: int
    heard_ms: int
    mono_s: float | None
    stated: bool


def since_s(t_ms: int, mono_s: float | None, at: Moment) -> float:
    """Seconds from an earlier reading to this one: by the labels where the device states them, else on the monotonic
    clock, which no setting of the clock moves; before a restart only the labels are known. Below 0 where a clock was
    wrong."""
    if at.stated or mono_s is None or at.mono_s is None:
        return (at.t_ms - t_ms) / 1000.0
    return at.mono_s - mono_s
