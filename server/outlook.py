"""What a zone's air is expected to draw wood to, four days ahead, with the central 80 %.

The forecast is damped persistence. A zone has a level (its season), a daily cycle, and today's departure from both; the
departure dies away with lead time, by a damping that the zone's own past shows. The spread is what this very method
would have missed by in that past: from many past moments, each time with a level and a cycle drawn from data *before*
that moment. Only the damping, one number a lead, is fitted over all of them at once. Nothing here knows the weather to
come.

Length of the record decides: under two days plain persistence; under ten months the level is the mean of two weeks;
from ten months on it is a smooth year of two harmonics. Where the past is too short to judge by, spread and damping
lean on PRIOR_HALF_WIDTH_PCT and PRIOR_MEMORY_H.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.reading import OutlookPoint

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HOUR_MS = 3_600_000
YEAR_H = 365.2425 * 24
LEAST_PCT, MOST_PCT = 0.0, 30.0

# How much past it takes. All of these are common practice, no source; the tests hold what comes of them.
LONGEST_PAST_H = int(2.5 * YEAR_H)
STALE_H = 24
"""A record that ends longer ago than this says nothing about tomorrow."""
PERSISTENCE_BELOW_H = 48
SEASON_FROM_H = 300 * 24
RIDGE_H = np.array([0.0, 240.0, 240.0, 960.0, 960.0])
"""How many hours of evidence it takes to believe each harmonic: keeps ten months from inventing the other two."""
ALIKE_FROM_H = 60 * 24
LEVEL_H = 14 * 24
LEAST_LEVEL_H = 24
CYCLE_DAYS = 21
CYCLE_SHRINK_DAYS = 3
"""So many days of no cycle are averaged in: three noisy days do not make a habit."""
FULL_DAY_H = 18
"""A day with fewer hours heard has no mean to speak of."""
ORIGIN_STEP_H = 3
WINDOW_H = 48
"""Two forecasts whose starts lie closer than this miss alike, so they count as one when few there are."""

# Believed alone on the first day and hardly at all after a month.
PRIOR_HALF_WIDTH_PCT = 0.9
"""By how much "as it is now" misses at last, 80 %: 0.54, 0.72, 0.89 % after 1, 2, 4 days in seven rooms of the public
house record that the tests read (0.63, 0.77, 0.87 by this constant and the next)."""
PRIOR_MEMORY_H = 72.0
PRIOR_PAIRS = 3 * 24 // ORIGIN_STEP_H


@dataclass(frozen=True, slots=True)
class _Past:
    """Hours without holes in time (nan where nothing was heard), ending with the hour of now."""

    emc_pct: Floats
    first_h: int
    offset_h: float

    def local_hour(self, index: Ints) -> Ints:
        return np.asarray(np.floor(self.first_h + index + self.offset_h), np.int64)


def outlook(
    hour_ms: ArrayLike,
    emc_pct: ArrayLike,
    now_ms: int,
    latest: float,
    *,
    hours: int = 96,
    step_h: int = 1,
    utc_offset_h: float = 0.0,
) -> tuple[OutlookPoint, ...]:
    """The next ``hours`` in steps of ``step_h`` from ``now_ms`` on, the first point being now.

    ``hour_ms`` lie in past hours (ms UTC, any order, gaps allowed), ``emc_pct`` is the mean EMC there, % (nan is a
    gap); rows of one hour are averaged, rows after now left out. ``latest`` is the EMC now; where it is nan the last
    hour heard starts the forecast, as old as it is. ``utc_offset_h`` puts the daily cycle on the shop's clock. Nothing
    heard for a day: no points. All figures lie in 0..30 %. Raises ValueError for arrays of different shape, and for
    ``hours`` or ``step_h`` below 1.
    """
    found = forecast(hour_ms, emc_pct, now_ms, latest, hours=hours, step_h=step_h, utc_offset_h=utc_offset_h)
    if found is None:
        return ()
    low, mid, high = (np.clip(x, LEAST_PCT, MOST_PCT) for x in (found.low, found.middle, found.high))
    return tuple(
        OutlookPoint(t, float(m), float(a), float(b))
        for t, m, a, b in zip(found.t_ms.tolist(), mid, low, high, strict=True)
    )


@dataclass(frozen=True, slots=True)
class Forecast:
    """The middle and the ends of the central 80 % of any quantity at ``t_ms``, each array (n,)."""

    t_ms: Ints
    low: Floats
    middle: Floats
    high: Floats


def forecast(
    hour_ms: ArrayLike,
    values: ArrayLike,
    now_ms: int,
    latest: float,
    *,
    hours: int = 96,
    step_h: int = 1,
    utc_offset_h: float = 0.0,
    prior_half_width: float = PRIOR_HALF_WIDTH_PCT,
) -> Forecast | None:
    """The same of another quantity with a season and a daily cycle, such as outdoor temperature, within no bounds; None
    where :func:`outlook` has no points. ``prior_half_width`` is what :data:`PRIOR_HALF_WIDTH_PCT` is to the EMC, in the
    quantity's own unit."""
    _check(hour_ms, values, hours, step_h)
    past = _past(hour_ms, values, now_ms, latest, utc_offset_h)
    heard = np.flatnonzero(np.isfinite(past.emc_pct))
    now = past.emc_pct.size - 1
    if heard.size == 0 or now - heard[-1] > STALE_H:
        return None
    start = int(heard[-1])
    ahead = np.arange(0, hours + 1, step_h)
    leads = np.arange(0, now - start + hours + 1)
    middle, down, up = _forecast(past, start, leads, prior_half_width)
    at = ahead + (now - start)
    return Forecast(now_ms + ahead * HOUR_MS, (middle - down)[at], middle[at], (middle + up)[at])


def _check(hour_ms: ArrayLike, emc_pct: ArrayLike, hours: int, step_h: int) -> None:
    shapes = np.shape(hour_ms), np.shape(emc_pct)
    if shapes[0] != shapes[1] or len(shapes[0]) != 1:
        raise ValueError(f"hour_ms and emc_pct: found shapes {shapes[0]} and {shapes[1]}; would be right: one row each")
    if hours < 1 or step_h < 1:
        raise ValueError(f"hours and step_h: found {hours} and {step_h}; would be right: 1 or more")


def _past(hour_ms: ArrayLike, emc_pct: ArrayLike, now_ms: int, latest: float, offset_h: float) -> _Past:
    hour = np.asarray(hour_ms, np.int64) // HOUR_MS
    value = np.asarray(emc_pct, np.float64)
    now_h = now_ms // HOUR_MS
    kept = np.isfinite(value) & (hour <= now_h) & (hour > now_h - LONGEST_PAST_H)
    hour, value = hour[kept], value[kept]
    first_h = int(hour.min()) if hour.size else now_h
    size = now_h - first_h + 1
    rows = np.bincount(hour - first_h, minlength=size)
    total = np.bincount(hour - first_h, value, minlength=size)
    emc = np.where(rows > 0, total / np.maximum(rows, 1), np.nan)
    if np.isfinite(latest):
        emc[-1] = latest
    return _Past(emc, first_h, offset_h)


def _forecast(past: _Past, start: int, leads: Ints, half_width: float) -> tuple[Floats, Floats, Floats]:
    """The middle and how far down and up the 80 % reach, by lead from hour ``start``."""
    value = past.emc_pct[start]
    prior = half_width * np.sqrt(1.0 - np.exp(-2.0 * leads / PRIOR_MEMORY_H))
    if np.count_nonzero(np.isfinite(past.emc_pct)) < PERSISTENCE_BELOW_H:
        return np.full(leads.size, value), prior, prior
    origins = np.append(np.arange(start % ORIGIN_STEP_H, start, ORIGIN_STEP_H), start)
    usual = _usual(past, origins, leads)
    if not np.isfinite(usual[-1, 0]):  # hardly back from a long silence
        return np.full(leads.size, value), prior, prior
    apart = past.emc_pct[origins] - usual[:, 0]
    reached = origins[:-1, None] + leads
    came = np.where(reached <= start, past.emc_pct[np.minimum(reached, start)], np.nan) - usual[:-1]
    alike = _of_one_kind(origins)
    damping = _damping(apart[:-1][alike], came[alike], leads)
    errors = came - damping * apart[:-1, None]
    down, up = _reach(errors, leads, prior)
    return usual[-1] + damping * apart[-1], down, up


def _of_one_kind(origins: Ints) -> NDArray[np.bool_]:
    """Which past origins know their level the way the last one does, so that a departure means the same; where they are
    few, all."""
    kind = (origins >= SEASON_FROM_H) == (origins[-1] >= SEASON_FROM_H)
    enough = np.count_nonzero(kind) * ORIGIN_STEP_H >= ALIKE_FROM_H
    return np.asarray(kind[:-1] | (not enough))


def _usual(past: _Past, origins: Ints, leads: Ints) -> Floats:
    """What is usual ``leads`` after each origin, known at the origin: level plus daily cycle. (origins, leads)."""
    return _level(past, origins, leads) + _cycle(past, origins, leads)


def _level(past: _Past, origins: Ints, leads: Ints) -> Floats:
    """The season at each origin and lead; nan where the two weeks before an origin hold less than a day."""
    valid = np.isfinite(past.emc_pct)
    filled = np.where(valid, past.emc_pct, 0.0)
    total, count = (np.concatenate([[0.0], np.cumsum(x)]) for x in (filled, valid))
    after, before = origins + 1, np.maximum(origins + 1 - LEVEL_H, 0)
    n = count[after] - count[before]
    mean = np.where(n >= LEAST_LEVEL_H, (total[after] - total[before]) / np.maximum(n, 1), np.nan)
    level = np.repeat(mean[:, None], leads.size, axis=1)
    long = (origins >= SEASON_FROM_H) & (count[after] >= SEASON_FROM_H / 2)
    if np.any(long):
        level[long] = _season(past, valid, filled, origins[long], leads)
    return level


def _season(past: _Past, valid: NDArray[np.bool_], filled: Floats, origins: Ints, leads: Ints) -> Floats:
    """A year of two harmonics, least squares with a little ridge, from the hours up to each origin."""
    basis = _year(past.first_h + np.arange(filled.size))
    weighted = basis * valid[:, None]
    squares = np.cumsum(weighted[:, :, None] * basis[:, None, :], axis=0)[origins] + np.diag(RIDGE_H)
    products = np.cumsum(basis * filled[:, None], axis=0)[origins]
    shape = np.linalg.solve(squares, products[:, :, None])[:, :, 0]
    # The year moves slowly: its value at the two ends and the straight line between serve every lead.
    here, there = (
        np.einsum("ij,ij->i", _year(past.first_h + origins + at), shape)[:, None] for at in (leads[0], leads[-1])
    )
    share = (leads - leads[0]) / max(1, leads[-1] - leads[0])
    return np.asarray(here + (there - here) * share)


def _year(hour: Ints) -> Floats:
    angle = 2.0 * np.pi * hour / YEAR_H
    return np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)], axis=-1)


def _cycle(past: _Past, origins: Ints, leads: Ints) -> Floats:
    """The mean daily cycle about each day's own mean, over the whole local days before each origin's."""
    local = past.local_hour(np.arange(past.emc_pct.size))
    day, first_day = local // 24, local[0] // 24
    days = np.full((int(day[-1] - first_day) + 1, 24), np.nan)
    days[day - first_day, local % 24] = past.emc_pct
    heard = np.isfinite(days)
    n = heard.sum(axis=1, keepdims=True)
    day_mean = np.where(heard, days, 0.0).sum(axis=1, keepdims=True) / np.maximum(n, 1)
    about = np.where(n >= FULL_DAY_H, days - day_mean, np.nan)
    good = np.isfinite(about)
    total = np.vstack([np.zeros(24), np.cumsum(np.where(good, about, 0.0), axis=0)])
    count = np.vstack([np.zeros(24), np.cumsum(good, axis=0)])
    today = past.local_hour(origins) // 24 - first_day
    since = np.maximum(today - CYCLE_DAYS, 0)
    mean = (total[today] - total[since]) / (count[today] - count[since] + CYCLE_SHRINK_DAYS)
    return np.take_along_axis(mean, past.local_hour(origins[:, None] + leads) % 24, axis=1)


def _damping(apart: Floats, came: Floats, leads: Ints) -> Floats:
    """The share of a departure left at each lead: regression through zero, never growing with lead, within 0..1."""
    good = np.isfinite(came) & np.isfinite(apart)[:, None]
    x = np.where(good, apart[:, None], 0.0)
    prior = np.exp(-leads / PRIOR_MEMORY_H)
    squares = (x * x).sum(axis=0)
    weight = PRIOR_PAIRS * squares / np.maximum(good.sum(axis=0), 1) + 1e-12
    share = ((x * np.where(good, came, 0.0)).sum(axis=0) + weight * prior) / (squares + weight)
    share[leads == 0] = 1.0
    return np.clip(-_rising(-share), 0.0, 1.0)


def _reach(errors: Floats, leads: Ints, prior: Floats) -> tuple[Floats, Floats]:
    """How far below and above the middle the 10th and 90th percentile of past errors lie, never narrowing with lead."""
    ordered = np.sort(errors, axis=0)  # nan last
    n = np.isfinite(errors).sum(axis=0)
    windows = n * ORIGIN_STEP_H / np.maximum(leads, WINDOW_H)
    # Student's t at 90 % against the normal, and the error of the middle itself, to first order in 1/windows.
    few = 1.0 + 1.16 / np.maximum(windows, 1.0)
    reach = []
    for share, sign in ((0.1, -1.0), (0.9, 1.0)):
        own = sign * few * _percentile(ordered, n, share)
        reach.append(_rising(np.maximum((windows * np.where(n > 0, own, 0.0) + prior) / (windows + 1.0), 0.0)))
    for side in reach:
        side[leads == 0] = 0.0
    return reach[0], reach[1]


def _percentile(ordered: Floats, n: Ints, share: float) -> Floats:
    """Linear between ranks, of the first ``n`` of each column."""
    rank = share * np.maximum(n - 1, 0)
    below = np.floor(rank).astype(np.int64)
    columns = np.arange(ordered.shape[1])
    low, high = ordered[below, columns], ordered[np.minimum(below + 1, np.maximum(n - 1, 0)), columns]
    return np.asarray(low + (rank - below) * (high - low))


def _rising(values: Floats) -> Floats:
    """The nearest never-falling row in least squares (pool adjacent violators)."""
    pools: list[list[float]] = []
    for value in values:
        pools.append([float(value), 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            mean, size = pools.pop()
            pools[-1] = [(pools[-1][0] * pools[-1][1] + mean * size) / (pools[-1][1] + size), pools[-1][1] + size]
    return np.repeat([mean for mean, _ in pools], [int(size) for _, size in pools])
