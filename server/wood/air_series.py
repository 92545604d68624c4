"""The air that boards lie in, as a row of steps: between records, or bin by bin, for one zone or several."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats, saturation_pressure_pa, vapour_pressure_pa
from server.wood.emc import emc_pct, humidity_for_emc

UNKNOWN_AIR_SIGMA_PCT = 1.5
"""How far, as EMC, air that nobody recorded may lie from the last that was, one standard deviation. Common practice, no
source. For scale: a room that goes up and down by 2 % over the year is in four cases of five within 1.0 % of where it
was 30 days before (2 x 2 % x sin(2 pi 15 / 365) x sin 72 degrees); weather, and a heating that is turned down, come on
top."""
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

    def then(self, later: AirSeries) -> AirSeries:
        """This air, and after it ``later``, whose first edge is this one's last. Raises ValueError where they do not
        meet, or their zones differ in number."""
        if self.zones != later.zones or self.edges_s[-1] != later.edges_s[0]:
            found = f"{self.zones} zones until {self.edges_s[-1]:g} s, {later.zones} from {later.edges_s[0]:g} s on"
            raise ValueError(f"air: found {found}; would be right: as many zones, from the same time on")
        return AirSeries(
            np.concatenate([self.edges_s, later.edges_s[1:]]),
            *(np.concatenate([getattr(self, name), getattr(later, name)]) for name in _COLUMNS),
        )

    def averaged(self, edges_s: Floats) -> AirSeries:
        """Between ``edges_s``, which lie within this series and rise, straight lines through half-way points of the
        steps' means of temperature and vapour pressure: smooth air is cheap to step through. A step is known where all
        of it was. Raises ValueError for edges beyond the series' own."""
        edges = np.asarray(edges_s, np.float64)
        if edges[0] < self.edges_s[0] or edges[-1] > self.edges_s[-1]:
            found, right = f"{edges[0]:g} to {edges[-1]:g} s", f"{self.edges_s[0]:g} to {self.edges_s[-1]:g} s"
            raise ValueError(f"edges_s: found {found}; would be right: within {right}")
        c, pa = (
            _at_edges(self._mean_between(0.5 * (start + end), edges))
            for start, end in ((self.start_c, self.end_c), (self.start_pa, self.end_pa))
        )
        known = self._mean_between(self.known.astype(np.float64), edges) > 1.0 - 1e-9
        return AirSeries(edges, c[:-1], c[1:], pa[:-1], pa[1:], known)

    def emc_pct(self) -> Floats:
        """What each step's mean air draws wood to, % MC, (k, zones)."""
        c = 0.5 * (self.start_c + self.end_c)
        pa = 0.5 * (self.start_pa + self.end_pa)
        return emc_pct(c, np.minimum(pa / saturation_pressure_pa(c), 1.0))

    def drawing(self, by_pct: ArrayLike) -> AirSeries:
        """The same temperatures, with vapour that draws wood to ``by_pct`` % MC more (less where negative), (k, zones)
        or what broadcasts to it; as it was where that is 0, and never beyond dry or saturated air."""
        by = np.broadcast_to(np.asarray(by_pct, np.float64), self.start_c.shape)

        def shifted(temperature_c: Floats, pressure_pa: Floats) -> Floats:
            full = saturation_pressure_pa(temperature_c)
            most = emc_pct(temperature_c, np.ones(by.shape)) * (1.0 - 1e-9)
            wanted = emc_pct(temperature_c, np.clip(pressure_pa / full, 0.0, 1.0)) + by
            rh = humidity_for_emc(temperature_c, np.clip(wanted, 0.0, most))
            return np.where(by == 0.0, pressure_pa, rh * full)

        return replace(self, start_pa=shifted(self.start_c, self.start_pa), end_pa=shifted(self.end_c, self.end_pa))

    def _mean_between(self, values: Floats, edges: Floats) -> Floats:
        gone = np.zeros((len(self) + 1, values.shape[1]))
        np.cumsum(values * np.diff(self.edges_s)[:, None], axis=0, out=gone[1:])
        i = np.clip(np.searchsorted(self.edges_s, edges, side="right") - 1, 0, len(self) - 1)
        at = gone[i] + values[i] * (edges - self.edges_s[i])[:, None]
        return np.asarray(np.diff(at, axis=0) / np.diff(edges)[:, None])


_COLUMNS = ("start_c", "end_c", "start_pa", "end_pa", "known")


def _at_edges(means: Floats) -> Floats:
    """Half way between a step's mean and the next one's; the ends' own."""
    return np.concatenate([means[:1], 0.5 * (means[1:] + means[:-1]), means[-1:]])


def beside(*airs: AirSeries) -> AirSeries:
    """Airs of the same edges as zones of one series, in this order. Raises ValueError where edges differ."""
    first = airs[0]
    if any(not np.array_equal(a.edges_s, first.edges_s) for a in airs):
        raise ValueError("air: found series of different edges; would be right: the same edges in all of them")
    return AirSeries(first.edges_s, *(np.concatenate([getattr(a, name) for a in airs], axis=1) for name in _COLUMNS))


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
