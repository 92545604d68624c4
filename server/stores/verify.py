"""Looks through a whole record, read only: what it is, and everything in it that is not as it should be.

Alerts are looked at by :mod:`server.store_command`.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from server.stores.migrate import APPLICATION_ID, migrate, migrations
from server.stores.port import StoreError
from server.stores.rollups import NOT_GOOD, Days
from server.stores.shapes import shapes
from server.stores.sqlite_file import connect_reader, translated

_TOLERANCE = 1e-9
"""Relative: a mean kept up by merging rounds at 1e-16 a merge; an hour of one reading a second has 3,600."""
_HOURS_MADE = """
SELECT series, t_ms - t_ms % 3600000 AS start_ms, min(value) AS low, avg(value) AS mid, max(value) AS high,
    count(*) AS n FROM reading WHERE flags & :not_good = 0 GROUP BY 1, 2
"""
_HOURS_WRONG = f"""
WITH made AS ({_HOURS_MADE})
SELECT made.series, made.start_ms FROM made
LEFT JOIN hour ON hour.series = made.series AND hour.start_ms = made.start_ms
WHERE count IS NULL OR n <> count OR low <> minimum OR high <> maximum
    OR abs(mid - mean) > :tolerance * max(1, abs(mid))
UNION ALL
SELECT hour.series, hour.start_ms FROM hour LEFT JOIN thinned ON thinned.series = hour.series
WHERE hour.start_ms >= coalesce(raw_from_ms, 0) AND NOT EXISTS (
    SELECT 1 FROM reading WHERE reading.series = hour.series AND t_ms >= hour.start_ms
    AND t_ms < hour.start_ms + 3600000 AND flags & :not_good = 0)
"""  # noqa: S608  no value in it


@dataclass(frozen=True, slots=True)
class Look:
    """One thing looked at: right or not, what was found, and what would be right."""

    right: bool
    what: str
    found: str
    would_be_right: str = ""

    def __str__(self) -> str:
        wrong = "" if self.right else f"; would be right: {self.would_be_right}"
        return f"{'right' if self.right else 'WRONG'}  {self.what}: found {self.found}{wrong}"


def looks(path: Path) -> Iterator[Look]:
    """Everything there is to look at, one after the other, as of one moment; a server may write meanwhile.

    Raises :class:`StoreError` where there is no file or it cannot be read at all.
    """
    if not path.exists():
        raise StoreError(f"{path}: found no file; would be right: a record, or a copy of one")
    try:
        with closing(connect_reader(path)) as record:
            record.execute("BEGIN")
            yield (ours := _owner(record))
            if ours.right:
                yield (whole := _integrity(record))
                yield _schema(record)
                if whole.right:
                    yield from _content(record)
    except sqlite3.Error as error:
        raise translated(path, error) from error


def _owner(record: sqlite3.Connection) -> Look:
    (owner,) = record.execute("PRAGMA application_id").fetchone()
    right = owner == APPLICATION_ID
    return Look(right, "file", "a record of Stillstack" if right else "the database of another program",
                "a record of Stillstack")  # fmt: skip


def _integrity(record: sqlite3.Connection) -> Look:
    found = [text for (text,) in record.execute("PRAGMA integrity_check(5)")]
    return Look(found == ["ok"], "pages and indexes", "whole" if found == ["ok"] else "; ".join(found),
                "no damage; a start of the server salvages what can be read")  # fmt: skip


def _schema(record: sqlite3.Connection) -> Look:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
        migrate(fresh, Path(":memory:"), 0, migrations())
        expected = _tables(fresh)
    found = _tables(record)
    (number,) = record.execute("SELECT max(number) FROM migration").fetchone()
    odd = sorted({name for name, _ in found ^ expected})
    if not odd:
        return Look(True, "schema", f"number {number}, {len(found)} tables and indexes")
    newest = migrations()[-1].number
    return Look(False, "schema", f"number {number} with {', '.join(odd)} not as this Stillstack makes them",
                f"number {newest}; a start of the server brings an older one up to date")  # fmt: skip


def _tables(connection: sqlite3.Connection) -> set[tuple[str, str]]:
    return set(connection.execute("SELECT name, sql FROM sqlite_schema WHERE sql NOT NULL"))


def _content(record: sqlite3.Connection) -> Iterator[Look]:
    yield from _counts(record)
    yield _values(record)
    yield _names(record)
    wrong = record.execute(_HOURS_WRONG, {"not_good": NOT_GOOD, "tolerance": _TOLERANCE}).fetchall()
    (hours,) = record.execute("SELECT count(*) FROM hour").fetchone()
    yield Look(not wrong, "hours", _told(record, hours, wrong), "what their readings make")
    yield _days(record)


def _counts(record: sqlite3.Connection) -> Iterator[Look]:
    for table in shapes(record):
        (count,) = record.execute(f"SELECT count(*) FROM {table}").fetchone()  # noqa: S608  our own names
        if count:
            yield Look(True, table, f"{count:,} rows")


def _values(record: sqlite3.Connection) -> Look:
    """Every row as its table wants it: numbers finite, times with a calendar, JSON that is one."""
    odd: list[str] = []
    for table, shape in shapes(record).items():
        names = ", ".join((*(["rowid"] if shape.has_rowid else []), *(c.name for c in shape.columns)))
        for row in record.execute(f"SELECT {names} FROM {table}"):  # noqa: S608  our own names
            rowid, values = (row[0], row[1:]) if shape.has_rowid else (None, row)
            if shape.row(rowid, values) is None:
                odd.append(f"{table} {row[:3]}")
    first = f"{len(odd)} that are not ({'; '.join(odd[:3])})" if odd else "numbers finite, times with a calendar"
    return Look(not odd, "values", first, "finite numbers, times of 1970 to 9998, JSON objects")


def _names(record: sqlite3.Connection) -> Look:
    nameless = record.execute(
        "SELECT series, count(*) FROM reading WHERE series NOT IN (SELECT id FROM series) GROUP BY series"
    ).fetchall()
    found = ", ".join(f"{n} readings of number {s}" for s, n in nameless[:5])
    return Look(not nameless, "series", found or "a name for every one", "a name for every number")


def _days(record: sqlite3.Connection) -> Look:
    zone = record.execute("SELECT value FROM setting WHERE name = 'timezone'").fetchone()
    try:
        days = Days(zone[0] if zone else "")
    except ValueError as error:
        return Look(False, "days", str(error), "the zone in which they begin, in table setting")
    kept = {
        (s, t): row for s, t, *row in record.execute("SELECT series, start_ms, minimum, mean, maximum, count FROM day")
    }
    total, wrong = len(kept), []
    hours = record.execute("SELECT series, start_ms, minimum, mean, maximum, count FROM hour ORDER BY series, start_ms")
    for key, of_day in groupby(hours, key=lambda h: (h[0], days.bounds_ms(h[1])[0])):
        there = kept.pop(key, None)
        if there is None or not _same(there, list(of_day)):
            wrong.append(key)
    wrong += list(kept)
    return Look(not wrong, "days", _told(record, total, wrong), f"what their hours make in {days.timezone}")


def _same(day: list[Any], hours: list[Any]) -> bool:
    count = sum(h[5] for h in hours)
    mean = math.fsum(h[3] * h[5] for h in hours) / count
    low, mid, high, n = day
    near = math.isclose(mid, mean, rel_tol=_TOLERANCE, abs_tol=_TOLERANCE)
    return near and (low, high, n) == (min(h[2] for h in hours), max(h[4] for h in hours), count)


def _told(record: sqlite3.Connection, total: int, wrong: list[tuple[int, int]]) -> str:
    if not wrong:
        return f"{total:,} that agree"
    names = dict(record.execute("SELECT id, name FROM series").fetchall())
    first = ", ".join(f"{names.get(s, s)} from {t}" for s, t in wrong[:3])
    return f"{len(wrong):,} of {total:,} that do not agree ({first})"
