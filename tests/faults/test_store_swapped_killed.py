"""kill -9 while a damaged record is salvaged, a copy is put back, or a copy is made: nothing half done, ever.

Each killed process is followed by what a person would do next, and that ends with the whole record. Field pitfall 33.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import textwrap
from contextlib import closing
from pathlib import Path

import pytest

from server.clock import ManualClock
from server.reading import Reading
from server.stores.backup import back_up, backups, restore
from server.stores.catalog import open_store
from server.stores.sqlite_file import FILE_NAME

T0 = 1_799_755_200_000
KILLS = 8
ROWS = 20_000
ROOT = Path(__file__).resolve().parents[2]
NAME = "t1/temperature_c"
DEEDS = textwrap.dedent(f"""
    import asyncio, sys
    from pathlib import Path
    from server.clock import ManualClock
    from server.stores import backup, catalog, swap

    deed, folder = sys.argv[1], Path(sys.argv[2])

    def marked(real):
        def call(*args, **more):
            print("step", flush=True)
            return real(*args, **more)
        return call

    # between the steps a kill is most likely to hurt
    Path.rename, swap.synced = marked(Path.rename), marked(swap.synced)
    print("begin", flush=True)
    if deed == "salvage":
        store, _ = catalog.open_store(folder, "UTC", ManualClock({T0}))
        asyncio.run(store.close())
    elif deed == "restore":
        backup.restore(folder, folder / "backups" / "record-20270110T030000Z.sqlite", {T0})
    else:
        backup.back_up(folder / "record.sqlite", folder / "backups" / "record-20270112T030000Z.sqlite")
    print("done", flush=True)
""")


def run_and_kill(deed: str, folder: Path, chance: random.Random) -> None:
    """Begin a deed and kill it after a random number of its steps, and a random while later."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", DEEDS, deed, str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as child:
        assert child.stdout is not None
        for _ in range(chance.randint(1, 9)):
            if child.stdout.readline() in ("", "done\n"):
                break
        for _ in range(chance.randint(0, 60_000)):
            pass
        os.kill(child.pid, signal.SIGKILL)
        child.stdout.read()


async def laid_down(folder: Path) -> Path:
    store, _ = open_store(folder, "UTC", ManualClock(T0))
    for first in range(0, ROWS, 5000):
        await store.append([Reading(NAME, T0 + n * 1000, float(n)) for n in range(first, first + 5000)])
    await store.close()
    return folder / FILE_NAME


def aside_of(folder: Path, why: str) -> list[Path]:
    return [p for p in folder.glob(f"{FILE_NAME}.{why}-*") if not p.name.endswith(("-wal", "-shm"))]


def values(path: Path) -> list[float]:
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [value for (value,) in connection.execute("SELECT value FROM reading ORDER BY t_ms")]


@pytest.mark.parametrize("seed", range(KILLS))
async def test_killed_while_it_salvages(tmp_path: Path, seed: int) -> None:
    path = await laid_down(tmp_path)
    with path.open("r+b") as file:
        file.write(bytes(100))
    run_and_kill("salvage", tmp_path, random.Random(seed))
    store, history = open_store(tmp_path, "UTC", ManualClock(T0 + 60_000))
    await store.append([Reading("t2/temperature_c", T0, 1.0)])
    assert history.columns(NAME, 0, 1 << 50)[1] == [float(n) for n in range(ROWS)]
    assert len(history.journal("salvaged")) == 1
    await store.close()
    (aside,) = aside_of(tmp_path, "damaged")
    assert aside.read_bytes()[:100] == bytes(100)
    assert not (tmp_path / f"{FILE_NAME}.part").exists()


@pytest.mark.parametrize("seed", range(KILLS))
async def test_killed_while_a_copy_is_put_back(tmp_path: Path, seed: int) -> None:
    path = await laid_down(tmp_path)
    copy = tmp_path / "backups" / "record-20270110T030000Z.sqlite"
    back_up(path, copy)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("DELETE FROM reading WHERE value >= 100")
    run_and_kill("restore", tmp_path, random.Random(seed))
    store, history = open_store(tmp_path, "UTC", ManualClock(T0))
    await store.close()
    found = history.columns(NAME, 0, 1 << 50)[1]
    assert found in ([float(n) for n in range(100)], [float(n) for n in range(ROWS)]), "the one or the other, whole"
    restore(tmp_path, copy, T0 + 60_000)
    assert values(path) == [float(n) for n in range(ROWS)]
    kept = [values(p) for p in aside_of(tmp_path, "replaced")]
    assert [float(n) for n in range(100)] in kept, "and what was there before is still to be had"


@pytest.mark.parametrize("seed", range(KILLS))
async def test_killed_while_a_copy_is_made(tmp_path: Path, seed: int) -> None:
    path = await laid_down(tmp_path)
    run_and_kill("backup", tmp_path, random.Random(seed))
    for whole in backups(tmp_path / "backups"):
        assert values(whole) == [float(n) for n in range(ROWS)], "what looks whole is whole"
    back_up(path, tmp_path / "backups" / "record-20270113T030000Z.sqlite")
    assert not list((tmp_path / "backups").glob("*.part*"))
    assert values(path) == [float(n) for n in range(ROWS)]
