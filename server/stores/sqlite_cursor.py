"""How far each remote has come, in the record's own file: implements :class:`server.stores.remote.Outbox`.

``reading`` is ordered by series and time, not by when a row came. So a cursor is, for each remote and series, the
newest time that is there already, which also brings over the years before there was a remote. What comes at or before
the newest of its series would be passed by; the ledger notes it in ``late`` while there is a remote at all.
"""

from __future__ import annotations

import heapq
import sqlite3
from collections.abc import Awaitable, Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from itertools import islice
from operator import itemgetter
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from server.reading import Flag
from server.stores.port import Command, Reply
from server.stores.remote import Batch, Condemned, Place, Point
from server.stores.rows import Row
from server.stores.sqlite_file import connect_reader, translated

_T = TypeVar("_T")
_NEVER_MS = 1 << 62
_COUNTED = 100_000
_LAST_NUMBER = "max(coalesce((SELECT max(number) FROM late), 0), coalesce((SELECT max(number) FROM remote_late), 0))"

Synced = Callable[[Callable[[], Any]], Awaitable[Any]]
Remember = Callable[[str, Reply], Callable[[], Reply | None]]
"""Given a command's id and reply: what keeps it inside a transaction and returns the earlier reply, if any."""


def note_late(connection: sqlite3.Connection, rows: Iterable[tuple[int, int]]) -> None:
    """Inside a transaction: these (series, t_ms) were written at or before the newest of their series, or got another
    time or value. Nothing is noted while there is no remote."""
    connection.executemany(
        f"INSERT INTO late SELECT 1 + {_LAST_NUMBER}, ?, ? WHERE EXISTS (SELECT 1 FROM remote_late)",  # noqa: S608
        rows,
    )


def oldest_owed_ms(connection: sqlite3.Connection, series: int) -> int | None:
    """From when on some remote has not got all of a series yet; None where none waits for it."""
    (sent_ms,) = connection.execute("SELECT min(t_ms) FROM remote_series WHERE series = ?", (series,)).fetchone()
    (late_ms,) = connection.execute("SELECT min(t_ms) FROM late WHERE series = ?", (series,)).fetchone()
    return min((t_ms for t_ms in (sent_ms, late_ms) if t_ms is not None), default=None)


class _Late(NamedTuple):
    rows: list[Row]
    number: int | None
    more: bool
    held: bool


class SqliteOutbox:
    """Reads on connections of its own, each closed at once; writes through the one writer (``synced``)."""

    def __init__(self, path: Path, connection: sqlite3.Connection, synced: Synced, remember: Remember) -> None:
        self._path = path
        self._connection = connection
        self._synced = synced
        self._remember = remember
        self._places: dict[str, Place] = {}
        self._heard: list[Callable[[int], None]] = []
        self._writing = 0

    def listen(self, heard: Callable[[int], None]) -> None:
        self._heard.append(heard)

    @contextmanager
    def writing(self, readings: int) -> Iterator[None]:
        """The store writes so many inside the block; they are in the file when it ends without an error."""
        self._writing += 1
        try:
            yield
        finally:
            self._writing -= 1
        for heard in self._heard:
            heard(readings)

    def busy(self) -> bool:
        return self._writing > 0

    async def know(self, places: Mapping[str, Place]) -> None:
        self._places = dict(places)
        known = "SELECT count(*) FROM remote_late"
        if places or self._asked(lambda reader: reader.execute(known).fetchone()[0]):
            await self._synced(self._know)

    def _know(self) -> None:
        execute = self._connection.execute
        known = dict(execute("SELECT remote, place FROM remote_late").fetchall())
        for remote, place in known.items():
            if remote not in self._places or self._places[remote].name != place:
                execute("DELETE FROM remote_late WHERE remote = ?", (remote,))
                execute("DELETE FROM remote_series WHERE remote = ?", (remote,))
                execute("DELETE FROM dead_letter WHERE remote = ?", (remote,))
        for remote, wanted in self._places.items():
            if known.get(remote) != wanted.name:
                # also where a salvage lost its place in the late ones: the cursors alone pass those by for ever
                execute("DELETE FROM remote_series WHERE remote = ?", (remote,))
                execute(f"INSERT INTO remote_late VALUES (?, {_LAST_NUMBER}, ?)", (remote, wanted.name))  # noqa: S608
            for series, name in execute("SELECT id, name FROM series").fetchall():
                if wanted.wanted(name):  # a cursor before its first reading says that none may be pruned yet
                    execute("INSERT OR IGNORE INTO remote_series VALUES (?, ?, -1)", (remote, series))
                else:  # left out for a while it misses its late readings, so it would have to begin anew
                    execute("DELETE FROM remote_series WHERE remote = ? AND series = ?", (remote, series))
        self._forget_late()

    def claim(self, name: str) -> None:
        """Inside a transaction: each remote that wants this series has a cursor for it from now on, also where the
        series began after :meth:`know`. Before that, each remote that the file knows."""
        for (remote,) in self._connection.execute("SELECT remote FROM remote_late").fetchall():
            if remote not in self._places or self._places[remote].wanted(name):
                self._connection.execute(
                    "INSERT OR IGNORE INTO remote_series SELECT ?, id, -1 FROM series WHERE name = ?", (remote, name)
                )

    def _forget_late(self) -> None:
        self._connection.execute(
            "DELETE FROM late WHERE number <= (SELECT coalesce(min(number), ?) FROM remote_late)", (_NEVER_MS,)
        )

    def batch(self, remote: str, most: int) -> Batch:
        return self._asked(lambda reader: self._batch(reader, remote, most))

    def _asked(self, question: Callable[[sqlite3.Connection], _T]) -> _T:
        try:
            with closing(connect_reader(self._path)) as reader:
                reader.execute("BEGIN")  # one view of the file for all of it
                return question(reader)
        except sqlite3.Error as error:
            raise translated(self._path, error) from error

    def _batch(self, reader: sqlite3.Connection, remote: str, most: int) -> Batch:
        names = self._wanted(reader, remote)
        cursor = dict(reader.execute("SELECT series, t_ms FROM remote_series WHERE remote = ?", (remote,)))
        unset_ms = _unset_from_ms(reader)
        held: set[int] = set()
        ahead = (_ahead(reader, (series, cursor.get(series, -1), most), unset_ms, held) for series in names)
        # oldest first over all series, so that none waits for another's years
        oldest = list(islice(heapq.merge(*ahead, key=itemgetter(1)), most))
        late = self._late(reader, remote, max(1, most // 2, most - len(oldest)), unset_ms)
        # one beyond its cursor is among those ahead, or will be
        passed = [row for row in late.rows if row[0] in names and row[1] <= cursor.get(row[0], -1)]
        oldest = oldest[: max(0, most - len(passed))]
        rows = passed + oldest
        return Batch(
            points=[Point(names[series], *row) for series, *row in rows],
            newest_ms={series: t_ms for series, t_ms, *_ in oldest},
            late_number=late.number,
            ahead_ms=oldest[0][1] if oldest else None,
            full=late.more or len(rows) >= most,
            held_back=late.held or bool(held),
            series={name: series for series, name in names.items()},
        )

    def _wanted(self, reader: sqlite3.Connection, remote: str) -> dict[int, str]:
        wanted = self._places[remote].wanted
        return {series: name for series, name in reader.execute("SELECT id, name FROM series") if wanted(name)}

    @staticmethod
    def _late(reader: sqlite3.Connection, remote: str, most: int, unset_ms: int) -> _Late:
        """Late rows in the order written. One that is gone was moved, and noted again."""
        found = reader.execute(
            "SELECT late.number, late.series, late.t_ms, value, flags, raw"
            " FROM late LEFT JOIN reading USING (series, t_ms)"
            " WHERE late.number > (SELECT number FROM remote_late WHERE remote = ?) ORDER BY late.number LIMIT ?",
            (remote, most),
        ).fetchall()
        there = (row[3] is not None and _is_unset(row[2], row[4], unset_ms) for row in found)
        end = next((n for n, is_unset in enumerate(there) if is_unset), len(found))
        rows = [row[1:] for row in found[:end] if row[3] is not None]
        number = found[end - 1][0] if end else None
        return _Late(rows, number, more=end == most, held=end < len(found))

    def pending(self, remote: str) -> int:
        return int(self._asked(lambda reader: self._pending(reader, remote)))

    def _pending(self, reader: sqlite3.Connection, remote: str) -> int:
        cursor = dict(reader.execute("SELECT series, t_ms FROM remote_series WHERE remote = ?", (remote,)))
        (total,) = reader.execute(
            "SELECT count(*) FROM late WHERE number > (SELECT number FROM remote_late WHERE remote = ?)", (remote,)
        ).fetchone()
        for series in self._wanted(reader, remote):
            beyond = (series, cursor.get(series, -1))
            question = "SELECT count(*) FROM (SELECT 1 FROM reading WHERE series = ? AND t_ms > ? LIMIT ?)"
            (count,) = reader.execute(question, (*beyond, _COUNTED)).fetchone()
            if count == _COUNTED:  # years of it: the days know about how many, without reading them all
                days = "SELECT coalesce(sum(count), 0) FROM day WHERE series = ? AND start_ms > ?"
                count = max(count, reader.execute(days, beyond).fetchone()[0])
            total += count
        return int(total)

    def condemned(self, remote: str) -> int:
        question = "SELECT count(*) FROM dead_letter WHERE remote = ?"
        return int(self._asked(lambda reader: reader.execute(question, (remote,)).fetchone()[0]))

    async def moved(self, remote: str, batch: Batch, condemned: Sequence[Condemned], now_ms: int) -> None:
        await self._synced(lambda: self._move(remote, batch, condemned, now_ms))

    def _move(self, remote: str, batch: Batch, condemned: Sequence[Condemned], now_ms: int) -> None:
        self._connection.executemany(
            "INSERT OR REPLACE INTO remote_series VALUES (?, ?, ?)",
            [(remote, series, t_ms) for series, t_ms in batch.newest_ms.items()],
        )
        if batch.late_number is not None:
            self._connection.execute("UPDATE remote_late SET number = ? WHERE remote = ?", (batch.late_number, remote))
            self._forget_late()
        self._connection.executemany(
            "INSERT INTO dead_letter (remote, series, t_ms, value, status, reason, refused_ms)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            [
                (
                    remote,
                    batch.series[one.point.series],
                    one.point.t_ms,
                    one.point.value,
                    one.status,
                    one.reason,
                    now_ms,
                )
                for one in condemned
            ],
        )

    async def rewind(self, remote: str, from_ms: int, command: Command) -> Reply | None:
        keep = self._remember(*command)
        earlier: Reply | None = await self._synced(lambda: self._rewind(remote, from_ms, keep))
        return earlier

    def _rewind(self, remote: str, from_ms: int, keep: Callable[[], Reply | None]) -> Reply | None:
        if (earlier := keep()) is not None:
            return earlier
        execute = self._connection.execute
        execute("UPDATE remote_series SET t_ms = ? WHERE remote = ? AND t_ms >= ?", (from_ms - 1, remote, from_ms))
        execute("DELETE FROM dead_letter WHERE remote = ? AND t_ms >= ?", (remote, from_ms))
        return None


def _unset_from_ms(reader: sqlite3.Connection) -> int:
    """From when on rows with the flag CLOCK_UNSET belong to this boot and get another time once its clock is set."""
    newest = reader.execute("SELECT clock_set, first_ms FROM boot ORDER BY id DESC LIMIT 1").fetchone()
    return _NEVER_MS if newest is None or newest[0] else int(newest[1])


def _is_unset(t_ms: int, flags: int, unset_ms: int) -> bool:
    return t_ms >= unset_ms and bool(flags & Flag.CLOCK_UNSET)


def _ahead(reader: sqlite3.Connection, beyond: tuple[int, int, int], unset_ms: int, held: set[int]) -> Iterator[Row]:
    """A series' rows beyond its cursor in time order, up to where they wait for the clock."""
    question = "SELECT series, t_ms, value, flags, raw FROM reading WHERE series = ? AND t_ms > ? ORDER BY t_ms LIMIT ?"
    for row in reader.execute(question, beyond):
        if row[1] >= unset_ms and _is_unset(row[1], row[3], unset_ms):
            held.add(row[0])
            return
        yield row
