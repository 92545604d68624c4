"""What the air of each room does, hour by hour: a balance of vapour and a thermostat, both stepped exactly.

With everything that drives a room held over ten minutes, vapour pressure p (Pa) of the air and q (Pa) at the surface of
what buffers it follow

    dp/dt = n (p_out - p) + w (p_sat - p) + g (q - p) + s        dq/dt = (g / r) (p - q)

n air changes, w the wick, g exchange with the buffer and r its capacity over the air's (all in
:mod:`server.demo.rooms`), s the water of people. The buffer keeps its relative humidity when the temperature moves, as
wood does, so q is rescaled by the saturation pressure. The temperature runs towards outdoors plus a gain, and the
thermostat stops it at its set-point, as far as the heating has the power. The three rooms are boxes side by side: no
air between them; the yard is outdoors itself. Pressures of saturation are over water, as instruments say humidity (also
below freezing, outdoors).

A room's state is a fold from one fixed origin over fixed weeks, so it is a function of time alone: the past that is
laid down and the live play read the same curve.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.demo.rooms import ROOMS, Room
from server.demo.scenario import EXTRACTOR_HOURS, EXTRACTOR_M3_PER_H, EXTRACTOR_ZONE, TOWN, YARD
from server.demo.weather import OutdoorYear
from server.wood.air import ZERO_CELSIUS_K, Floats, saturation_pressure_pa
from server.working_hours import Weekday, open_minutes

STEP_MS = 600_000
STEP_H = STEP_MS / 3_600_000
STEPS_PER_CHUNK = 7 * 144
ORIGIN_MS = round(datetime(2025, 7, 1, tzinfo=UTC).timestamp() * 1000)
"""Four months before the demo's past: long enough for the slowest buffer to forget where it began."""
VAPOUR_GAS_CONSTANT = 461.5
"""J/(kg K): the universal gas constant over the molar mass of water, 8314.46 / 18.015 (from memory)."""
HEATING_MONTHS = frozenset({10, 11, 12, 1, 2, 3, 4, 5})
WINDOW_MONTHS = frozenset({6, 7, 8})


@dataclass(frozen=True, slots=True)
class State:
    """A room at one moment. ``buffer_rh`` is the relative humidity (0..1) its buffer is in balance with."""

    temperature_c: float
    vapour_pressure_pa: float
    buffer_rh: float


@dataclass(frozen=True, slots=True)
class Hours:
    """What people do over a run of steps, by the town's clock: each an array over the steps."""

    heating: NDArray[np.bool_]
    warm: NDArray[np.bool_]
    working: NDArray[np.bool_]
    windows: NDArray[np.bool_]
    extracting: NDArray[np.bool_]


def hours(t_ms: NDArray[np.int64]) -> Hours:
    """Heating season, day set-point, two people at work, windows open, the extractor on, at each moment (ms since 1970
    UTC)."""
    local = [datetime.fromtimestamp(t / 1000, TOWN) for t in t_ms.tolist()]
    weekday_of = np.array([d.weekday() for d in local], dtype=np.int64)
    weekday = weekday_of < 5
    clock = np.array([d.hour + d.minute / 60 for d in local])
    month = np.array([d.month for d in local])
    working = weekday & (clock >= 7) & (clock < 17)
    heating = np.isin(month, list(HEATING_MONTHS))
    return Hours(
        heating=heating,
        warm=weekday & (clock >= 5.5) & (clock < 17),
        working=working,
        windows=working & np.isin(month, list(WINDOW_MONTHS)),
        extracting=_extracting(weekday_of, clock),
    )


def _extracting(weekday: NDArray[np.int64], clock: Floats) -> NDArray[np.bool_]:
    """By the weekday (0 is Monday) and the hour of the town's clock."""
    on = np.zeros(clock.shape, dtype=np.bool_)
    for day, told in EXTRACTOR_HOURS.items():
        begin, end = (minutes / 60 for minutes in open_minutes(told))
        on |= (weekday == get_args(Weekday).index(day)) & (clock >= begin) & (clock < end)
    return on


def exponential(matrix: Floats) -> Floats:
    """Matrix exponential by scaling, a Taylor series and squaring; for the small, mild matrices here good to 1e-14."""
    halvings = max(0, int(np.ceil(np.log2(max(np.abs(matrix).sum(axis=1).max(), 1e-300)))) + 4)
    small = matrix / 2.0**halvings
    total, term = np.eye(len(matrix)), np.eye(len(matrix))
    for order in range(1, 13):
        term = term @ small / order
        total = total + term
    for _ in range(halvings):
        total = total @ total
    return total


def transition(*, loss_per_h: float, buffer_per_h: float, buffer_ratio: float, step_h: float = STEP_H) -> Floats:
    """Two rows (p, q), three columns (p, q, held source in Pa/h): what a step makes of them, exactly.

    ``loss_per_h`` is what draws p to the held source's own level: air changes and wick together, 0 or more.
    """
    back = buffer_per_h / buffer_ratio
    rates = np.array([[-loss_per_h - buffer_per_h, buffer_per_h, 1.0], [back, -back, 0.0], [0.0, 0.0, 0.0]])
    return exponential(rates * step_h)[:2]


def temperatures(room: Room, start_c: float, outdoor_c: Floats, at: Hours) -> Floats:
    """Room temperature (°C) at the end of each step, outdoors (°C) held over each: thermostat and free running."""
    kept = float(np.exp(-STEP_H / room.cooling_h))
    set_point = np.where(at.heating, np.where(at.warm, room.day_c, room.night_c), -np.inf)
    warmest = room.warm_up_k_per_h * STEP_H
    now, out = start_c, []
    for target, floor in zip((outdoor_c + room.gain_k).tolist(), set_point.tolist(), strict=True):
        free = target + (now - target) * kept
        now = max(free, min(floor, now + warmest))
        out.append(now)
    return np.array(out)


def vapour(room: Room, start: State, temperature_c: Floats, outdoor_pa: Floats, at: Hours) -> tuple[Floats, Floats]:
    """Vapour pressure (Pa) and the buffer's relative humidity (0..1) at the end of each step of held temperature."""
    changes = np.where(at.windows, room.open_per_h, np.where(at.working, room.working_per_h, room.closed_per_h))
    if room.zone == EXTRACTOR_ZONE:
        changes = changes + np.where(at.extracting, EXTRACTOR_M3_PER_H / room.volume_m3, 0.0)
    wick = np.where(at.heating, room.wick_per_h, 0.0)
    saturation = saturation_pressure_pa(temperature_c)
    grams_to_pa = 1e-3 * VAPOUR_GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K) / room.volume_m3
    source = changes * outdoor_pa + wick * saturation + np.where(at.working, room.water_g_per_h, 0.0) * grams_to_pa
    modes = {
        loss: transition(loss_per_h=loss, buffer_per_h=room.buffer_per_h, buffer_ratio=room.buffer_ratio).tolist()
        for loss in np.unique(changes + wick).tolist()
    }
    p, rh, ps, rhs = start.vapour_pressure_pa, start.buffer_rh, [], []
    steps = zip((changes + wick).tolist(), source.tolist(), saturation.tolist(), strict=True)
    for loss, held, full in steps:
        (a, b, c), (d, e, f) = modes[loss]
        q = rh * full
        p, q = a * p + b * q + c * held, d * p + e * q + f * held
        rh = q / full
        ps.append(p)
        rhs.append(rh)
    return np.array(ps), np.array(rhs)


class IndoorAir:
    """Temperature and vapour pressure of every room at any moment from ``ORIGIN_MS`` on."""

    def __init__(self, outdoors: OutdoorYear, rooms: Sequence[Room] = ROOMS) -> None:
        self._outdoors = outdoors
        self._rooms = {room.zone: room for room in rooms}
        t_c, p_pa = outdoors.at(ORIGIN_MS)
        begin = {r.zone: State(float(t_c) + r.gain_k, float(p_pa), 0.55) for r in rooms}
        self._last = begin
        self._known = 0
        self._folding = threading.Lock()  # the past is laid down in a worker thread, live play runs on the loop
        self._temperature_c = {zone: np.array([s.temperature_c]) for zone, s in begin.items()}
        self._vapour_pa = {zone: np.array([s.vapour_pressure_pa]) for zone, s in begin.items()}

    def at(self, zone: str, t_ms: ArrayLike) -> tuple[Floats, Floats]:
        """Temperature °C and vapour pressure Pa (ms since 1970 UTC, any shape); straight lines between the steps. Of
        the yard that of outdoors.

        Raises ValueError before the origin and KeyError for a zone that is not there.
        """
        t = np.asarray(t_ms, dtype=np.int64)
        if t.size and t.min() < ORIGIN_MS:
            raise ValueError(
                f"t_ms: found {t.min()}; would be right: {ORIGIN_MS} (where the demo's air begins) or later"
            )
        if zone == YARD:
            return self._outdoors.at(t)
        where = (t - ORIGIN_MS) / STEP_MS
        before = np.floor(where).astype(np.int64)
        self._reach(int(before.max()) + 1 if t.size else 0)
        share = where - before
        columns = self._temperature_c[zone], self._vapour_pa[zone]
        temperature_c, vapour_pa = (c[before] * (1 - share) + c[before + 1] * share for c in columns)
        return temperature_c, vapour_pa

    def _reach(self, step: int) -> None:
        """Fold on, by whole weeks, until this step is known: the weeks never depend on who asked for what."""
        with self._folding:
            while self._known < step:
                self._fold_week()

    def _fold_week(self) -> None:
        begins = ORIGIN_MS + (self._known + np.arange(STEPS_PER_CHUNK, dtype=np.int64)) * STEP_MS
        outdoor_c, outdoor_pa = self._outdoors.at(begins + STEP_MS // 2)
        at = hours(begins)
        for zone, room in self._rooms.items():
            start = self._last[zone]
            t_c = temperatures(room, start.temperature_c, outdoor_c, at)
            p_pa, rh = vapour(room, start, t_c, outdoor_pa, at)
            self._last[zone] = State(float(t_c[-1]), float(p_pa[-1]), float(rh[-1]))
            self._temperature_c[zone] = np.concatenate([self._temperature_c[zone], t_c])
            self._vapour_pa[zone] = np.concatenate([self._vapour_pa[zone], p_pa])
        self._known += STEPS_PER_CHUNK


@cache
def workshop_air() -> IndoorAir:
    """The fictional workshop's own air, shared so that past and live play fold it once."""
    return IndoorAir(OutdoorYear.load())
