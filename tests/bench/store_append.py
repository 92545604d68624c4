"""Laying a past down through the store, rollups included, against a bare ``executemany`` of the same rows.

    .venv/bin/python tests/bench/store_append.py [--json]

14 months of 20 series, one reading in ten minutes, 5,000 rows a call; both sides take the same calls in turn, in one
run.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import random
import shutil
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from server.clock import ManualClock
from server.reading import Reading
from server.stores.catalog import open_store

SERIES = [f"t{n}/humidity_pct" for n in range(8)] + [f"zone:z{n}/emc_pct" for n in range(12)]
MOMENTS = 61_320
T0 = 1_735_689_600_000


def calls() -> Iterator[list[Reading]]:
    chance = random.Random(20270112)
    rows: list[Reading] = []
    for moment in range(MOMENTS):
        rows += [Reading(name, T0 + moment * 600_000, chance.uniform(5, 60)) for name in SERIES]
        if len(rows) >= 5_000:
            yield rows
            rows = []
    yield rows


def bare_file(path: Path) -> sqlite3.Connection:
    bare = sqlite3.connect(path, isolation_level=None)
    bare.execute("PRAGMA journal_mode = WAL")
    bare.execute("PRAGMA synchronous = NORMAL")
    bare.execute(
        "CREATE TABLE reading (series INTEGER, t_ms INTEGER, value REAL, flags INTEGER, raw REAL, "
        "PRIMARY KEY (series, t_ms)) WITHOUT ROWID"
    )
    return bare


async def measure(folder: Path) -> tuple[float, float, float]:
    """Seconds of the store, seconds of the bare insert, bytes a reading of the store's file."""
    numbers = {name: n for n, name in enumerate(SERIES)}
    bare = bare_file(folder / "bare.sqlite")
    store, _ = open_store(folder / "state", "America/New_York", ManualClock(T0))
    store_s = bare_s = 0.0
    for rows in calls():
        began = time.perf_counter()
        await store.append(rows)
        store_s += time.perf_counter() - began
        plain = [(numbers[r.series], r.t_ms, r.value, 0, None) for r in rows]
        began = time.perf_counter()
        bare.execute("BEGIN IMMEDIATE")
        bare.executemany("INSERT INTO reading VALUES (?, ?, ?, ?, ?)", plain)
        bare.execute("COMMIT")
        bare_s += time.perf_counter() - began
    bare.close()
    began = time.perf_counter()
    await store.close()
    store_s += time.perf_counter() - began
    size = (folder / "state" / "record.sqlite").stat().st_size
    return store_s, bare_s, size / (MOMENTS * len(SERIES))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="one JSON object instead of a table")
    as_json = parser.parse_args().json
    folder = Path(tempfile.mkdtemp())
    try:
        store_s, bare_s, size = asyncio.run(measure(folder))
    finally:
        shutil.rmtree(folder)
    figures = {
        "past_append_ratio_to_bare_insert": {
            "value": store_s / bare_s,
            "unit": "1",
            "goal": 2.0,
            "holds": store_s < 2 * bare_s,
        },
        "past_append_s": {"value": store_s, "unit": "s", "goal": 8.0, "holds": store_s < 8},
        "past_bytes_per_reading": {"value": size, "unit": "B", "goal": None, "holds": None},
    }
    if as_json:
        sys.stdout.write(json.dumps(figures) + "\n")
        return
    for name, figure in figures.items():
        line = f"{name:34} {figure['value']:8.2f} {figure['unit']:3} goal {figure['goal']} holds {figure['holds']}"
        sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
