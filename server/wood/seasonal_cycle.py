"""A record's seasonal cycle and the band of its departures, after EN 15757.

EN 15757:2010 describes what a collection of wood has lived with: the seasonal cycle is the central moving average over
30 days (15 before each reading and 15 after), a departure is a reading less the cycle, and the band reaches from the
7th to the 93rd percentile of the departures, which leaves out the most dangerous 14 %. At least a year of readings, at
most an hour apart, is asked for. The standard was not read: all of this is from memory. What it says of relative
humidity is done here to any series, so that EMC may be looked at the same way.

It looks back on a record, both ways about each moment. What lies ahead is :mod:`server.wood.season`'s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats

WINDOW_DAYS = 30.0
LOW_PERCENTILE, HIGH_PERCENTILE = 7.0, 93.0
LEAST_HEARD = 0.75
"""Of a window so much must have been heard, else the cycle is not known there. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class SeasonalCycle:
    """``cycle`` at each reading (nan where its window is not whole or too little of it was heard), and the band of the
    departures about it, ``low`` at the 7th and ``high`` at the 93rd percentile; all in the unit of the record."""

    cycle: Floats
    low: float
    high: float

    def outside(self, values: ArrayLike) -> np.ndarray:
        """Which readings of the record lie outside of the band: False where the cycle is not known. (n,)."""
        with np.errstate(invalid="ignore"):
            departure = np.asarray(values, np.float64) - self.cycle
            return np.asarray((departure < self.low) | (departure > self.high))


def seasonal_cycle(values: ArrayLike, step_h: float) -> SeasonalCycle:
    """Of readings that lie ``step_h`` hours apart, (n,), nan where nothing was heard; any unit.

    The window holds as many readings on both sides, the outermost ones by half where 30 days are an even number of
    steps, so that all of it weighs 30 days. Percentiles are straight between ranks. Raises ValueError for a step of 0
    or less or more than a day, values of more than one row, and a record in which no window is whole.
    """
    value = np.asarray(values, np.float64)
    if not 0.0 < step_h <= 24.0:
        raise ValueError(f"step_h: found {step_h}; would be right: more than 0, at most 24")
    if value.ndim != 1:
        raise ValueError(f"values: found {value.ndim} dimensions; would be right: one row of readings")
    weights = _weights(WINDOW_DAYS * 24.0 / step_h)
    cycle = np.full(value.size, np.nan)
    half = weights.size // 2
    if value.size >= weights.size:
        heard = np.isfinite(value)
        total, known = (np.convolve(x, weights, mode="valid") for x in (np.where(heard, value, 0.0), heard * 1.0))
        enough = known >= LEAST_HEARD * weights.sum()
        cycle[half : value.size - half] = np.where(enough, total / np.maximum(known, 1e-9), np.nan)
    departure = value - cycle
    departure = departure[np.isfinite(departure)]
    if not departure.size:
        found = f"{value.size * step_h / 24.0:.3g} days"
        raise ValueError(f"values: found {found}; would be right: {WINDOW_DAYS:g} days and more, most of them heard")
    low, high = np.percentile(departure, [LOW_PERCENTILE, HIGH_PERCENTILE])
    return SeasonalCycle(cycle, float(low), float(high))


def _weights(steps: float) -> Floats:
    """As many on both sides of the middle, in sum ``steps``."""
    whole = int((steps - 1.0) / 2.0)
    rest = (steps - 1.0 - 2.0 * whole) / 2.0
    inner = np.ones(2 * whole + 1)
    return np.concatenate([[rest], inner, [rest]]) if rest > 0.0 else inner
