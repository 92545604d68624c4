"""The air of zones made anew for a stretch of the past, inside a transaction that the writer opens and ends.

Nothing is deleted. What a zone's air was and is no longer keeps its value with the flag UNPLACED, which counts nowhere,
and goes to remotes like that: a copy from which a point cannot be taken away learns that it counts no more.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from server.reading import Flag
from server.stores.rows import ReadingRow
from server.stores.sqlite_cursor import note_late

_UNPLACED = int(Flag.UNPLACED)
_PUT = (
    "INSERT INTO reading VALUES (?, ?, ?, ?, ?) ON CONFLICT (series, t_ms) DO UPDATE"
    " SET value = excluded.value, flags = excluded.flags, raw = excluded.raw"
)


def replace_series(
    connection: sqlite3.Connection, series: int, from_ms: int, to_ms: int, rows: Sequence[ReadingRow]
) -> list[int]:
    """From now on ``rows`` (in time order, within the span) are what there is of a series with ``from_ms <= t_ms <
    to_ms``. Returns the times at which anything changed."""
    old: dict[int, tuple[float, int, float | None]] = {
        t_ms: (value, flags, raw)
        for t_ms, value, flags, raw in connection.execute(
            "SELECT t_ms, value, flags, raw FROM reading WHERE series = ? AND t_ms >= ? AND t_ms < ?",
            (series, from_ms, to_ms),
        )
    }
    new = [row for row in rows if old.get(row[0]) != row[1:]]
    kept = {row[0] for row in rows}
    lost = [(series, t_ms) for t_ms, (_, flags, _) in old.items() if t_ms not in kept and not flags & _UNPLACED]
    connection.executemany(_PUT, [(series, *row) for row in new])
    connection.executemany(
        f"UPDATE reading SET flags = flags | {_UNPLACED} WHERE series = ? AND t_ms = ?",  # noqa: S608  a number of ours
        lost,
    )
    changed = sorted({*(row[0] for row in new), *(t_ms for _, t_ms in lost)})
    note_late(connection, [(series, t_ms) for t_ms in changed])
    return changed
