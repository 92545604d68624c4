"""Once every demo day one sensor misbehaves for an hour: which, when and how follows from the day alone.

A day here is one of standard time (UTC-5), so that every day has 24 hours and the hour never falls into a clock change.
The first start's own day is spared until the afternoon. The one in the yard behaves: it has the weather.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.demo.scenario import FIRST_START_MS, SENSORS, YARD
from server.demo.weather import HOUR_MS, STANDARD_TIME_H

Kind = Literal["out-of-range", "held", "garbled", "spikes", "silent", "saturated", "jumping"]
KINDS: tuple[Kind, ...] = ("out-of-range", "held", "garbled", "spikes", "silent", "saturated", "jumping")
"""Seven, one a day; with five sensors no pair comes back within 35 days."""
INDOORS = tuple(sensor.id for sensor in SENSORS if sensor.zone != YARD)
DAY_MS = 24 * HOUR_MS
SWEATING = "finishing-2"
"""Only this one ever saturates: it hangs at the cold wall, and the zone has a second witness to set against it."""


@dataclass(frozen=True, slots=True)
class Misbehaviour:
    """One sensor's bad hour: it holds from ``start_ms`` until just before ``end_ms``."""

    sensor: str
    start_ms: int
    kind: Kind

    @property
    def end_ms(self) -> int:
        """When it is over."""
        return self.start_ms + HOUR_MS


def day_of(t_ms: int) -> int:
    """Number of the day of standard time that holds this moment, counted from 1970."""
    return (t_ms + STANDARD_TIME_H * HOUR_MS) // DAY_MS


FIRST_DAY = day_of(FIRST_START_MS)


def misbehaviour(day: int) -> Misbehaviour:
    """The bad hour of a day (a number as :func:`day_of` gives): a pure function, the same in the past and live."""
    since = day - FIRST_DAY
    kind = KINDS[since % len(KINDS)]
    sensor = SWEATING if kind == "saturated" else INDOORS[since % len(INDOORS)]
    hour = (14 + 5 * since) % 24
    return Misbehaviour(sensor, day * DAY_MS + (hour - STANDARD_TIME_H) * HOUR_MS, kind)


def bad_hours(sensor: str, t_ms: ArrayLike) -> list[tuple[NDArray[np.bool_], Misbehaviour]]:
    """For each bad hour of this sensor that touches these moments: which of them lie in it, and the hour itself."""
    t = np.asarray(t_ms, dtype=np.int64)
    if not t.size:
        return []
    found = []
    for day in range(day_of(int(t.min())), day_of(int(t.max())) + 1):
        bad = misbehaviour(day)
        if bad.sensor == sensor and (inside := (t >= bad.start_ms) & (t < bad.end_ms)).any():
            found.append((inside, bad))
    return found
