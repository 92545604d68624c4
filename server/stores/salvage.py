"""A damaged record: what can be read of it goes into a new one, and a report says what did and what did not.

Two ways, one after the other. First SQLite itself walks each table from both ends, as far as it comes. Where it came
through, that is all; where it did not, every page of the file is looked at by itself (:mod:`server.stores.pages`), so
that a damaged page costs its own rows and no others. Hours and days are made again from the readings; where those were
pruned their hours are kept. The damaged file is kept aside, never changed (Field pitfall 9).
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
from statistics import median
from typing import Any

from server.stores import swap
from server.stores.pages import PageFile
from server.stores.rollups import Days, rebuild
from server.stores.shapes import Shape, shapes
from server.stores.sqlite_file import FILE_NAME, connect_reader, open_writer, translated

log = logging.getLogger(__name__)

_ROWS_A_COMMIT = 50_000
_MADE_AGAIN = ("day", "setting")
_NEARLY_A_DAY_MS = 20 * 3_600_000
_LONG = 3.0
"""So many times the usual pause between two readings of a series is a gap."""
_GAPS_TOLD = 1000
Key = tuple[Any, ...] | None


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
            _advise(report, backups)
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
        self._broken: dict[str, tuple[Key, Key]] = {}
        """Tables that SQLite did not come through, with the last key from the front and from the back."""

    def run(self, days: Days) -> None:
        self._walk()
        if self._broken:
            self._look_at_pages()
            self._name_the_nameless()
        self._new.execute("BEGIN")
        rebuild(self._new, days)
        self._new.execute("INSERT OR REPLACE INTO setting VALUES ('timezone', ?)", (days.timezone,))
        self._new.execute("COMMIT")
        if "reading" in self._broken:
            self._find_gaps()

    def _walk(self) -> None:
        try:
            old = connect_reader(self._path)
        except sqlite3.Error:
            self._broken = dict.fromkeys(self._shapes, (None, None))
            return
        with closing(old):
            for shape in self._shapes.values():
                self._walk_table(old, shape)

    def _walk_table(self, old: sqlite3.Connection, shape: Shape) -> None:
        try:
            there = {name for (name,) in old.execute("SELECT name FROM pragma_table_info(?)", (shape.table,))}
        except sqlite3.Error:
            there = set()
            self._broken[shape.table] = (None, None)
        if not there:
            return  # not to be read, or a table of a later schema
        # what a later schema has added is what it gives to old rows
        columns = [c.name if c.name in there else c.default for c in shape.columns]
        front, whole = self._from_one_end(old, shape, columns, "ASC")
        if not whole:
            back, _ = self._from_one_end(old, shape, columns, "DESC")
            self._broken[shape.table] = (front, back)

    def _from_one_end(self, old: sqlite3.Connection, shape: Shape, columns: list[str], order: str) -> tuple[Key, bool]:
        """Copy as far as it goes: the last key before anything that makes no sense, and whether all did to the end."""
        key = ", ".join(f"{k} {order}" for k in shape.key)
        question = f"SELECT {', '.join((*shape.key, *columns))} FROM {shape.table} ORDER BY {key}"  # noqa: S608  our own
        keys = len(shape.key)
        last: Key = None
        sound, whole = True, False

        def rows() -> Iterator[tuple[Any, ...]]:
            nonlocal last, sound, whole
            with suppress(sqlite3.Error):
                for found in old.execute(question):
                    row = shape.row(found[0] if shape.has_rowid else None, found[keys:])
                    if row is None:  # its key is no sounder than the rest of it, and no bound of anything
                        self._report.unreadable += 1
                        sound = False
                        continue
                    if sound:
                        last = found[:keys]
                    yield row
                whole = sound

        count = self._insert(shape, rows())
        self._report.walked[shape.table] = self._report.walked.get(shape.table, 0) + count
        return last, whole

    def _insert(self, shape: Shape, rows: Iterator[tuple[Any, ...]]) -> int:
        """How many were new: what is there already came from a better place."""
        statement, before = shape.insert, self._new.total_changes
        while lot := list(islice(rows, _ROWS_A_COMMIT)):
            self._new.execute("BEGIN")
            self._new.executemany(statement, lot)
            self._new.execute("COMMIT")
        return self._new.total_changes - before

    def _look_at_pages(self) -> None:
        wanted = [s for name, s in self._shapes.items() if name in self._broken]
        with closing(PageFile(self._path)) as file:
            free = file.free()
            for shape in wanted:
                self._report.found[shape.table] = self._insert(shape, self._rows_on_pages(file, free, shape))

    @staticmethod
    def _rows_on_pages(file: PageFile, free: set[int], shape: Shape) -> Iterator[tuple[Any, ...]]:
        for number in range(1, file.count + 1):
            if number in free or file.has_rowids(number) is not shape.has_rowid:
                continue
            rows = [row for cell in file.cells(number) if (row := shape.row(cell.rowid, cell.values)) is not None]
            if shape.table != "hour" or _are_hours(rows):
                yield from rows

    def _name_the_nameless(self) -> None:
        """Readings whose series has lost its name keep a name that says so."""
        self._new.execute(
            "INSERT INTO series (id, name) SELECT DISTINCT series, 'salvaged:' || series || '/unknown' FROM reading "
            "WHERE series NOT IN (SELECT id FROM series) AND series BETWEEN 1 AND 1000000"
        )

    def _find_gaps(self) -> None:
        """Between where SQLite stopped from the front and from the back: pauses longer than the series makes itself."""
        front, back = self._broken["reading"]
        names = dict(self._new.execute("SELECT id, name FROM series").fetchall())
        for series, name in names.items():
            if (front and series < front[0]) or (back and series > back[0]):
                continue
            first = front[1] if front and series == front[0] else 0
            last = back[1] if back and series == back[0] else 1 << 60
            times = self._new.execute(
                "SELECT t_ms FROM reading WHERE series = ? AND t_ms >= ? AND t_ms <= ? ORDER BY t_ms",
                (series, first, last),
            ).fetchall()
            pauses = [(b - a, a, b) for ((a,), (b,)) in pairwise(times)]
            if pauses:
                usual = median(pause for pause, _, _ in pauses)
                gaps = [(a, b) for pause, a, b in pauses if pause > _LONG * usual]
                if gaps:
                    self._report.missing[name] = gaps[:_GAPS_TOLD]


def _are_hours(rows: list[tuple[Any, ...]]) -> bool:
    """An hour and a day look alike; on one page hours lie an hour apart, days a day."""
    steps = [b[1] - a[1] for a, b in pairwise(rows) if a[0] == b[0]]
    return bool(steps) and min(steps) < _NEARLY_A_DAY_MS


def _advise(report: Report, backups: Path) -> None:
    newest = max(backups.glob("record-*.sqlite"), default=None) if backups.is_dir() else None
    if report.rows:
        report.would_be_right = "a disk that is not worn: change it before it does this again"
    elif newest is not None:
        report.would_be_right = f"nothing could be read; stop the server, then: stillstack store restore {newest}"
    else:
        report.would_be_right = "nothing could be read, and there is no backup; the damaged file is kept"


def _note(new: sqlite3.Connection, report: Report, why: str) -> None:
    """The record itself says that it was salvaged."""
    data = {"rows": report.rows, "missing": report.missing, "kept_aside": report.kept_aside}
    new.execute(
        "INSERT OR IGNORE INTO journal VALUES (?, ?, 'salvaged', 'record', ?)",
        (f"salvaged-{why.removeprefix('damaged-')}", report.t_ms, json.dumps(data)),
    )


def _write_report(path: Path, report: Report) -> None:
    part = path.with_name(path.name + ".part")
    part.write_text(json.dumps({**asdict(report), "rows": report.rows}, indent=2) + "\n", encoding="utf-8")
    swap.synced(part)
    part.rename(path)
