"""A glue-up asked over HTTP of a shop with 200 lots and a year of record: twelve boards, a year ahead.

The boards are of twelve lots in two zones, some too damp, so that the ways that would bring it sooner are run as well;
asked alternately with twelve that are ready. The first answer of a day also works out the zones' seasons, as the
verdicts' pass does, and is not counted.
"""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

import httpx

from server.api.door import opened
from server.api.rooms import Rooms
from server.app import Settings, Spine, build
from server.clock import ManualClock
from server.restore import restore
from server.shop.entries import Entry
from tests.bench.figure import Figure
from tests.bench.lots import DAY_MS, MINUTE_MS, T0, ZONES
from tests.bench.processes import ROOT, folder
from tests.bench.verdicts import HOUR_MS, lay_down
from tests.unit.spine import config

LOTS, BOARDS, DAYS = 200, 12, 8
RUNS, ASKED = 3, 10
END_MS = T0 + DAYS * DAY_MS + 5 * MINUTE_MS


def measure() -> list[Figure]:
    with folder() as work:
        command = [sys.executable, "-m", "tests.bench.glueup", str(work)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    note = f"of {2 * RUNS * ASKED}, half of them ready (median {found['ready_ms']:.0f} ms, {found['cpu_ms']:.0f} ms of \
processor time each); the longest {found['longest_ms']:.0f} ms"
    return [Figure("glueup_12_boards_ms", "ms", 150, "at most", tuple(found["runs_ms"]), note)]


def _journal() -> Iterator[Entry]:
    n = 0
    for i in range(LOTS):
        came_ms, damp = T0 + (1 + i % 20) * HOUR_MS, i % 24 >= BOARDS
        deeds: list[dict[str, Any]] = [
            {
                "kind": "received", "name": f"lot-{i:04}", "species": "cherry_black", "pieces": 2, "width_mm": 60,
                "length_mm": 2000, "thickness_mm": 25, "zone": ZONES[i % 2], "aim": {"destination": "heated"},
                "start": {"kind": "metered", "mc_pct": (12.0 if damp and i % 3 == 0 else 8.0) + 0.02 * (i % 12)},
            },
            {"kind": "milled", "take_top_mm": 1.5, "take_bottom_mm": 1.5},
        ]  # fmt: skip
        for k, deed in enumerate(deeds):
            t_ms = came_ms if k == 0 else END_MS - 8 * HOUR_MS
            yield Entry(id=f"bench-{n:06}", t_ms=t_ms, recorded_ms=t_ms, deed={"lot": f"lot-{i:04}", **deed})
            n += 1


async def asked(place: Path) -> dict[str, Any]:
    """In this process: what :func:`measure` says."""
    await lay_down(place, END_MS, _journal())
    clock = ManualClock(END_MS)
    spine = build(Settings(replace(config()), place, clock, boot="bench", machine_boot="bench"))
    restore(spine.engine, clock.now())
    try:
        await spine.stockroom.opened()
        async with (
            asyncio.TaskGroup() as group,
            opened(_rooms(spine, place), 0, group) as port,
            httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}", timeout=30) as door,
        ):
            return await _runs(door)
    finally:
        await spine.store.close()


async def _runs(door: httpx.AsyncClient) -> dict[str, Any]:
    words, ready, runs = set(), [], []
    for first in (0, BOARDS):
        words.add((await _answer(door, first))[1])
    assert "ready" in words, words
    assert len(words) == 2, words
    cpu_s = time.process_time()
    for _ in range(RUNS):
        took = []
        for _ in range(ASKED):
            ready.append((await _answer(door, 0))[0])
            took.append((await _answer(door, BOARDS))[0])
        runs.append(took)
    each_cpu_ms = 1000 * (time.process_time() - cpu_s) / (2 * RUNS * ASKED)
    return {
        "runs_ms": [median(took) for took in runs], "ready_ms": median(ready), "cpu_ms": each_cpu_ms,
        "longest_ms": max([*ready, *(ms for took in runs for ms in took)]),
    }  # fmt: skip


async def _answer(door: httpx.AsyncClient, first: int) -> tuple[float, str]:
    boards = [{"lot": f"lot-{i:04}", "pieces": 1} for i in range(first, first + BOARDS)]
    body = {"boards": boards, "adhesive": "pva", "clamp_h": 6, "aim": {"destination": "heated"}, "zone": "bench"}
    began_s = time.perf_counter()
    reply = await door.post("/api/glueup", json=body)
    took_ms = 1000 * (time.perf_counter() - began_s)
    assert reply.status_code == 200, reply.text
    return took_ms, str(reply.json()["word"])


def _rooms(spine: Spine, place: Path) -> Rooms:
    return Rooms(
        board=spine.engine.board, engine=spine.engine, history=spine.history, store_file=place / "record.sqlite",
        maker=None, listening=None, vitals=None, salt_checks=spine.salt_checks, upkeep=None, arranger=None,  # type: ignore[arg-type]
        stockroom=spine.stockroom, lot_verdicts=spine.lot_verdicts, room_keeper=None,  # type: ignore[arg-type]
    )  # fmt: skip


if __name__ == "__main__":
    sys.stdout.write(json.dumps(asyncio.run(asked(Path(sys.argv[1])))))
