"""Sensors of one zone against each other, over weeks: how far apart they are, and whether they part further.

What two right sensors of a room share is its vapour, not its humidity: one by the warm ceiling says less. So both
vapour pressures are put at the mean of the two temperatures, and what is compared is the EMC each would mean there.
Hour for hour that difference swings with doors and sun; the median of a day does not, and a straight line through a
month of those (Theil-Sen: the median of all slopes, which a few bad days do not bend) shows a sensor that creeps
(Field pitfall 15). Made from the record's hours at every start and once a day, so a restart forgets nothing.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Mapping
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from server.clock import Clock
from server.engine import Engine
from server.placing import NOT_OF_IT
from server.reading import JournalEntry
from server.rules.base import NeighbourView
from server.stores.port import History
from server.wood.air import relative_humidity, vapour_pressure_pa
from server.wood.emc import emc_pct

HOUR_MS, DAY_MS = 3_600_000, 86_400_000
KEPT_DAYS = 60
TREND_DAYS = 30
"""A month, for the trend: long enough to drown the weather, short enough to notice."""
LEAST_TREND_DAYS = 14
RECENT_DAYS = 7
LEAST_HOURS = 6
"""Of a day, in which both were heard. These figures: common practice, no source."""
LOOK_S = 3600.0
LEAST_PAUSE_S = 10.0

Hours = tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]
"""Start of each hour (ms UTC), mean °C, mean % RH."""


async def refresh_neighbours(engine: Engine, clock: Clock) -> None:
    """Look at them once: before the first turn too, so that no alert about them ends with a restart. Where that cannot
    be done, what was seen last stands."""
    with engine.faults.noted("neighbours", clock):
        engine.neighbours = await asyncio.to_thread(neighbours_of, engine, clock.now().wall_ms)


async def keep_neighbours(engine: Engine, clock: Clock) -> None:
    """For ever: looks once an hour of the shop's clock whether a new day (UTC) has begun."""
    day = clock.now().wall_ms // DAY_MS
    while True:
        await asyncio.sleep(LEAST_PAUSE_S)
        await clock.sleep(LOOK_S)
        today = clock.now().wall_ms // DAY_MS
        if day != today:
            await refresh_neighbours(engine, clock)
            day = today


def neighbours_of(engine: Engine, now_ms: int) -> tuple[NeighbourView, ...]:
    """Every pair of sensors of every zone that have a day in common. Reads the record."""
    found = []
    since = fresh_starts(engine.history)
    for zone, ears in list(engine.zones.by_zone.items()):  # a sensor may be made meanwhile
        hours = {}
        for ear in list(ears) if len(ears) > 1 else ():
            name = ear.sensor.id
            from_ms = max(now_ms - KEPT_DAYS * DAY_MS, since.get(name, 0))
            hours[name] = hours_of(engine.history, name, from_ms, now_ms)
        for one, other in combinations(hours, 2):
            view = compared(zone, one, other, hours)
            if view is not None:
                found.append(view)
    return tuple(found)


def fresh_starts(history: History) -> dict[str, int]:
    """When each sensor was last moved to another zone, replaced, or its correction changed: what it said before
    compares with nothing. The first placement is no move."""
    starts: dict[str, int] = {}

    def begins(entry: JournalEntry) -> None:
        starts[entry.subject] = max(entry.t_ms, starts.get(entry.subject, 0))

    last: dict[str, Mapping[str, object]] = {}
    for entry in history.journal("placed"):
        before = last.get(entry.subject, entry.data)
        # An entry of an older version names less: what it does not say has not changed.
        if any(before[key] != entry.data[key] for key in (before.keys() & entry.data.keys()) - NOT_OF_IT):
            begins(entry)
        last[entry.subject] = entry.data
    for kind in ("salt-checked", "salt-check-withdrawn"):
        for entry in history.journal(kind):
            begins(entry)
    return starts


def hours_of(history: History, sensor: str, from_ms: int, to_ms: int) -> Hours:
    """A sensor's hours in which both quantities were good."""
    t = {row.start_ms: row.mean for row in history.rollups(f"{sensor}/temperature_c", "hour", from_ms, to_ms)}
    rh = {row.start_ms: row.mean for row in history.rollups(f"{sensor}/humidity_pct", "hour", from_ms, to_ms)}
    both = sorted(t.keys() & rh.keys())
    return (
        np.array(both, dtype=np.int64),
        np.array([t[hour] for hour in both], dtype=np.float64),
        np.array([rh[hour] for hour in both], dtype=np.float64),
    )


def compared(zone: str, one: str, other: str, hours: Mapping[str, Hours]) -> NeighbourView | None:
    """How ``one`` stands to ``other``; None where they have no day in common."""
    days, emc, pressure = daily(hours[one], hours[other])
    if not days.size:
        return None
    recent, month = days > days[-1] - RECENT_DAYS, days > days[-1] - TREND_DAYS
    slope = trend_per_day(days[month], emc[month])
    return NeighbourView(
        zone,
        one,
        other,
        float(np.median(emc[recent])),
        None if slope is None else slope * TREND_DAYS,
        int(np.count_nonzero(month)),
        float(np.median(pressure[recent])),
    )


def daily(one: Hours, other: Hours) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Days (UTC, since 1970) with the median difference of that day's common hours, one less other: EMC in % at the
    mean of both temperatures, and vapour pressure in Pa."""
    common, at_one, at_other = np.intersect1d(one[0], other[0], return_indices=True)
    t_one, t_other = one[1][at_one], other[1][at_other]
    p_one = vapour_pressure_pa(t_one, one[2][at_one] / 100.0)
    p_other = vapour_pressure_pa(t_other, other[2][at_other] / 100.0)
    t = (t_one + t_other) / 2.0
    emc = _emc(t, p_one) - _emc(t, p_other)
    day_of = common // DAY_MS
    days = [day for day in np.unique(day_of) if np.count_nonzero(day_of == day) >= LEAST_HOURS]
    return np.array(days, dtype=np.int64), _medians(emc, day_of, days), _medians(p_one - p_other, day_of, days)


def trend_per_day(days: NDArray[np.int64], values: NDArray[np.float64]) -> float | None:
    """The median of the slopes between all pairs of days; None for fewer than 14. Source: P. K. Sen, J. Am. Stat.
    Assoc. 63 (1968) 1379 (from memory)."""
    if days.size < LEAST_TREND_DAYS:
        return None
    first, second = np.triu_indices(days.size, 1)
    return float(np.median((values[second] - values[first]) / (days[second] - days[first])))


def _emc(temperature_c: NDArray[np.float64], pressure_pa: NDArray[np.float64]) -> NDArray[np.float64]:
    return emc_pct(temperature_c, np.clip(relative_humidity(temperature_c, pressure_pa), 0.0, 1.0))


def _medians(values: NDArray[np.float64], day_of: NDArray[np.int64], days: Iterable[int]) -> NDArray[np.float64]:
    return np.array([np.median(values[day_of == day]) for day in days], dtype=np.float64)
