"""No room and a read-only medium: nothing half written, nothing acknowledged, and the next call tries again."""

from __future__ import annotations

import asyncio
import os
import resource
import sqlite3
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import cast

import pytest

from server.clock import ManualClock
from server.reading import JournalEntry, Reading, Refused
from server.stores.catalog import open_store
from server.stores.port import History, Store, StoreError, StoreFull
from server.stores.sqlite import SqliteStore
from server.stores.sqlite_file import FILE_NAME

T0 = 1_799_755_200_000
ALL = (0, 1 << 50)
as_root = pytest.mark.skipif(os.geteuid() != 0, reason="needs root: it mounts a file system of 1 MB")


def batch(number: int, rows: int = 2_000) -> list[Reading]:
    return [Reading("t1/temperature_c", T0 + (number * rows + n) * 1000, 20 + n / rows) for n in range(rows)]


async def fill(store: Store) -> int:
    """Append until there is no room; returns how many batches were acknowledged."""
    for number in range(1_000):
        try:
            await store.append(batch(number))
        except StoreFull:
            return number
    raise AssertionError("it never became full")


def whole(history: History, batches: int, rows: int = 2_000) -> None:
    """Just these batches, in readings and in rollups, in a file that passes its full check."""
    assert len(history.columns("t1/temperature_c", *ALL)[0]) == batches * rows
    for resolution in ("hour", "day"):
        assert sum(r.count for r in history.rollups("t1/temperature_c", resolution, *ALL)) == batches * rows  # type: ignore[arg-type]


def check(path: Path) -> None:
    connection = sqlite3.connect(path)
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", disk], check=True)
    try:
        yield disk
    finally:
        subprocess.run(["umount", disk], check=True)


@as_root
async def test_a_full_disk(small_disk: Path) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(300_000))
    store, history = open_store(small_disk, "UTC", ManualClock(T0))
    kept = await fill(store)
    assert kept > 0
    whole(history, kept)
    together = await asyncio.gather(*(store.append(batch(kept + n)) for n in range(3)), return_exceptions=True)
    assert [type(error) for error in together] == [StoreFull] * 3
    with pytest.raises(StoreFull, match=rf"{FILE_NAME}: .*SQLITE_FULL.*nothing was written; would be right: room"):
        await store.append(batch(kept), [Refused("broker", T0, "wood/t1", b"?", "no number")])
    whole(history, kept)
    ballast.unlink()
    await store.append(batch(kept))  # the same call, without opening anew
    whole(history, kept + 1)
    await store.close()
    check(small_disk / FILE_NAME)


@as_root
def test_a_disk_full_from_the_start_and_then_read_only(small_disk: Path) -> None:
    ballast = small_disk / "ballast"
    ballast.touch()
    with ballast.open("wb", buffering=0) as file, suppress(OSError):
        while file.write(bytes(4096)):
            pass
    with pytest.raises(StoreFull, match="would be right: room on a disk"):
        open_store(small_disk / "state", "UTC")
    ballast.unlink()
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    with pytest.raises(StoreFull, match=r"Read-only file system; would be right: a folder we may write in"):
        open_store(small_disk / "other", "UTC")


async def test_a_file_that_may_not_grow(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "UTC", ManualClock(T0))
    connection = cast(SqliteStore, store)._writer._connection
    connection.execute("PRAGMA max_page_count = 150")
    kept = await fill(store)
    assert kept > 0
    whole(history, kept)
    with pytest.raises(StoreFull):
        await store.add_journal([JournalEntry(f"e{n}", T0, "placed", "t1", {"note": "x" * 3000}) for n in range(200)])
    assert history.journal() == []
    connection.execute("PRAGMA max_page_count = 100000")
    await store.append(batch(kept))
    whole(history, kept + 1)
    await store.close()
    check(tmp_path / FILE_NAME)


async def test_a_file_that_turned_read_only(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "UTC", ManualClock(T0))
    await store.append(batch(0))
    connection = cast(SqliteStore, store)._writer._connection
    connection.execute("PRAGMA query_only = on")  # SQLite's own way to the error a medium gone read-only gives
    with pytest.raises(StoreFull, match="SQLITE_READONLY"):
        await store.append([*batch(0), *batch(1)])
    connection.execute("PRAGMA query_only = off")
    whole(history, 1)
    await store.append([Reading("t2/humidity_pct", T0, 40.0)])  # what was remembered of the file is read anew
    assert history.newest_ms() == batch(0)[-1].t_ms
    await store.close()


def test_a_write_that_fails_for_the_files_size(tmp_path: Path) -> None:
    """RLIMIT_FSIZE makes the write itself fail (SQLITE_IOERR_WRITE), in a process of its own."""
    script = textwrap.dedent(f"""
        import asyncio, resource, signal
        from pathlib import Path
        from server.clock import ManualClock
        from server.reading import Reading
        from server.stores.catalog import open_store
        from server.stores.port import StoreFull

        async def main():
            store, history = open_store(Path({str(tmp_path)!r}), "UTC", ManualClock({T0}))
            kept = 0
            try:
                while True:
                    rows = [Reading("t1/temperature_c", {T0} + (kept * 2000 + n) * 1000, 20.0) for n in range(2000)]
                    await store.append(rows)
                    kept += 1
            except StoreFull as error:
                print(kept, len(history.columns("t1/temperature_c", 0, 1 << 50)[0]), error)
            resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
            await store.append(rows)
            print(len(history.columns("t1/temperature_c", 0, 1 << 50)[0]))
            await store.close()

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, resource.RLIM_INFINITY))
        asyncio.run(main())
    """)
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[1] == resource.RLIM_INFINITY
    done = subprocess.run([sys.executable, "-c", script], check=False, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    first, second = done.stdout.splitlines()
    kept, rows, said = first.split(" ", 2)
    assert int(kept) > 0
    assert int(rows) == int(kept) * 2000
    assert "SQLITE_IOERR_WRITE" in said or "SQLITE_FULL" in said
    assert int(second) == (int(kept) + 1) * 2000
    check(tmp_path / FILE_NAME)


def test_a_folder_that_cannot_be_one_is_named(tmp_path: Path) -> None:
    (tmp_path / "state").write_text("no folder")
    with pytest.raises(StoreError, match=r"state folder .*state: File exists; would be right: a folder"):
        open_store(tmp_path / "state", "UTC")
