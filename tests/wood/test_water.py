"""Water to hold an aim: by hand, against psychrolib, at the limits, and the what-if there and back."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from server.wood import air, emc
from server.wood.water import (
    WATER_PER_PROPANE,
    Gains,
    Room,
    dry_air_kg_per_m3,
    temperature_holding_c,
    unfed_pressure_pa,
    water_kg_per_day,
)

SHOP = Room(150.0, 0.5)
psychrolib.SetUnitSystem(psychrolib.SI)


def test_a_days_balance_by_hand() -> None:
    """150 m³, 0.5 changes an hour, 20 °C and 42 % against -5 °C and 80 %. Vapour pressures from p_sat printed in ASHRAE
    Fundamentals (2017) ch. 1 Table 3 at 20 °C, 2338.9 Pa, and over water at -5 °C, 421.8 Pa (both from memory)."""
    p_in, p_out = 0.42 * 2338.9, 0.80 * 421.8
    w_in, w_out = 0.621945 * p_in / (101325 - p_in), 0.621945 * p_out / (101325 - p_out)
    dry_air_kg = (101325 - p_in) / (287.042 * 293.15) * 150 * 0.5 * 24
    by_hand = dry_air_kg * (w_in - w_out)
    assert by_hand == pytest.approx(8.61, abs=0.01)
    assert float(water_kg_per_day(SHOP, 20, 0.42, -5, 0.80)) == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize("outdoor_c", [0.5, 8.0, 25.0])
def test_the_reference_library_gives_the_same_litres(outdoor_c: float) -> None:
    """psychrolib's humidity ratio and specific volume (ASHRAE eqs. 20 and 26), above 0 °C where both mean water."""
    inside = psychrolib.GetHumRatioFromRelHum(20.0, 0.45, 101325)
    outside = psychrolib.GetHumRatioFromRelHum(outdoor_c, 0.7, 101325)
    per_day = SHOP.air_m3_per_day / psychrolib.GetMoistAirVolume(20.0, inside, 101325)
    theirs = per_day * (inside - outside)
    assert float(water_kg_per_day(SHOP, 20, 0.45, outdoor_c, 0.7)) == pytest.approx(theirs, rel=2e-5)


def test_a_cubic_metre_holds_the_dry_air_of_the_reference_library() -> None:
    w = psychrolib.GetHumRatioFromRelHum(20.0, 0.5, 101325)
    ours = float(dry_air_kg_per_m3(20.0, air.vapour_pressure_pa(20.0, 0.5)))
    assert ours == pytest.approx(1 / psychrolib.GetMoistAirVolume(20.0, w, 101325), rel=1e-5)


def test_no_air_change_takes_no_water_and_air_alike_takes_none() -> None:
    assert float(water_kg_per_day(Room(150, 0), 20, 0.42, -5, 0.8)) == 0.0
    assert float(water_kg_per_day(SHOP, 12.0, 0.6, 12.0, 0.6)) == 0.0


def test_an_extractor_is_an_air_change_of_its_own() -> None:
    """1,000 m³/h for 3 h moves as much as 125 m³ an hour all day: 0.8333 changes of 150 m³."""
    with_it = water_kg_per_day(Room(150, 0.5, 1000, 3), 20, 0.42, -5, 0.8)
    assert float(with_it) == pytest.approx(float(water_kg_per_day(Room(150, 0.5 + 125 / 150), 20, 0.42, -5, 0.8)))


def test_propane_burns_to_the_water_of_its_equation() -> None:
    """C3H8 + 5 O2 -> 3 CO2 + 4 H2O with whole molar masses, 72 / 44; a public page says 1.64 g a gram."""
    assert pytest.approx(72 / 44, rel=2e-3) == WATER_PER_PROPANE
    gains = Gains(stock_kg_per_day=-0.5, people_kg_per_day=1.0, propane_kg_per_day=2.0)
    without, fed = water_kg_per_day(SHOP, 20, 0.42, -5, 0.8), water_kg_per_day(SHOP, 20, 0.42, -5, 0.8, gains=gains)
    assert float(without - fed) == pytest.approx(0.5 + 2 * WATER_PER_PROPANE)


def test_water_that_comes_in_by_itself_is_to_be_removed() -> None:
    assert float(water_kg_per_day(SHOP, 20, 0.42, 22, 0.8)) < -10


def test_airs_of_many_nights_at_once() -> None:
    outdoors = np.array([-15.0, -5.0, 5.0])
    each = [float(water_kg_per_day(SHOP, 20, 0.42, t, 0.8)) for t in outdoors]
    assert water_kg_per_day(SHOP, 20, 0.42, outdoors, 0.8) == pytest.approx(each)


@given(st.floats(1, 22), st.floats(60, 3500))
def test_the_what_if_gives_the_aim_back(aim_pct: float, pressure_pa: float) -> None:
    """At the temperature found, air of that vapour draws wood to the aim; beyond 5..30 °C it says which way."""
    t = float(temperature_holding_c(aim_pct, pressure_pa))
    if np.isfinite(t):
        back = float(emc.emc_pct(t, air.relative_humidity(t, pressure_pa)))
        assert back == pytest.approx(aim_pct, abs=1e-8)
        assert 5 <= t <= 30
    else:
        end_c = 5.0 if t < 0 else 30.0
        there = float(emc.emc_pct(end_c, min(1.0, float(air.relative_humidity(end_c, pressure_pa)))))
        assert (there < aim_pct) if t < 0 else (there > aim_pct)


def test_another_root_finder_agrees() -> None:
    """SciPy's brentq on the EMC itself, not on the pressure that holds it."""
    pressures = np.linspace(400, 1500, 30)
    found = temperature_holding_c(7.0, pressures)
    for t, p in zip(found, pressures, strict=True):
        if np.isfinite(t):
            damp_c = max(5.0, float(air.dew_point_c(p)) + 1e-6)
            ref = brentq(
                lambda x, p=p: float(emc.emc_pct(x, air.relative_humidity(x, p))) - 7.0, damp_c, 30, xtol=1e-10
            )
            assert t == pytest.approx(ref, abs=1e-8)
    assert np.isfinite(found).sum() > 20


def test_what_if_by_the_printed_table(published: Callable[[str], list[dict[str, str]]]) -> None:
    """Wood Handbook Table 4-2 (provenance: memory): the vapour of a cell holds its EMC at its temperature. Printed to
    0.1 % (0.055 with the equation's rounding), which is 0.3 K, as heating by 1 K takes off about 0.2 %."""
    cells = [r for r in published("emc_by_temperature_and_rh") if 50 <= float(r["temperature_f"]) <= 80]
    cells = [r for r in cells if 20 <= float(r["rh_pct"]) <= 60]
    assert len(cells) > 30
    for row in cells:
        t = (float(row["temperature_f"]) - 32) / 1.8
        pressure = float(row["rh_pct"]) / 100 * psychrolib.GetSatVapPres(t)
        assert float(temperature_holding_c(float(row["emc_pct"]), pressure)) == pytest.approx(t, abs=0.3), row


def test_gains_lift_the_unfed_room_to_where_no_water_is_missing() -> None:
    """Round trip: at the vapour pressure found, the balance with those gains is nought."""
    gains = Gains(people_kg_per_day=2.0, propane_kg_per_day=1.0)
    p = unfed_pressure_pa(SHOP, 18.0, -5.0, 0.8, gains=gains)
    rh = float(air.relative_humidity(18.0, p))
    assert float(water_kg_per_day(SHOP, 18.0, rh, -5.0, 0.8, gains=gains)) == pytest.approx(0.0, abs=1e-9)
    assert unfed_pressure_pa(SHOP, 18.0, -5.0, 0.8) == pytest.approx(0.8 * air.saturation_pressure_pa(-5.0))
    assert np.isnan(unfed_pressure_pa(Room(150, 0), 18.0, -5.0, 0.8, gains=gains))


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Room(0, 0.5), "volume_m3: found 0; would be right: above 0 to 100,000 m³"),
        (lambda: Room(-3, 0.5), "volume_m3: found -3"),
        (lambda: Room(150, -0.1), "air_changes_per_h: found -0.1; would be right: 0 to 20 changes an hour"),
        (lambda: Room(150, 21), "air_changes_per_h: found 21"),
        (lambda: Room(150, 1, 500, 25), "extractor_h_per_day: found 25; would be right: 0 to 24 hours a day"),
        (lambda: Room(float("nan"), 1), "volume_m3: found nan"),
        (lambda: Gains(propane_kg_per_day=-1), "propane_kg_per_day: found -1; would be right: 0 to 100 kg of propane"),
        (lambda: water_kg_per_day(SHOP, 20, 42, -5, 0.8), "rh: found 42; would be right: 0 to 1 (a fraction, not per"),
        (lambda: water_kg_per_day(SHOP, 90, 0.4, -5, 0.8), "indoor_c: found 90; would be right: -20 to 50 °C"),
        (lambda: water_kg_per_day(SHOP, 20, 0.4, -80, 0.8), "outdoor_c: found -80; would be right: -50 to 50 °C"),
        (lambda: temperature_holding_c(40, 800), "aim_pct: found 40; would be right: 0.5 to 25 % MC"),
    ],
)
def test_out_of_range_is_refused_with_range_and_unit(make, said: str) -> None:
    with pytest.raises(ValueError) as refused:  # noqa: PT011 (the text is the check)
        make()
    assert str(refused.value).startswith(said)
