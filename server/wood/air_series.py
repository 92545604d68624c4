"""The air that boards lie in, as a row of steps: between records, or bin by bin, for one zone or several."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats, vapour_pressure_pa

BRIDGED_S = 6 * 3600.0
"""So long the last air is taken to go on in a gap; after that nobody knows, and what follows is less sure."""


@dataclass(frozen=True, slots=True)
class AirSeries:
    """k steps between the k + 1 times ``edges_s``. The other arrays have shape (k, zones), for a step's start and end;
    within it temperature, °C, and vapour pressure, Pa, run straight. ``known`` is False where a gap was too long.

    Make it with :meth:`between_records`, :meth:`of_bins` or :meth:`constant`.
    """

    edges_s: Floats
    start_c: Floats
    end_c: Floats
    start_pa: Floats
    end_pa: Floats
    known: NDArray[np.bool_]

    def __len__(self) -> int:
        return int(self.edges_s.size - 1)

    @property
    def zones(self) -> int:
        """How many airs stand side by side."""
        return int(self.start_c.shape[1])

    @classmethod
    def between_records(cls, times_s: ArrayLike, temperature_c: ArrayLike, humidity_pct: ArrayLike) -> AirSeries:
        """Records at ``times_s`` (k + 1); the others (k + 1) or (k + 1, zones); straight lines between them.

        Over more than six hours without a record the last one is held, and the rest of the gap is not known. Raises
        ValueError for unequal lengths, times that do not rise, humidity outside 0..100 %, values that are not numbers.
        """
        t, c, pa = _checked(times_s, temperature_c, humidity_pct, 0)
        edges, start = [t[0]], []
        for i in range(t.size - 1):
            if t[i + 1] - t[i] > BRIDGED_S:
                edges.append(t[i] + BRIDGED_S)
                start.append((i, i, True))
                start.append((i, i, False))
            else:
                start.append((i, i + 1, True))
            edges.append(t[i + 1])
        first, last, known = (np.array(column) for column in zip(*start, strict=True))
        mask = np.tile(known[:, None], (1, c.shape[1]))
        return cls(np.array(edges), c[first], c[last], pa[first], pa[last], mask)

    @classmethod
    def of_bins(cls, edges_s: ArrayLike, temperature_c: ArrayLike, humidity_pct: ArrayLike) -> AirSeries:
        """Means of k bins between the k + 1 ``edges_s``, shape (k) or (k, zones); nan where a bin is empty.

        An empty bin takes the last one's air; what is further than six hours from it is not known. Raises ValueError as
        :meth:`between_records`, and where the first bin is empty.
        """
        edges, c, pa = _checked(edges_s, temperature_c, humidity_pct, 1)
        given = ~(np.isnan(c) | np.isnan(pa))
        if not given[0].all():
            raise ValueError("air: found nothing in the first bin; would be right: a bin with air to begin from")
        row = np.arange(len(c))[:, None]
        last = np.maximum.accumulate(np.where(given, row, 0), axis=0)
        c, pa = np.take_along_axis(c, last, 0), np.take_along_axis(pa, last, 0)
        known = edges[1:][row] - edges[1:][last] <= BRIDGED_S
        return cls(edges, c, c, pa, pa, known)

    @classmethod
    def constant(cls, edges_s: ArrayLike, temperature_c: ArrayLike, humidity_pct: ArrayLike) -> AirSeries:
        """The same air all along: one number each, or (zones)."""
        edges = np.asarray(edges_s, np.float64)
        steps = (edges.size - 1, 1)
        c, h = np.broadcast_arrays(np.atleast_1d(temperature_c), np.atleast_1d(humidity_pct))
        return cls.of_bins(edges, np.tile(c, steps), np.tile(h, steps))

    def between(self, first: int, last: int) -> AirSeries:
        """The steps from ``first`` up to but not with ``last``."""
        i = slice(first, last)
        return AirSeries(
            self.edges_s[first : last + 1],
            self.start_c[i],
            self.end_c[i],
            self.start_pa[i],
            self.end_pa[i],
            self.known[i],
        )

    def in_parts(self, longest_s: float) -> tuple[AirSeries, NDArray[np.intp]]:
        """The same air with each step that is longer than ``longest_s`` in equal parts, and where this series' edges
        lie among the edges of that one, (k + 1)."""
        seconds = np.diff(self.edges_s)
        parts = np.maximum(1, np.ceil(seconds / longest_s - 1e-9)).astype(np.intp)
        edges = np.concatenate([[0], np.cumsum(parts)])
        if edges[-1] == len(self):
            return self, edges
        step = np.repeat(np.arange(len(self)), parts)
        part = np.arange(step.size) - edges[step]
        begin, end = ((part + i)[:, None] / parts[step, None] for i in (0, 1))

        def along(start: Floats, last: Floats, share: Floats) -> Floats:
            return start[step] + share * (last[step] - start[step])

        times = np.append(self.edges_s[step] + begin[:, 0] * seconds[step], self.edges_s[-1])
        c, pa = (self.start_c, self.end_c), (self.start_pa, self.end_pa)
        return AirSeries(
            times, along(*c, begin), along(*c, end), along(*pa, begin), along(*pa, end), self.known[step]
        ), edges


def _checked(
    times_s: ArrayLike, temperature_c: ArrayLike, humidity_pct: ArrayLike, bins: int
) -> tuple[Floats, Floats, Floats]:
    t = np.asarray(times_s, np.float64)
    c, h = (_columns(np.asarray(a, np.float64)) for a in (temperature_c, humidity_pct))
    if t.ndim != 1 or t.size < 2:
        raise ValueError(f"times_s: found {t.size} of them; would be right: two or more, one after the other")
    if not (len(c) == len(h) == t.size - bins) or c.shape != h.shape:
        found = f"{t.size} times, {c.shape} temperatures, {h.shape} humidities"
        raise ValueError(f"air: found {found}; would be right: {t.size - bins} of each")
    if not np.isfinite(t).all():
        raise ValueError("times_s: found a time that is not a number; would be right: seconds, finite and rising")
    back = np.flatnonzero(~(np.diff(t) > 0))
    if back.size:
        i = int(back[0])
        raise ValueError(f"times_s: found {t[i + 1]:g} s after {t[i]:g} s; would be right: times that rise")
    if not bins and not (np.isfinite(c).all() and np.isfinite(h).all()):
        raise ValueError("air: found a record that is not a number; would be right: leave it out, gaps are bridged")
    wrong = (h < 0) | (h > 100)
    if wrong.any():
        raise ValueError(f"humidity_pct: found {h[wrong][0]:g}; would be right: 0 to 100 %")
    cold = (c < -50) | (c > 100)
    if cold.any():
        raise ValueError(f"temperature_c: found {c[cold][0]:g}; would be right: −50 to 100 °C")
    return t, c, vapour_pressure_pa(c, h / 100.0)


def _columns(values: Floats) -> Floats:
    return values[:, None] if values.ndim == 1 else values
