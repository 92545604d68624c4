"""How fast years of readings go over to a real server, and what memory that takes.

    tests/bench/run forward_points_per_s forward_memory_mb

300,000 readings of 20 series, one in ten minutes, from the record through the forwarder and the client to a private
VictoriaMetrics on the same machine. The memory is what the process takes beyond an idle server's libraries and record,
the client's own import included, looked at every 20 ms.
"""

from __future__ import annotations

import asyncio
import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import server.app  # noqa: F401 - what an idle server has loaded already
from server.clock import SystemClock
from server.config import RemoteTable
from server.reading import Reading
from server.remotes import make_remotes
from server.stores.forward import Pace
from server.stores.sqlite import SqliteStore
from tests.bench.figure import HEADER, Figure
from tests.remotes import BUCKET, VictoriaServer, own_folder, running

SERIES = [f"t{n}/humidity_pct" for n in range(8)] + [f"zone:z{n}/emc_pct" for n in range(12)]
MOMENTS = 15_000
T0 = 1_600_000_000_000
RUNS = 3
ROOT = Path(__file__).resolve().parents[2]


def rss_mb() -> float:
    """Resident size of this process."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096 / 1e6


async def filled(store: SqliteStore) -> None:
    chance = random.Random(20270112)
    for first in range(0, MOMENTS, 250):
        moments = range(first, min(first + 250, MOMENTS))
        rows = [Reading(s, T0 + m * 600_000, round(chance.uniform(5, 60), 2)) for m in moments for s in SERIES]
        await store.append(rows)


async def copied(store: SqliteStore, url: str) -> tuple[float, float]:
    """Rows a second, and MB at most beyond what the process had before."""
    table = RemoteTable(id="bench", url=url, bucket=BUCKET)
    remotes = await make_remotes(
        [table], "Bench", store.outbox, SystemClock(), lambda t: Pace(t.batch_rows, gather_s=0.0)
    )
    before_mb = most_mb = rss_mb()
    began_s = time.perf_counter()
    task = asyncio.create_task(remotes.forwarders["bench"].run())
    while (state := remotes.states()[0]).state != "idle":
        if state.error:
            raise RuntimeError(state.error)
        await asyncio.sleep(0.02)
        most_mb = max(most_mb, rss_mb())
    took_s = time.perf_counter() - began_s
    task.cancel()
    await asyncio.wait({task})
    rows = MOMENTS * len(SERIES)
    if state.sent != rows:
        raise RuntimeError(f"{state.sent} rows sent; would be right: {rows}")
    return rows / took_s, most_mb - before_mb


async def _measured(folder: Path, url: str) -> tuple[float, float]:
    store = SqliteStore(folder / "state", "Europe/Oslo", SystemClock())
    try:
        await filled(store)
        return await copied(store, url)
    finally:
        await store.close()


def one_run() -> tuple[float, float]:
    """In this process: rows a second, MB."""
    with tempfile.TemporaryDirectory() as name, own_folder() as folder, running(VictoriaServer(folder / "v")) as remote:
        return asyncio.run(_measured(Path(name), remote.url))


def measure() -> list[Figure]:
    """Both figures; each run in a process of its own, so that no run finds the memory of the one before."""
    command = [sys.executable, "-m", "tests.bench.forward", "--once"]
    runs = []
    for _ in range(RUNS):
        said = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, check=True, timeout=120).stdout
        runs.append(json.loads(said))
    rates, sizes = zip(*runs, strict=True)
    return [
        Figure("forward_points_per_s", "1/s", 20_000, "at least", rates, "to a time-series server beside it"),
        Figure("forward_memory_mb", "MB", 30, "at most", sizes, "beyond an idle server, the client's import included"),
    ]


if __name__ == "__main__":
    if sys.argv[1:] == ["--once"]:
        sys.stdout.write(json.dumps(one_run()) + "\n")
    else:
        sys.stdout.write("\n".join([HEADER, *(figure.line() for figure in measure())]) + "\n")
