"""The fictional workshop's sensors at work: each says, on its own wire, what it measures at the demo clock's now.

They write to the far end of the serial pair and publish to the broker like any device would; the server that listens
cannot tell. The probe on the bus speaks only when asked: :mod:`server.demo.bus`.
"""

from __future__ import annotations

import asyncio
import json
import logging
import math
from dataclasses import dataclass
from typing import Protocol

from sensors.driver import SensorError
from server.clock import Clock
from server.demo.indoor import IndoorAir, workshop_air
from server.demo.probe import fahrenheit, said
from server.demo.scenario import SENSORS, Sensor

log = logging.getLogger(__name__)

SPEAKING = tuple(sensor for sensor in SENSORS if sensor.wire != "modbus")


class LineWriter(Protocol):
    """The device's end of a serial line."""

    def write_line(self, line: bytes) -> object:
        """Write one line, its newline included. OSError where the line is broken."""


class Publisher(Protocol):
    """A connection to the broker."""

    def publish(self, topic: str, payload: bytes, qos: int, *, retain: bool) -> object:
        """Hand a message over at once. OSError or SensorError when it cannot be."""


@dataclass(frozen=True, slots=True)
class Wires:
    """Both ways a sensor of the workshop may speak of its own accord."""

    serial: LineWriter
    publisher: Publisher

    def send(self, sensor: Sensor, payload: bytes) -> None:
        """Send on the sensor's own wire. OSError or SensorError when it is broken."""
        if sensor.wire == "serial":
            self.serial.write_line(payload + b"\n")
        else:
            self.publisher.publish(sensor.topic, payload, 1, retain=False)


def spoken(sensor: Sensor, t_ms: int, air: IndoorAir | None = None) -> bytes | None:
    """The bytes the sensor sends at this moment (ms since 1970 UTC), without a line's end; None while it is silent.

    ``T=68.0F RH=31.4`` on the serial wire, ``{"temperature": 20.01, "humidity": 31.4, "t_ms": 1799755207000}`` on
    the broker, so that what a broker kept keeps its time; a garbled hour breaks them off halfway.
    """
    what = said(sensor, [t_ms], air)
    if not what.spoke[0]:
        return None
    if sensor.wire == "serial":
        text = f"T={fahrenheit(what.temperature_c)[0]:.1f}F RH={what.humidity_pct[0]:.1f}"
    else:
        said_now = {"temperature": float(what.temperature_c[0]), "humidity": float(what.humidity_pct[0]), "t_ms": t_ms}
        text = json.dumps(said_now)
    whole = text.encode("ascii")
    return whole[: len(whole) // 2] + b"\x7f?" if what.garbled[0] else whole


async def play(
    clock: Clock, serial: LineWriter, publisher: Publisher, *, period_s: float, air: IndoorAir | None = None
) -> None:
    """Every sensor but those on the bus speaks each ``period_s`` of the clock, until cancelled: one task a sensor.

    ``period_s`` is :func:`server.demo.scenario.live_period_s` of the clock's speed. Raises ValueError unless it is
    above 0. A wire that is broken loses what would have been said on it, as a real one does; the sensor goes on.
    """
    if not period_s > 0:
        raise ValueError(f"period_s: found {period_s}; would be right: more than 0")
    air = air or workshop_air()
    # The first look folds a year and more of air, most of a second: not on the loop.
    await asyncio.to_thread(air.at, SENSORS[0].zone, clock.now().wall_ms)
    async with asyncio.TaskGroup() as group:
        for sensor in SPEAKING:
            work = _device(sensor, clock, Wires(serial, publisher), period_s, air)
            group.create_task(work, name=f"device {sensor.id}")


async def _device(sensor: Sensor, clock: Clock, wires: Wires, period_s: float, air: IndoorAir) -> None:
    """One sensor's life. Moments it slept through (a clock that ran on) are not made up for, as no device does."""
    started_s = clock.now().mono_s
    phase_s = sensor.phase_s % period_s
    turn, broken = -1, False
    while True:
        gone_s = clock.now().mono_s - started_s
        # Never the same turn twice: a sleep may end a hair early.
        turn = max(turn + 1, math.ceil((gone_s - phase_s) / period_s))
        await clock.sleep(max(0.0, turn * period_s + phase_s - gone_s))
        payload = spoken(sensor, clock.now().wall_ms, air)
        if payload is None:
            continue
        try:
            wires.send(sensor, payload)
            broken = False
        except (OSError, SensorError) as error:
            if not broken:  # said once a breakage, not at every turn
                log.warning("%s: found its wire broken (%s); it goes on measuring", sensor.id, error)
            broken = True
