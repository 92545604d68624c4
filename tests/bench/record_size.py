"""Bytes a reading takes in the record, rollups included: ten series as sensors and zones write them, a minute apart."""

from __future__ import annotations

import asyncio
import random
from pathlib import Path

from server.clock import ManualClock
from server.reading import Reading
from server.stores.catalog import open_store
from tests.bench.figure import Figure
from tests.bench.processes import folder

MINUTE_MS = 60_000
T0 = 1_798_761_600_000
DAYS = 30
SENSORS = [f"s{n}/{quantity}" for n in range(3) for quantity in ("temperature_c", "humidity_pct")]
ZONE = [f"zone:bench/{quantity}" for quantity in ("temperature_c", "vapour_pressure_pa", "humidity_pct", "emc_pct")]


async def _lay_down(place: Path) -> None:
    """Each minute's rows in one call, as a turn of the engine hands them over. Sensors speak in hundredths, what is
    computed from them has all its digits."""
    chance = random.Random(20270112)
    store, _ = open_store(place, "Europe/Oslo", ManualClock(T0))
    try:
        for minute in range(DAYS * 1440):
            t_ms = T0 + minute * MINUTE_MS
            said = [Reading(name, t_ms + 13 * n, round(chance.uniform(15, 45), 2)) for n, name in enumerate(SENSORS)]
            await store.append([*said, *(Reading(name, t_ms + 65, chance.uniform(5, 900)) for name in ZONE)])
    finally:
        await store.close()


def measure() -> list[Figure]:
    sizes = []
    with folder() as place:
        asyncio.run(_lay_down(place))
        readings = DAYS * 1440 * (len(SENSORS) + len(ZONE))
        sizes.append((place / "record.sqlite").stat().st_size / readings)
    note = f"{readings:,} readings of {len(SENSORS) + len(ZONE)} series, a minute apart, one call a minute"
    return [Figure("bytes_per_reading", "B", 30.0, "at most", tuple(sizes), note)]
