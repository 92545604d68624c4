"""The schema: from nothing, twice, from each stored old file, from a newer one, and a step that fails half way.

``records/NNNN.sql`` is a file as schema NNNN wrote it, by :func:`dump` below.
A release never changes one; a new migration adds one.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from server.clock import ManualClock
from server.reading import Flag, Reading
from server.stores.catalog import open_store
from server.stores.migrate import APPLICATION_ID, Migration, migrations
from server.stores.port import StoreError
from server.stores.sqlite_file import FILE_NAME, open_writer

RECORDS = Path(__file__).parent / "records"
T0 = 1_799_755_200_000


def dump(path: Path) -> str:
    """Everything in a file as SQL, with what the plain dump leaves out of the header."""
    with closing(sqlite3.connect(path)) as connection:
        (application_id,) = connection.execute("PRAGMA application_id").fetchone()
        return "\n".join([f"PRAGMA application_id = {application_id};", *connection.iterdump(), ""])


def schema(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return [sql for (sql,) in connection.execute("SELECT sql FROM sqlite_schema WHERE sql NOT NULL ORDER BY name")]


def applied(path: Path) -> list[int]:
    with closing(sqlite3.connect(path)) as connection:
        return [number for (number,) in connection.execute("SELECT number FROM migration ORDER BY number")]


STORED = sorted(RECORDS.glob("*.sql"))


def restore(old: Path, path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(old.read_text("utf-8"))


def test_the_steps_count_from_one_and_each_has_a_stored_file() -> None:
    numbers = [step.number for step in migrations()]
    assert numbers == list(range(1, len(numbers) + 1))
    assert [int(path.stem) for path in STORED] == numbers


def test_from_nothing_and_again(tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    open_writer(path, T0).close()
    first = dump(path)
    open_writer(path, T0 + 1).close()
    assert dump(path) == first
    assert applied(path) == [step.number for step in migrations()]
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


@pytest.mark.parametrize("old", STORED, ids=lambda path: path.stem)
async def test_a_stored_old_file_opens_twice_and_keeps_what_it_held(old: Path, tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    restore(old, path)
    for _ in range(2):
        store, history = open_store(tmp_path, "America/New_York", ManualClock(T0))
        try:
            assert history.readings("t1/temperature_c", 0, 1 << 50, good_only=False) == [
                Reading("t1/temperature_c", T0, 20.5),
                Reading("t1/temperature_c", T0 + 60_000, 61.0, Flag.RATE),
                Reading("t1/temperature_c", T0 + 120_000, 21.5),
            ]
            assert [r.mean for r in history.rollups("t1/temperature_c", "day", 0, 1 << 50)] == [21.0]
            assert history.latest("t1/humidity_pct") == Reading("t1/humidity_pct", T0, 100.0, Flag.SATURATED, 102.5)
            assert [e.id for e in history.journal()] == ["e1"]
            assert [a.id for a in history.alerts()] == ["a1"]
            assert history.command("c1") == {"done": True}
            await store.append([Reading("t1/temperature_c", T0 + 120_000, 21.5)])
        finally:
            await store.close()
    assert applied(path) == [step.number for step in migrations()]
    open_writer(tmp_path / "fresh", T0).close()
    assert schema(path) == schema(tmp_path / "fresh")


def test_a_step_that_fails_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    open_writer(path, T0).close()
    before = dump(path)
    bad = Migration(
        len(migrations()) + 1, "bad.sql", "CREATE TABLE half (x INTEGER);\nCREATE TABLE reading (x INTEGER);\n"
    )
    with pytest.raises(StoreError, match="table reading already exists"):
        open_writer(path, T0, [*migrations(), bad])
    assert dump(path) == before


def test_a_later_step_is_made_once(tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    open_writer(path, T0).close()
    more = Migration(
        len(migrations()) + 1, "more.sql", "CREATE TABLE more (x INTEGER);\n-- a word\nINSERT INTO more VALUES (1);\n"
    )
    for _ in range(2):
        open_writer(path, T0, [*migrations(), more]).close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT x FROM more").fetchall() == [(1,)]


def test_a_statement_without_its_end_is_no_step(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="without its end: 'CREATE TABLE x"):
        open_writer(tmp_path / FILE_NAME, T0, [Migration(1, "open.sql", "CREATE TABLE x (y INTEGER)\n")])


def test_a_newer_file_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    open_writer(path, T0).close()
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("INSERT INTO migration VALUES (900, '0900_later.sql', 0)")
    before = dump(path)
    with pytest.raises(StoreError, match=r"record\.sqlite: found schema 900; would be right: at most \d+, .*newer"):
        open_store(tmp_path, "UTC")
    assert dump(path) == before


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE lumber (x INTEGER)")
    with pytest.raises(StoreError, match="database of another program"):
        open_store(tmp_path, "UTC")
    assert schema(path) == ["CREATE TABLE lumber (x INTEGER)"]
