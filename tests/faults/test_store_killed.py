"""kill -9 of the writing process: every acknowledged call is there, and no call is there in part."""

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

from server.stores.sqlite_file import FILE_NAME

KILLS = 12
ROWS = 40
T0 = 1_799_755_200_000
STEP_MS = 30_000
WRITER = textwrap.dedent(f"""
    import asyncio, sys
    from pathlib import Path
    from server.reading import JournalEntry, Reading
    from server.stores.catalog import open_store

    async def main(folder, first):
        store, _ = open_store(Path(folder), "Europe/Berlin")
        for number in range(first, first + 100_000):
            t_ms = {T0} + number * {STEP_MS}
            rows = [Reading(f"t{{n}}/temperature_c", t_ms, number + n / 64) for n in range({ROWS})]
            if number % 3 == 0:
                await asyncio.gather(store.append(rows[:15]), store.append(rows[15:]))
            else:
                await store.append(rows)
            await store.add_journal([JournalEntry(f"e{{number}}", t_ms, "placed", "t1", {{"number": number}})])
            print(number, flush=True)

    asyncio.run(main(sys.argv[1], int(sys.argv[2])))
""")


def run_and_kill(folder: Path, first: int, chance: random.Random) -> int:
    """Write from batch ``first`` on and kill at a moment soon after some acknowledgement; the last one acknowledged."""
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, folder, str(first)], stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        last = first - 1
        for _ in range(chance.randint(1, 25)):
            last = int(child.stdout.readline())
        # busy, not asleep: between any two instructions of the child, which goes on writing meanwhile
        for _ in range(chance.randint(0, 40_000)):
            pass
        os.kill(child.pid, signal.SIGKILL)
        for line in child.stdout:
            if line.endswith("\n"):
                last = int(line)
    return last


def test_a_dozen_kills(tmp_path: Path) -> None:
    chance = random.Random(20270112)
    acknowledged = -1
    for _ in range(KILLS):
        last = run_and_kill(tmp_path, acknowledged + 1, chance)
        assert last > acknowledged
        acknowledged = last
        present, journal = look(tmp_path / FILE_NAME)
        assert [present[number] for number in range(acknowledged + 1)] == [ROWS] * (acknowledged + 1)
        assert journal >= set(range(acknowledged + 1))
        # the call that was under way: whole or not at all (one in three is two calls)
        under_way = acknowledged + 1
        assert set(present) | journal <= set(range(under_way + 1))
        assert present.get(under_way, 0) in ({0, 15, 25, ROWS} if under_way % 3 == 0 else {0, ROWS})


def look(path: Path) -> tuple[dict[int, int], set[int]]:
    """As the next process finds the file: readings of each batch, journal entries, and rollups that agree."""
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        raw = "SELECT series, t_ms - t_ms % 3600000, min(value), max(value), count(*) FROM reading GROUP BY 1, 2"
        hours = "SELECT series, start_ms, minimum, maximum, count FROM hour ORDER BY 1, 2"
        assert connection.execute(raw).fetchall() == connection.execute(hours).fetchall()
        by_day = connection.execute("SELECT series, sum(count) FROM day GROUP BY 1").fetchall()
        assert by_day == connection.execute("SELECT series, count(*) FROM reading GROUP BY 1").fetchall()
        batches = connection.execute("SELECT t_ms, count(*) FROM reading GROUP BY t_ms")
        present = {(t_ms - T0) // STEP_MS: count for t_ms, count in batches}
        return present, {int(name[1:]) for (name,) in connection.execute("SELECT id FROM journal")}
