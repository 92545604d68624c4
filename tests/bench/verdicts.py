"""The verdicts of five thousand lots: a half hour's pass over all of them, what it holds readings up, and how soon a
person sees what a telling changed.

Both zones have a year of record: their season is the air beyond. Every third lot is milled, and lies on one face, in a
wrap or on stickers, so a stop may do it harm: the dear question. The processor time is that of a pass alone; then
readings come in twenty times a second while another goes on, and entries are told.
"""

from __future__ import annotations

import asyncio
import json
import math
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from server.app import Settings, Spine, build
from server.clock import ManualClock, ScaledClock
from server.reading import Reading
from server.restore import restore
from server.shop.entries import Entry
from server.stores.catalog import open_store
from tests.bench.figure import Figure, percentile
from tests.bench.lots import DAY_MS, MINUTE_MS, QUIET_S, SPECIES, T0, ZONES, _readings, air
from tests.bench.processes import ROOT, folder
from tests.unit.spine import config

LOTS, TOLD = 5000, 10
HOUR_MS = 3_600_000
END_MS = T0 + DAY_MS + 5 * MINUTE_MS
WAYS = ("one-face", "wrapped", "stickered")


def measure() -> list[Figure]:
    with folder() as work:
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.verdicts", str(work)],
            cwd=ROOT, capture_output=True, text=True, check=True,
        )  # fmt: skip
    found = json.loads(done.stdout)
    share = f"{100 * found['cpu_s'] / 1800:.1f} % of one core, once each half hour; {LOTS // 3} lots are milled"
    late = (
        f"of {found['readings']} readings; median {found['median_ms']:.0f} ms, 99 % within {found['p99_ms']:.0f} ms, \
quiet at most {found['quiet_ms']:.0f} ms"
    )
    told = f"the longest of {TOLD}; {found['told_cpu_s']:.2f} s of processor time each"
    return [
        Figure("verdicts_5000_lots_cpu_s", "s", 60, "at most", (found["cpu_s"],), share),
        Figure("verdicts_5000_lots_reading_delay_ms", "ms", 100, "at most", (found["delay_ms"],), late),
        Figure("verdict_after_telling_s", "s", 1, "at most", (found["told_s"],), told),
    ]


def _journal() -> Iterator[Entry]:
    chance, n = np.random.default_rng(7), 0
    for i in range(LOTS):
        lot, came_ms = f"lot-{i:04}", T0 + round(chance.uniform(0, 0.4) * DAY_MS)
        deeds: list[dict[str, Any]] = [{
            "kind": "received", "name": lot, "species": SPECIES[i % 5], "pieces": 8, "width_mm": 150,
            "length_mm": 2000, "thickness_mm": float(chance.choice([12, 20, 27, 34, 52])), "zone": ZONES[i % 2],
            "start": {"kind": "unknown"}, "aim": {"dry_limit_pct": 6, "damp_limit_pct": 10},
        }]  # fmt: skip
        if i % 3 == 0:
            deeds += [{"kind": "milled", "take_top_mm": 1.5, "take_bottom_mm": 1.0}, {"kind": WAYS[i // 3 % 3]}]
        for k, deed in enumerate(deeds):
            t_ms = came_ms + round(k * 0.25 * DAY_MS)
            yield Entry(id=f"bench-{n:06}", t_ms=t_ms, recorded_ms=t_ms, deed={"lot": lot, **deed})
            n += 1


def past_year() -> Iterator[tuple[str, list[tuple[int, float]]]]:
    """Four hundred days at 20 °C, four values each: hours before the first, driest then and a year before."""
    hours = range(400 * 24, 0, -6)
    yield "temperature_c", [(h, 20.0) for h in hours]
    yield "emc_pct", [(h, 8.0 - 1.5 * math.cos(2.0 * math.pi * h / (365.2425 * 24))) for h in hours]


async def lay_down(place: Path, end_ms: int, journal: Iterable[Entry]) -> None:
    """A record of both zones until then, with the year before it, and a journal."""
    store, _ = open_store(place, "Europe/Oslo", ManualClock(end_ms))
    try:
        minutes = np.arange((end_ms - T0) // MINUTE_MS)
        for i, zone in enumerate(ZONES):
            for name, values in zip(("temperature_c", "vapour_pressure_pa"), air(minutes, i), strict=True):
                rows = [Reading(f"zone:{zone}/{name}", T0 + MINUTE_MS * m, v) for m, v in enumerate(values.tolist())]
                await store.append(rows)
            for name, values in past_year():
                rows = [Reading(f"zone:{zone}/{name}", T0 - h * HOUR_MS, v) for h, v in values]
                await store.append(rows)
        await store.add_journal([entry.kept() for entry in journal])
    finally:
        await store.close()


async def all_of_it(place: Path) -> dict[str, float]:
    """In this process: what :func:`measure` says."""
    await lay_down(place, END_MS, _journal())
    spine = build(Settings(replace(config()), place, ScaledClock(END_MS), boot="bench", machine_boot="bench"))
    restore(spine.engine, spine.engine.clock.now())
    try:
        await spine.stockroom.opened()
        cpu_s = time.process_time()
        await spine.lot_verdicts.catch_up()
        found = {"cpu_s": time.process_time() - cpu_s}
        assert len(spine.lot_verdicts.now.of) == LOTS
        assert all(spine.stockroom.seasons.of(spine.history, zone, END_MS) for zone in ZONES)
        return found | await _told(spine) | await _heard(spine)
    finally:
        await spine.store.close()


async def _told(spine: Spine) -> dict[str, float]:
    """From the telling until the verdict hangs."""
    verdicts, took_s, cpu_s = spine.lot_verdicts, [], time.process_time()
    for n in range(TOLD):
        now_ms, lot, worked_out = spine.engine.clock.now().wall_ms, f"lot-{37 * n:04}", verdicts.worked_out
        deed = {"kind": "metered", "lot": lot, "reading_pct": 9.0}
        began_s = time.perf_counter()
        await spine.stockroom.tell(Entry(id=f"told-{n:04}", t_ms=now_ms, recorded_ms=now_ms, deed=deed))
        await verdicts.catch_up()
        took_s.append(time.perf_counter() - began_s)
        assert verdicts.worked_out == worked_out + 1
    return {"told_s": max(took_s), "told_cpu_s": (time.process_time() - cpu_s) / TOLD}


async def _heard(spine: Spine) -> dict[str, float]:
    """A zone has another name, and so all lots are asked once more, while readings come in."""
    taken: list[tuple[float, float]] = []
    stop, verdicts = asyncio.Event(), spine.lot_verdicts
    heard = asyncio.create_task(_readings(spine, stop, taken))
    await asyncio.sleep(QUIET_S)
    quiet = max(took_s for _, took_s in taken)
    taken.clear()
    spine.engine.zone_names["bench"] = "Another name"
    await verdicts.catch_up()
    stop.set()
    await heard
    late = [took_s for _, took_s in taken]
    return {
        "readings": len(late), "delay_ms": 1000 * max(late), "median_ms": 1000 * percentile(late, 0.5),
        "p99_ms": 1000 * percentile(late, 0.99), "quiet_ms": 1000 * quiet,
    }  # fmt: skip


if __name__ == "__main__":
    sys.stdout.write(json.dumps(asyncio.run(all_of_it(Path(sys.argv[1])))))
