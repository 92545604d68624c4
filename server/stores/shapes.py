"""What a row of each table looks like, so that a row found alone can be told to be one, and of which table."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass
from math import isfinite
from typing import Any

from server.stores.rows import END_MS

_TIMES = ("t_ms", "start_ms", "raised_ms", "changed_ms", "made_ms", "replaced_ms", "refused_ms", "raw_from_ms", "at_ms")
_JSON = {("journal", "data"), ("alert", "data"), ("alert_change", "data"), ("command", "reply"), ("made", "data")}


@dataclass(frozen=True, slots=True)
class Column:
    """A column. ``default`` is SQL; ``numbers_rows`` is an INTEGER PRIMARY KEY: it is the row's own number."""

    name: str
    kind: str
    may_be_null: bool
    default: str
    numbers_rows: bool


@dataclass(frozen=True, slots=True)
class Shape:
    """A table: its columns in order, the columns of its key, and whether rows have a number."""

    table: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    has_rowid: bool

    @property
    def insert(self) -> str:
        """The statement that takes what :meth:`row` returns; a key that is there already stands."""
        names = [c.name for c in self.columns] + (["rowid"] if self.has_rowid else [])
        marks = ", ".join("?" * len(names))
        return f"INSERT OR IGNORE INTO {self.table} ({', '.join(names)}) VALUES ({marks})"  # noqa: S608  our own names

    def row(self, rowid: int | None, values: tuple[Any, ...]) -> tuple[Any, ...] | None:
        """The row as :attr:`insert` takes it, or None if these values are no row of this table."""
        if len(values) != len(self.columns) or (rowid is None) == self.has_rowid:
            return None
        whole = [rowid if c.numbers_rows else v for c, v in zip(self.columns, values, strict=True)]
        if not all(self._fits(column, value) for column, value in zip(self.columns, whole, strict=True)):
            return None
        whole = [
            float(v) if c.kind == "REAL" and v is not None else v for c, v in zip(self.columns, whole, strict=True)
        ]
        return (*whole, rowid) if self.has_rowid else tuple(whole)

    def key_of(self, row: tuple[Any, ...]) -> tuple[Any, ...]:
        """By what the table is sorted, of a row as :meth:`row` returns it."""
        if self.has_rowid:
            return (row[-1],)
        return tuple(row[at] for at, column in enumerate(self.columns) if column.name in self.key)

    def _fits(self, column: Column, value: Any) -> bool:
        match value:
            case None:
                return column.may_be_null
            case int() if column.kind == "INTEGER":
                return column.name not in _TIMES or 0 <= value < END_MS
            case int() | float() if column.kind == "REAL":
                return isfinite(value)
            case str() if column.kind == "TEXT":
                return (self.table, column.name) not in _JSON or _is_object(value)
            case bytes():
                return column.kind == "BLOB"
        return False


def shapes(connection: sqlite3.Connection) -> dict[str, Shape]:
    """The tables of a record, but for the list of migrations."""
    found = {}
    tables = connection.execute(
        "SELECT name, wr FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'"
    ).fetchall()
    for table, without_rowid in tables:
        info = connection.execute(
            """SELECT name, type, "notnull", pk, coalesce(dflt_value, 'NULL') FROM pragma_table_info(?) ORDER BY cid""",
            (table,),
        ).fetchall()
        keys = [name for name, _, _, pk, _ in sorted(info, key=lambda c: c[3]) if pk]
        numbers = keys[0] if len(keys) == 1 and not without_rowid else ""
        columns = tuple(
            Column(name, kind, not notnull and not pk, default, name == numbers and kind == "INTEGER")
            for name, kind, notnull, pk, default in info
        )
        key = tuple(keys) if without_rowid else ("rowid",)
        found[table] = Shape(table, columns, key, not without_rowid)
    found.pop("migration", None)
    return found


def _is_object(text: str) -> bool:
    try:
        return isinstance(json.loads(text), dict)
    except ValueError:
        return False
