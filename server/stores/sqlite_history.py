"""Reading the record. Each call opens its own read-only connection and closes it, so that none pins the log."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from itertools import chain
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from server.reading import Alert, Checkpoint, Flag, JournalEntry, Made, Reading
from server.stores import rows
from server.stores.port import Boot, Reply, Rollup, StoreError
from server.stores.rollups import NOT_GOOD
from server.stores.sqlite_boots import BOOT, to_boot
from server.stores.sqlite_checkpoints import MARK, STALE
from server.stores.sqlite_file import connect_reader, translated

_IN_RANGE = "FROM reading WHERE series = (SELECT id FROM series WHERE name = ?) AND t_ms >= ? AND t_ms < ?"
_TRUE = "at_ms <= coalesce((SELECT CAST(value AS INTEGER) FROM setting WHERE name = ?), at_ms)"
_ALERT = "id, rule, subject, state, word, lean, raised_ms, changed_ms, shelved_until_ms, data"


class SqliteHistory:
    """Implements :class:`server.stores.port.History`. May be used from any thread, while a store writes or without one.

    Every call raises :class:`~server.stores.port.StoreError` where the file is missing or cannot be read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def _ask(self, question: str, values: Sequence[Any] = ()) -> list[Any]:
        with self._reading() as connection:
            return connection.execute(question, values).fetchall()

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        try:
            connection = connect_reader(self.path)
            try:
                yield connection
            finally:
                connection.close()
        except sqlite3.Error as error:
            if not self.path.exists():
                raise StoreError(
                    f"{self.path}: found no file; would be right: a record, which a store makes"
                ) from error
            raise translated(self.path, error) from error

    def readings(self, series: str, from_ms: int, to_ms: int, *, good_only: bool = True) -> list[Reading]:
        found = self._ask(
            f"SELECT t_ms, value, flags, raw {_IN_RANGE} AND flags & ? = 0 ORDER BY t_ms",
            (series, from_ms, to_ms, NOT_GOOD if good_only else 0),
        )
        return [rows.to_reading(series, row) for row in found]

    def columns(self, series: str, from_ms: int, to_ms: int) -> tuple[list[int], list[float]]:
        found = self._ask(
            f"SELECT t_ms, value {_IN_RANGE} AND flags & ? = 0 ORDER BY t_ms", (series, from_ms, to_ms, NOT_GOOD)
        )
        return [t_ms for t_ms, _ in found], [value for _, value in found]

    def arrays(self, series: str, from_ms: int, to_ms: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        question = f"SELECT t_ms, value {_IN_RANGE} AND flags & ? = 0 ORDER BY t_ms"
        with self._reading() as connection:
            found = connection.execute(question, (series, from_ms, to_ms, NOT_GOOD))
            flat = np.fromiter(chain.from_iterable(found), np.float64)  # a float holds every time in ms whole
        return flat[::2].astype(np.int64), flat[1::2].copy()

    def last_before(self, series: str, before_ms: int) -> Reading | None:
        found = self._ask(
            f"SELECT t_ms, value, flags, raw {_IN_RANGE} AND flags & ? = 0 ORDER BY t_ms DESC LIMIT 1",
            (series, 0, before_ms, NOT_GOOD),
        )
        return rows.to_reading(series, found[0]) if found else None

    def rollups(self, series: str, resolution: Literal["hour", "day"], from_ms: int, to_ms: int) -> list[Rollup]:
        if resolution not in ("hour", "day"):
            raise ValueError(f"resolution: found {resolution!r}; would be right: 'hour' or 'day'")
        found = self._ask(
            f"SELECT start_ms, minimum, mean, maximum, count FROM {resolution} "  # noqa: S608  one of two words
            "WHERE series = (SELECT id FROM series WHERE name = ?) "
            "AND start_ms >= ? AND start_ms < ? ORDER BY start_ms",
            (series, from_ms, to_ms),
        )
        return [Rollup(series, *row) for row in found]

    def extent(self, series: str, from_ms: int, to_ms: int) -> tuple[int, int]:
        found = self._ask(
            "SELECT count(*), coalesce(sum(count), 0) FROM hour "
            "WHERE series = (SELECT id FROM series WHERE name = ?) AND start_ms >= ? AND start_ms < ?",
            (series, from_ms, to_ms),
        )
        return int(found[0][0]), int(found[0][1])

    def latest(self, series: str) -> Reading | None:
        found = self._ask(
            "SELECT t_ms, value, flags, raw FROM reading WHERE series = (SELECT id FROM series WHERE name = ?) "
            "ORDER BY t_ms DESC LIMIT 1",
            (series,),
        )
        return rows.to_reading(series, found[0]) if found else None

    def series_names(self) -> list[str]:
        return [name for (name,) in self._ask("SELECT name FROM series ORDER BY name")]

    def setting(self, name: str) -> str | None:
        found = self._ask("SELECT value FROM setting WHERE name = ?", (name,))
        return str(found[0][0]) if found else None

    def settings(self, prefix: str) -> dict[str, str]:
        found = self._ask("SELECT name, value FROM setting WHERE substr(name, 1, ?) = ?", (len(prefix), prefix))
        return dict(found)

    def picture(self, picture: str) -> tuple[str, bytes] | None:
        found = self._ask("SELECT kind, data FROM picture WHERE id = ?", (picture,))
        return (found[0][0], found[0][1]) if found else None

    def has_picture(self, picture: str) -> bool:
        return bool(self._ask("SELECT 1 FROM picture WHERE id = ?", (picture,)))

    def raw_from_ms(self, series: str) -> int:
        found = self._ask(
            "SELECT raw_from_ms FROM thinned WHERE series = (SELECT id FROM series WHERE name = ?)", (series,)
        )
        return int(found[0][0]) if found else 0

    def span(self, series: str) -> tuple[int, int] | None:
        """Times of the first and the last reading of a series; None where it has none."""
        one = "FROM reading WHERE series = (SELECT id FROM series WHERE name = ?1)"
        first, last = self._ask(f"SELECT (SELECT min(t_ms) {one}), (SELECT max(t_ms) {one})", (series,))[0]
        return None if first is None else (first, last)

    def newest_ms(self) -> int | None:
        # one look at the end of each series: a plain max() would walk through every reading
        question = "SELECT max((SELECT max(t_ms) FROM reading WHERE reading.series = series.id)) FROM series"
        newest: int | None = self._ask(question)[0][0]
        return newest

    def newest_label_ms(self) -> int | None:
        newest: int | None = self._ask(
            "SELECT max(t_ms) FROM (SELECT max((SELECT max(t_ms) FROM reading WHERE series = s.id)) AS t_ms"
            " FROM series AS s UNION ALL SELECT max(t_ms) FROM journal"
            " UNION ALL SELECT max(changed_ms) FROM alert_change"
            " UNION ALL SELECT max(t_ms) FROM (SELECT t_ms FROM refused ORDER BY id DESC LIMIT 1000)"
            " UNION ALL SELECT max(t_ms) FROM command)"
        )[0][0]
        return newest

    def boot(self) -> Boot | None:
        found = self._ask(f"SELECT {BOOT} FROM boot ORDER BY id DESC LIMIT 1")  # noqa: S608  names are our own
        return to_boot(found[0]) if found else None

    def rejections(self, from_ms: int, to_ms: int) -> dict[str, dict[Flag, int]]:
        found = self._ask(
            "SELECT name, flags, count(*) FROM series CROSS JOIN reading ON reading.series = series.id "
            "WHERE t_ms >= ? AND t_ms < ? AND flags & ? <> 0 GROUP BY series.id, flags ORDER BY name",
            (from_ms, to_ms, NOT_GOOD),
        )
        counts: dict[str, dict[Flag, int]] = {}
        for name, flags, count in found:
            of_series = counts.setdefault(name, {})
            for flag in Flag(flags & NOT_GOOD):
                of_series[flag] = of_series.get(flag, 0) + count
        return counts

    def journal(self, kind: str | None = None, subject: str | None = None) -> list[JournalEntry]:
        found = self._ask(
            "SELECT id, t_ms, kind, subject, data FROM journal WHERE kind = coalesce(?1, kind) "
            "AND subject = coalesce(?2, subject) ORDER BY t_ms, rowid",
            (kind, subject),
        )
        return rows.understood(rows.to_journal_entry, found)

    def lots_mark(self) -> str | None:
        return self.setting(MARK)

    def checkpoint_edges(self, before_ms: int) -> list[int]:
        found = self._ask(
            f"SELECT DISTINCT at_ms FROM checkpoint WHERE at_ms <= ? AND {_TRUE} ORDER BY at_ms DESC",  # noqa: S608
            (before_ms, STALE),
        )
        return [at_ms for (at_ms,) in found]

    def checkpoints(self, at_ms: int, lots: Collection[str]) -> list[Checkpoint]:
        found = self._ask(
            f"SELECT at_ms, lot, state FROM checkpoint WHERE at_ms = ? AND {_TRUE} ORDER BY lot",  # noqa: S608
            (at_ms, STALE),
        )
        return [Checkpoint(*row) for row in found if row[1] in lots]

    def made(self) -> list[Made]:
        found = self._ask("SELECT kind, id, data, made_ms FROM made ORDER BY made_ms, kind, id")
        return rows.understood(rows.to_made, found)

    def command(self, command_id: str) -> Reply | None:
        found = self._ask("SELECT reply FROM command WHERE id = ?", (command_id,))
        if not found:
            return None
        reply: Reply = json.loads(found[0][0])
        return reply

    def alerts(self) -> list[Alert]:
        found = self._ask(f"SELECT {_ALERT} FROM alert WHERE state <> 'normal' ORDER BY raised_ms, id")  # noqa: S608
        return rows.understood(rows.to_alert, found)

    def alert_changes(self, from_ms: int, to_ms: int) -> list[Alert]:
        found = self._ask(
            f"SELECT {_ALERT} FROM alert_change WHERE changed_ms >= ? AND changed_ms < ? ORDER BY changed_ms, number",  # noqa: S608
            (from_ms, to_ms),
        )
        return rows.understood(rows.to_alert, found)

    def alert(self, alert_id: str) -> Alert | None:
        found = self._ask(f"SELECT {_ALERT} FROM alert WHERE id = ?", (alert_id,))  # noqa: S608
        return next(iter(rows.understood(rows.to_alert, found)), None)

    def alert_story(self, from_ms: int, to_ms: int) -> list[Alert]:
        found = self._ask(
            f"WITH last AS (SELECT max(number) AS number FROM alert_change WHERE changed_ms < ?1 GROUP BY id),"  # noqa: S608
            " stood AS (SELECT id FROM alert_change JOIN last USING (number) WHERE state <> 'normal')"
            f" SELECT {_ALERT} FROM alert_change WHERE changed_ms >= ?1 AND changed_ms < ?2"
            " OR changed_ms < ?1 AND id IN stood ORDER BY number",
            (from_ms, to_ms),
        )
        return rows.understood(rows.to_alert, found)

    def alert_page(self, from_ms: int, to_ms: int, before: int, most: int) -> list[tuple[int, Alert]]:
        found = self._ask(
            f"SELECT number, {_ALERT} FROM alert_change WHERE changed_ms >= ? AND changed_ms < ? AND number < ?"  # noqa: S608
            " ORDER BY number DESC LIMIT ?",
            (from_ms, to_ms, before, most),
        )
        return rows.understood(lambda row: (int(row[0]), rows.to_alert(row[1:])), found)
