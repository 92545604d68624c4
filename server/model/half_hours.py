"""A zone's half hours out of its stored air, many at once: what :class:`server.bins.Bins` makes value by value.

Needed for spans too long to walk through: a correction of a quarter ago asks for thousands of half hours of each zone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.bins import BIN_MS, HOLD_MS
from server.wood.air import Floats


@dataclass(frozen=True, slots=True)
class HalfHours:
    """Those of a zone of which anything is known, each array (k,): when they end, mean temperature, °C, mean vapour
    pressure, Pa, and the share of each that was covered, 0..1."""

    ends_ms: NDArray[np.int64]
    temperature_c: Floats
    pressure_pa: Floats
    covered: Floats

    @classmethod
    def none(cls) -> HalfHours:
        """Of a zone that nobody heard."""
        return cls(np.empty(0, np.int64), np.empty(0), np.empty(0), np.empty(0))


def half_hours(
    times_ms: ArrayLike, temperature_c: ArrayLike, pressure_pa: ArrayLike, from_ms: int, to_ms: int
) -> HalfHours:
    """The half hours between two edges. ``times_ms`` rise; values from before ``from_ms`` count as far as they hold.

    Raises ValueError where the ends are no half hours.
    """
    if from_ms % BIN_MS or to_ms % BIN_MS:
        raise ValueError(f"half hours: found {from_ms} to {to_ms} ms; would be right: whole half hours of UTC")
    n = (to_ms - from_ms) // BIN_MS
    t = np.asarray(times_ms, np.int64)
    if not t.size or n <= 0:
        return HalfHours.none()
    ends = np.minimum(np.append(t[1:], t[-1] + HOLD_MS), t + HOLD_MS)
    starts, ends = (np.clip(edge, from_ms, to_ms) for edge in (t, ends))
    # A value that holds across an edge counts on both sides of it: it lasts half an hour at most, so on no third.
    first, last = (starts - from_ms) // BIN_MS, np.maximum(ends - 1 - from_ms, 0) // BIN_MS
    edge = from_ms + (first + 1) * BIN_MS
    here, beyond = np.minimum(ends, edge) - starts, np.maximum(ends - edge, 0)
    place, lasts = np.concatenate([first, last]), np.concatenate([here, beyond]).astype(np.float64)
    place, lasts = np.where(lasts > 0, place, 0), np.maximum(lasts, 0.0)
    known = np.bincount(place, lasts, n)
    which = np.flatnonzero(known > 0)
    c, pa = (
        np.bincount(place, lasts * np.tile(np.asarray(column, np.float64), 2), n)[which] / known[which]
        for column in (temperature_c, pressure_pa)
    )
    return HalfHours(from_ms + (which + 1) * BIN_MS, c, pa, known[which] / BIN_MS)
