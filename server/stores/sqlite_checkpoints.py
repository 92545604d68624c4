"""Checkpoints of the lots' wood in the file, inside the transactions that the writer opens and ends."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Sequence

from server.stores.rows import Row

DAY_MS = 86_400_000
DAILY_FOR_DAYS = 100
MONTH_DAYS = 30
_ALL = "DELETE FROM checkpoint WHERE at_ms > ?"
MARK = "lots-unsettled"
"""The setting that counts how often a past was changed: states worked out before the last time are not kept."""


def keep(connection: sqlite3.Connection, rows: Sequence[Row], mark: str | None) -> bool:
    """Rows (at_ms, lot, state); one that is there already is replaced. Of what is older than a hundred days, one day in
    thirty stays. False, and nothing is kept, where ``mark`` is no longer what the setting says."""
    if _mark(connection) != mark:
        return False
    connection.executemany(
        "INSERT INTO checkpoint (at_ms, lot, state) VALUES (?, ?, ?)"
        " ON CONFLICT (at_ms, lot) DO UPDATE SET state = excluded.state", rows,
    )  # fmt: skip
    newest_ms = max((row[0] for row in rows), default=0)
    connection.execute(
        "DELETE FROM checkpoint WHERE at_ms < ? AND at_ms / ? % ? <> 0",
        (newest_ms - DAILY_FOR_DAYS * DAY_MS, DAY_MS, MONTH_DAYS),
    )
    return True


def unsettle(connection: sqlite3.Connection, after_ms: int, lots: Collection[str] | None = None) -> None:
    """Forget all after a moment, or those of some lots; and what is being worked out is not kept."""
    count = str(int(_mark(connection) or 0) + 1)
    connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (MARK, count))
    if lots is None:
        connection.execute(_ALL, (after_ms,))
    else:
        connection.executemany(f"{_ALL} AND lot = ?", [(after_ms, lot) for lot in sorted(lots)])


def air_changed(connection: sqlite3.Connection, series: str, times_ms: Iterable[int]) -> None:
    """A zone's stored air is no longer what it was from the first of these times on."""
    first_ms = min(times_ms, default=None)
    if first_ms is not None and series.startswith("zone:"):
        unsettle(connection, first_ms)


def _mark(connection: sqlite3.Connection) -> str | None:
    found = connection.execute("SELECT value FROM setting WHERE name = ?", (MARK,)).fetchone()
    return None if found is None else str(found[0])
