"""The writing thread: what shares a commit, what is synced, whom an error reaches, and when the log is emptied."""

from __future__ import annotations

import asyncio
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from server.stores import writer as writer_module
from server.stores.port import StoreBusy, StoreError
from server.stores.writer import GROUP_ROWS, LOG_LIMIT_BYTES, QUEUE_LIMIT, Job, Writer
from tests.unit.sensors.helpers import until


class Shelf:
    """A table, a writer on it, and what SQLite was asked to do."""

    def __init__(
        self, folder: Path, checkpoint_every_s: float = 3600.0, log_limit_bytes: int = LOG_LIMIT_BYTES
    ) -> None:
        self.path = folder / "shelf.sqlite"
        self.connection = sqlite3.connect(self.path, isolation_level=None, check_same_thread=False)
        self.connection.execute("PRAGMA journal_mode = WAL")
        self.connection.execute("CREATE TABLE plank (n INTEGER PRIMARY KEY)")
        self.asked: list[str] = []
        self.connection.set_trace_callback(self.asked.append)
        self.commits_prepared = self.forgotten = 0
        self.gate = threading.Event()
        self.writer = Writer(self.connection, self.path, self, checkpoint_every_s, log_limit_bytes)

    def before_commit(self) -> None:
        self.commits_prepared += 1

    def forget(self) -> None:
        self.forgotten += 1

    def put(self, number: int) -> Callable[[], int]:
        def apply() -> int:
            self.connection.execute("INSERT INTO plank VALUES (?)", (number,))
            return number

        return apply

    async def hold(self) -> asyncio.Task[object]:
        """Keep the thread busy until the gate opens, so that what is submitted meanwhile waits together."""
        begun = threading.Event()

        def wait() -> None:
            begun.set()
            self.gate.wait()

        task = asyncio.create_task(self.writer.submit(Job(wait)))
        await asyncio.to_thread(begun.wait)
        return task

    def planks(self) -> list[int]:
        reader = sqlite3.connect(self.path)
        found = [n for (n,) in reader.execute("SELECT n FROM plank ORDER BY n")]
        reader.close()
        return found


async def queued(shelf: Shelf, jobs: list[Job]) -> list[asyncio.Task[object]]:
    tasks = [asyncio.create_task(shelf.writer.submit(job)) for job in jobs]
    await asyncio.sleep(0)  # each has run up to its wait
    return tasks


async def test_what_waits_together_shares_a_commit_up_to_500_rows(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    held = await shelf.hold()
    tasks = await queued(shelf, [Job(shelf.put(n), rows=100) for n in range(12)])
    shelf.gate.set()
    assert await asyncio.gather(*tasks) == list(range(12))
    await held
    assert GROUP_ROWS == 500
    assert shelf.asked.count("COMMIT") == 1 + 3  # the held one, then 5, 5 and 2
    assert shelf.commits_prepared == 4
    await shelf.writer.stop()


async def test_synced_jobs_go_alone_in_their_turn_and_are_synced_in_full(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    held = await shelf.hold()
    order = [Job(shelf.put(1)), Job(shelf.put(2), synced=True), Job(shelf.put(3), synced=True), Job(shelf.put(4))]
    tasks = await queued(shelf, order)
    shelf.gate.set()
    await asyncio.gather(held, *tasks)
    await shelf.writer.stop()
    steps = [text.split(" VALUES ")[-1] for text in shelf.asked if not text.startswith(("PRAGMA wal", "PRAGMA busy"))]
    begin, commit, full, normal = (
        "BEGIN IMMEDIATE",
        "COMMIT",
        "PRAGMA synchronous = FULL",
        "PRAGMA synchronous = NORMAL",
    )
    assert steps == [normal, begin, commit, begin, "(1)", commit, full, begin, "(2)", commit, begin, "(3)", commit,
                     normal, begin, "(4)", commit]  # fmt: skip


async def test_a_reply_comes_only_after_the_commit(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    await shelf.writer.submit(Job(shelf.put(1)))
    assert shelf.planks() == [1]
    await shelf.writer.stop()


async def test_one_jobs_mistake_costs_the_others_nothing(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    held = await shelf.hold()

    def mistake() -> None:
        shelf.put(7)()
        raise KeyError("no such bench")

    tasks = await queued(shelf, [Job(shelf.put(1)), Job(mistake), Job(shelf.put(1)), Job(shelf.put(2))])
    shelf.gate.set()
    results = await asyncio.gather(*tasks, return_exceptions=True)
    await held
    assert results[0] == 1
    assert isinstance(results[1], KeyError)
    assert isinstance(results[2], StoreError)
    assert "UNIQUE" in str(results[2])
    assert results[3] == 2
    assert shelf.planks() == [1, 2]
    assert shelf.forgotten == 3  # the group, then the two alone
    await shelf.writer.stop()


async def test_the_queue_is_bounded_and_nobody_is_turned_away(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    held = await shelf.hold()
    tasks = await queued(shelf, [Job(shelf.put(n)) for n in range(QUEUE_LIMIT + 50)])
    assert shelf.writer._queue.qsize() == QUEUE_LIMIT - 1  # one place is the held job's
    for task in tasks[:20]:
        task.cancel()
    await asyncio.sleep(0)
    assert shelf.writer._queue.qsize() == QUEUE_LIMIT - 1  # a caller that went away frees no place before its time
    shelf.gate.set()
    await asyncio.gather(held, *tasks, return_exceptions=True)
    assert shelf.planks() == list(range(QUEUE_LIMIT + 50))
    await shelf.writer.stop()


async def test_the_log_is_emptied_when_idle(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path, checkpoint_every_s=0.05)
    emptied = threading.Event()
    shelf.connection.set_trace_callback(lambda text: emptied.set() if "synchronous" not in text else None)
    await shelf.writer.submit(Job(lambda: [shelf.put(n)() for n in range(2_000)]))
    log = tmp_path / "shelf.sqlite-wal"

    def truncated() -> bool:
        for _ in range(200):
            if log.stat().st_size == 0:
                return True
            emptied.clear()
            emptied.wait(0.05)
        return False

    assert await asyncio.to_thread(truncated)
    await shelf.writer.stop()
    assert not log.exists()


async def test_stopping_twice_is_once_and_ends_the_thread(tmp_path: Path) -> None:
    before = set(threading.enumerate())
    shelf = Shelf(tmp_path)
    await asyncio.gather(
        shelf.writer.submit(Job(shelf.put(1))), asyncio.create_task(shelf.writer.submit(Job(shelf.put(2))))
    )
    await asyncio.gather(shelf.writer.stop(), shelf.writer.stop())
    assert not any(thread.name == "store writer" for thread in set(threading.enumerate()) - before)
    with pytest.raises(StoreError, match=r"shelf\.sqlite: the store is closed"):
        await shelf.writer.submit(Job(shelf.put(3)))


async def test_a_log_that_a_reader_held_is_emptied_when_the_reader_has_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Field pitfall 29: one reader that does not end lets the log grow; it must not stay so."""
    monkeypatch.setattr(writer_module, "_LOG_LOOK_S", 0.05)
    shelf = Shelf(tmp_path, log_limit_bytes=100_000)
    log = tmp_path / "shelf.sqlite-wal"
    reader = sqlite3.connect(shelf.path, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM plank").fetchone()
    for number in range(60):  # each commit writes a page of 4 kB at least
        await shelf.writer.submit(Job(shelf.put(number)))
    held = log.stat().st_size
    assert held > 200_000, "the reader holds it, and writing goes on"
    reader.execute("COMMIT")
    reader.close()
    await until(lambda: log.stat().st_size == 0, 20)  # nothing is written meanwhile: it is looked at all the same
    await shelf.writer.submit(Job(shelf.put(1000)))
    assert log.stat().st_size < 100_000
    assert len(shelf.planks()) == 61
    await shelf.writer.stop()


async def test_a_log_within_its_limit_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writer_module, "_LOG_LOOK_S", 0.0)
    shelf = Shelf(tmp_path, log_limit_bytes=1 << 30)
    for number in range(20):
        await shelf.writer.submit(Job(shelf.put(number)))
    assert not [text for text in shelf.asked if "wal_checkpoint" in text]
    await shelf.writer.stop()


async def test_another_programs_lock_holds_up_a_turn_for_a_second_and_a_stop_for_less_than_five(tmp_path: Path) -> None:
    """Field pitfall 10: a lock of another program must not look like a program that hangs."""
    shelf = Shelf(tmp_path)
    other = sqlite3.connect(shelf.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreBusy, match="another program is writing in it; would be right"):
        await asyncio.wait_for(shelf.writer.submit(Job(shelf.put(1))), 5)
    tasks = await queued(shelf, [Job(shelf.put(n), synced=True) for n in range(30)])
    await asyncio.wait_for(shelf.writer.stop(), 5)
    assert {type(error) for error in await asyncio.gather(*tasks, return_exceptions=True)} == {StoreBusy}
    other.execute("ROLLBACK")
    other.close()
    assert shelf.planks() == []
