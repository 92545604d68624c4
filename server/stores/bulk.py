"""Many rows at once."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from functools import cache
from itertools import chain
from typing import Any

_ROWS_A_STATEMENT = 50


def insert_many(
    connection: sqlite3.Connection, table: str, first: int, rows: Sequence[tuple[Any, ...]], clause: str = ""
) -> None:
    """Insert ``rows``, each with ``first`` before it, into ``table``; ``clause`` follows the values.

    50 rows a statement take two thirds of the time of one a statement, and 250 no less than 50.
    """
    if not rows:
        return
    width = len(rows[0])
    whole = len(rows) - len(rows) % _ROWS_A_STATEMENT
    many = _statement(table, width, _ROWS_A_STATEMENT, clause)
    for start in range(0, whole, _ROWS_A_STATEMENT):
        connection.execute(many, [first, *chain.from_iterable(rows[start : start + _ROWS_A_STATEMENT])])
    connection.executemany(_statement(table, width, 1, clause), ((first, *row) for row in rows[whole:]))


@cache
def _statement(table: str, width: int, rows: int, clause: str) -> str:
    row = f"(?1{', ?' * width})"
    return f"INSERT INTO {table} VALUES {', '.join([row] * rows)} {clause}"  # noqa: S608  names are our own
