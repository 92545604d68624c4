"""What the first turn of a start knows already, so that no alert ends with a restart to be raised anew."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import httpx

from server.app import Settings, serving
from server.clock import ManualClock, ScaledClock
from server.reading import JournalEntry
from server.stores.catalog import open_store
from tests.flow.conftest import read_config
from tests.unit.spine import CONFIG, START_MS, Bench
from tests.unit.test_neighbours import DAY_MS, kept, room

NOW_MS = START_MS + 30 * DAY_MS
AWAITED = {"sensors-parting", "record-copies"}


async def acknowledged(folder: Path, number: int) -> None:
    """One start: every alert that is awaited stands, and is acknowledged."""
    text = CONFIG.replace('topics = ["shop/+/air"]', 'topics = ["shop/+/air"]\nport = 9')
    config = read_config(text + "\n[store]\ndaily_backup = false\n")
    config = replace(config, api=config.api.model_copy(update={"port": 0}))
    clock = ScaledClock(NOW_MS + number * 600_000, 1.0)
    settings = Settings(config, folder, clock, restarted=True, boot=f"b{number}", machine_boot=f"m{number}")
    async with serving(settings) as port, httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}") as door:
        found: dict[str, str] = {}
        while not found.keys() >= AWAITED:
            await asyncio.sleep(0.05)
            reply = await door.get("/api/snapshot")
            if reply.status_code == 200:
                found = {a["rule"]: a["id"] for a in reply.json()["alerts"]}
        for rule in AWAITED:
            reply = await door.post(f"/api/alerts/{found[rule]}/acknowledge", json={"command_id": str(uuid4())})
            assert reply.status_code in {200, 409}, reply.text


async def test_alerts_from_the_record_outlive_a_start_of_the_whole_server(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    await kept(bench, "bench-1", room(30, 1, drift_pct_per_month=3.0))
    await kept(bench, "bench-2", room(30, 2))
    await bench.spine.store.add_journal([JournalEntry("salvaged-x", NOW_MS - DAY_MS, "salvaged", "record", {})])
    await bench.close()
    for number in (1, 2):
        await acknowledged(tmp_path, number)
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(NOW_MS + DAY_MS))
    story = [(a.rule, a.state) for a in history.alert_changes(0, 2**53) if a.rule in AWAITED]
    await store.close()
    assert sorted(story) == sorted((rule, state) for rule in AWAITED for state in ("unacknowledged", "acknowledged"))
