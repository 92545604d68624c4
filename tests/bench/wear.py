"""What the record writes in an hour of eight series at one reading a minute, checkpoints included: a card's life."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from pathlib import Path

from tests.bench.figure import Figure
from tests.bench.processes import ROOT, folder

HOURS = 24


def measure() -> list[Figure]:
    """Bytes that a process of its own hands to the disk over a fictional day, by the kernel's count."""
    with folder() as place:
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.wear", str(place)], cwd=ROOT, capture_output=True, text=True, check=True
        )
    note = f"{HOURS} h of 4 sensors and their zone; 24 h of that are {float(done.stdout) * 24:.0f} MB"
    return [Figure("record_mb_per_hour", "MB", 15.0, "at most", (float(done.stdout),), note)]


async def day(place: Path) -> float:
    from tests.unit.spine import Bench, config, sample

    more = "".join(f'[[sensor]]\nid = "x{n}"\nsource = "mq"\ndevice = "x{n}"\nzone = "bench"\n' for n in range(1))
    bench = Bench(place / "state", config(more))
    before = written()
    for minute in range(HOURS * 60):
        for n, device in enumerate(("bench-1", "bench-2", "loft-1", "x0")):
            said = sample(device, 60.0 * minute + 13 * n, 20 + 0.01 * (minute % 50), 45 + 0.1 * (minute * 7 % 30))
            await bench.hear([said])
        await bench.tick_until(60.0 * minute + 59)
    await bench.close()
    return (written() - before) / HOURS / 1e6


def written() -> int:
    lines = Path("/proc/self/io").read_text().splitlines()
    return int(next(line for line in lines if line.startswith("write_bytes")).split()[1])


if __name__ == "__main__":
    sys.stdout.write(f"{asyncio.run(day(Path(sys.argv[1])))}\n")
