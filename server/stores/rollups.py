"""Hours and days of a series, kept in step with its readings inside the caller's transaction.

An hour is a whole hour UTC. A day begins at local midnight in the shop's zone and is made of the hours that *begin* in
it, so it has 24 of them, 23 or 25 where the clocks change. In a zone whose offset has half an hour (India, +5:30)
midnight falls inside a UTC hour: there the day's figures cover 00:30 to 00:30, while the day is still named by its
midnight. Only good readings count; an hour or day without any has no row.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from server.reading import INFORMATIVE
from server.stores.bulk import insert_many
from server.stores.rows import ReadingRow

HOUR_MS = 3_600_000
NOT_GOOD = ~int(INFORMATIVE)
"""Mask of the flags that keep a reading from moving anything."""

_MERGING = """
ON CONFLICT (series, start_ms) DO UPDATE SET
    minimum = min(minimum, excluded.minimum),
    mean = mean + (excluded.mean - mean) * excluded.count / (count + excluded.count),
    maximum = max(maximum, excluded.maximum),
    count = count + excluded.count
"""
_FROM_READINGS = """
INSERT INTO hour (series, start_ms, minimum, mean, maximum, count)
SELECT series, ?, min(value), avg(value), max(value), count(*)
FROM reading WHERE series = ? AND t_ms >= ? AND t_ms < ? AND flags & ? = 0 GROUP BY series
"""
_FROM_HOURS = """
INSERT INTO day (series, start_ms, minimum, mean, maximum, count)
SELECT series, ?, min(minimum), sum(mean * count) / sum(count), max(maximum), sum(count)
FROM hour WHERE series = ? AND start_ms >= ? AND start_ms < ? GROUP BY series
"""
HourRow = tuple[int, float, float, float, int]
"""(start_ms, minimum, mean, maximum, count)"""


def hour_start_ms(t_ms: int) -> int:
    """The whole hour UTC in which ``t_ms`` (0 or more) lies."""
    return t_ms - t_ms % HOUR_MS


class Days:
    """Where days begin in a zone. Raises :class:`ValueError` for a zone the time-zone database does not have."""

    def __init__(self, timezone: str) -> None:
        try:
            self._zone = ZoneInfo(timezone)
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            # OSError: a name such as "America" is a folder of the database
            raise ValueError(
                f"timezone: found {timezone!r}; would be right: a zone of the IANA database such as 'Europe/Berlin'"
            ) from error
        self.timezone = timezone
        self.bounds_ms = lru_cache(maxsize=4096)(self._bounds_ms)

    def _bounds_ms(self, t_ms: int) -> tuple[int, int]:
        """Start of the day in which ``t_ms`` lies, and of the next, ms UTC."""
        today = datetime.fromtimestamp(t_ms // 1000, self._zone).date()
        tomorrow_ms = self._midnight_ms(today + timedelta(days=1))
        if tomorrow_ms <= t_ms:
            # clocks set back across midnight: the new day had begun before its evening came a second time
            return tomorrow_ms, self._midnight_ms(today + timedelta(days=2))
        return self._midnight_ms(today), tomorrow_ms

    def _midnight_ms(self, day: date) -> int:
        # fold 0: where midnight comes twice the day begins at the first; where it is skipped, at the change itself
        return int(datetime(day.year, day.month, day.day, tzinfo=self._zone).timestamp()) * 1000


def hours_of(rows: Iterable[ReadingRow]) -> list[HourRow]:
    """The hours that these readings alone, in time order, would make."""
    hours: list[HourRow] = []
    start = end = count = 0
    low = high = total = 0.0
    for t_ms, value, flags, _ in rows:
        if flags & NOT_GOOD:
            continue
        if t_ms < end:
            count += 1
            total += value
            # not min() and max(): this line runs for every reading there is
            if value < low:
                low = value
            elif value > high:
                high = value
            continue
        if count:
            hours.append((start, low, total / count, high, count))
        start = t_ms - t_ms % HOUR_MS
        end = start + HOUR_MS
        low = high = total = value
        count = 1
    if count:
        hours.append((start, low, total / count, high, count))
    return hours


def merge_hours(connection: sqlite3.Connection, series: int, hours: Sequence[HourRow]) -> None:
    """Take readings that were not there before into their hours without reading again what is in them.

    Each merge rounds, at 1e-16 of the value, which stays far inside any sensor's resolution.
    """
    insert_many(connection, "hour", series, hours, _MERGING)


def recompute_hours(connection: sqlite3.Connection, series: int, starts_ms: Iterable[int]) -> None:
    """Make these hours again from the raw readings in them."""
    for start in starts_ms:
        connection.execute("DELETE FROM hour WHERE series = ? AND start_ms = ?", (series, start))
        connection.execute(_FROM_READINGS, (start, series, start, start + HOUR_MS, NOT_GOOD))


def recompute_days(connection: sqlite3.Connection, days: Days, series: int, hours_ms: Iterable[int]) -> None:
    """Make the days in which these hours begin again from all their hours."""
    for start, end in sorted({days.bounds_ms(hour) for hour in hours_ms}):
        connection.execute("DELETE FROM day WHERE series = ? AND start_ms = ?", (series, start))
        connection.execute(_FROM_HOURS, (start, series, start, end))


def rebuild_days(connection: sqlite3.Connection, days: Days) -> None:
    """Make every day again: the shop's zone is another one than the days in this file were made for."""
    connection.execute("DELETE FROM day")
    for (series,) in connection.execute("SELECT id FROM series").fetchall():
        hours = connection.execute("SELECT start_ms FROM hour WHERE series = ?", (series,))
        recompute_days(connection, days, series, [start for (start,) in hours])


_ALL_FROM_READINGS = """
INSERT INTO hour (series, start_ms, minimum, mean, maximum, count)
SELECT series, t_ms - t_ms % 3600000, min(value), avg(value), max(value), count(*)
FROM reading WHERE flags & ? = 0 GROUP BY 1, 2
ON CONFLICT DO NOTHING
"""


def rebuild(connection: sqlite3.Connection, days: Days) -> None:
    """Make every hour and day again; hours whose raw readings were pruned (table ``thinned``) stay as they are."""
    connection.execute(
        "DELETE FROM hour WHERE NOT EXISTS"
        " (SELECT 1 FROM thinned WHERE thinned.series = hour.series AND hour.start_ms < raw_from_ms)"
    )
    connection.execute(_ALL_FROM_READINGS, (NOT_GOOD,))
    rebuild_days(connection, days)


def rebuild_lost_thinned(connection: sqlite3.Connection) -> None:
    """Where it is no longer known which series were pruned: hours from before a series' first reading are of pruned
    ones, or all there is left of lost ones, and are not to go."""
    connection.execute(
        "INSERT OR IGNORE INTO thinned SELECT series, coalesce("
        " (SELECT t_ms - t_ms % 3600000 FROM reading WHERE reading.series = hour.series ORDER BY t_ms LIMIT 1),"
        " max(start_ms) + 3600000) AS raw_from_ms FROM hour GROUP BY series HAVING min(start_ms) < raw_from_ms"
    )
