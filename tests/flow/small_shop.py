"""A small shop as a server of its own process: three days of air in its record, and lots in them; a yard outdoors.

``python -m tests.flow.small_shop FOLDER`` lays the record down and serves it; its clock starts on a fixed day, and the
broker of its sensors is not there. :func:`served` starts and stops that.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import subprocess
import sys
from collections.abc import Iterator
from math import sin
from pathlib import Path
from typing import Any

from sensors.sample import RawSample
from server.app import Settings, build, run
from server.clock import ManualClock, ScaledClock
from server.shop.entries import Entry
from tests.flow.conftest import free_port, read_config

START_MS = 1_799_755_200_000
"""Tuesday 12 January 2027, 12:00 UTC."""
DAY_MS = 86_400_000
CONFIG = """
[shop]
name = "Small shop"
timezone = "Europe/Oslo"
[api]
port = {port}
[broker]
enabled = false
[[destination]]
id = "heated"
name = "heated rooms"
region = "most-areas"
[[zone]]
id = "bench"
name = "Bench room"
destination = "heated"
volume_m3 = 150
glazing = "double"
air_changes_per_h = 0.5
extractor_m3_per_h = 900
propane_kg_per_day = 0.5
[[zone]]
id = "loft"
name = "Rack loft"
destination = "heated"
[[zone]]
id = "yard"
name = "Yard"
destination = "heated"
outdoors = true
"""
AIR = (
    CONFIG
    + """
[[source]]
id = "mq"
kind = "mqtt"
host = "127.0.0.1"
port = 1
topics = ["shop/+/air"]
[[sensor]]
id = "bench-1"
source = "mq"
device = "bench-1"
zone = "bench"
[[sensor]]
id = "loft-1"
source = "mq"
device = "loft-1"
zone = "loft"
[[sensor]]
id = "yard-1"
source = "mq"
device = "yard-1"
zone = "yard"
"""
)
SOLID: dict[str, Any] = {
    "kind": "received", "lot": "ash-1", "name": "Rails", "species": "ash_white", "quarters": 4, "pieces": 8,
    "width_mm": 120, "length_mm": 2200, "zone": "bench", "start": {"kind": "unknown"}, "cost": 96,
    "aim": {"destination": "heated"},
}  # fmt: skip
SHEET = {**SOLID, "lot": "board-1", "name": "Shelves", "species": None, "quarters": None, "thickness_mm": 18,
         "sheet": "particleboard", "width_mm": 1200}  # fmt: skip
TOLD: list[dict[str, Any]] = [
    SOLID,
    {**SOLID, "lot": "oak-1", "name": "Legs", "species": "oak_northern_red", "quarters": 8, "zone": "loft"},
    SHEET,
    {"kind": "wrapped", "lot": "oak-1"},
    {"kind": "metered", "lot": "ash-1", "reading_pct": 9.0},
    {"kind": "split", "lot": "ash-1", "pieces": 2, "into": "ash-2", "name": "Short rails"},
    {"kind": "delivered", "lot": "ash-2"},
]


def samples(from_ms: int, to_ms: int) -> list[RawSample]:
    """Two rooms and a yard in winter, a reading every ten minutes."""
    said = []
    for t_ms in range(from_ms, to_ms, 600_000):
        swing = sin(t_ms / 13_000_000)
        rooms = ("bench-1", 20 + swing, 40 + 5 * swing), ("loft-1", 16.0, 52.0), ("yard-1", -4.0, 80.0)
        for device, temperature_c, humidity_pct in rooms:
            values = (("temperature_c", temperature_c), ("humidity_pct", humidity_pct))
            said.append(RawSample("mq", device, values, t_ms, (t_ms - to_ms) / 1000))
    return said


async def lay_down(folder: Path) -> None:
    """The record as it is when the server starts."""
    clock = ManualClock(START_MS)
    spine = build(Settings(read_config(AIR.format(port=0)), folder, clock))
    begin_ms = START_MS - 3 * DAY_MS
    await spine.engine.lay_down(samples(begin_ms, START_MS))
    await spine.stockroom.opened()
    for n, deed in enumerate(TOLD):
        t_ms = begin_ms + n * 3_600_000
        told = {"id": f"told-before-{n}", "t_ms": t_ms, "recorded_ms": t_ms, "who": "Ada", "deed": deed}
        await spine.stockroom.tell(Entry.model_validate(told))
    await spine.stockroom.catch_up()
    await spine.store.close()


def main(folder: Path, port: int) -> None:
    """Lay it down, then serve it until a signal."""
    logging.basicConfig(level=logging.INFO, format="%(name)s: %(message)s")
    asyncio.run(lay_down(folder))
    (folder / "ports").mkdir()
    config = read_config(AIR.format(port=port))
    asyncio.run(run(Settings(config, folder, ScaledClock(START_MS), serial_folder=folder / "ports")))


@contextlib.contextmanager
def served(folder: Path) -> Iterator[tuple[str, Path]]:
    """The server's address and what it says, while the block lasts."""
    port, said = free_port(), folder / "said.txt"
    (folder / "state").mkdir(parents=True)
    with said.open("w") as out:
        command = [sys.executable, "-m", "tests.flow.small_shop", str(folder / "state"), str(port)]
        process = subprocess.Popen(command, cwd=Path(__file__).parents[2], stdout=out, stderr=subprocess.STDOUT)
        try:
            yield f"http://127.0.0.1:{port}", said
        finally:
            process.terminate()
            process.wait(20)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
