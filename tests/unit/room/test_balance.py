"""The room's water and warmth through a night: by a reference library, by an independent integration, at the limits."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import psychrolib
import pytest
from scipy.integrate import solve_ivp

from server.room.balance import Balance, leak_of, missing
from server.room.base import RoomLine, RoomView, held_by
from server.room.catalog import answered
from server.room.gives import Extractor, Gas, Leakiness, Stock
from server.room.heat import TOO_DRY, Heat
from server.room.learning import Learnt
from server.room.litres import ASSUMED, MOULD, RUNS, WALL_FACTOR, Litres, ceiling
from server.room.night import Outdoors
from server.wood.emc import emc_pct, humidity_for_emc
from tests.unit.room.nights_for_tests import AIM, LEAK, LEARNT, air, blind, outdoors, room, stocked
from tests.wood.test_leakiness import magnus_g_per_kg

psychrolib.SetUnitSystem(psychrolib.SI)
ATM = 101_325
UNITS = ("_c", "_pct", "_kg", "_h", "_m3", "_count", "_times_air")
MILD = outdoors(6.0, 0.7, 3.0)
"""Above 0 °C, where psychrolib's humidity is over water as ours is."""
TOLD = Learnt(why_not="few-nights", nights=3)


def told(**more: Any) -> RoomView:
    """A room whose leak a person told, 0.5 an hour, on a mild night with nothing in doubt about outdoors."""
    sure = replace(MILD, pressure_pa_low=MILD.pressure_pa, pressure_pa_high=MILD.pressure_pa)
    return room(learnt=TOLD, air_changes_per_h=0.5, outside=sure, **more)


def balance(view: RoomView) -> Balance:
    found = Balance.of(view)
    assert found is not None
    return found


def theirs_kg(m3_per_h: float, hours: float, t_c: float, rh: float, outside: Outdoors) -> float:
    """psychrolib's humidity ratios and specific volume (ASHRAE eqs. 20 and 26)."""
    inside, out = (
        psychrolib.GetHumRatioFromVapPres(p, ATM)
        for p in (rh * psychrolib.GetSatVapPres(t_c), 0.7 * psychrolib.GetSatVapPres(outside.mean_c))
    )
    return float(m3_per_h * hours / psychrolib.GetMoistAirVolume(t_c, inside, ATM) * (inside - out))


def test_litres_by_the_reference_library() -> None:
    view = told()
    ours = balance(view).water_kg(view.hold_rh)
    assert ours.middle == pytest.approx(theirs_kg(75.0, 12.0, 19.0, view.hold_rh, MILD), rel=1e-4)
    assert (ours.low, ours.high) == (ours.middle, ours.middle), "nothing is in doubt that is looked at"


def test_litres_hold_what_they_are_for() -> None:
    """Round trip: at the humidity at which no water is missing, an independent balance of the leak is nought."""
    view = told()
    low, high = 0.05, 0.9
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if balance(view).water_kg(middle).middle < 0 else (low, middle)
    out_pa = 0.7 * psychrolib.GetSatVapPres(6.0)
    assert low * psychrolib.GetSatVapPres(19.0) == pytest.approx(out_pa, rel=1e-4)


def test_limits_of_the_balance() -> None:
    shut = room(learnt=TOLD, air_changes_per_h=0.0)
    assert balance(shut).water_kg(shut.hold_rh).middle == 0.0
    assert balance(shut).by_morning_pa().middle == shut.air.vapour_pressure_pa
    given = balance(stocked(shut, 0.7)).water_kg(shut.hold_rh)
    assert (given.middle, given.low, given.high) == (pytest.approx(-0.7), pytest.approx(-1.0), pytest.approx(-0.4))
    burnt = replace(shut, zone=shut.zone.model_copy(update={"propane_kg_per_day": 2.0}))
    assert balance(burnt).water_kg(shut.hold_rh).middle == pytest.approx(-72 / 44, rel=2e-3), "a kg in half a day"
    assert balance(room()).fill_kg(room().night_rh).middle == 0.0


def test_doubts_are_added_by_squares() -> None:
    view = room()
    found = balance(view).water_kg(view.hold_rh)
    tight = replace(view, learnt=Learnt(replace(LEAK, air_changes_per_h=LEAK.air_changes_per_h_low), nights=41))
    less = balance(tight).water_kg(view.hold_rh).middle
    sure = replace(view.night.outdoors, pressure_pa=view.night.outdoors.pressure_pa_high)  # type: ignore[type-var, union-attr]
    damper = balance(replace(view, night=replace(view.night, outdoors=sure))).water_kg(view.hold_rh).middle
    down = math.hypot(found.middle - less, found.middle - damper)
    assert found.middle - found.low == pytest.approx(down, rel=1e-6)
    assert found.low < found.middle < found.high


def test_by_morning_an_independent_integration_agrees() -> None:
    """SciPy's solve_ivp of (1 + B) dw/dt = n (w_o - w) + g, with psychrolib's humidity ratios."""
    view = room(outside=MILD)
    out_g = 1000 * psychrolib.GetHumRatioFromVapPres(MILD.pressure_pa, ATM)
    now_g = 1000 * psychrolib.GetHumRatioFromVapPres(view.air.vapour_pressure_pa, ATM)
    n, skins, source = LEAK.air_changes_per_h, LEAK.skin_times_air, LEAK.source_g_per_kg_h
    run = solve_ivp(lambda _, w: (n * (out_g - w) + source) / (1 + skins), (0, 12), [now_g], rtol=1e-9, atol=1e-9)
    morning = psychrolib.GetVapPresFromHumRatio(run.y[0, -1] / 1000, ATM)
    found = balance(view).by_morning_pa()
    assert found.middle == pytest.approx(morning, rel=1e-5)
    assert found.low < found.middle < found.high


def test_what_fills_air_and_skins_by_hand() -> None:
    """From 38 to 31.9 % at 19 °C in 150 m³, ten times over for the skins. Magnus' formula says 5.16 and 4.32 g/kg;
    a kg of dry air takes 0.835 m³."""
    view = room()
    apart = magnus_g_per_kg(19.0, view.hold_rh) - magnus_g_per_kg(19.0, 0.38)
    found = balance(view).fill_kg(view.hold_rh)
    by_hand = [(1 + skins) * apart / 1000 * 150 / 0.835 for skins in (9.0, 11.5, 7.0)]
    assert (found.middle, found.low, found.high) == tuple(pytest.approx(one, rel=0.01) for one in by_hand)


@pytest.mark.parametrize("rh", [0.25, 0.33, 0.38])
def test_the_temperature_gives_the_aim_back(rh: float) -> None:
    """Round trip with psychrolib's saturation: the same vapour at the temperature found draws wood to the aim."""
    view = told(now=air(19.0, rh))
    figures = line(Heat(), view).figures
    for key, pressure in (
        ("holds_at_c", view.air.vapour_pressure_pa),
        ("morning_holds_at_c", balance(view).by_morning_pa().middle),
    ):
        t_c = figures[key]
        assert t_c is not None
        assert float(emc_pct(t_c, pressure / psychrolib.GetSatVapPres(t_c))) == pytest.approx(view.hold_pct, abs=2e-3)
    low, at, high = (figures[f"holds_at_c{end}"] for end in ("_low", "", "_high"))
    assert low is not None
    assert at is not None
    assert high is not None
    assert low < at < high
    assert figures["set_c"] == min(at, figures["morning_holds_at_c"] or 99)


def test_the_sentence_of_the_issue() -> None:
    """A cooler room in place of water: the vapour that draws wood to 7 % at 18.5 °C, in a room of 20.5 °C."""
    pressure = float(humidity_for_emc(18.5, 7.0)) * psychrolib.GetSatVapPres(18.5)
    view = blind(room(replace(air(20.5, 0.31), vapour_pressure_pa=pressure), hold_pct=7.0, indoor_c=20.5))
    found = line(Heat(), view)
    assert found.said[0].values["temperature_c"] == pytest.approx(18.5, abs=0.01)
    assert (found.said[0].values["way"], found.flags) == ("dry-set", ())


def test_air_too_dry_at_any_temperature_is_said() -> None:
    found = line(Heat(), room(air(5.0, 0.12)))
    assert (found.flags, found.figures["set_c"]) == ((TOO_DRY,), None)


def test_what_is_held_is_inside_the_nearer_limit() -> None:
    assert held_by(AIM, 7.4) == (6.5, "dry")
    assert held_by(AIM, 8.6) == (9.5, "damp")
    assert held_by(replace(AIM, dry_limit_pct=7.6, damp_limit_pct=8.4), 7.0) == (8.0, "dry")


def test_the_ceiling_is_the_dew_point_of_the_reference_library() -> None:
    """Double glass between 19 and 5 °C stands at 13.5 °C: saturation there over saturation at 19 °C by psychrolib."""
    view = told(glazing="double", indoor_c=19.0)
    top = ceiling(view)
    surface_c = 19.0 - 3.0 * 0.13 * (19.0 - MILD.coldest_c_low)
    assert (top.surface_c, top.outdoor_c) == (pytest.approx(surface_c), MILD.coldest_c_low)
    assert top.rh == pytest.approx(psychrolib.GetSatVapPres(surface_c) / psychrolib.GetSatVapPres(19.0), rel=1e-4)
    assert psychrolib.GetTDewPointFromRelHum(19.0, top.rh) == pytest.approx(surface_c, abs=0.01)
    wall = ceiling(told(glazing="none"))
    wall_c = MILD.mean_c + WALL_FACTOR * (19.0 - MILD.mean_c)
    theirs = 0.8 * psychrolib.GetSatVapPres(wall_c) / psychrolib.GetSatVapPres(19.0)
    assert (wall.surface_c, wall.rh) == (pytest.approx(wall_c), pytest.approx(theirs, rel=1e-4))


@pytest.mark.parametrize(
    ("table", "hold_pct", "flags"),
    [
        ({"glazing": "double"}, 8.0, ()),
        ({"glazing": "double"}, 9.5, (RUNS,)),
        ({"glazing": "single"}, 6.5, (RUNS,)),
        ({"glazing": None}, 8.0, (RUNS, ASSUMED)),
        ({"glazing": "none"}, 9.0, ()),
        ({"glazing": "none"}, 9.9, (MOULD,)),
    ],
)
def test_beyond_the_ceiling_no_litres_are_named(table: dict[str, Any], hold_pct: float, flags: tuple[str, ...]) -> None:
    """-6 °C on average, -11 at worst: single glass runs from 21 % RH on, double from 47, a bare corner from 49."""
    found = line(Litres(), room(air(19.0, 0.30), hold_pct=hold_pct, **table))
    assert found.flags == flags
    refused = RUNS in flags or MOULD in flags
    assert (found.figures["water_kg"] is None) == refused
    assert ("room-water-refused" in [s.key for s in found.said]) == refused
    most, hold_rh = found.figures["most_rh_pct"], found.figures["hold_rh_pct"]
    assert most is not None
    assert hold_rh is not None
    assert (hold_rh > most) == refused


@pytest.mark.parametrize(("rh", "cooler"), [(0.30, "yes"), (0.10, "no")])
def test_a_cooler_room_is_advised_only_where_a_temperature_is_named_that_holds(rh: float, cooler: str) -> None:
    """Air of 10 % RH is too dry at 5 °C too: what heating says of it and what is said beside the glass agree."""
    asked = room(air(19.0, rh), hold_pct=6.5, glazing="single")
    (refused,) = [s for s in line(Litres(), asked).said if s.key == "room-water-refused"]
    assert refused.values["cooler"] == cooler
    set_c = line(Heat(), asked).figures["set_c"]
    assert (set_c is not None and set_c < asked.night.indoor_c) == (cooler == "yes")


def test_air_on_the_good_side_asks_for_nothing_of_the_other() -> None:
    """It is damper than the dry end needs: what it holds above that comes first, and nothing is to be dried."""
    found = line(Litres(), told(now=air(19.0, 0.60)))
    assert found.figures["water_kg"] == pytest.approx(0.0) or (found.figures["water_kg"] or 0) < 0
    dry = line(Litres(), room(air(19.0, 0.45), hold_pct=9.5, glazing="none"))
    assert (dry.figures["fill_kg"] or 1) > 0
    near = line(Litres(), told(now=air(19.0, 0.38)))
    assert (near.figures["fill_kg"] or 0) < 0
    assert 0 <= (near.figures["water_kg"] or 0) < balance(told()).water_kg(told().hold_rh).middle


@pytest.mark.parametrize(
    ("view", "what"),
    [(room(volume_m3=None), "volume"), (blind(room()), "outdoors"), (room(learnt=TOLD), "leakiness")],
)
def test_what_is_missing_is_named(view: RoomView, what: str) -> None:
    assert missing(view) == what
    assert Balance.of(view) is None
    found = line(Litres(), view)
    assert (found.flags, found.said[0].key) == ((f"no-{what}",), f"room-water-no-{what}")
    assert line(Heat(), view).figures["set_c"] is not None, "heat needs none of it"


def test_the_extractor_is_an_air_change_of_its_own() -> None:
    """900 m³ an hour by psychrolib; two hours of it in the night are what off saves."""
    view = replace(told(extractor_m3_per_h=900), extractor_h=2.0)
    found = line(Extractor(), view).figures
    per_h = theirs_kg(900.0, 1.0, 19.0, view.hold_rh, MILD)
    assert found["water_kg_per_h"] == pytest.approx(per_h, rel=1e-4)
    assert found["saved_kg"] == pytest.approx(2 * per_h, rel=1e-4)
    with_it, without = balance(view), balance(replace(view, extractor_h=0.0))
    off_kg = with_it.water_kg(view.hold_rh).middle - without.water_kg(view.hold_rh).middle
    assert off_kg == pytest.approx(2 * per_h, rel=1e-4), "the night's balance has it so too"
    assert found["air_changes_per_h"] == 6.0
    assert Extractor().answer(told()) is None
    near = replace(view, night=replace(view.night, outdoors=outdoors(19.0, 0.98 * view.hold_rh, 15.0)))
    said = line(Extractor(), near)
    assert said.figures["water_kg_per_h_low"] < 0.0 < said.figures["water_kg_per_h_high"]  # type: ignore[operator]
    assert said.said[0].values["kg_low"] == 0.0, "between nothing and so much, where it may as well bring water in"


def test_gas_is_water_and_a_caution() -> None:
    found = line(Gas(), told(propane_kg_per_day=2.0))
    assert found.figures["water_kg"] == pytest.approx(72 / 44, rel=2e-3)
    assert found.caution is not None
    assert found.caution.key == "room-caution-gas"
    assert Gas().answer(told()) is None


def test_the_leak_is_shown_with_its_spread_and_nights_or_why_not() -> None:
    found = line(Leakiness(), room())
    assert found.figures["air_changes_per_h"] == LEARNT.leakiness.air_changes_per_h  # type: ignore[union-attr]
    assert (found.figures["air_changes_per_h_low"], found.figures["nights_count"]) == (0.24, 41)
    leak = leak_of(told())
    assert leak is not None
    assert (leak.per_h, leak.said_by, leak.skins) == (0.5, "told", 0.0)
    why = line(Leakiness(), told())
    assert (why.flags, why.figures["air_changes_per_h"]) == (("few-nights",), 0.5)


def test_stock_and_every_line_have_their_sources() -> None:
    for view in (room(), stocked(told(propane_kg_per_day=1.0, extractor_m3_per_h=900), 0.4)):
        for one in answered(view):
            assert one.sources, one.question
            for key in one.figures:
                assert key.removesuffix("_low").removesuffix("_high").endswith(UNITS), key
    assert line(Stock(), stocked(room(), -0.4)).said[0].values["way"] == "takes"


def line(question: Any, view: RoomView) -> RoomLine:
    found = question.answer(view)
    assert isinstance(found, RoomLine)
    return found
