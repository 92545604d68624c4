"""Hours of a zone out of the record, and spans of the shop's clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from server.stores.port import History
from server.wood.air import Floats, relative_humidity
from server.working_hours import Weekday, open_minutes

HOUR_MS = 3_600_000
DAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Span = tuple[int, int]
"""From and to, ms since 1970 UTC."""


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours of a zone in which both its quantities were heard, each array (n,), oldest first: when they begin, mean
    temperature, °C, mean vapour pressure, Pa."""

    start_ms: NDArray[np.int64]
    temperature_c: Floats
    pressure_pa: Floats

    @property
    def rh(self) -> Floats:
        """0..1 over water."""
        return np.minimum(relative_humidity(self.temperature_c, self.pressure_pa), 1.0)

    def take(self, which: NDArray[np.intp] | NDArray[np.bool_]) -> Hours:
        """Some of them."""
        return Hours(self.start_ms[which], self.temperature_c[which], self.pressure_pa[which])


def zone_hours(history: History, zone: str, from_ms: int, to_ms: int) -> Hours:
    """Those of a zone that begin in the range. Raises StoreError."""
    names = (f"zone:{zone}/temperature_c", f"zone:{zone}/vapour_pressure_pa")
    t, p = ({row.start_ms: row.mean for row in history.rollups(name, "hour", from_ms, to_ms)} for name in names)
    both = sorted(t.keys() & p.keys())
    return Hours(np.array(both, np.int64), np.array([t[h] for h in both]), np.array([p[h] for h in both]))


def common(one: Hours, other: Hours) -> tuple[Hours, Hours]:
    """Of both the hours that both have."""
    _, mine, theirs = np.intersect1d(one.start_ms, other.start_ms, assume_unique=True, return_indices=True)
    return one.take(mine), other.take(theirs)


def spans(hours: Mapping[Weekday, str], timezone: str, from_ms: int, to_ms: int) -> list[Span]:
    """The hours of each day that touch the range, as moments."""
    zone, found = ZoneInfo(timezone), []
    first = datetime.fromtimestamp(from_ms / 1000.0, zone).date() - timedelta(days=1)
    last = datetime.fromtimestamp(to_ms / 1000.0, zone).date()
    for n in range((last - first).days + 1):
        day = first + timedelta(days=n)
        if (told := hours.get(DAYS[day.weekday()])) is None:
            continue
        begin_ms, end_ms = (at_ms(day, minute, zone) for minute in open_minutes(told))
        if begin_ms < to_ms and end_ms > from_ms:
            found.append((begin_ms, end_ms))
    return found


def at_ms(day: date, minute: int, zone: ZoneInfo) -> int:
    """A minute of a day by the clock there, 0 to 1440, as a moment."""
    midnight = datetime.combine(day + timedelta(days=minute // 1440), time(minute % 1440 // 60, minute % 60), zone)
    return round(midnight.astimezone(UTC).timestamp() * 1000)


def local_hour(start_ms: NDArray[np.int64], timezone: str) -> NDArray[np.int64]:
    """The hour of the day, 0 to 23, that each of these is by the shop's clock."""
    zone = ZoneInfo(timezone)
    return np.array([datetime.fromtimestamp(t / 1000.0, zone).hour for t in start_ms.tolist()], np.int64)
