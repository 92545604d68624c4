"""A zone's season: what its own record says of the air on any day of the year, and of the weeks ahead.

The course of the year is two harmonics through the record's daily means of temperature and EMC, least squares. EN 15757
(from memory) takes the mean of 30 days about each day; on ten years of a cold-winter town the harmonics of one year
told 30 to 60 days ahead better than that mean of the same days a year before (tests/wood/test_season.py), because the
mean hands on last year's weather with its season.

How far the last week is from that course dies away with ``memory_days``, by which the record's own weeks forgot. The
ends are the central 80 % of how far the record's means of 30 days (EN 15757's window; about the lag of an inch board)
lay from its season: single days lie farther, and a board hardly feels them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats, saturation_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.emc import emc_pct, humidity_for_emc
from server.wood.expected_air import Beyond, ExpectedAir

DAY_S = 86_400.0
YEAR_DAYS = 365.2425
MONTH_DAYS = YEAR_DAYS / 12.0
LEAST_DAYS = 330
"""So many days of the year must have been heard, in one year or another. Common practice, no source."""
WINDOW_DAYS, LEAST_IN_WINDOW = 30, 20
WEEK_DAYS, LEAST_IN_WEEK = 7, 4
_TERMS = 5
_MEMORIES_DAYS = np.arange(1.0, 61.0)
_LEADS_DAYS = np.arange(4, 46)


@dataclass(frozen=True, slots=True)
class Season:
    """The year of one zone, from ``heard_days`` daily means: coefficients of :func:`_year` for temperature, °C, and
    EMC, %; the ends of the departures' central 80 %, % MC about the season, ``low_pct`` at most 0 and ``high_pct`` at
    least 0; and in how many days a week's departure falls to a third (1/e). Make it with :func:`season_of`."""

    temperature: Floats
    emc: Floats
    heard_days: int
    low_pct: float
    high_pct: float
    memory_days: float

    def temperature_c(self, day: ArrayLike) -> Floats:
        """The season's temperature on any days, counted as in the record, °C."""
        return np.asarray(_year(day) @ self.temperature)

    def emc_pct(self, day: ArrayLike) -> Floats:
        """What its air draws wood to on any days, % MC."""
        return np.asarray(_year(day) @ self.emc)

    def air(
        self, now_day: float, edges_s: ArrayLike, week_c: float = np.nan, week_emc_pct: float = np.nan
    ) -> ExpectedAir:
        """The air at ``edges_s`` (k + 1) seconds after ``now_day``, rising, 0 or more: the season, and what is left of
        how far the last week's mean (``week_c``, °C, ``week_emc_pct``, %) is from it; where that was not heard (nan),
        the season alone, its doubt whole from the beginning. For a panel's year or a lot's weeks alike.

        Raises ValueError for fewer than two edges, or ones that do not rise.
        """
        edges = np.asarray(edges_s, np.float64)
        if edges.ndim != 1 or edges.size < 2 or not (np.diff(edges) > 0).all() or edges[0] < 0:
            raise ValueError(f"edges_s: found {edges}; would be right: two or more from 0 on that rise")
        day, week = now_day + edges / DAY_S, now_day - 0.5 * WEEK_DAYS
        apart_c, apart_pct, left = 0.0, 0.0, np.zeros(edges.shape)
        if np.isfinite(week_c) and np.isfinite(week_emc_pct):
            apart_c, apart_pct = week_c - float(self.temperature_c(week)), week_emc_pct - float(self.emc_pct(week))
            left = np.exp(-edges / DAY_S / self.memory_days)
        c = self.temperature_c(day) + left * apart_c
        about, grown = self.emc_pct(day) + left * apart_pct, np.sqrt(1.0 - left**2)
        middle, low, high = (air_drawing(edges, c, about + grown * e) for e in (0.0, self.low_pct, self.high_pct))
        return ExpectedAir(middle, low, high, Beyond("season", float(edges[0]), self.heard_days))


def season_of(day: ArrayLike, temperature_c: ArrayLike, emc_pct: ArrayLike) -> Season | None:
    """Of daily means (k,): ``day`` are the middles of the days since any moment, rising, each heard for the most part;
    °C and % EMC. None where fewer than :data:`LEAST_DAYS` days of the year were heard. Raises ValueError for arrays of
    different shape, days that do not rise, values that are no numbers."""
    t, c, emc = (np.asarray(values, np.float64) for values in (day, temperature_c, emc_pct))
    if not t.ndim == 1 or not t.shape == c.shape == emc.shape:
        raise ValueError(f"day, temperature_c, emc_pct: found {t.shape}, {c.shape}, {emc.shape}; would be right: alike")
    if not all(np.isfinite(values).all() for values in (t, c, emc)) or not (np.diff(t) > 0).all():
        raise ValueError("day, temperature_c, emc_pct: found values that are no numbers, or days that do not rise")
    if np.unique(np.floor(np.mod(t, YEAR_DAYS))).size < LEAST_DAYS:
        return None
    basis = _year(t)
    warmth, draws = (np.asarray(np.linalg.lstsq(basis, values, rcond=None)[0], np.float64) for values in (c, emc))
    apart = np.full(int(t[-1] - t[0]) + 2, np.nan)
    apart[np.floor(t - t[0] + 0.5).astype(np.intp)] = emc - basis @ draws
    lost = _TERMS * MONTH_DAYS / t.size  # of n months five terms take up 5/n of the variance
    low, high = _ends(apart, lost)
    return Season(warmth, draws, t.size, low, high, _memory_days(apart, lost))


def air_drawing(edges_s: Floats, temperature_c: ArrayLike, at_edges_pct: Floats) -> AirSeries:
    """Known air of one zone that has these temperatures, one or (k + 1), and draws wood to these, (k + 1), at its
    edges; never beyond dry or saturated air."""
    c = np.broadcast_to(np.asarray(temperature_c, np.float64), edges_s.shape)
    rh = humidity_for_emc(c, np.clip(at_edges_pct, 0.0, emc_pct(c, np.ones(c.shape)) * (1.0 - 1e-9)))
    pa, c = (rh * saturation_pressure_pa(c))[:, None], c[:, None]
    return AirSeries(edges_s, c[:-1], c[1:], pa[:-1], pa[1:], np.ones((len(c) - 1, 1), np.bool_))


def _year(day: ArrayLike) -> Floats:
    """The two harmonics, (..., 5)."""
    angle = 2.0 * np.pi / YEAR_DAYS * np.asarray(day, np.float64)
    return np.stack([np.ones_like(angle), *(f(n * angle) for n in (1, 2) for f in (np.cos, np.sin))], axis=-1)


def _means(apart: Floats, days: int, least: int) -> Floats:
    """The means of so many days one after the other, nan where fewer than ``least`` of them were heard."""
    heard: NDArray[np.bool_] = np.isfinite(apart)
    total, count = (
        np.convolve(values, np.ones(days), "valid") for values in (np.where(heard, apart, 0.0), heard.astype(float))
    )
    return np.where(count >= least, total / np.maximum(count, 1.0), np.nan)


def _ends(apart: Floats, lost: float) -> tuple[float, float]:
    """The 10th and 90th percentile of the months' departures. Of their variance the season took up the share ``lost``,
    and its own error adds as much to a month still to come. Of the last factor Student's t at 90 % makes 0.66 to first
    order; the rest, since percentiles of a few months lie inside those of many, is by trial on weather that was made
    (tests/wood/test_season.py)."""
    months = _means(apart, WINDOW_DAYS, LEAST_IN_WINDOW)
    free = _TERMS * (1.0 - lost) / lost
    wider = np.sqrt((1.0 + lost) / (1.0 - lost)) * (1.0 + 1.16 / free)
    low, high = wider * np.nanpercentile(months, [10.0, 90.0])
    return float(min(low, 0.0)), float(max(high, 0.0))


def _memory_days(apart: Floats, lost: float) -> float:
    """That of e^-(days / memory) which is nearest to what a week's departure had to do with the days after it."""
    months = _means(apart, WINDOW_DAYS, LEAST_IN_WINDOW)
    taken = lost / (1.0 - lost) * float(np.nanmean(months**2))
    week, shares = _means(apart, WEEK_DAYS, LEAST_IN_WEEK), []
    for lead in _LEADS_DAYS:
        after = apart[WEEK_DAYS - 1 + lead :]
        before = week[: after.size]
        both = np.isfinite(before) & np.isfinite(after)
        x, y = before[both], after[both]
        shares.append((float(np.mean(x * y)) + taken) / max(float(np.mean(x * x)) + taken, 1e-12))
    fits = np.exp(-_LEADS_DAYS / _MEMORIES_DAYS[:, None])
    return float(_MEMORIES_DAYS[np.argmin(((fits - np.array(shares)) ** 2).sum(axis=1))])
