"""Rooms and shelves as rules see them, from closed half hours, a week of hours and what was learnt."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from server.config import Config, Sensor
from server.config_zone import Zone
from server.reading import ClosedBin
from server.room.hours import HOUR_MS, Hours, common, spans, zone_hours
from server.room.learning import Learnt, towards_outdoors_per_h
from server.rules.base import RoomView, ShelfView
from server.stores.port import History
from server.wood.air import Floats, humidity_ratio, relative_humidity
from server.wood.emc import emc_pct
from server.wood.mould import critical_rh, weeks_to_first_growth
from server.wood.rust import CAST_IRON_KG_PER_M3, iron_in, time_constant_s

WEEK_MS = 7 * 24 * HOUR_MS
PLATE_M = 0.036
"""Tables and beds of machines with their ribs, as a plate with both faces free. Common practice, no source."""
METAL_S = time_constant_s(CAST_IRON_KG_PER_M3 * PLATE_M, 2.0)
"""Two hours."""
LEAST_METAL_MS = 6 * HOUR_MS
"""Three times as long as the metal is late: by then it has forgotten what it was taken to be at first."""
SURFACE_FACTOR = 0.7
"""How far the coldest inner surface of an outside wall stands from outdoors to indoors, 0..1: the least that DIN 4108-2
allows the corners of new walls (from memory). Old walls, and corners behind stock, are colder."""
TOGETHER_MS = HOUR_MS
"""Outdoor air older than this against the room's is not known."""
SLOPE_MS, LEAST_SLOPE_MS = 6 * HOUR_MS, 3 * HOUR_MS
SHELF_KEPT_MS = 3 * 24 * HOUR_MS
"""So long a shelf is looked at after its sensor was last heard, as long as a zone's half hours are kept: cold ends
batteries too, and what was said of it must not end with them."""

Closed = Mapping[str, Sequence[ClosedBin]]
"""Of each zone its last days, oldest first."""


@dataclass(frozen=True, slots=True)
class Ground:
    """All that rooms are seen by, as values: taken in the loop, looked at beside it."""

    config: Config
    closed: Closed
    learnt: Mapping[str, Learnt]

    @property
    def outdoors(self) -> str | None:
        """The zone that is outdoors."""
        return next((zone.id for zone in self.config.zones if zone.outdoors), None)


def room_views(ground: Ground, history: History) -> tuple[RoomView, ...]:
    """Of every zone that is a room and has a half hour. Raises StoreError."""
    yard = ground.outdoors
    outside = ground.closed.get(yard, ()) if yard is not None else ()
    week = zone_hours(history, yard, outside[-1].end_ms - WEEK_MS, outside[-1].end_ms) if yard and outside else None
    rooms = ((zone, ground.closed.get(zone.id, ())) for zone in ground.config.zones if not zone.outdoors)
    return tuple(_room(zone, closed, (outside, week), ground, history) for zone, closed in rooms if closed)


def _room(
    zone: Zone, closed: Sequence[ClosedBin], yard: tuple[Sequence[ClosedBin], Hours | None], ground: Ground,
    history: History,
) -> RoomView:  # fmt: skip
    last, (outside, outdoor_week) = closed[-1], yard
    there = outside[-1] if outside and abs(outside[-1].end_ms - last.end_ms) <= TOGETHER_MS else None
    metal = _metal(closed) if zone.iron else None
    week = _surface_week(zone_hours(history, zone.id, last.end_ms - WEEK_MS, last.end_ms), outdoor_week)
    known = ground.learnt.get(zone.id, Learnt())
    day_ms, timezone = 24 * HOUR_MS, ground.config.shop.timezone
    return RoomView(
        zone.id, last.end_ms,
        outdoor_c=None if there is None else there.temperature_c,
        incoming_pct=None if there is None else drawn_to_pct(last.temperature_c, there.vapour_pressure_pa),
        metal_c=None if metal is None else metal[0], metal_rh_pct=None if metal is None else metal[1],
        surface_c=week.surface_c, surface_rh_pct=week.rh_pct, surface_days=week.days,
        mould_from_pct=week.from_pct, mould_weeks=week.weeks,
        blows=tuple(spans(zone.extractor_hours, timezone, last.end_ms - day_ms, last.end_ms + day_ms)),
        follows_per_h=_follows(closed, outside), usual_per_h=known.usual_per_h,
    )  # fmt: skip


def drawn_to_pct(temperature_c: float, pressure_pa: float) -> float:
    """What air of this vapour draws wood to once it is as warm as that, % MC."""
    return float(emc_pct(temperature_c, min(1.0, float(relative_humidity(temperature_c, pressure_pa)))))


def _metal(closed: Sequence[ClosedBin]) -> tuple[float, float] | None:
    """The iron's own temperature, °C, and the humidity there, % RH; None for a short past or air out of range."""
    t_ms = np.array([b.end_ms for b in closed], np.int64)
    c, pa = (np.array([getattr(b, name) for b in closed]) for name in ("temperature_c", "vapour_pressure_pa"))
    if t_ms[-1] - t_ms[0] < LEAST_METAL_MS or c.min() < -20.0 or c.max() > 50.0:
        return None
    rh = np.minimum(relative_humidity(c, pa), 1.0)
    iron = iron_in((t_ms - t_ms[0]) / 1000.0, c, rh, METAL_S)
    return float(iron.metal_c[-1]), 100.0 * float(iron.rh[-1])


@dataclass(frozen=True, slots=True)
class _Week:
    surface_c: float | None = None
    rh_pct: float | None = None
    days: float = 0.0
    from_pct: float | None = None
    weeks: float | None = None


def _surface_week(hours: Hours, outdoors: Hours | None) -> _Week:
    """The week at the coldest inner surface; where outdoors is not known, in the room's own air."""
    if outdoors is not None:
        inside, outside = common(hours, outdoors)
        if inside.start_ms.size:
            return week_at(inside, _surface(inside, outside))
    return week_at(hours, hours.temperature_c)


def _surface(inside: Hours, outside: Hours) -> Floats:
    cold = outside.temperature_c + SURFACE_FACTOR * (inside.temperature_c - outside.temperature_c)
    return np.asarray(np.minimum(cold, inside.temperature_c))


def week_at(hours: Hours, surface_c: Floats) -> _Week:
    """Those hours' vapour at a surface of these temperatures: means, and what mould makes of them."""
    if not surface_c.size:
        return _Week()
    rh = float(np.minimum(relative_humidity(surface_c, hours.pressure_pa), 1.0).mean())
    mean_c = float(surface_c.mean())
    limit, weeks = float(critical_rh(mean_c)), float(weeks_to_first_growth(mean_c, rh))
    return _Week(
        mean_c, 100.0 * rh, surface_c.size / 24.0, None if math.isnan(limit) else 100.0 * limit,
        weeks if math.isfinite(weeks) else None,
    )  # fmt: skip


def _follows(closed: Sequence[ClosedBin], outside: Sequence[ClosedBin]) -> float | None:
    """The share of its way to outdoors that the room's humidity ratio went in the last hour; None where not known."""
    last_ms = closed[-1].end_ms
    pressure = {b.end_ms: b.vapour_pressure_pa for b in closed[-3:]}
    out = {b.end_ms: b.vapour_pressure_pa for b in outside[-4:]}
    before_ms = last_ms - HOUR_MS
    if before_ms not in pressure or before_ms not in out:
        return None
    ends = np.array([before_ms, last_ms], np.int64)
    inside = humidity_ratio([pressure[before_ms], pressure[last_ms]])
    share = float(towards_outdoors_per_h(ends, inside, humidity_ratio([out[before_ms]] * 2))[0])
    return None if math.isnan(share) else share


def shelf_views(ground: Ground, history: History, now_ms: int) -> tuple[ShelfView, ...]:
    """Of every zone and every sensor marked as a shelf that was heard within three days. Raises StoreError."""
    zones = [_zone_shelf(z.id, ground.closed.get(z.id, ())) for z in ground.config.zones if z.shelf]
    sensors = [_sensor_shelf(s, history, now_ms) for s in ground.config.sensors if s.shelf]
    return tuple(one for one in (*zones, *sensors) if one is not None)


def _zone_shelf(zone: str, closed: Sequence[ClosedBin]) -> ShelfView | None:
    lately = [b for b in closed if b.end_ms > closed[-1].end_ms - SLOPE_MS]
    if not lately:
        return None
    t_ms, c = [b.end_ms for b in lately], [b.temperature_c for b in lately]
    return ShelfView(zone, zone, t_ms[-1], c[-1], slope_per_h(t_ms, c))


def _sensor_shelf(sensor: Sensor, history: History, now_ms: int) -> ShelfView | None:
    for kept_ms in (SLOPE_MS, SHELF_KEPT_MS):
        t_ms, c = history.columns(f"{sensor.id}/temperature_c", now_ms - kept_ms, now_ms + 1)
        if t_ms:
            lately = next(i for i, t in enumerate(t_ms) if t > t_ms[-1] - SLOPE_MS)
            return ShelfView(sensor.id, sensor.zone, t_ms[-1], c[-1], slope_per_h(t_ms[lately:], c[lately:]))
    return None


def slope_per_h(t_ms: Sequence[int], values: Sequence[float]) -> float | None:
    """A least-squares line; None for less than three hours."""
    if t_ms[-1] - t_ms[0] < LEAST_SLOPE_MS:
        return None
    hours = (np.asarray(t_ms, np.float64) - t_ms[0]) / HOUR_MS
    away = hours - hours.mean()
    return float(away @ np.asarray(values) / (away @ away))
