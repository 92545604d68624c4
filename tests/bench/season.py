"""Five years of one series at one reading a minute: a view by day, against the same from raw rows.

SQL time against SQL time; the opening time goes through HTTP. The file is made once and kept in ``$STILLSTACK_BENCH``.
"""

from __future__ import annotations

import asyncio
import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import httpx

from server.clock import ManualClock
from server.reading import Reading
from server.stores.catalog import open_store
from tests.bench.figure import Figure
from tests.bench.processes import CACHE, broker, folder, server, shop_config

MINUTE_MS, DAY_MS = 60_000, 86_400_000
T0 = 1_636_000_000_000 // DAY_MS * DAY_MS
DAYS = 5 * 365
SERIES = "zone:bench/emc_pct"
ROWS_A_CALL = 20_000
VIEWS_D = (3, 30, 365, DAYS)
RAW = """
SELECT t_ms / 86400000, min(value), avg(value), max(value) FROM reading
WHERE series = (SELECT id FROM series WHERE name = ?) AND flags & 0x7F5F = 0 GROUP BY 1
"""
BY_DAY = """
SELECT start_ms, minimum, mean, maximum FROM day WHERE series = (SELECT id FROM series WHERE name = ?) ORDER BY start_ms
"""


def five_years() -> Path:
    """The folder of the record; made if it is not there."""
    kept = CACHE / "five-years-2"
    if not (kept / "whole").exists():
        shutil.rmtree(kept, ignore_errors=True)
        kept.mkdir(parents=True)
        asyncio.run(_lay_down(kept))
        (kept / "whole").touch()
    return kept


async def _lay_down(place: Path) -> None:
    store, _ = open_store(place, "UTC", ManualClock(T0 + DAYS * DAY_MS))
    try:
        moments = range(0, DAYS * 1440, ROWS_A_CALL)
        for start in moments:
            stop = min(start + ROWS_A_CALL, DAYS * 1440)
            await store.append(
                [Reading(SERIES, T0 + n * MINUTE_MS, 6 + (n * 7919 % 4001) / 1000) for n in range(start, stop)]
            )
    finally:
        await store.close()


def _reading(minute: int) -> Reading:
    return Reading(SERIES, T0 + minute * MINUTE_MS, 6 + (minute * 7919 % 4001) / 1000)


def seconds(work: Callable[[], object]) -> float:
    began_s = time.perf_counter()
    work()
    return time.perf_counter() - began_s


def measure_sql() -> list[Figure]:
    path = five_years() / "record.sqlite"
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as record:
        days = record.execute(BY_DAY, (SERIES,)).fetchall()
        assert len(days) == len(record.execute(RAW, (SERIES,)).fetchall()) == DAYS
        pairs = []
        for _ in range(3):
            by_day_s = min(seconds(lambda: record.execute(BY_DAY, (SERIES,)).fetchall()) for _ in range(5))
            pairs.append((seconds(lambda: record.execute(RAW, (SERIES,)).fetchall()), by_day_s))
    ratios = tuple(raw_s / by_day_s for raw_s, by_day_s in pairs)
    note = f"{1000 * pairs[1][1]:.2f} ms by day, {1000 * pairs[1][0]:,.0f} ms from {DAYS * 1440:,} raw rows"
    return [Figure("season_speedup_to_raw_sqlite", "1", 300.0, "at least", ratios, note)]


def measure_open() -> list[Figure]:
    """The worst view's median: three days, a month, a year, five years."""
    with folder() as place, broker(place) as port:
        (place / "state").mkdir()
        for name in ("record.sqlite",):
            shutil.copy(five_years() / name, place / "state" / name)
        with (
            server(place, shop_config(port, 1)) as (door, _),
            httpx.Client(base_url=f"http://127.0.0.1:{door}") as http,
        ):
            found = {days: [1000 * seconds(lambda d=days: _view(http, d)) for _ in range(9)] for days in VIEWS_D}  # type: ignore[misc]
    worst = max(found, key=lambda days: sorted(found[days])[4])
    note = ", ".join(f"{days} d {sorted(times)[4]:.1f} ms" for days, times in found.items())
    return [Figure("season_open_ms", "ms", 50.0, "at most", tuple(found[worst]), note)]


def _view(http: httpx.Client, days: int) -> None:
    to_ms = T0 + DAYS * DAY_MS
    query = {"zone": "bench", "from_ms": to_ms - days * DAY_MS, "to_ms": to_ms, "points": 2000}
    reply = http.get("/api/history", params=query)
    reply.raise_for_status()
    assert len(reply.json()["points"]) >= min(days, 900)
