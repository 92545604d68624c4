"""A zone's half hours out of its stored air, many at once: what :class:`server.bins.Bins` makes value by value.

Needed for spans too long to walk through: a correction of a quarter ago asks for thousands of half hours of each zone.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from server.bins import BIN_MS, HOLD_MS
from server.reading import ClosedBin


def half_hours(
    zone: str, times_ms: Sequence[int], columns: Sequence[Sequence[float]], from_ms: int, to_ms: int
) -> list[ClosedBin]:
    """The half hours of a zone between two edges, those of which nothing is known left out.

    ``times_ms`` rise; ``columns`` are temperature, °C, vapour pressure, Pa, and EMC, %, at them. Values from before
    ``from_ms`` count as far as they hold. Raises ValueError where the ends are no half hours.
    """
    if from_ms % BIN_MS or to_ms % BIN_MS:
        raise ValueError(f"half hours: found {from_ms} to {to_ms} ms; would be right: whole half hours of UTC")
    n = (to_ms - from_ms) // BIN_MS
    t = np.asarray(times_ms, np.int64)
    if not t.size or n <= 0:
        return []
    ends = np.minimum(np.append(t[1:], t[-1] + HOLD_MS), t + HOLD_MS)
    starts, ends = (np.clip(edge, from_ms, to_ms) for edge in (t, ends))
    # A value that holds across an edge counts on both sides of it: it lasts half an hour at most, so on no third.
    first, last = (starts - from_ms) // BIN_MS, np.maximum(ends - 1 - from_ms, 0) // BIN_MS
    edge = from_ms + (first + 1) * BIN_MS
    here, beyond = np.minimum(ends, edge) - starts, np.maximum(ends - edge, 0)
    place, lasts = np.concatenate([first, last]), np.concatenate([here, beyond]).astype(np.float64)
    place, lasts = np.where(lasts > 0, place, 0), np.maximum(lasts, 0.0)
    known = np.bincount(place, lasts, n)
    t_c, p_pa, emc = (np.bincount(place, lasts * np.tile(np.asarray(c, np.float64), 2), n) for c in columns)
    return [
        ClosedBin(
            zone, from_ms + (i + 1) * BIN_MS, t_c[i] / known[i], p_pa[i] / known[i], emc[i] / known[i],
            known[i] / BIN_MS,
        )
        for i in np.flatnonzero(known > 0).tolist()
    ]  # fmt: skip
