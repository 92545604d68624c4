"""What a room's own nights say of it, from the hours of the record against those outdoors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from server.config import Shop
from server.room.hours import HOUR_MS, Hours, common, local_hour, spans, zone_hours
from server.stores.port import History
from server.wood.air import Floats, humidity_ratio
from server.wood.leakiness import Leakiness, NightsDoNotTell, NotEnoughNights, learn
from server.working_hours import Weekday

LEARNT_DAYS = 60
"""Two months: long enough for a change of weather, short enough that doors and windows are as they were."""
NIGHT_FROM_H, NIGHT_TO_H = 21, 6
"""By the shop's clock: after it nobody works and the heating is turned down. Common practice, no source."""
LEAST_APART_KG_PER_KG = 3e-4
"""Air that differs less from outdoors says nothing of how fast it goes there."""
STILL_SHARE, LEAST_HOURS = 0.9, 24

WhyNot = Literal["no-outdoors", "few-nights", "nights-do-not-tell"]


@dataclass(frozen=True, slots=True)
class Learnt:
    """Of one room: how leaky it is, or why its nights do not tell and how many there were; and the share of its way
    towards outdoors that nine of ten hours of its nights stay below."""

    leakiness: Leakiness | None = None
    why_not: WhyNot | None = None
    nights: int = 0
    usual_per_h: float | None = None


def learn_room(history: History, zone: str, outdoors: str | None, now_ms: int, shop: Shop) -> Learnt:
    """From the last :data:`LEARNT_DAYS`; hours in which somebody works in the ``shop`` are no night. Raises
    StoreError."""
    if outdoors is None:
        return Learnt(why_not="no-outdoors")
    from_ms = now_ms - LEARNT_DAYS * 24 * HOUR_MS
    inside, outside = common(*(zone_hours(history, name, from_ms, now_ms) for name in (zone, outdoors)))
    fits = (np.abs(inside.temperature_c - 15.0) <= 35.0) & (np.abs(outside.temperature_c) <= 50.0)
    inside, outside = inside.take(fits), outside.take(fits)
    night = is_night(inside.start_ms, shop.timezone, shop.hours)
    usual = usual_per_h(inside, outside, night)
    try:
        leakiness = learn(
            inside.start_ms / 1000.0, indoor_c=inside.temperature_c, indoor_rh=inside.rh,
            outdoor_c=outside.temperature_c, outdoor_rh=outside.rh, night=night,
        ) if inside.start_ms.size > 1 else None  # fmt: skip
    except NotEnoughNights as e:
        return Learnt(why_not="few-nights", nights=e.nights, usual_per_h=usual)
    except NightsDoNotTell as e:
        return Learnt(why_not="nights-do-not-tell", nights=e.nights, usual_per_h=usual)
    if leakiness is None:
        return Learnt(why_not="few-nights")
    return Learnt(leakiness, nights=leakiness.nights, usual_per_h=usual)


def is_night(start_ms: NDArray[np.int64], timezone: str, worked: Mapping[Weekday, str]) -> NDArray[np.bool_]:
    """Which hours are night and nobody works in them."""
    hour = local_hour(start_ms, timezone)
    night = (hour >= NIGHT_FROM_H) | (hour < NIGHT_TO_H)
    if worked and start_ms.size:
        for begin_ms, end_ms in spans(worked, timezone, int(start_ms[0]), int(start_ms[-1]) + HOUR_MS):
            night &= ~((start_ms < end_ms) & (start_ms + HOUR_MS > begin_ms))
    return np.asarray(night)


def usual_per_h(inside: Hours, outside: Hours, night: NDArray[np.bool_]) -> float | None:
    """What :data:`STILL_SHARE` of the nights' hours stay below; None for less than a day of them."""
    follows = towards_outdoors_per_h(
        inside.start_ms, humidity_ratio(inside.pressure_pa), humidity_ratio(outside.pressure_pa)
    )
    still = follows[night[1:] & night[:-1] & np.isfinite(follows)]
    return None if still.size < LEAST_HOURS else max(0.0, float(np.quantile(still, STILL_SHARE)))


def towards_outdoors_per_h(t_ms: NDArray[np.int64], inside: Floats, outside: Floats) -> Floats:
    """The share of its way to outdoors that a humidity ratio went an hour, between each two moments; nan across gaps of
    more than an hour and where it does not lie above outdoors by enough."""
    step_h = np.diff(t_ms) / HOUR_MS
    apart = inside[:-1] - outside[:-1]
    share = (inside[:-1] - inside[1:]) / np.where(apart > 0, apart, np.nan) / step_h
    return np.asarray(np.where((step_h <= 1.0) & (apart >= LEAST_APART_KG_PER_KG), share, np.nan))
