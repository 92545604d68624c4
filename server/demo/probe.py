"""What a sensor of the fictional workshop says at a moment: the zone's air, its own error, its noise, its bad hour.

All of it is a function of the sensor and the time, so that laying down the past twice gives the same past, and the live
play goes on from it without a seam.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.demo.indoor import IndoorAir, workshop_air
from server.demo.misbehaviour import Misbehaviour, bad_hours
from server.demo.scenario import Sensor
from server.wood.air import Floats, relative_humidity

NOISE_C = 0.04
NOISE_PCT = 0.25
"""Standard deviations; small, as good sensors of this kind scatter. Invented for the demo."""


@dataclass(frozen=True, slots=True)
class Said:
    """What was said at each moment; where ``spoke`` is false nothing came, where ``garbled`` no number can be read."""

    temperature_c: Floats
    humidity_pct: Floats
    spoke: NDArray[np.bool_]
    garbled: NDArray[np.bool_]


def said(sensor: Sensor, t_ms: ArrayLike, air: IndoorAir | None = None) -> Said:
    """What the sensor says at these moments (one-dimensional, ms since 1970 UTC), rounded as its wire carries it."""
    t = np.atleast_1d(np.asarray(t_ms, dtype=np.int64))
    air = air or workshop_air()
    temperature_c, humidity_pct = in_good_order(sensor, t, air)
    spoke, garbled = np.ones(t.shape, dtype=np.bool_), np.zeros(t.shape, dtype=np.bool_)
    for inside, bad in bad_hours(sensor.id, t):
        if bad.kind == "silent":
            spoke[inside] = False
        elif bad.kind == "garbled":
            garbled[inside] = True
        elif bad.kind == "held":
            at_start = in_good_order(sensor, np.array([bad.start_ms]), air)
            temperature_c[inside], humidity_pct[inside] = at_start[0][0], at_start[1][0]
        elif bad.kind == "out-of-range":
            temperature_c[inside], humidity_pct[inside] = _on_the_wire(sensor, np.array(-45.0)), 130.0
        else:
            humidity_pct[inside] = _wrong_humidity(bad, sensor, t[inside], humidity_pct[inside])
    return Said(temperature_c, humidity_pct, spoke, garbled)


def in_good_order(sensor: Sensor, t_ms: NDArray[np.int64], air: IndoorAir) -> tuple[Floats, Floats]:
    """Temperature °C and relative humidity % (over water, 0..100) that the sensor would say if nothing were wrong."""
    zone_c, vapour_pa = air.at(sensor.zone, t_ms)
    here_c = zone_c - sensor.cooler_k
    humidity = 100.0 * relative_humidity(here_c, vapour_pa) + sensor.error_pct
    humidity = humidity + NOISE_PCT * noise(sensor.id + "/humidity", t_ms)
    temperature_c = _on_the_wire(sensor, here_c + NOISE_C * noise(sensor.id + "/temperature", t_ms))
    clipped: Floats = np.clip(humidity, 0.0, 100.0)
    return temperature_c, np.round(clipped, 1)


def noise(name: str, t_ms: NDArray[np.int64]) -> Floats:
    """Scatter with mean 0 and standard deviation 1, within ±3: a pure function of the name and the time.

    The sum of three uniform numbers, each a bit mixer's answer to time and name (the finaliser of splitmix64; Steele,
    Lea, Flood 2014, from memory): near enough to a bell, and there is no generator whose state could differ.
    """
    seed = np.uint64(zlib.crc32(name.encode()))
    total = np.zeros(t_ms.shape)
    for lane in range(1, 4):
        x = t_ms.astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15) + (seed << np.uint64(2)) + np.uint64(lane)
        x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        total = total + (x ^ (x >> np.uint64(31))).astype(np.float64) / 2.0**64
    return 2.0 * (total - 1.5)


def fahrenheit(temperature_c: Floats) -> Floats:
    """°C to °F, as the sensor on the serial wire prints it."""
    return temperature_c * 1.8 + 32.0


def _on_the_wire(sensor: Sensor, temperature_c: Floats) -> Floats:
    """°C again, after the rounding of the wire: tenths of °F on the serial one, hundredths of °C on the broker."""
    if sensor.wire == "serial":
        return (np.round(fahrenheit(temperature_c), 1) - 32.0) / 1.8
    return np.round(temperature_c, 2)


def _wrong_humidity(bad: Misbehaviour, sensor: Sensor, t_ms: NDArray[np.int64], good: Floats) -> Floats:
    """Relative humidity % during an hour of spikes (one reading in four or so), saturation or jumping."""
    luck = noise(sensor.id + "/misbehaviour", t_ms)
    if bad.kind == "saturated":
        return np.full(good.shape, 100.0)
    if bad.kind == "spikes":
        return np.where(luck > 0.7, np.minimum(good + 15.0, 100.0), good)
    return np.clip(good + np.where(luck > 0, 8.0, -8.0), 0.0, 100.0)  # jumping
