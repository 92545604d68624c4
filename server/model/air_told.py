"""What air a lot lay in for a stretch of time, and on how much of a record that stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from server.bins import BIN_MS
from server.model.air import LEAST_COVERED, ShopAir
from server.model.recorded import zone_half_hours
from server.stores.port import History
from server.wood.air import Floats, saturation_pressure_pa
from server.wood.emc import emc_pct

HOUR_MS = 3_600_000
Three = tuple[float, float, float]
"""Least, mean and greatest."""


@dataclass(frozen=True, slots=True)
class AirTold:
    """Half hours of a zone between two edges: how many were ``recorded``, taken from the last one before them
    (``bridged``), or not known; least, mean and greatest of what the model took in all of them; the first and the last
    stored value, None where there is none."""

    recorded: int
    bridged: int
    unknown: int
    temperature_c: Three
    humidity_pct: Three
    emc_pct: Three
    first_ms: int | None
    last_ms: int | None


def air_told(history: History, zone: str, from_ms: int, to_ms: int) -> AirTold:
    """What is on record of that stretch. Raises StoreError, ValueError as :meth:`ShopAir.of`."""
    heard = zone_half_hours(history, zone, from_ms, to_ms)
    air = ShopAir.of([zone], {zone: heard}, from_ms, to_ms)
    ends = heard.ends_ms[heard.covered >= LEAST_COVERED]
    recorded = int(np.count_nonzero((ends > from_ms) & (ends <= to_ms)))
    known = int(np.count_nonzero(air.known[1:, 0]))
    c, pa = air.temperature_c[1:, 0], air.pressure_pa[1:, 0]
    rh = np.minimum(pa / saturation_pressure_pa(c), 1.0)
    first_ms, last_ms = _extent(history, f"zone:{zone}/temperature_c", from_ms, to_ms)
    counts = recorded, known - recorded, (to_ms - from_ms) // BIN_MS - known
    return AirTold(*counts, _three(c), _three(100.0 * rh), _three(emc_pct(c, rh)), first_ms, last_ms)


def _three(values: Floats) -> Three:
    return float(values.min()), float(values.mean()), float(values.max())


def _extent(history: History, series: str, from_ms: int, to_ms: int) -> tuple[int | None, int | None]:
    """The first and the last good value of a stretch, by its hours."""
    last = history.last_before(series, to_ms)
    if last is None or last.t_ms < from_ms:
        return None, None
    for hour in history.rollups(series, "hour", from_ms - HOUR_MS + 1, to_ms):
        times, _ = history.columns(series, max(hour.start_ms, from_ms), min(hour.start_ms + HOUR_MS, to_ms))
        if times:
            return times[0], last.t_ms
    return last.t_ms, last.t_ms
