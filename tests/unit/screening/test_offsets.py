"""Offsets and frost, right four ways: printed figures, round trip, limits, and psychrolib beside us."""

from __future__ import annotations

from itertools import product
from typing import Any

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.config import ScreeningTable, Sensor
from server.reading import Correction, Flag, Reading
from server.screening import Screening
from server.screening.corrections import Away, Calibration, Corrector
from server.wood.air import humidity_at_temperature, humidity_over_water, saturation_pressure_pa
from tests.unit.screening.said import NOW, T0, sample

psychrolib.SetUnitSystem(psychrolib.SI)


def screening(**more) -> Screening:
    return Screening(ScreeningTable(), [Sensor(id="bench-1", source="line", zone="bench", **more)])


def one(screening: Screening, t: float | None, rh: float | None, minute: float = 0.0) -> list[Reading]:
    return list(screening.screen([sample(minute, t, rh)], NOW).readings)


@pytest.mark.parametrize(
    ("t", "rh", "offset"), list(product((5.0, 15.0, 22.0, 30.0), (20.0, 45.0, 70.0), (-3.0, -1.0, 2.0)))
)
def test_a_temperature_offset_keeps_the_vapour(t: float, rh: float, offset: float) -> None:
    """Field pitfall 13. Independent: psychrolib's vapour pressure is the same before and after, within its own
    handbook equations, which are ours too."""
    temperature, humidity = one(screening(offset_c=offset), t, rh)
    assert temperature.value == pytest.approx(t + offset)
    before = psychrolib.GetVapPresFromRelHum(t, rh / 100)
    after = psychrolib.GetVapPresFromRelHum(temperature.value, humidity.value / 100)
    assert after == pytest.approx(before, rel=1e-9)
    dew = [psychrolib.GetTDewPointFromVapPres(x, p) for x, p in ((t, before), (t + offset, after))]
    assert dew[0] == pytest.approx(dew[1], abs=0.002)


def test_the_worked_figure_from_printed_pressures() -> None:
    """ASHRAE Fundamentals (2017) ch. 1 Table 3 prints 3169.7 Pa at 25 °C and 2338.8 (from memory) at 20 °C: a chip that
    says 25 °C and 40 % in air of 20 °C means 40 x 3169.7 / 2338.8 = 54.21 %; the table claims 300 ppm."""
    temperature, humidity = one(screening(offset_c=-5.0), 25.0, 40.0)
    assert (temperature.value, temperature.raw) == (20.0, 25.0)
    assert humidity.value == pytest.approx(40.0 * 3169.7 / 2338.8, rel=6e-4)
    assert humidity.raw == 40.0
    assert temperature.flags == humidity.flags == Flag.CORRECTED
    assert humidity.good


def test_frost_from_printed_pressures() -> None:
    """At -20 °C the same table prints 103.24 Pa over ice; over water 125.4 Pa (World Meteorological Organization
    tables, from memory, good to 0.1): saturated over ice is 82.3 % over water."""
    _, humidity = one(screening(humidity_over="ice"), -20.0, 99.9)
    assert humidity.value == pytest.approx(99.9 * 103.24 / 125.4, rel=2e-3)
    assert humidity.flags == Flag.CORRECTED


def test_frost_against_the_library() -> None:
    """psychrolib takes humidity over ice below freezing, as such a sensor does; over water is eq. 6 continued."""
    for t in (-30.0, -20.0, -15.0, -5.0, -1.0):
        vapour = psychrolib.GetVapPresFromRelHum(t, 0.7)
        assert float(humidity_over_water(t, 0.7)) * float(saturation_pressure_pa(t)) == pytest.approx(vapour, rel=1e-9)


def test_above_freezing_ice_is_water_and_the_two_meet_at_the_triple_point() -> None:
    assert one(screening(humidity_over="ice"), 5.0, 50.0)[1] == one(screening(), 5.0, 50.0)[1]
    assert float(humidity_over_water(0.0, 0.5)) == pytest.approx(0.5, rel=2e-4)
    assert one(screening(), -10.0, 50.0)[1].value == 50.0, "over water, as weather services say it, unless told"


@given(st.floats(-30, 50), st.floats(0, 1), st.floats(-8, 8))
def test_there_and_back_again(t: float, rh: float, offset: float) -> None:
    there = float(humidity_at_temperature(t, rh, t + offset))
    assert float(humidity_at_temperature(t + offset, there, t)) == pytest.approx(rh, abs=1e-12)
    assert (there - rh) * offset <= 1e-12, "warmer air of the same vapour is drier"


def test_a_humidity_offset_is_added_and_held_at_the_ends() -> None:
    assert one(screening(offset_humidity_pct=-2.5), 20.0, 40.0)[1].value == 37.5
    dry = one(screening(offset_humidity_pct=-2.5), 20.0, 1.0)[1]
    assert (dry.value, dry.raw, dry.flags) == (0.0, 1.0, Flag.CORRECTED)
    wet = one(screening(offset_humidity_pct=5), 20.0, 97.0)[1]
    assert (wet.value, wet.flags) == (100.0, Flag.CORRECTED | Flag.SATURATED)
    assert one(screening(offset_humidity_pct=5), 20.0, 106.0)[1].flags == Flag.RANGE, "what it said is judged first"


def test_quantities_in_messages_of_their_own_use_the_newest_temperature_of_two_periods() -> None:
    apart = screening(offset_c=-2.0)
    one(apart, 22.0, None, 0.0)
    assert one(apart, None, 40.0, 0.5)[0].value == pytest.approx(45.23, abs=0.01)
    for minute in (1.0, 2.0, 3.0):
        one(apart, 22.0, None, minute)
    assert one(apart, None, 40.0, 3.5)[0].flags == Flag.CORRECTED
    one(apart, 22.4, None, 4.0)
    one(apart, 22.0, None, 4.1)
    late = one(apart, None, 40.0, 5.5)[0]
    assert (late.value, late.flags) == (pytest.approx(45.23, abs=0.01), Flag.CORRECTED), "twice is no rhythm"
    old = one(apart, None, 40.0, 60.0)[0]
    assert (old.value, old.flags) == (pytest.approx(45.23, abs=0.01), Flag.CORRECTED), "the last good one, however old"


@pytest.mark.parametrize("more", [{"offset_c": -2.0}, {"humidity_over": "ice"}])
def test_what_cannot_be_corrected_yet_is_not_believed(more: dict[str, Any]) -> None:
    alone = screening(**more)
    first = one(alone, None, 40.0, 0.0)[0]
    assert (first.value, first.flags, first.good) == (40.0, Flag.UNCORRECTED, False)
    one(alone, -8.0, None, 1.0)
    assert one(alone, None, 40.0, 1.5)[0].flags == Flag.CORRECTED


def test_a_restart_knows_the_last_temperature() -> None:
    before, after = screening(offset_c=-2.0), screening(offset_c=-2.0)
    after.remember(one(before, 22.0, None, 0.0))
    assert one(after, None, 40.0, 1.0)[0].value == pytest.approx(45.23, abs=0.01)


def test_a_salt_check_is_applied_last_and_not_while_the_sensor_hangs_over_a_salt() -> None:
    checked = screening(offset_humidity_pct=1.0)
    checked.calibration = Calibration({"bench-1": Correction(1.1, -2.0)}, {"bench-1": Away(T0 + 60_000, T0 + 120_000)})
    assert one(checked, 20.0, 39.0, 0.0)[1].value == pytest.approx(1.1 * 40.0 - 2.0)
    over = one(checked, 20.0, 74.0, 1.0)[1]
    assert (over.value, over.flags) == (75.0, Flag.UNPLACED | Flag.CORRECTED)
    assert one(checked, 20.0, 39.0, 2.0)[1].good
    assert checked.calibration.back_for_s("bench-1", T0 + 150_000) == 30.0
    assert checked.calibration.back_for_s("bench-2", T0) is None


def test_a_sensor_without_a_correction_has_no_corrector() -> None:
    assert Corrector.of(Sensor(id="a", source="s", zone="z")) is None
    assert Corrector.of(None) is None
