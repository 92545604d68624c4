"""``stillstack demo``: lay down what is missing of the past, air and journal, then live on from there on real wires.

The devices are fictional, their wires are not: a pseudo-terminal pair read by the serial driver, another whose probe
the Modbus driver asks, and a broker of our own read by the MQTT driver. Past and present go through the same screening
and into the same record.
"""

from __future__ import annotations

import asyncio
import contextlib
import socket
import sys
from collections.abc import Callable
from pathlib import Path

from sensors.catalog import SOURCE_KINDS
from sensors.mqtt import Publisher
from sensors.simulated import PtyPair
from server.app import Settings, build, run
from server.clock import ScaledClock, SystemClock
from server.config import Config
from server.config_file import Reader
from server.demo.bus import answer
from server.demo.devices import play as play_devices
from server.demo.indoor import workshop_air
from server.demo.journal import tell_year
from server.demo.past import PERIOD_MS, past_samples
from server.demo.scenario import FIRST_START_MS, LIVE_PERIOD_S, PAST_FROM_MS, SENSORS, configuration, live_period_s
from server.demo.uplink import Uplink
from server.rules.catalog import SCHEMAS

WIRE_NAME = "usb-Fictional_Bench_Sensor_01-if00-port0"
BUS_NAME = "usb-Fictional_Bus_Adapter_02-if00-port0"


async def play(state: Path, speed: float, api_port: int | None, *, restarted: bool = False) -> None:
    """Run the workshop until a signal. The clock starts at the newest stored reading, the first time at 12 January."""
    broker_port = _free_port()
    wires, period_s = state / "wires", live_period_s(speed)
    config = demo_config(api_port or 0, broker_port, str(wires / WIRE_NAME), str(wires / BUS_NAME), period_s)
    # First the record, which another demo may hold: its wires must not be touched by one that is refused.
    start_ms = await asyncio.to_thread(lay_down, config, state, _progress())
    # A probe must answer within its second, and the first look into the air takes most of one.
    await asyncio.to_thread(workshop_air().at, SENSORS[0].zone, start_ms)
    with (
        contextlib.closing(PtyPair(wires, WIRE_NAME)) as pair,
        contextlib.closing(PtyPair(wires, BUS_NAME)) as bus_pair,
    ):
        clock = ScaledClock(start_ms, speed)
        uplink = Uplink(Publisher("127.0.0.1", broker_port, client_id="fictional-devices"))

        async def devices() -> None:
            await play_devices(clock, pair, uplink, period_s=period_s)

        companions = [lambda: answer(bus_pair, clock), uplink.run, devices]
        await run(Settings(config, state, clock, restarted, companions=companions))


def demo_config(
    api_port: int, broker_port: int, serial_port: str, bus_port: str, period_s: float = LIVE_PERIOD_S
) -> Config:
    """The workshop's configuration, checked like anybody's."""
    tables = configuration(api_port, broker_port, serial_port, bus_port, period_s)
    schemas = {name: kind.schema for name, kind in SOURCE_KINDS.items()}
    return Reader("", "the demo", schemas, SCHEMAS).read_tables(tables)


def lay_down(config: Config, state: Path, progress: Callable[[float, int], None]) -> int:
    """Write what is missing of the fourteen months, air through screening and store, journal through the stockroom;
    returns where the clock goes on.

    A run that was interrupted is taken up where its record ends. ``progress`` is told the share done and the readings.
    """
    return asyncio.run(_lay_down(config, state, progress))


async def _lay_down(config: Config, state: Path, progress: Callable[[float, int], None]) -> int:
    spine = build(Settings(config, state, ScaledClock(FIRST_START_MS)))
    try:
        newest_ms = spine.history.newest_ms()
        from_ms = PAST_FROM_MS if newest_ms is None else newest_ms + 1
        for batch in past_samples(from_ms, max(from_ms, FIRST_START_MS)):
            await spine.engine.lay_down(batch)
            done = (batch[-1].heard_ms + PERIOD_MS - from_ms) / (FIRST_START_MS - from_ms)
            progress(min(1.0, done), spine.engine.counts.readings)
        await tell_year(spine.stockroom, {entry.id for entry in spine.history.journal()})
        return max(FIRST_START_MS, from_ms)
    finally:
        await spine.store.close()


def _progress() -> Callable[[float, int], None]:
    """Says how far it is: twice a second on one line of a terminal, else every few seconds on a line of its own."""
    clock = SystemClock()
    began = last = clock.now().mono_s
    every_s = 0.5 if sys.stdout.isatty() else 5.0

    def say(share: float, readings: int) -> None:
        nonlocal last
        now = clock.now().mono_s
        if share < 1.0 and now - last < every_s:
            return
        last = now
        figures = f"{100 * share:5.0f} % {readings:8,} readings {now - began:4.0f} s"
        text = f"  fourteen months of the fictional workshop  {figures}"
        sys.stdout.write(f"\r{text}" if sys.stdout.isatty() else f"{text}\n")
        sys.stdout.write("\n" if share >= 1.0 and sys.stdout.isatty() else "")
        sys.stdout.flush()

    return say


def _free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])
