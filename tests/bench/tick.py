"""A large shop at work: five hundred devices that say two quantities each once a minute, and five thousand lots.

The server's own process, devices through a broker. Its processor time is that of a stretch in which nobody asks it for
anything, once every lot has its verdict (`verdicts_5000_lots_cpu_s` is what those take a half hour). The snapshot's
time is then asked ten times a second. A half hour closes too rarely for that: what it costs all lots, and what the two
a day do in which members are brought up to their middles, is measured beside it and added.
"""

from __future__ import annotations

import asyncio
import json
import os
import threading
import time
from collections.abc import Callable
from pathlib import Path

import httpx
import numpy as np
import paho.mqtt.client as paho

from server.bins import BIN_MS
from server.clock import SystemClock
from server.shop.entries import Entry
from server.stores.catalog import open_store
from server.wood.air_series import AirSeries
from server.wood.belief import Belief
from server.wood.carry import SPAN_S, advance
from server.wood.stock import Stock
from tests.bench.figure import Figure, percentile
from tests.bench.lots import SPECIES
from tests.bench.processes import broker, cpu_s, folder, rss_mb, server, shop_config, until

DEVICES, LOTS = 500, 5000
QUIET_S, ASKED_S, EVERY_S = 20.0, 12.0, 0.1
HALF_HOUR_S = BIN_MS / 1000


def measure() -> list[Figure]:
    tick_s, span_s = _closing()
    with folder() as place, broker(place) as port:
        (place / "state").mkdir()
        asyncio.run(_journal(place / "state"))
        with (
            server(place, shop_config(port, DEVICES)) as (door, process),
            _devices(port),
            httpx.Client(base_url=f"http://127.0.0.1:{door}", timeout=30) as http,
        ):
            until(lambda: http.get("/api/lots/lot-4999").json().get("moisture"), "the lots", 120, 0.5)
            until(lambda: http.get("/api/health").json()["readings"] >= 2 * DEVICES, "every device", 120, 0.5)
            last = f"/api/lots?skip={LOTS - 1}&limit=1&profiles=false"  # they are worked out in this order
            until(lambda: http.get(last).json()[0]["verdict"], "every verdict", 180, 1.0)
            before_s = cpu_s(process.pid)
            time.sleep(QUIET_S)
            quiet_pct = 100 * (cpu_s(process.pid) - before_s) / QUIET_S
            asked = _asked(lambda: http.get("/api/snapshot").raise_for_status())
            rss = rss_mb(process.pid)
    closing_pct = 100 * (tick_s + span_s * HALF_HOUR_S / SPAN_S) / HALF_HOUR_S
    both = (quiet_pct + closing_pct) / (os.cpu_count() or 1)
    note = f"of {os.cpu_count()} cores; of one {quiet_pct:.1f} % and {closing_pct:.2f} % for half hours that close \
({tick_s:.2f} s each, {span_s:.1f} s more twice a day)"
    return [
        Figure("tick_1000_series_5000_lots_cpu_pct", "%", 25, "at most", (both,), note),
        Figure("snapshot_p99_ms", "ms", 50, "at most", (1000 * percentile(asked, 0.99),), _median(asked)),
        Figure("tick_1000_series_5000_lots_rss_mb", "MB", 300, "at most", (rss,)),
    ]


def _median(asked: list[float]) -> str:
    return f"median {1000 * percentile(asked, 0.5):.0f} ms of {len(asked)}"


async def _journal(state: Path) -> None:
    """Lots that came in one after the other within three hours."""
    store, _ = open_store(state, "Europe/Oslo")
    try:
        now_ms, chance = SystemClock().now().wall_ms, np.random.default_rng(5)
        entries = []
        for i in range(LOTS):
            lot, t_ms = f"lot-{i:04}", now_ms - 4 * 3_600_000 + 2 * i * 1000
            deed = {
                "kind": "received", "lot": lot, "name": lot, "species": SPECIES[i % 5], "pieces": 8, "width_mm": 150,
                "length_mm": 2000, "thickness_mm": round(chance.uniform(12, 52)), "zone": "bench",
                "start": {"kind": "unknown"}, "aim": {"dry_limit_pct": 6, "damp_limit_pct": 10},
            }  # fmt: skip
            entries.append(Entry(id=f"tick-{i:05}", t_ms=t_ms, recorded_ms=t_ms, deed=deed).kept())
        await store.add_journal(entries)
    finally:
        await store.close()


class _devices:  # noqa: N801  a block
    """Every device once a minute, evenly."""

    def __init__(self, port: int) -> None:
        self._port, self._stop = port, threading.Event()
        self._thread = threading.Thread(target=self._talk)

    def __enter__(self) -> None:
        self._thread.start()

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _talk(self) -> None:
        client = paho.Client(paho.CallbackAPIVersion.VERSION2, protocol=paho.MQTTv5)
        client.connect("127.0.0.1", self._port)
        client.loop_start()
        n = 0
        while not self._stop.wait(0.01 if n < DEVICES else 60 / DEVICES):
            said = {"temperature": 20 + 0.01 * (n % 7), "humidity": 41 + 0.1 * (n % 5)}
            client.publish(f"shop/s{n % DEVICES}/air", json.dumps(said), qos=1)
            n += 1
        client.disconnect()
        client.loop_stop()


def _asked(ask: Callable[[], object]) -> list[float]:
    found, end_s = [], time.perf_counter() + ASKED_S
    while time.perf_counter() < end_s:
        began_s = time.perf_counter()
        ask()
        found.append(time.perf_counter() - began_s)
        time.sleep(max(0.0, EVERY_S - found[-1]))
    return found


def _closing() -> tuple[float, float]:
    """Processor seconds that all lots take for a half hour, and for bringing members up to their middles beside it."""
    chance = np.random.default_rng(5)
    stock = Stock.of(
        thickness_m=np.round(chance.uniform(0.012, 0.052, LOTS), 3), specific_gravity=chance.choice([0.47, 0.6], LOTS),
        volumetric_shrinkage=0.13,
    )  # fmt: skip
    belief = Belief.begin(stock, 9.0, 1.5)

    def step(belief: Belief, n: int) -> tuple[Belief, float]:
        air = AirSeries.constant(HALF_HOUR_S * np.array([n, n + 1.0]), 20.0 + 0.1 * n, 40.0)
        began_s = time.process_time()
        return advance(stock, belief, air), time.process_time() - began_s

    times = []
    for n in range(int(SPAN_S / HALF_HOUR_S)):
        belief, took_s = step(belief, n)
        times.append(took_s)
    plain = float(np.median(times[:-1]))
    return plain, times[-1] - plain
