"""The numbered schema changes: each in one transaction with the record that it was made, so that it is made once."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from server.stores.port import StoreError

APPLICATION_ID = 0x53544C4B
"""Written into the file's header, so that another program's database is told from ours."""


@dataclass(frozen=True, slots=True)
class Migration:
    """One step of the schema: ``number`` counts from 1 without a gap."""

    number: int
    name: str
    sql: str


def migrations() -> list[Migration]:
    """The numbered steps of ``migrations/``, in order."""
    folder = files("server.stores").joinpath("migrations")
    names = sorted(item.name for item in folder.iterdir() if item.name.endswith(".sql"))
    return [Migration(int(name[:4]), name, folder.joinpath(name).read_text("utf-8")) for name in names]


def migrate(connection: sqlite3.Connection, path: Path, applied_ms: int, steps: Sequence[Migration]) -> None:
    """Bring the schema up to date, each step and the record of it in one transaction."""
    known = steps[-1].number
    for step in steps:
        connection.execute("BEGIN IMMEDIATE")
        try:
            # asked inside the transaction, so that what is decided is what is changed
            present = _schema_number(connection)
            if present > known:
                raise StoreError(
                    f"{path}: found schema {present}; would be right: at most {known}, which is what this Stillstack "
                    "knows: the file is of a newer one, so use that, or another state folder"
                )
            if step.number > present:
                _apply(connection, step, applied_ms)
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def _schema_number(connection: sqlite3.Connection) -> int:
    if not connection.execute("SELECT 1 FROM sqlite_schema WHERE name = 'migration'").fetchone():
        return 0
    return int(connection.execute("SELECT max(number) FROM migration").fetchone()[0] or 0)


def _apply(connection: sqlite3.Connection, step: Migration, applied_ms: int) -> None:
    if step.number == 1:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT, applied_ms INTEGER) STRICT")
    for statement in _statements(step.sql):
        connection.execute(statement)
    connection.execute("INSERT INTO migration VALUES (?, ?, ?)", (step.number, step.name, applied_ms))


def _statements(sql: str) -> Iterator[str]:
    """Single statements: the driver's own script call would commit before it begins."""
    lines: list[str] = []
    for line in sql.splitlines(keepends=True):
        lines.append(line)
        if sqlite3.complete_statement("".join(lines)):
            yield "".join(lines)
            lines.clear()
    if "".join(lines).strip():
        raise ValueError(f"migration: found a statement without its end: {''.join(lines)[:60]!r}")
