"""Rooms on every kind of night, as values; between them they make every sentence there is about one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from server.config_zone import Zone
from server.reading import Aim, OutlookPoint, ZoneAir
from server.room.base import RoomView, held_by
from server.room.learning import Learnt
from server.room.night import Night, Outdoors
from server.room.stock import StockWater
from server.wood.air import dew_point_c, vapour_pressure_pa
from server.wood.emc import emc_pct
from server.wood.leakiness import Leakiness
from server.words import Telling

HOUR_MS = 3_600_000
NOW_MS = 1_799_776_800_000
"""Tuesday 12 January 2027, 19:00 in Oslo."""
AIM = Aim(6.0, 10.0, "heated rooms", "Wood Handbook FPL-GTR-190 Table 13-2")
TELLING = Telling(NOW_MS, "Europe/Oslo", {"bench": "Bench room"})
LEAK = Leakiness(0.30, 0.24, 0.38, 9.0, 7.0, 11.5, 0.5, 48.0, 0.05, 41)
LEARNT = Learnt(LEAK, nights=41, usual_per_h=0.05)


def air(temperature_c: float = 19.0, rh: float = 0.38) -> ZoneAir:
    pa, emc = float(vapour_pressure_pa(temperature_c, rh)), float(emc_pct(temperature_c, rh))
    return ZoneAir(
        "bench", NOW_MS, temperature_c, pa, 100 * rh, float(dew_point_c(pa)), emc, emc - 0.4, emc + 0.4
    )  # fmt: skip


def outdoors(mean_c: float = -6.0, rh: float = 0.8, coldest_c: float = -9.0) -> Outdoors:
    pa = float(vapour_pressure_pa(mean_c, rh))
    return Outdoors(mean_c, coldest_c, coldest_c - 2.0, coldest_c + 2.0, pa, 0.85 * pa, 1.15 * pa)


def room(
    now: ZoneAir | None = None, *, hold_pct: float | None = None, outside: Outdoors | None = None,
    indoor_c: float = 19.0, learnt: Learnt = LEARNT, ahead: tuple[float, float] | None = (6.4, 7.2), **table: Any,
) -> RoomView:  # fmt: skip
    """A bench room of 150 m³ in frost; ``table`` are the keys of its zone that are otherwise."""
    now = now or air()
    keys = {
        "id": "bench",
        "name": "Bench room",
        "destination": "heated",
        "volume_m3": 150,
        "glazing": "double",
        **table,
    }
    hold, side = held_by(AIM, now.emc_pct)
    there = () if ahead is None else (OutlookPoint(NOW_MS + 6 * HOUR_MS, 0.5 * sum(ahead), *ahead),)
    night = Night(NOW_MS, NOW_MS + 12 * HOUR_MS, indoor_c, outside or outdoors())
    held = hold if hold_pct is None else hold_pct
    return RoomView(Zone.model_validate(keys), AIM, now, night, learnt, TELLING, held, side, there)


def stocked(view: RoomView, kg: float, lots: int = 3, not_modelled: int = 0) -> RoomView:
    water = StockWater(kg, kg - 0.3, kg + 0.3, lots, not_modelled)
    return replace(view, stock_now=water, stock_held=water)


def blind(view: RoomView) -> RoomView:
    """Nothing measures outdoors."""
    return replace(view, night=replace(view.night, outdoors=None), learnt=Learnt(why_not="no-outdoors"))


def nights() -> Iterator[RoomView]:
    """See the module."""
    damp, sultry = air(21.0, 0.72), outdoors(20.0, 0.8, 17.0)
    yield stocked(room(ahead=(6.4, 7.2)), 0.9)
    yield stocked(room(ahead=(5.4, 7.2), glazing=None), -0.9, lots=1, not_modelled=1)
    yield stocked(room(ahead=(5.4, 10.6)), 0.01, not_modelled=4)
    yield room(damp, ahead=(8.0, 10.6), indoor_c=20.0, outside=sultry, extractor_m3_per_h=900)
    yield room(ahead=None, hold_pct=9.5, glazing="single", propane_kg_per_day=2.0)
    yield room(hold_pct=9.9, glazing="none")
    yield room(glazing="none", extractor_m3_per_h=1200)
    yield replace(room(extractor_m3_per_h=1200), extractor_h=2.0)
    yield room(extractor_hours={"mon": "09:00-11:00"})
    yield blind(room(extractor_m3_per_h=1200))
    yield room(volume_m3=None)
    for learnt in (Learnt(why_not="few-nights", nights=1), Learnt(why_not="few-nights", nights=9), Learnt()):
        yield room(learnt=learnt)
    yield room(learnt=Learnt(why_not="nights-do-not-tell", nights=40), air_changes_per_h=0.5)
    yield room(air(5.0, 0.12))
    yield room(air(29.0, 0.92), indoor_c=29.0)
    yield room(air(28.0, 0.42), indoor_c=28.0, learnt=Learnt())
    yield room(air(6.0, 0.44), indoor_c=6.0)
    for indoor_c in (17.0, 19.0, 24.0):
        yield room(air(19.0, 0.35), indoor_c=indoor_c)
    yield room(learnt=Learnt(why_not="few-nights", nights=9), air_changes_per_h=0.0)
