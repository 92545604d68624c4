"""A folder in use by another process, a lock left behind, and what fifty openings leave open."""

from __future__ import annotations

import asyncio
import os
import signal
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from server.clock import ManualClock
from server.reading import Reading
from server.stores.catalog import open_store
from server.stores.port import StoreBusy, StoreError
from server.stores.sqlite_file import FILE_NAME
from server.stores.sqlite_history import SqliteHistory

T0 = 1_799_755_200_000


async def kept(folder: Path) -> Path:
    store, _ = open_store(folder, "UTC", ManualClock(T0))
    await store.append([Reading("t1/temperature_c", T0 + n * 60_000, float(n)) for n in range(5_000)])
    await store.close()
    return folder / FILE_NAME


def test_a_history_without_its_file_says_so(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"record.sqlite: found no file; would be right: a record"):
        SqliteHistory(tmp_path / FILE_NAME).newest_ms()


async def test_an_empty_file_is_a_new_record(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).touch()
    store, history = open_store(tmp_path, "UTC", ManualClock(T0))
    assert history.newest_ms() is None
    await store.close()


def test_another_process_holds_the_folder_until_it_dies(tmp_path: Path) -> None:
    script = (
        "import sys, time\nfrom pathlib import Path\nfrom server.stores.catalog import open_store\n"
        "pair = open_store(Path(sys.argv[1]), 'UTC')\nprint('open', flush=True)\nsys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, tmp_path], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"open\n"
        with pytest.raises(StoreBusy, match=rf"{tmp_path}: process {other.pid} holds it; would be right: stop"):
            open_store(tmp_path, "UTC")
        os.kill(other.pid, signal.SIGKILL)
    store, _ = open_store(tmp_path, "UTC")  # the lock file is there, its holder is not
    asyncio.run(store.close())
    assert (tmp_path / "lock").read_text() == f"{os.getpid()}\n"


async def test_a_reader_in_the_way_holds_no_write_up(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "UTC", ManualClock(T0))
    await store.append([Reading("t1/temperature_c", T0, 1.0)])
    with closing(sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM reading").fetchone()
        await store.append([Reading("t1/temperature_c", T0 + 1, 2.0)])
        assert history.newest_ms() == T0 + 1
        await store.close()  # the checkpoint gives way too
    assert history.newest_ms() == T0 + 1


def test_after_closing_there_is_one_file_and_it_may_be_asked(tmp_path: Path) -> None:
    path = asyncio.run(kept(tmp_path))
    assert sorted(os.listdir(tmp_path)) == ["lock", FILE_NAME]  # noqa: PTH208
    assert SqliteHistory(path).newest_ms() == T0 + 4_999 * 60_000


async def test_fifty_openings_leave_nothing_open(tmp_path: Path) -> None:
    async def once(number: int) -> None:
        store, history = open_store(tmp_path, "UTC", ManualClock(T0))
        await store.append([Reading("t1/temperature_c", T0 + number, 1.0)])
        assert history.newest_ms() == T0 + number
        await store.close()
        with pytest.raises(ValueError, match="timezone"):
            open_store(tmp_path, "no zone")

    def count() -> tuple[int, int]:
        return len(os.listdir("/proc/self/fd")), threading.active_count()  # noqa: PTH208

    for number in range(10):
        await once(number)  # the loop's own helper threads come into being here
    before = count()
    for number in range(10, 60):
        await once(number)
    after = count()
    assert after[0] <= before[0]
    assert after[1] <= before[1]
