"""Moist air against the reference library and the handbook's printed tables.

Printed values: ASHRAE Handbook - Fundamentals (2017) ch. 1, Tables 2 and 3, as the public tests of the library
psychrolib quote them (that file was read; the handbook itself was not).
"""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood import air

SWEEP_C = np.arange(-20.0, 50.1, 0.5)
HUMIDITIES = (0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.0)


@pytest.fixture(autouse=True)
def si_units() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("temperature_c", "printed_pa", "rel"),
    [
        (-60.0, 1.08, 0.01),  # printed to two decimals only
        (-20.0, 103.24, 3e-4),
        (-5.0, 401.74, 3e-4),
        (5.0, 872.6, 3e-4),
        (25.0, 3169.7, 3e-4),
        (50.0, 12351.3, 3e-4),
        (100.0, 101418.0, 3e-4),
    ],
)
def test_saturation_pressure_is_the_printed_one(temperature_c: float, printed_pa: float, rel: float) -> None:
    """Table 3; the handbook claims 300 ppm for its equations."""
    assert float(air.saturation_pressure_pa(temperature_c, "natural")) == pytest.approx(printed_pa, rel=rel)


@pytest.mark.parametrize(
    ("temperature_c", "printed", "rel"),
    [(-20.0, 0.0006373, 0.01), (-5.0, 0.0024863, 5e-3), (5.0, 0.005425, 5e-3), (25.0, 0.020173, 5e-3),
     (50.0, 0.086863, 0.01)],
)  # fmt: skip
def test_humidity_ratio_at_saturation_is_the_printed_one(temperature_c: float, printed: float, rel: float) -> None:
    """Table 2. The table is of real gas, the equation of an ideal one: half a per cent apart, one at the ends."""
    ratio = air.humidity_ratio(air.saturation_pressure_pa(temperature_c, "natural"))
    assert float(ratio) == pytest.approx(printed, rel=rel)


def test_saturation_agrees_with_the_library_over_ice_and_water() -> None:
    theirs = [psychrolib.GetSatVapPres(t) for t in SWEEP_C]
    np.testing.assert_allclose(air.saturation_pressure_pa(SWEEP_C, "natural"), theirs, rtol=1e-12)


def test_over_water_lies_above_ice_below_freezing() -> None:
    """At -15 °C the handbook's equations 5 and 6 stand 15.8 % apart: an instrument's humidity is over water."""
    over_water = air.saturation_pressure_pa([-20.0, -15.0, -10.0, -5.0])
    over_ice = air.saturation_pressure_pa([-20.0, -15.0, -10.0, -5.0], "ice")
    assert np.all(np.diff(over_water / over_ice) < 0)
    assert float(over_water[1] / over_ice[1]) == pytest.approx(1.158, abs=5e-4)
    assert float(air.saturation_pressure_pa(0.01)) == pytest.approx(
        float(air.saturation_pressure_pa(0.01, "ice")), rel=1e-6
    )


def test_dew_point_agrees_with_the_library() -> None:
    """Above freezing, where both speak of water; the library stops at 0.001 K."""
    compared = 0
    for t in SWEEP_C:
        for rh in HUMIDITIES:
            ours = float(air.dew_point_c(air.vapour_pressure_pa(t, rh)))
            if t > 0.01 and ours > 0.01:
                assert ours == pytest.approx(psychrolib.GetTDewPointFromRelHum(float(t), rh), abs=1e-3)
                compared += 1
    assert compared > 500


def test_humidity_ratio_agrees_with_the_library() -> None:
    for t in SWEEP_C:
        for rh in HUMIDITIES:
            pressure = rh * float(air.saturation_pressure_pa(t, "natural"))
            theirs = psychrolib.GetHumRatioFromRelHum(float(t), rh, air.STANDARD_PRESSURE_PA)
            assert float(air.humidity_ratio(pressure)) == pytest.approx(theirs, rel=1e-9)


def test_humidity_ratio_at_another_station_pressure() -> None:
    """25 °C, 500 m: 0.0213604 kg/kg, a spreadsheet value in the library's own tests."""
    assert float(air.humidity_ratio(3169.7, 95461.0)) == pytest.approx(0.0213603998, rel=1e-6)


@given(st.floats(-60.0, 60.0))
def test_dew_point_of_saturated_air_is_its_temperature(temperature_c: float) -> None:
    dew = float(air.dew_point_c(air.saturation_pressure_pa(temperature_c)))
    assert dew == pytest.approx(temperature_c, abs=1e-9)


@given(st.floats(-40.0, 60.0), st.floats(0.0, 1.0))
def test_humidity_and_vapour_pressure_undo_each_other(temperature_c: float, rh: float) -> None:
    back = air.relative_humidity(temperature_c, air.vapour_pressure_pa(temperature_c, rh))
    assert float(back) == pytest.approx(rh, abs=1e-12)


def test_no_vapour_has_no_dew_point() -> None:
    assert np.all(np.isnan(air.dew_point_c([0.0, -1.0, np.nan])))


def test_shapes_are_kept() -> None:
    assert air.saturation_pressure_pa(np.zeros((2, 3))).shape == (2, 3)
    assert air.vapour_pressure_pa(np.zeros((2, 1)), np.full(3, 0.5)).shape == (2, 3)
    assert air.dew_point_c(np.full((4,), 800.0)).shape == (4,)
