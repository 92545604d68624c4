"""Stretches of time in the file, and moving what was written before the clock was set (Field pitfall 3).

All of it inside one transaction of the writer, so that whoever kills the program finds it whole before or whole after.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable
from typing import Any

from server.reading import Flag
from server.stores.port import Boot
from server.stores.rows import Row, closed_row
from server.stores.sqlite_cursor import note_late

BOOT = "id, token, wall_minus_mono_ms, clock_set, first_ms, moved_by_ms"
_UNSET, _MOVED = int(Flag.CLOCK_UNSET), int(Flag.RELABELLED)
_LIFT = (
    """
    CREATE TEMP TABLE IF NOT EXISTS moved (
        series INTEGER, t_ms INTEGER, value REAL, flags INTEGER, raw REAL, PRIMARY KEY (series, t_ms)
    ) WITHOUT ROWID
    """,
    "DELETE FROM moved",
    # series by series, each from its own place in the key: the flag has no index
    "INSERT INTO moved SELECT series, t_ms + :by, value, flags & ~:unset | :mark, raw FROM series"
    " CROSS JOIN reading ON reading.series = series.id WHERE t_ms >= :first AND flags & :unset",
    "DELETE FROM reading WHERE t_ms >= :first AND flags & :unset AND series IN (SELECT DISTINCT series FROM moved)",
)
_HOURS = "SELECT DISTINCT series, t_ms - t_ms % 3600000, (t_ms - :by) - (t_ms - :by) % 3600000 FROM moved"
_PASSED_BY = (
    "SELECT series, t_ms FROM moved"
    " WHERE :by < 0 OR t_ms <= (SELECT max(t_ms) FROM remote_series AS r WHERE r.series = moved.series)"
)
"""What a remote's cursor would not come to by itself."""
_SET_DOWN = (
    # what has the same value at that place already is the same reading; another one gives way and is kept
    "DELETE FROM moved WHERE EXISTS (SELECT 1 FROM reading AS r WHERE r.series = moved.series AND r.t_ms = moved.t_ms"
    " AND r.value = moved.value)",
    "INSERT INTO replaced SELECT r.series, r.t_ms, r.value, r.flags, r.raw, :now FROM moved JOIN reading AS r"
    " USING (series, t_ms)",
    "INSERT OR REPLACE INTO reading SELECT * FROM moved",
    "DELETE FROM moved",
)
_FOLLOW = (
    "UPDATE replaced SET t_ms = t_ms + :by, flags = flags & ~:unset | :mark WHERE t_ms >= :first AND flags & :unset",
    "UPDATE replaced SET replaced_ms = replaced_ms + :by WHERE replaced_ms >= :first",
    "UPDATE refused SET t_ms = t_ms + :by WHERE t_ms >= :first",
    "UPDATE command SET t_ms = t_ms + :by WHERE t_ms >= :first",
)
Touched = Callable[[int, Iterable[int]], None]
"""Told a series and the starts of hours in which something came or went."""


def to_boot(row: Row) -> Boot:
    """From the columns :data:`BOOT`."""
    number, token, offset_ms, clock_set, first_ms, moved_by_ms = row
    return Boot(number, token, offset_ms, bool(clock_set), first_ms, moved_by_ms)


def begin_boot(connection: sqlite3.Connection, stretch: Row) -> Boot:
    """``stretch`` is (token, wall_minus_mono_ms, clock_set, first_ms)."""
    last = connection.execute(f"SELECT {BOOT} FROM boot ORDER BY id DESC LIMIT 1").fetchone()  # noqa: S608
    if last is not None and last[1:5] == stretch and not last[3]:
        return to_boot(last)
    made = "INSERT INTO boot (token, wall_minus_mono_ms, clock_set, first_ms) VALUES (?, ?, ?, ?) RETURNING "
    return to_boot(connection.execute(made + BOOT, stretch).fetchone())


def set_clock(
    connection: sqlite3.Connection, boot: int, wall_minus_mono_ms: int, entry: Row, touched: Touched
) -> int | None:
    """Move what is the stretch's own; by how many ms, or None for a stretch that is set already."""
    found = connection.execute(
        "SELECT wall_minus_mono_ms, first_ms FROM boot WHERE id = ? AND NOT clock_set", (boot,)
    ).fetchone()
    if found is None:
        return None
    by_ms: int = wall_minus_mono_ms - found[0]
    first_ms: int = found[1]
    values = {"by": by_ms, "first": first_ms, "unset": _UNSET, "mark": _MOVED, "now": entry[1]}
    for statement in _FOLLOW:
        connection.execute(statement, values)
    _move_readings(connection, values, touched)
    _move_said(connection, "journal", ("t_ms",), by_ms, first_ms)
    for table in ("alert", "alert_change"):
        _move_said(connection, table, ("raised_ms", "changed_ms", "shelved_until_ms"), by_ms, first_ms)
    connection.execute("INSERT INTO journal VALUES (?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING", entry)
    connection.execute(
        "UPDATE boot SET clock_set = 1, wall_minus_mono_ms = ?, moved_by_ms = ? WHERE id = ?",
        (wall_minus_mono_ms, by_ms, boot),
    )
    return by_ms


def refuse(connection: sqlite3.Connection, rows: Iterable[Row]) -> None:
    """Keep rows (source, t_ms, place, payload, reason) as refused."""
    connection.executemany("INSERT INTO refused (source, t_ms, place, payload, reason) VALUES (?, ?, ?, ?, ?)", rows)


def _move_readings(connection: sqlite3.Connection, values: dict[str, int], touched: Touched) -> None:
    """Through a table aside: row by row one would land where the next still stands."""
    for statement in _LIFT:
        connection.execute(statement, values)
    hours: dict[int, set[int]] = {}
    for series, *starts in connection.execute(_HOURS, values):
        hours.setdefault(series, set()).update(starts)
    closed = connection.execute("SELECT series, raw_from_ms FROM thinned").fetchall()
    for series, raw_from_ms in closed:
        # there the raw rows are gone: the hour made again from what lands in it would lose them all
        _refuse_moved(connection, series, raw_from_ms)
        hours[series] = {start for start in hours.get(series, ()) if start >= raw_from_ms}
    note_late(connection, connection.execute(_PASSED_BY, values).fetchall())
    for statement in _SET_DOWN:
        connection.execute(statement, values)
    for series, touched_ms in hours.items():
        touched(series, touched_ms)


def _refuse_moved(connection: sqlite3.Connection, series: int, raw_from_ms: int) -> None:
    (name,) = connection.execute("SELECT name FROM series WHERE id = ?", (series,)).fetchone()
    landed = "FROM moved WHERE series = ? AND t_ms < ?"
    rows = connection.execute(
        f"SELECT t_ms, value, flags, raw {landed} ORDER BY t_ms",
        (series, raw_from_ms),
    ).fetchall()
    refuse(connection, [closed_row(name, raw_from_ms, row) for row in rows])
    connection.execute(f"DELETE {landed}", (series, raw_from_ms))


def _move_said(connection: sqlite3.Connection, table: str, columns: tuple[str, ...], by_ms: int, first_ms: int) -> None:
    """Times of what people and rules said in this stretch, also inside their figures."""
    newest = columns[1] if len(columns) > 1 else columns[0]
    rows = connection.execute(
        f"SELECT rowid, data, {', '.join(columns)} FROM {table} WHERE {newest} >= ?",  # noqa: S608  our own names
        (first_ms,),
    ).fetchall()
    update = f"UPDATE {table} SET data = ?, {', '.join(f'{c} = ?' for c in columns)} WHERE rowid = ?"  # noqa: S608
    for rowid, data, *times in rows:
        told = json.dumps(_later(json.loads(data), by_ms, first_ms), allow_nan=False)
        moved = [t if t is None or t < first_ms else t + by_ms for t in times]
        connection.execute(update, (told, *moved, rowid))


def _later(said: Any, by_ms: int, first_ms: int, name: str = "") -> Any:
    """The same with every label of the stretch moved: whole numbers under names in ``_ms``. A duration is none: it is
    far smaller than any label."""
    if isinstance(said, dict):
        return {key: _later(value, by_ms, first_ms, key) for key, value in said.items()}
    if isinstance(said, list):
        return [_later(value, by_ms, first_ms, name) for value in said]
    is_label = isinstance(said, int) and not isinstance(said, bool) and name.endswith("_ms") and said >= first_ms
    return said + by_ms if is_label else said
