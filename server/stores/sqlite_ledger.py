"""What is written into the file, statement by statement, inside the transactions that the writer opens and ends."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Sequence

from server.stores import rollups, sqlite_checkpoints
from server.stores.bulk import insert_many
from server.stores.port import Boot, Note, Reply
from server.stores.rows import CLOSED, ReadingRow, Row, closed_row
from server.stores.sqlite_air import replace_series
from server.stores.sqlite_boots import begin_boot, refuse, set_clock
from server.stores.sqlite_cursor import note_late, oldest_owed_ms

_ADD_ONE = "INSERT INTO reading VALUES (?, ?, ?, ?, ?)"
_NO_READING_MS = -1
REFUSED_AN_HOUR = 200
"""Refused payloads kept of one source and hour. A wrong baud rate makes thousands, and these say all there is to say;
the rest is counted where the wire is watched."""
_REFUSED_LOOKED_AT = 50 * REFUSED_AN_HOUR
"""Rows from the end that a start looks through: this hour's of fifty sources lie among them."""


def adopt_zone(connection: sqlite3.Connection, days: rollups.Days) -> None:
    """Days of a file that was kept in another zone are made again, all or none."""
    known = connection.execute("SELECT value FROM setting WHERE name = 'timezone'").fetchone()
    if known == (days.timezone,):
        return
    connection.execute("BEGIN IMMEDIATE")
    if known is not None:
        rollups.rebuild_days(connection, days)
    connection.execute("INSERT OR REPLACE INTO setting VALUES ('timezone', ?)", (days.timezone,))
    connection.execute("COMMIT")


class Ledger:
    """The statements, all on the writer's thread. Remembers each series' number and newest time, and each
    source's refused payloads of the hour, until a rollback."""

    def __init__(self, connection: sqlite3.Connection, days: rollups.Days) -> None:
        self._connection = connection
        self._days = days
        self._ids: dict[str, int] = {}
        self._newest_ms: dict[int, int] = {}
        self._raw_from_ms: dict[int, int] = {}
        self._hours_to_merge: list[tuple[int, list[rollups.HourRow]]] = []
        self._hours_to_redo: dict[int, set[int]] = {}
        self._refused: dict[str, tuple[int, int]] = {}  # per source: the hour, and how many of it are kept

    def append(self, readings: dict[str, list[ReadingRow]], refused: list[Row], replaced_ms: int) -> None:
        for name, given in readings.items():
            series = self._ids.get(name) or self._open_series(name)
            rows = given
            if series in self._raw_from_ms:
                rows = self._kept_of(series, name, given)
            later, earlier = self._split(series, rows)
            # a row is later than all before it, so laying these down first changes no outcome and needs no look-up
            insert_many(self._connection, "reading", series, later)
            self._hours_to_merge.append((series, rollups.hours_of(later)))
            changed_ms = [row[0] for row in earlier if self._put(series, row, replaced_ms)]
            sqlite_checkpoints.air_changed(self._connection, name, changed_ms)
        refuse(self._connection, (row for row in refused if self._is_kept(*row[:2])))

    def _kept_of(self, series: int, name: str, rows: list[ReadingRow]) -> list[ReadingRow]:
        """Where raw readings were pruned an hour cannot be made again, and one that came twice could not be told: what
        comes for such an hour is kept as refused, with the reason, and its hour stays as it is. All of it is kept: it
        was understood and will be acknowledged, so nobody sends it again."""
        from_ms = self._raw_from_ms[series]
        refuse(self._connection, [closed_row(name, from_ms, row) for row in rows if row[0] < from_ms])
        return [row for row in rows if row[0] >= from_ms]

    def prune(self, name: str, before_ms: int, most: int) -> int:
        """Delete raw readings of a series from before a whole hour, about ``most`` of the oldest; how many went.

        Its hours and days stay. What a remote that is configured has not got yet stays too.
        """
        execute = self._connection.execute
        known = execute("SELECT id FROM series WHERE name = ?", (name,)).fetchone()
        if known is None:
            return 0
        series = int(known[0])
        owed_ms = oldest_owed_ms(self._connection, series)
        cut = rollups.hour_start_ms(max(0, before_ms if owed_ms is None else min(before_ms, owed_ms)))
        next_row = "SELECT t_ms FROM reading WHERE series = ? AND t_ms < ? ORDER BY t_ms LIMIT 1 OFFSET ?"
        first = execute(next_row, (series, cut, 0)).fetchone()
        if first is None:
            return 0
        if (last := execute(next_row, (series, cut, most)).fetchone()) is not None:
            # never part of an hour, and always at least one
            cut = max(rollups.hour_start_ms(last[0]), rollups.hour_start_ms(first[0]) + rollups.HOUR_MS)
        (gone_ms,) = execute("SELECT max(t_ms) FROM reading WHERE series = ? AND t_ms < ?", (series, cut)).fetchone()
        # closed are the hours of what went, not the empty ones up to the cut: a backlog may still come for those
        cut = rollups.hour_start_ms(gone_ms) + rollups.HOUR_MS
        execute(
            "INSERT INTO thinned VALUES (?, ?) ON CONFLICT (series) DO UPDATE SET raw_from_ms ="
            " max(raw_from_ms, excluded.raw_from_ms)", (series, cut),
        )  # fmt: skip
        self._raw_from_ms[series] = max(cut, self._raw_from_ms.get(series, 0))
        return execute("DELETE FROM reading WHERE series = ? AND t_ms < ?", (series, cut)).rowcount

    def replace_air(
        self, names: Iterable[str], from_ms: int, to_ms: int, rows: dict[str, list[ReadingRow]], note: Note
    ) -> None:
        """See :meth:`server.stores.port.Store.replace_air`."""
        for name in names:
            series = self._ids.get(name) or self._open_series(name)
            begin_ms = max(from_ms, self._raw_from_ms.get(series, 0))
            new = [row for row in rows.get(name, ()) if row[0] >= begin_ms]
            changed = replace_series(self._connection, series, begin_ms, to_ms, new)
            if new:
                self._newest_ms[series] = max(self._newest_ms[series], new[-1][0])
            self._redo(series, {rollups.hour_start_ms(t_ms) for t_ms in changed})
            sqlite_checkpoints.air_changed(self._connection, name, changed)
        self.set(*note)

    def keep_picture(self, row: Row, entry: Row) -> bool | None:
        """``row`` is (id, kind, data, t_ms). False where it is there already, None where another one is."""
        there = self._connection.execute("SELECT kind, data FROM picture WHERE id = ?", row[:1]).fetchone()
        if there is not None:
            return False if there == row[1:3] else None
        self._connection.execute("INSERT INTO picture VALUES (?, ?, ?, ?)", row)
        self.add_journal([entry])
        return True

    def set(self, name: str, value: str | None) -> None:
        """Keep a setting of the file; None lets it go."""
        if value is None:
            self._connection.execute("DELETE FROM setting WHERE name = ?", (name,))
        else:
            self._connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (name, value))

    def _is_kept(self, source: str, heard_ms: int) -> bool:
        """Whether a refused payload is among the first :data:`REFUSED_AN_HOUR` of its source and hour."""
        hour = rollups.hour_start_ms(heard_ms)
        known = self._refused.get(source) or (hour, self._refused_since(source, hour))
        count = known[1] if known[0] == hour else 0
        self._refused[source] = (hour, min(count + 1, REFUSED_AN_HOUR))
        return count < REFUSED_AN_HOUR

    def _refused_since(self, source: str, hour_ms: int) -> int:
        """How many the file has of that hour, so that a restart does not begin to count again."""
        (count,) = self._connection.execute(
            "SELECT count(*) FROM (SELECT source, t_ms, reason FROM refused ORDER BY id DESC LIMIT ?)"
            " WHERE source = ? AND t_ms >= ? AND t_ms < ? AND reason NOT LIKE ?",
            (_REFUSED_LOOKED_AT, source, hour_ms, hour_ms + rollups.HOUR_MS, f"%{CLOSED}"),
        ).fetchone()
        return int(count)

    def _split(self, series: int, rows: list[ReadingRow]) -> tuple[list[ReadingRow], list[ReadingRow]]:
        """Those that are later than everything before them, and the others."""
        later: list[ReadingRow] = []
        earlier: list[ReadingRow] = []
        newest_ms = self._newest_ms[series]
        for row in rows:
            if row[0] > newest_ms:
                newest_ms = row[0]
                later.append(row)
            else:
                earlier.append(row)
        self._newest_ms[series] = newest_ms
        return later, earlier

    def _open_series(self, name: str) -> int:
        known = self._connection.execute("SELECT id FROM series WHERE name = ?", (name,)).fetchone()
        if known is None:
            known = self._connection.execute("INSERT INTO series (name) VALUES (?) RETURNING id", (name,)).fetchone()
        series = int(known[0])
        (newest,) = self._connection.execute("SELECT max(t_ms) FROM reading WHERE series = ?", (series,)).fetchone()
        self._newest_ms[series] = _NO_READING_MS if newest is None else newest
        thinned = self._connection.execute("SELECT raw_from_ms FROM thinned WHERE series = ?", (series,)).fetchone()
        if thinned is not None:
            self._raw_from_ms[series] = thinned[0]
        self._ids[name] = series
        return series

    def _put(self, series: int, row: ReadingRow, replaced_ms: int) -> bool:
        """A row at or before its series' newest: it may be there already, with the same value or another. Whether that
        changed the record."""
        t_ms, value, flags, raw = row
        old = self._connection.execute(
            "SELECT value, flags, raw FROM reading WHERE series = ? AND t_ms = ?", (series, t_ms)
        ).fetchone()
        if old is None:
            self._connection.execute(_ADD_ONE, (series, *row))
        elif old[0] == value:
            return False
        else:
            self._connection.execute(
                "INSERT INTO replaced VALUES (?, ?, ?, ?, ?, ?)", (series, t_ms, *old, replaced_ms)
            )
            self._connection.execute(
                "UPDATE reading SET value = ?, flags = ?, raw = ? WHERE series = ? AND t_ms = ?",
                (value, flags, raw, series, t_ms),
            )
        note_late(self._connection, [(series, t_ms)])
        self._hours_to_redo.setdefault(series, set()).add(rollups.hour_start_ms(t_ms))
        return True

    def before_commit(self) -> None:
        """Hours and days of what this transaction touched."""
        touched: dict[int, set[int]] = {}
        for series, made in self._hours_to_merge:
            rollups.merge_hours(self._connection, series, made)
            touched.setdefault(series, set()).update(hour[0] for hour in made)
        # after the merge: an hour made again from its raw rows is right whatever was merged into it
        for series, hours in self._hours_to_redo.items():
            rollups.recompute_hours(self._connection, series, hours)
            touched.setdefault(series, set()).update(hours)
        for series, hours in touched.items():
            rollups.recompute_days(self._connection, self._days, series, hours)
        self._hours_to_merge.clear()
        self._hours_to_redo.clear()

    def begin_boot(self, token: str, wall_minus_mono_ms: int, first_ms: int, *, clock_set: bool) -> Boot:
        return begin_boot(self._connection, (token, wall_minus_mono_ms, int(clock_set), first_ms))

    def set_clock(self, boot: int, wall_minus_mono_ms: int, entry: Row) -> int:
        """How far what was written before had to be moved, ms; 0 where the stretch was set already."""
        by_ms = set_clock(self._connection, boot, wall_minus_mono_ms, entry, self._redo)
        if by_ms is not None:
            sqlite_checkpoints.unsettle(self._connection, 0)  # labels moved: cheaper run again than told apart
        self._newest_ms.clear()
        self._ids.clear()
        self._refused.clear()
        return by_ms or 0

    def _redo(self, series: int, hours: Iterable[int]) -> None:
        self._hours_to_redo.setdefault(series, set()).update(hours)

    def forget(self) -> None:
        self._ids.clear()
        self._newest_ms.clear()
        self._raw_from_ms.clear()
        self._refused.clear()
        self._hours_to_merge.clear()
        self._hours_to_redo.clear()

    def keep_checkpoints(self, states: list[Row], mark: str | None) -> bool:
        return sqlite_checkpoints.keep(self._connection, states, mark)

    def forget_stale(self) -> bool:
        return sqlite_checkpoints.forget_stale(self._connection)

    def add_journal(self, entries: list[Row], unsettles: tuple[Collection[str], int] | None = None) -> int:
        new = 0
        for row in entries:
            new += self._connection.execute(
                "INSERT INTO journal VALUES (?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING", row
            ).rowcount
        if new and unsettles is not None:
            lots, after_ms = unsettles
            sqlite_checkpoints.unsettle(self._connection, after_ms, lots)
        return new

    def put_alerts(self, alerts: list[Row], command: Row | None, entries: Sequence[Row] = ()) -> Reply | None:
        if command is not None:
            earlier = self._connection.execute("SELECT reply FROM command WHERE id = ?", command[:1]).fetchone()
            if earlier is not None:
                reply: Reply = json.loads(earlier[0])
                return reply
            self._connection.execute("INSERT INTO command VALUES (?, ?, ?)", command)
        for row in alerts:
            if self._connection.execute("SELECT * FROM alert WHERE id = ?", row[:1]).fetchone() != row:
                self._connection.execute("INSERT OR REPLACE INTO alert VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", row)
                self._connection.execute("INSERT INTO alert_change VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", row)
        self.add_journal([*entries])
        return None

    def change_made(
        self,
        made: list[Row],
        gone: Sequence[tuple[str, str]],
        entries: list[Row],
        command: Row,
        remake: tuple[Note, int] | None = None,
    ) -> Reply | None:
        earlier = self.put_alerts([], command)
        if earlier is None:
            self.add_journal(entries)
            if remake is not None:
                self.set(*remake[0])
                sqlite_checkpoints.unsettle(self._connection, remake[1])
            self._connection.executemany("DELETE FROM made WHERE kind = ? AND id = ?", gone)
            self._connection.executemany("INSERT INTO made VALUES (?, ?, ?, ?)", made)
        return earlier
