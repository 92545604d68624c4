"""Lots on a real record: a year of two hundred of them made again from journal and air, and a correction of a quarter
ago while readings come in.

The record holds a year of two zones' air at one reading a minute, and a journal in which each lot has eight acts: it
comes in, is metered twice, moved, planed, laid otherwise twice, and lies. It is made once and kept in
``$STILLSTACK_BENCH``. Both run in a process of their own, as they do in the server: the stockroom beside the engine.
"""

from __future__ import annotations

import asyncio
import json
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from server.app import Settings, Spine, build
from server.bins import BIN_MS
from server.clock import ManualClock, ScaledClock
from server.reading import Reading, ZoneAir
from server.restore import restore
from server.shop.entries import Entry
from server.stores.catalog import open_store
from server.wood.air import saturation_pressure_pa
from tests.bench.figure import Figure, percentile
from tests.bench.processes import CACHE, ROOT, folder
from tests.unit.spine import config, sample

MINUTE_MS, DAY_MS = 60_000, 86_400_000
T0 = 1_767_225_600_000 // DAY_MS * DAY_MS
DAYS, LOTS, BACK_DAYS = 365, 200, 90
END_MS = T0 + DAYS * DAY_MS + 5 * MINUTE_MS
ZONES = ("bench", "loft")
SPECIES = ("cherry_black", "oak_white", "walnut_black", "maple_sugar", "ash_white")
ROWS_A_CALL = 20_000
EVERY_S, QUIET_S = 0.05, 2.0


def journal(lots: int, begin_ms: int, end_ms: int, received_by: float = 0.3) -> list[Entry]:
    """Entries of so many lots between two moments, the first ``received_by`` of which they come in; eight acts each."""
    chance, entries, span = np.random.default_rng(6), [], end_ms - begin_ms

    def tell(part: float, **deed: Any) -> None:
        n = len(entries)
        t_ms = begin_ms + round(part * span)
        entries.append(Entry(id=f"bench-{n:06}", t_ms=t_ms, recorded_ms=t_ms, deed=deed))

    for i in range(lots):
        lot = f"lot-{i:04}"
        came = chance.uniform(0.0, received_by)
        first, *rest = np.sort(chance.uniform(came + 0.001, 0.999, 6))
        tell(
            came, kind="received", lot=lot, name=lot, species=SPECIES[i % 5], pieces=8, width_mm=150, length_mm=2000,
            thickness_mm=float(chance.choice([12, 20, 27, 34, 52])), zone=ZONES[i % 2], start={"kind": "unknown"},
            aim={"dry_limit_pct": 6, "damp_limit_pct": 10},
        )  # fmt: skip
        tell(first, kind="metered", lot=lot, reading_pct=chance.uniform(8, 12))
        for part, deed in zip(rest, _life(i, chance), strict=True):
            tell(part, lot=lot, **deed)
    return entries


def _life(i: int, chance: np.random.Generator) -> list[dict[str, Any]]:
    away, back = (("one-face", "stickered"), ("wrapped", "unwrapped"), ("dead-stacked", "stickered"))[i % 3]
    return [
        {"kind": "moved", "zone": ZONES[(i + 1) % 2]}, {"kind": "milled", "take_top_mm": 1.5, "take_bottom_mm": 1.0},
        {"kind": away}, {"kind": "metered", "reading_pct": chance.uniform(8, 10)}, {"kind": back},
    ]  # fmt: skip


def air(minutes: np.ndarray[Any, Any], zone: int) -> tuple[Any, Any]:
    """°C and Pa: a year, a day, and noise with a correlation of six hours."""
    chance, day = np.random.default_rng(zone), minutes / 1440.0
    shocks, noise = chance.normal(size=(2, minutes.size)) * np.sqrt(2 / 360), np.zeros((2, minutes.size))
    for n in range(1, minutes.size):
        noise[:, n] = (1 - 1 / 360) * noise[:, n - 1] + shocks[:, n]
    c = 17 + 3 * np.sin(2 * np.pi * day / 365) + 2 * np.sin(2 * np.pi * day) + 0.4 * noise[0]
    rh = 45 + 5 * zone + 8 * np.sin(2 * np.pi * day / 365) + 4 * np.sin(2 * np.pi * day + 2) + 1.5 * noise[1]
    return c, saturation_pressure_pa(c) * rh / 100


def a_year() -> Path:
    """The folder of the record, without any checkpoint; made if it is not there."""
    kept = CACHE / "year-of-lots-1"
    if not (kept / "whole").exists():
        shutil.rmtree(kept, ignore_errors=True)
        kept.mkdir(parents=True)
        asyncio.run(_lay_down(kept))
        (kept / "whole").touch()
    return kept


async def _lay_down(place: Path) -> None:
    store, _ = open_store(place, "Europe/Oslo", ManualClock(END_MS))
    try:
        minutes = np.arange((END_MS - T0) // MINUTE_MS)
        for i, zone in enumerate(ZONES):
            for name, values in zip(("temperature_c", "vapour_pressure_pa"), air(minutes, i), strict=True):
                rows = [Reading(f"zone:{zone}/{name}", T0 + MINUTE_MS * m, v) for m, v in enumerate(values.tolist())]
                for n in range(0, len(rows), ROWS_A_CALL):
                    await store.append(rows[n : n + ROWS_A_CALL])
        await store.add_journal([entry.kept() for entry in journal(LOTS, T0, END_MS - DAY_MS)])
    finally:
        await store.close()


def measure() -> list[Figure]:
    """The year, then the correction on what came of it."""
    place = a_year()
    with folder() as work:
        shutil.copy(place / "record.sqlite", work / "record.sqlite")
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.lots", str(work)], cwd=ROOT, capture_output=True, text=True, check=True
        )
    found = json.loads(done.stdout)
    year = f"{found['year_cpu_s']:.1f} s of processor time; of the wall {found['air_s']:.1f} s to read the air"
    again = f"{found['again_cpu_s']:.1f} s of processor time, readings included"
    late = f"of {found['readings']} readings; median {found['median_ms']:.0f} ms, quiet {found['quiet_ms']:.0f} ms, \
99 % within {found['p99_ms']:.0f} ms"
    return [
        Figure("rebuild_year_200_lots_s", "s", 10, "at most", (found["year_s"],), year),
        Figure("correct_quarter_200_lots_s", "s", 3, "at most", (found["again_s"],), again),
        Figure("correct_quarter_reading_delay_ms", "ms", 100, "at most", (found["delay_ms"],), late),
    ]


async def both(place: Path) -> dict[str, float]:
    """In this process: what :func:`measure` says."""
    clock = ScaledClock(END_MS)
    spine = build(Settings(replace(config()), place, clock, boot="bench", machine_boot="bench"))
    restore(spine.engine, spine.engine.clock.now())
    try:
        wall_s, cpu_s = time.perf_counter(), time.process_time()
        running = asyncio.create_task(spine.stockroom.run())
        await _until(lambda: len(spine.stockroom.course.woods.names) == LOTS)
        assert spine.stockroom.course.at_ms >= END_MS - BIN_MS
        year_s, year_cpu_s = time.perf_counter() - wall_s, time.process_time() - cpu_s
        course = spine.stockroom.course
        newest_ms = course.made[-1].at_ms  # of its checkpoints, which are kept one after the other
        await _until(lambda: newest_ms in spine.history.checkpoint_edges(newest_ms)[:1])
        wall_s = time.perf_counter()
        await asyncio.to_thread(spine.stockroom._air, T0, course.at_ms)
        found = {"year_s": year_s, "year_cpu_s": year_cpu_s, "air_s": time.perf_counter() - wall_s}
        found |= await _correct(spine)
        running.cancel()
        return found
    finally:
        await spine.store.close()


async def _until(there: Callable[[], bool]) -> None:
    while not there():  # noqa: ASYNC110 - the stockroom tells nobody
        await asyncio.sleep(0.005)


async def _correct(spine: Spine) -> dict[str, float]:
    """Air of a quarter ago comes late in both zones, while a reading comes in twenty times a second."""
    stockroom, stop = spine.stockroom, asyncio.Event()
    taken: list[tuple[float, float]] = []
    heard = asyncio.create_task(_readings(spine, stop, taken))
    await asyncio.sleep(QUIET_S)
    quiet = [took_s for _, took_s in taken]
    before, t_ms = stockroom.course, END_MS - BACK_DAYS * DAY_MS
    wall_s, cpu_s = time.perf_counter(), time.process_time()
    late = [ZoneAir(zone, t_ms, 18.0, 900.0, 44, 0, 0, 0, 0) for zone in ZONES]
    rows = [(name, getattr(a, name), a) for a in late for name in ("temperature_c", "vapour_pressure_pa")]
    await spine.store.append([Reading(f"zone:{a.zone}/{name}", t_ms, value) for name, value, a in rows])
    stockroom.air_heard(late)
    await _until(lambda: stockroom.course is not before)
    again_s, again_cpu_s = time.perf_counter() - wall_s, time.process_time() - cpu_s
    assert {name for run in stockroom.course.made for name in run.woods.names} == set(before.woods.names)
    stop.set()
    await heard
    during = [took_s for at_s, took_s in taken if wall_s <= at_s <= wall_s + again_s]
    return {
        "again_s": again_s, "again_cpu_s": again_cpu_s, "readings": len(during), "delay_ms": 1000 * max(during),
        "median_ms": 1000 * percentile(during, 0.5), "p99_ms": 1000 * percentile(during, 0.99),
        "quiet_ms": 1000 * percentile(quiet, 0.5),
    }  # fmt: skip


async def _readings(spine: Spine, stop: asyncio.Event, taken: list[tuple[float, float]]) -> None:
    """A turn of one reading each 50 ms: when it was due, and how long after that it was kept and on the wall."""
    began_s, n = time.perf_counter(), 0
    while not stop.is_set():
        due_s = began_s + n * EVERY_S
        await asyncio.sleep(max(0.0, due_s - time.perf_counter()))
        now = spine.engine.clock.now()
        said = replace(sample("bench-1", 0, 18 + 0.001 * (n % 7), 44), heard_ms=now.wall_ms, heard_mono_s=now.mono_s)
        await spine.engine.turn([said])
        taken.append((due_s, time.perf_counter() - due_s))
        n += 1


if __name__ == "__main__":
    sys.stdout.write(json.dumps(asyncio.run(both(Path(sys.argv[1])))))
