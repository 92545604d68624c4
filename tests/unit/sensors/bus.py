"""A bus for tests: simulated probes behind a pseudo-terminal with a lasting name, and the driver that asks them."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any

from sensors.modbus.bus import ModbusBus
from sensors.modbus.registers import Figure, Probe
from sensors.simulated import PtyPair
from sensors.simulated_probe import Answerer, SimulatedBus, SimulatedProbe, readable
from tests.unit.sensors.helpers import real_now

NAME = "usb-fictional-bus"
AIR = {0: 204, 1: 412}
"""20.4 °C and 41.2 %, as :func:`probe` reads them."""


def probe(device: str = "loft", unit: int = 1, **options: Any) -> Probe:
    """The usual kind: both figures side by side, in tenths."""
    figures = (("temperature", Figure(0, scale=0.1)), ("humidity_pct", Figure(1, scale=0.1, type="uint16")))
    return Probe(device, unit, options.pop("figures", figures), **options)


def driver(port: str, *probes: Probe, **options: Any) -> ModbusBus:
    settings = {"period_s": 0.02, "timeout_s": 0.15, "now": real_now, **options}
    return ModbusBus("bus", port, probes=probes or [probe()], **settings)


def in_order(registers: Mapping[int, int] = AIR) -> Answerer:
    return SimulatedProbe(registers).answer


@asynccontextmanager
async def plugged(folder: Path, units: Mapping[int, Answerer] | None = None) -> AsyncIterator[SimulatedBus]:
    """A bus with these units at work; unplugged at the end."""
    bus = SimulatedBus(PtyPair(folder, NAME), {1: in_order()} if units is None else units)
    task = asyncio.create_task(bus.run())
    try:
        yield bus
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
        bus.pair.close()


@asynccontextmanager
async def joined(folder: Path) -> AsyncIterator[tuple[str, str]]:
    """Two ports, each the far end of the other."""
    ends = [PtyPair(folder, f"{NAME}-{n}") for n in range(2)]
    carriers = [asyncio.create_task(_carry(a, b)) for a, b in (ends, reversed(ends))]
    try:
        yield ends[0].port, ends[1].port
    finally:
        for carrier in carriers:
            carrier.cancel()
        await asyncio.wait(carriers)
        for end in ends:
            end.close()


async def _carry(near: PtyPair, far: PtyPair) -> None:
    while True:
        content = near.read()
        if content:
            far.write(content)
        elif content is None:  # nobody has it open yet, and that cannot be waited on
            await asyncio.sleep(0.01)
        else:
            await readable(near)
