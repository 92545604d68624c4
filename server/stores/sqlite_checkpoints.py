"""Checkpoints of the lots' wood in the file, inside the transactions that the writer opens and ends."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Sequence

from server.stores.port import DAILY_FOR_DAYS, MONTH_DAYS
from server.stores.rows import Row

DAY_MS = 86_400_000
_ALL = "DELETE FROM checkpoint WHERE at_ms > ?"
MARK = "lots-unsettled"
"""The setting that counts how often a past was changed: states worked out before the last time are not kept."""


STALE = "lots-stale-after"
"""The setting that says after which moment no checkpoint is true, while there are too many to delete at once."""
AT_ONCE = 200
"""So many, half a megabyte, are deleted in one transaction: readings are kept in between."""


def keep(connection: sqlite3.Connection, rows: Sequence[Row], mark: str | None) -> bool:
    """Rows (at_ms, lot, state); one that is there already is replaced. Of what is older than a hundred days, one day in
    thirty stays. False, and nothing is kept, where ``mark`` is no longer what the setting says."""
    if _setting(connection, MARK) != mark or _setting(connection, STALE) is not None:
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
    count = str(int(_setting(connection, MARK) or 0) + 1)
    connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (MARK, count))
    if lots is not None:
        connection.executemany(f"{_ALL} AND lot = ?", [(after_ms, lot) for lot in sorted(lots)])
        return
    after_ms = min(after_ms, int(_setting(connection, STALE) or after_ms))
    connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (STALE, str(after_ms)))
    forget_stale(connection)


def forget_stale(connection: sqlite3.Connection) -> bool:
    """Delete some of those that are no longer true. Whether there are more."""
    after = _setting(connection, STALE)
    if after is None:
        return False
    gone = connection.execute(
        "DELETE FROM checkpoint WHERE (at_ms, lot) IN (SELECT at_ms, lot FROM checkpoint WHERE at_ms > ? LIMIT ?)",
        (int(after), AT_ONCE),
    ).rowcount  # fmt: skip
    if gone < AT_ONCE:
        connection.execute("DELETE FROM setting WHERE name = ?", (STALE,))
    return gone == AT_ONCE


def air_changed(connection: sqlite3.Connection, series: str, times_ms: Iterable[int]) -> None:
    """A zone's stored air is no longer what it was from the first of these times on."""
    first_ms = min(times_ms, default=None)
    if first_ms is not None and series.startswith("zone:"):
        unsettle(connection, first_ms)


def _setting(connection: sqlite3.Connection, name: str) -> str | None:
    found = connection.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
    return None if found is None else str(found[0])
