"""Rooms and shelves as rules see them: iron, walls and incoming air against a reference library and by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
import psychrolib
import pytest

from server.reading import ClosedBin
from server.room.hours import spans
from server.room.learning import Learnt
from server.room.views import METAL_S, SURFACE_FACTOR, Ground, drawn_to_pct, room_views, shelf_views, slope_per_h
from server.rules.base import RoomView
from server.wood.emc import emc_pct
from tests.unit.room.rooms_for_tests import HOUR_MS, Past, closed, with_rooms
from tests.unit.spine import START_MS

psychrolib.SetUnitSystem(psychrolib.SI)
Bins = dict[str, list[ClosedBin]]


def bench(ground: Ground, past: Any = None) -> RoomView:
    return next(one for one in room_views(ground, past or Past()) if one.zone == "bench")


def test_what_comes_in_by_the_reference_library() -> None:
    """-6 °C and 85 % over water, heated to 20 °C: psychrolib's saturation at 20 °C; below freezing it means ice, so the
    outdoor pressure is that of water at -6 °C printed in the WMO's tables, 390.9 Pa (from memory)."""
    p_out = 0.85 * 390.9
    rh = p_out / psychrolib.GetSatVapPres(20.0)
    assert drawn_to_pct(20.0, p_out) == pytest.approx(float(emc_pct(20.0, rh)), abs=0.01)
    bins: Bins = {"bench": closed("bench", [20.0], [0.4]), "yard": closed("yard", [-6.0], [0.85])}
    found = bench(Ground(with_rooms(), bins, {}))
    assert found.outdoor_c == -6.0
    assert found.incoming_pct == pytest.approx(drawn_to_pct(20.0, p_out), abs=0.01)


def test_outdoor_air_of_another_hour_is_not_known() -> None:
    bins: Bins = {
        "bench": closed("bench", [20.0], [0.4]),
        "yard": closed("yard", [-6.0], [0.85], START_MS - 2 * HOUR_MS),
    }
    assert bench(Ground(with_rooms(), bins, {})).outdoor_c is None
    assert bench(Ground(with_rooms(yard=""), {"bench": bins["bench"]}, {})).outdoor_c is None
    assert [one.zone for one in room_views(Ground(with_rooms(), bins, {}), Past())] == ["bench"], "the yard is no room"


def test_iron_warms_late_and_sweats_meanwhile() -> None:
    """Limit: long in the same air it has that air. By hand: air steps (within half an hour) from 5 to 20 °C, an hour
    later the metal is at 20 - 15 exp(-t / tau), its humidity by psychrolib's saturation."""
    still = closed("bench", [12.0] * 40, [0.7] * 40)
    steady = bench(Ground(with_rooms("iron = true"), {"bench": still}, {}))
    assert (steady.metal_c, steady.metal_rh_pct) == (pytest.approx(12.0), pytest.approx(70.0))
    warmed = closed("bench", [5.0] * 40 + [20.0] * 3, [0.7] * 40 + [0.5] * 3)
    found = bench(Ground(with_rooms("iron = true"), {"bench": warmed}, {}))
    x = 1800 / METAL_S
    at_step = 5 + 15 * (1 - (1 - math.exp(-x)) / x)  # a ramp of half an hour, then air that stays for an hour
    metal_c = 20 - (20 - at_step) * math.exp(-3600 / METAL_S)
    pressure = 0.5 * psychrolib.GetSatVapPres(20.0)
    assert found.metal_c == pytest.approx(metal_c, abs=1e-6)
    assert found.metal_rh_pct == pytest.approx(100 * pressure / psychrolib.GetSatVapPres(metal_c), rel=1e-4)
    assert (found.metal_rh_pct or 0) > 65
    assert bench(Ground(with_rooms(), {"bench": warmed}, {})).metal_c is None, "no iron was told of"
    assert bench(Ground(with_rooms("iron = true"), {"bench": warmed[-8:]}, {})).metal_c is None, "four hours"
    frozen = closed("bench", [-30.0] * 40, [0.7] * 40)
    assert bench(Ground(with_rooms("iron = true"), {"bench": frozen}, {})).metal_c is None


def test_the_weeks_wall_by_the_reference_library() -> None:
    """20 °C and 60 % against 0 °C: the wall is at 14 °C, and 60 % there is 87.7 % by psychrolib's saturation."""
    past, hours = Past(), [START_MS - HOUR_MS * n for n in range(168, 0, -1)]
    past.put("bench", hours, [20.0] * 168, [0.6] * 168)
    past.put("yard", hours, [0.0] * 168, [0.8] * 168)
    bins: Bins = {"bench": closed("bench", [20.0], [0.6]), "yard": closed("yard", [0.0], [0.8])}
    found = bench(Ground(with_rooms(), bins, {}), past)
    theirs = 60 * psychrolib.GetSatVapPres(20.0) / psychrolib.GetSatVapPres(20 * SURFACE_FACTOR)
    assert (found.surface_c, found.surface_days) == (pytest.approx(14.0), 7.0)
    assert found.surface_rh_pct == pytest.approx(theirs, rel=1e-4)
    assert found.mould_from_pct == pytest.approx(80.2, abs=0.2)
    assert found.mould_weeks is not None
    assert 4 < found.mould_weeks < 12
    alone = bench(Ground(with_rooms(yard=""), {"bench": bins["bench"]}, {}), past)
    assert (alone.surface_c, alone.surface_rh_pct) == (pytest.approx(20.0), pytest.approx(60.0))
    assert alone.mould_weeks is None
    summer = replace(bins["yard"][0], temperature_c=30.0)
    past.put("yard", hours, [30.0] * 168, [0.3] * 168)
    assert bench(Ground(with_rooms(), {**bins, "yard": [summer]}, {}), past).surface_c == pytest.approx(20.0)
    assert bench(Ground(with_rooms(), bins, {}), Past()).surface_rh_pct is None


def test_how_fast_its_air_goes_outdoors() -> None:
    """By hand: from 8 to 7 g/kg in an hour with 3 outdoors is a fifth of the way."""
    inside = [replace(b, vapour_pressure_pa=psychrolib.GetVapPresFromHumRatio(w / 1000, 101325)) for b, w in zip(
        closed("bench", [20.0] * 3, [0.4] * 3), (8.0, 7.6, 7.0), strict=True)]  # fmt: skip
    outside = [replace(b, vapour_pressure_pa=psychrolib.GetVapPresFromHumRatio(0.003, 101325)) for b in
               closed("yard", [0.0] * 3, [0.5] * 3)]  # fmt: skip
    found = bench(Ground(with_rooms(), {"bench": inside, "yard": outside}, {"bench": Learnt(usual_per_h=0.04)}))
    assert found.follows_per_h == pytest.approx(0.2, abs=1e-6)
    assert found.usual_per_h == 0.04
    assert bench(Ground(with_rooms(), {"bench": inside[1:], "yard": outside}, {})).follows_per_h is None


def test_the_extractors_hours_by_the_shops_clock() -> None:
    """START_MS is a Tuesday, 13:00 in Oslo."""
    told = 'extractor_hours = { tue = "12:30-14:00", wed = "08:00-24:00", mon = "09:00-10:00" }'
    found = bench(Ground(with_rooms(told), {"bench": closed("bench", [20.0], [0.4])}, {}))
    half = HOUR_MS // 2
    assert found.blows == ((START_MS - half, START_MS + HOUR_MS), (START_MS + 19 * HOUR_MS, START_MS + 35 * HOUR_MS))
    assert spans({}, "Europe/Oslo", START_MS, START_MS + HOUR_MS) == []


def test_a_day_in_which_clocks_are_set_back_is_an_hour_longer() -> None:
    noon_ms = round(datetime(2027, 10, 31, 12, tzinfo=UTC).timestamp() * 1000)
    (span,) = spans({"sun": "00:00-24:00"}, "Europe/Oslo", noon_ms, noon_ms + HOUR_MS)
    assert span[1] - span[0] == 25 * HOUR_MS


def test_a_shelf_is_a_zone_or_a_sensor_and_its_line_is_scipys() -> None:
    from scipy.stats import linregress

    c = [9.0 - 0.25 * n + 0.1 * math.sin(n) for n in range(13)]
    ground = Ground(with_rooms("shelf = true", "shelf = true"), {"bench": closed("bench", c, [0.5] * 13)}, {})
    t_ms = [START_MS - 600_000 * n for n in range(30, -1, -1)]
    said = [7.0 - 0.02 * n for n in range(31)]
    past = Past(readings={"bench-1/temperature_c": (t_ms, said)})
    zone, sensor = shelf_views(ground, past, START_MS)  # type: ignore[arg-type]
    assert (zone.subject, zone.zone, sensor.subject, sensor.zone) == ("bench", "bench", "bench-1", "bench")
    assert (zone.temperature_c, sensor.temperature_c) == (c[-1], said[-1])
    hours = np.arange(12) / 2
    assert zone.per_h == pytest.approx(linregress(hours, c[-12:]).slope)
    assert sensor.per_h == pytest.approx(-0.12)
    assert slope_per_h(t_ms[-10:], said[-10:]) is None, "an hour and a half"
    assert shelf_views(replace(ground, closed={}), Past(), START_MS) == ()  # type: ignore[arg-type]
    (silent,) = shelf_views(replace(ground, closed={}), past, START_MS + 30 * HOUR_MS)  # type: ignore[arg-type]
    assert (silent.at_ms, silent.per_h) == (START_MS, sensor.per_h), "what was said of it must not end with its sensor"
    assert shelf_views(replace(ground, closed={}), past, START_MS + 73 * HOUR_MS) == ()  # type: ignore[arg-type]
