"""The spine on a disk that is really full, on a file that may not grow, on a medium that turns read-only by itself:
turns go on, nothing is acknowledged, and what was heard is written in order when the disk takes rows again.

Field pitfalls 9 and 29: nothing is called kept that is not, and a full disk is said and lived through.
"""

from __future__ import annotations

import asyncio
import os
import resource
import signal
import sqlite3
import subprocess
import sys
import textwrap
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import cast

import pytest

from server.deeds import AlertCommand
from server.keeping import RETRY_S
from server.reading import JournalEntry
from server.stores.port import StoreFull
from server.stores.sqlite import SqliteStore
from server.stores.sqlite_file import FILE_NAME
from tests.unit.spine import Bench, config, sample

ALL = (0, 1 << 53)
ROOT = Path(__file__).resolve().parents[2]
as_root = pytest.mark.skipif(os.geteuid() != 0, reason="needs root: it mounts a small file system")


@asynccontextmanager
async def a_bench(folder: Path) -> AsyncIterator[Bench]:
    bench = Bench(folder, config("[rules.dry-limit]\nraise_after_min = 0\n"))
    try:
        yield bench
    finally:
        await bench.close()


class Heard:
    """Says one reading after another and remembers which were acknowledged."""

    def __init__(self, bench: Bench) -> None:
        self.bench, self.said, self.acknowledged = bench, 0, []

    async def turn(self, samples: int = 200) -> None:
        """A turn later than the last by more than a retry takes."""
        first = self.said
        items = []
        for _ in range(samples):
            self.said += 1
            number = self.said
            items.append(
                sample("bench-1", number * RETRY_S / 100, 20.0, 40.0 + number % 50 / 100,
                       acknowledge=lambda number=number: self.acknowledged.append(number))
            )  # fmt: skip
        self.bench.until(max(self.bench.clock.now().mono_s + RETRY_S, items[-1].heard_mono_s))
        assert first + samples == self.said
        await self.bench.spine.engine.turn(items)

    def in_the_record(self) -> int:
        return len(self.bench.spine.history.readings("bench-1/humidity_pct", *ALL, good_only=False))

    def all_is_well(self) -> None:
        assert self.acknowledged == list(range(1, self.said + 1)), "each once, in order"
        assert self.in_the_record() == self.said
        keeper = self.bench.spine.engine.keeper
        assert (keeper.error, keeper.ring.rows, keeper.ring.dropped) == ("", 0, 0)
        assert self.bench.document.notices == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", disk], check=True)
    try:
        yield disk
    finally:
        subprocess.run(["umount", disk], check=True)


@pytest.fixture
def ext4(tmp_path: Path) -> Iterator[Path]:
    disk, image = tmp_path / "disk", tmp_path / "image"
    disk.mkdir()
    image.touch()
    os.truncate(image, 8 << 20)
    subprocess.run(["mkfs.ext4", "-q", image], check=True)
    if subprocess.run(["mount", "-o", "loop", image, disk]).returncode:
        pytest.skip("no loop device here")
    try:
        yield disk
    finally:
        subprocess.run(["umount", disk], check=True)


def fill(disk: Path) -> Path:
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as file, suppress(OSError):
        while file.write(bytes(4096)):
            pass
    return ballast


def check(path: Path) -> None:
    connection = sqlite3.connect(path)
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


@as_root
async def test_a_disk_that_is_full_and_has_room_again(small_disk: Path) -> None:
    async with a_bench(small_disk / "state") as bench:
        heard = Heard(bench)
        await heard.turn()
        heard.all_is_well()
        ballast = fill(small_disk)
        for _ in range(200):
            await heard.turn()
            if bench.spine.engine.keeper.error:
                break
        before = list(heard.acknowledged)
        for _ in range(5):
            await heard.turn()
        assert heard.acknowledged == before
        assert heard.in_the_record() == len(before)
        assert bench.document.band.word == "act"
        assert bench.document.zones[0].state == "fresh", "the wall goes on"
        humidity = 40.0 + heard.said % 50 / 100
        assert bench.document.zones[0].air is not None
        assert bench.document.zones[0].air.humidity_pct == pytest.approx(humidity, abs=0.06)
        ballast.unlink()
        await heard.turn()
        heard.all_is_well()
    check(small_disk / "state" / FILE_NAME)


@as_root
async def test_alerts_are_held_and_a_command_is_told_to_come_again_while_it_is_full(small_disk: Path) -> None:
    async with a_bench(small_disk / "state") as bench:
        await bench.spine.engine.turn([sample("bench-1", 1, 20.0, 20.0)])
        (alert,) = bench.document.alerts
        heard = Heard(bench)
        ballast = fill(small_disk)
        while not bench.spine.engine.keeper.error:
            await heard.turn()
        entries = [JournalEntry(f"e{n}", 0, "placed", "t", {"note": "x" * 3000}) for n in range(500)]
        with pytest.raises(StoreFull):
            await bench.spine.store.add_journal(entries)
        command = AlertCommand("c1", "acknowledge", alert.id)
        with suppress(StoreFull):  # a full disk may still have room inside the file for one row
            await bench.spine.engine.command(command)
        ballast.unlink()
        await heard.turn()
        assert (await bench.spine.engine.command(command)).state in ("acknowledged", "normal")
        assert bench.spine.engine.keeper.error == ""


async def test_a_file_that_may_not_grow(tmp_path: Path) -> None:
    async with a_bench(tmp_path) as bench:
        heard = Heard(bench)
        connection = cast(SqliteStore, bench.spine.store)._writer._connection
        connection.execute("PRAGMA max_page_count = 80")
        while "SQLITE_FULL" not in bench.spine.engine.keeper.error:
            await heard.turn()
        assert len(heard.acknowledged) == heard.in_the_record() < heard.said
        connection.execute("PRAGMA max_page_count = 100000")
        await heard.turn()
        heard.all_is_well()


@as_root
async def test_a_medium_that_turns_read_only_by_itself(ext4: Path) -> None:
    """As the kernel does with a worn card: ext4's own way of giving up, with our files open."""
    async with a_bench(ext4 / "state") as bench:
        heard = Heard(bench)
        await heard.turn()
        heard.all_is_well()
        await asyncio.to_thread(subprocess.run, ["mount", "-o", "remount,abort", ext4], capture_output=True)
        before = list(heard.acknowledged)
        for _ in range(3):
            await heard.turn()
        assert bench.spine.engine.keeper.error
        assert "nothing was written; would be right: room on a disk that may be written" in (
            bench.spine.engine.keeper.error
        )
        assert heard.acknowledged == before
        assert bench.spine.engine.keeper.ring.rows > 0
        assert bench.document.zones[0].state == "fresh"


async def test_a_long_ring_is_written_back_over_several_turns_and_new_rows_wait_behind_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.keeping.WRITE_BACK_ROWS", 500)
    monkeypatch.setattr("server.keeping.WRITE_BACKS_A_TURN", 2)
    async with a_bench(tmp_path) as bench:
        heard = Heard(bench)
        connection = cast(SqliteStore, bench.spine.store)._writer._connection
        connection.execute("PRAGMA query_only = on")  # SQLite's own way to a medium gone read-only
        for _ in range(10):
            await heard.turn()
        assert heard.acknowledged == []
        held = bench.spine.engine.keeper.ring.rows
        connection.execute("PRAGMA query_only = off")
        await heard.turn()
        assert 0 < len(heard.acknowledged) == heard.in_the_record() < heard.said
        assert 0 < bench.spine.engine.keeper.ring.rows < held
        for _ in range(10):
            await bench.spine.engine.turn(())
        heard.all_is_well()


async def test_a_stop_writes_what_waits_if_the_disk_takes_it(tmp_path: Path) -> None:
    async with a_bench(tmp_path) as bench:
        heard = Heard(bench)
        connection = cast(SqliteStore, bench.spine.store)._writer._connection
        connection.execute("PRAGMA query_only = on")
        await heard.turn()
        connection.execute("PRAGMA query_only = off")
        engine = bench.spine.engine
        await engine.keeper.finish(engine.store, bench.clock.now())
        assert len(heard.acknowledged) == heard.in_the_record() == heard.said


def test_a_kill_while_it_is_full_loses_only_what_was_never_acknowledged(tmp_path: Path) -> None:
    """RLIMIT_FSIZE makes the writes themselves fail (SQLITE_IOERR_WRITE), in a process of its own, which is killed."""
    script = textwrap.dedent("""
        import asyncio, resource, signal, sys
        from pathlib import Path
        from tests.unit.spine import Bench, sample

        async def main(folder):
            bench, last = Bench(folder), 0
            resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, resource.RLIM_INFINITY))
            for turn in range(400):
                items = [sample("bench-1", turn * 10 + n / 100, 20, 40, acknowledge=lambda n=n: print(turn * 100 + n))
                         for n in range(100)]
                bench.until(items[-1].heard_mono_s)
                await bench.spine.engine.turn(items)
                if bench.spine.engine.keeper.ring.rows > 3000:
                    print("held", bench.spine.engine.keeper.error, flush=True)
                    sys.stdin.read()

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        asyncio.run(main(Path(sys.argv[1])))
    """)
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[1] == resource.RLIM_INFINITY
    with subprocess.Popen(
        [sys.executable, "-c", script, tmp_path], env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as child:  # fmt: skip
        assert child.stdout is not None
        acknowledged = []
        for line in child.stdout:
            if line.startswith("held"):
                assert "SQLITE_IOERR_WRITE" in line or "SQLITE_FULL" in line
                break
            acknowledged.append(int(line))
        os.kill(child.pid, signal.SIGKILL)
    assert acknowledged == list(range(len(acknowledged)))
    check(tmp_path / FILE_NAME)
    with sqlite3.connect(tmp_path / FILE_NAME) as connection:
        (kept,) = connection.execute(
            "SELECT count(*) FROM reading WHERE series = (SELECT id FROM series WHERE name = 'bench-1/humidity_pct')"
        ).fetchone()
    connection.close()
    assert kept == len(acknowledged) > 0
