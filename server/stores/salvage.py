"""A damaged record: what can be read of it goes into a new one, and a report says what did and what did not.

Two ways, one after the other. First SQLite itself walks each table from both ends, as far as it comes. Where it came
through, that is all; where it did not, every page of the file is looked at by itself (:mod:`server.stores.pages`), so
that a damaged page costs its own rows and no others. Hours and days are made again from the readings; where those were
pruned their hours are kept. What is missing then is told by series and time (:mod:`server.stores.gaps`), and where a
copy still holds it (:mod:`server.stores.salvage_advice`). The damaged file is kept aside, never changed (Field
pitfall 9).
"""

from __future__ import annotations

import json
import logging
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import asdict, dataclass, field
from itertools import islice, pairwise
from pathlib import Path
from typing import Any

from server.stores import swap
from server.stores.gaps import Gaps, remember_hours
from server.stores.pages import PageFile
from server.stores.rollups import Days, rebuild, rebuild_lost_thinned
from server.stores.salvage_advice import advice
from server.stores.shapes import Shape, shapes
from server.stores.sqlite_file import FILE_NAME, connect_reader, open_writer, translated
from server.stores.torn import Stretch, in_order, stretches

log = logging.getLogger(__name__)

_ROWS_A_COMMIT = 50_000
_MADE_AGAIN = ("day", "setting")
_NEARLY_A_DAY_MS = 20 * 3_600_000
_GAPS_NOTED = 1000
"""Of a series in the journal; the report has all of them."""
_TIMED = ("reading", "hour")


@dataclass(slots=True)
class Report:
    """What a salvage found. ``walked`` are rows of a table that SQLite reached, ``found`` those on pages it did not;
    ``missing`` are spans [from_ms, to_ms] of a series that lost readings; ``unreadable`` rows made no sense."""

    t_ms: int
    damage: str
    kept_aside: str = ""
    walked: dict[str, int] = field(default_factory=dict)
    found: dict[str, int] = field(default_factory=dict)
    missing: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    unreadable: int = 0
    would_be_right: str = ""

    @property
    def rows(self) -> int:
        """All that was read."""
        return sum(self.walked.values()) + sum(self.found.values())


def salvage(path: Path, days: Days, now_ms: int, damage: str, backups: Path) -> Report:
    """Replace the damaged record at ``path`` by what can be read of it; the report, also as ``salvage-<utc>.json``.

    Call with the folder held. Raises :class:`StoreFull` where the new file finds no room (nothing was changed then),
    :class:`StoreError`.
    """
    folder = path.parent
    log.error("The record is damaged: %s; what can be read of it goes into a new one", damage)
    why = swap.unused(folder, f"damaged-{swap.stamp(now_ms)}")
    report = Report(now_ms, damage, kept_aside=f"{FILE_NAME}.{why}")
    try:
        part = swap.cleared(folder / swap.PART)
        with closing(open_writer(part, now_ms)) as new:
            new.execute("PRAGMA synchronous = OFF")  # it is synced whole before it is called ready
            _Salvage(path, new, report).run(days)
            report.would_be_right = advice(report.rows, report.missing, backups)
            _note(new, report, why)
            new.execute("PRAGMA journal_mode = DELETE")
        _write_report(folder / f"salvage-{why.removeprefix('damaged-')}.json", report)
        swap.swap_in(folder, why)
    except sqlite3.Error as error:
        raise translated(folder / swap.PART, error) from error
    except OSError as error:
        raise swap.told(str(folder), error) from error
    log.error("Salvaged %d rows; the damaged file is kept as %s; would be right: %s", report.rows, report.kept_aside,
              report.would_be_right)  # fmt: skip
    return report


class _Salvage:
    def __init__(self, path: Path, new: sqlite3.Connection, report: Report) -> None:
        self._path, self._new, self._report = path, new, report
        self._shapes = {name: s for name, s in shapes(new).items() if name not in _MADE_AGAIN}
        self._broken: set[str] = set()
        """Tables that SQLite did not come through."""
        self._pruned_unknown = False
        self._stretches: dict[str, list[Stretch]] = {table: [] for table in _TIMED}

    def run(self, days: Days) -> None:
        self._walk()
        if self._broken:
            self._look_at_pages(days)
            self._name_the_nameless()
        self._new.execute("BEGIN")
        remember_hours(self._new)
        raw_from: dict[int, int] = dict(self._new.execute("SELECT series, raw_from_ms FROM thinned").fetchall())
        self._new.execute(
            "DELETE FROM reading WHERE t_ms < (SELECT raw_from_ms FROM thinned WHERE thinned.series = reading.series)"
        )  # a page that was given up when they were pruned
        if self._pruned_unknown:
            rebuild_lost_thinned(self._new)
        rebuild(self._new, days)
        self._new.execute("INSERT OR REPLACE INTO setting VALUES ('timezone', ?)", (days.timezone,))
        self._new.execute("COMMIT")
        if self._broken.intersection(_TIMED):
            gaps = Gaps(self._new, raw_from, hours_whole="hour" not in self._broken)
            self._report.missing = gaps.find(self._stretches["reading"], self._stretches["hour"])

    def _walk(self) -> None:
        try:
            old = connect_reader(self._path)
        except sqlite3.Error:
            self._broken.update(self._shapes)
            return
        with closing(old):
            for shape in self._shapes.values():
                self._walk_table(old, shape)

    def _walk_table(self, old: sqlite3.Connection, shape: Shape) -> None:
        try:
            there = {name for (name,) in old.execute("SELECT name FROM pragma_table_info(?)", (shape.table,))}
        except sqlite3.Error:
            there = set()
            self._broken.add(shape.table)
        if not there:
            return  # not to be read, or a table of a later schema
        # what a later schema has added is what it gives to old rows
        columns = [c.name if c.name in there else c.default for c in shape.columns]
        if not self._from_one_end(old, shape, columns, "ASC"):
            self._from_one_end(old, shape, columns, "DESC")
            self._broken.add(shape.table)
        elif not _is_sound(old, shape.table):
            self._broken.add(shape.table)

    def _from_one_end(self, old: sqlite3.Connection, shape: Shape, columns: list[str], order: str) -> bool:
        """Copy as far as it goes; whether all of it made sense, to the end."""
        key = ", ".join(f"{k} {order}" for k in shape.key)
        question = f"SELECT {', '.join((*shape.key, *columns))} FROM {shape.table} ORDER BY {key}"  # noqa: S608  our own
        keys, whole = len(shape.key), False

        def rows() -> Iterator[tuple[Any, ...]]:
            nonlocal whole
            held: tuple[Any, ...] | None = None
            sound = True
            with suppress(sqlite3.Error):
                for found in old.execute(question):
                    row = shape.row(found[0] if shape.has_rowid else None, found[keys:])
                    if row is None:
                        self._report.unreadable += 1
                        sound = False
                        continue
                    if held is not None and not _follows(shape.key_of(held), shape.key_of(row), order):
                        self._report.unreadable += 1
                        return  # one of the two was made up by damage: their page will tell which
                    if held is not None:
                        yield held
                    held = row
                whole = sound
            if held is not None:
                yield held

        count = self._insert(shape, rows())
        self._report.walked[shape.table] = self._report.walked.get(shape.table, 0) + count
        return whole

    def _insert(self, shape: Shape, rows: Iterator[tuple[Any, ...]]) -> int:
        """How many were new: what is there already came from a better place."""
        statement, before = shape.insert, self._new.total_changes
        while lot := list(islice(rows, _ROWS_A_COMMIT)):
            self._new.execute("BEGIN")
            self._new.executemany(statement, lot)
            self._new.execute("COMMIT")
        return self._new.total_changes - before

    def _look_at_pages(self, days: Days) -> None:
        wanted = [s for name, s in self._shapes.items() if name in self._broken]
        with closing(PageFile(self._path)) as file:
            free = file.free()
            for shape in wanted:
                rows = self._rows_on_pages(file, free, shape, days)
                self._report.found[shape.table] = self._insert(shape, rows)
            self._pruned_unknown = "thinned" in self._broken and not file.holds_all_of("thinned")

    def _rows_on_pages(self, file: PageFile, free: set[int], shape: Shape, days: Days) -> Iterator[tuple[Any, ...]]:
        for number in range(1, file.count + 1):
            if number in free or file.has_rowids(number) is not shape.has_rowid:
                continue
            rows = [shape.row(cell.rowid, cell.values) if cell else None for cell in file.slots(number)]
            keys = [None if row is None else shape.key_of(row) for row in rows]
            kept = in_order(keys)
            if not kept or (shape.table == "hour" and not self._are_hours(file, number, shape, days)):
                continue
            if shape.table in self._stretches:
                self._stretches[shape.table] += stretches(keys, kept, file.inner(number))
            yield from (row for at in kept if (row := rows[at]) is not None)

    @staticmethod
    def _are_hours(file: PageFile, number: int, shape: Shape, days: Days) -> bool:
        """An hour and a day look alike. On a leaf hours lie an hour apart, days a day; where hours are few, only days
        all begin at midnight. The rows of an inner page are of the kind of those it leads to."""
        for page in [number, *file.below(number)]:
            rows = [shape.row(cell.rowid, cell.values) for cell in file.slots(page) if cell]
            keys = [shape.key_of(row) for row in rows if row is not None]
            steps = [b[1] - a[1] for a, b in pairwise(keys) if a[0] == b[0] and b[1] > a[1]]
            if steps and min(steps) < _NEARLY_A_DAY_MS:
                return True
            if any(days.bounds_ms(t_ms)[0] != t_ms for _, t_ms in keys):
                return True
        return False

    def _name_the_nameless(self) -> None:
        """Readings whose series has lost its name keep a name that says so."""
        self._new.execute(
            "INSERT INTO series (id, name) SELECT DISTINCT series, 'salvaged:' || series || '/unknown' FROM reading "
            "WHERE series NOT IN (SELECT id FROM series) AND series BETWEEN 1 AND 1000000"
        )


def _is_sound(old: sqlite3.Connection, table: str) -> bool:
    """A page whose count of rows is too small is walked over without an error."""
    with suppress(sqlite3.Error):
        return [text for (text,) in old.execute(f"PRAGMA quick_check({table})")] == ["ok"]
    return False


def _follows(held: tuple[Any, ...], key: tuple[Any, ...], order: str) -> bool:
    """Whether a key comes after another; text that is not UTF-8 was made readable, and sorts otherwise then."""
    if not all(isinstance(part, int) for part in (*held, *key)):
        return True
    return key > held if order == "ASC" else key < held


def _note(new: sqlite3.Connection, report: Report, why: str) -> None:
    """The record itself says that it was salvaged."""
    missing = {series: spans[:_GAPS_NOTED] for series, spans in report.missing.items()}
    data = {"rows": report.rows, "missing": missing, "kept_aside": report.kept_aside}
    new.execute(
        "INSERT OR IGNORE INTO journal VALUES (?, ?, 'salvaged', 'record', ?)",
        (f"salvaged-{why.removeprefix('damaged-')}", report.t_ms, json.dumps(data)),
    )


def _write_report(path: Path, report: Report) -> None:
    part = path.with_name(path.name + ".part")
    part.write_text(json.dumps({**asdict(report), "rows": report.rows}, indent=2) + "\n", encoding="utf-8")
    swap.synced(part)
    part.rename(path)
