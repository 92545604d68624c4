"""A zone's air from its sensors: mixed by vapour pressure, from those heard lately, with what follows from it."""

from __future__ import annotations

import psychrolib
import pytest

from server.config import Sensor
from server.reading import Flag, Reading
from server.wood.emc import emc_pct
from server.zones import SLOT_MS, Zones, as_readings

T0 = 1_800_000_000_000
psychrolib.SetUnitSystem(psychrolib.SI)


def sensor(name: str, zone: str = "room", **more) -> Sensor:
    return Sensor(id=name, source="s", device=name, zone=zone, **more)


def pair(name: str, t_ms: int, t: float, rh: float, flags: Flag = Flag.NONE) -> list[Reading]:
    return [Reading(f"{name}/temperature_c", t_ms, t, flags), Reading(f"{name}/humidity_pct", t_ms, rh, flags)]


def test_one_sensor_is_the_zone():
    (air,) = Zones([sensor("a")], 0.0).combine(pair("a", T0, 21.0, 45.0), {"a": 1.0})
    assert (air.zone, air.t_ms, air.temperature_c) == ("room", T0, 21.0)
    assert air.humidity_pct == pytest.approx(45.0, abs=1e-9)
    assert air.emc_pct == pytest.approx(float(emc_pct(21.0, 0.45)), abs=1e-9)
    # independent: psychrolib 2.5.0 (ASHRAE Fundamentals 2017 ch. 1), its own iteration good to 0.001 °C
    assert air.dew_point_c == pytest.approx(psychrolib.GetTDewPointFromRelHum(21.0, 0.45), abs=0.002)


def test_two_sensors_at_different_temperatures_feel_the_same_vapour():
    warm, cold = 24.0, 16.0
    p = psychrolib.GetVapPresFromRelHum(20.0, 0.40)
    rows = [(t, 100 * p / psychrolib.GetSatVapPres(t)) for t in (warm, cold)]
    zones = Zones([sensor("a"), sensor("b")], 0.0)
    air = zones.combine([*pair("a", T0, *rows[0]), *pair("b", T0, *rows[1])], {"a": 1.0, "b": 1.0})[-1]
    assert air.temperature_c == pytest.approx(20.0)
    assert air.vapour_pressure_pa == pytest.approx(p, rel=1e-6)
    assert air.humidity_pct == pytest.approx(40.0, abs=1e-4)  # the mean of the two humidities would be 40.9


def test_sensors_more_than_one_percent_apart_are_flagged():
    zones = Zones([sensor("a"), sensor("b")], 0.0)
    near = zones.combine([*pair("a", T0, 20, 40), *pair("b", T0, 20, 43)], {"a": 1.0, "b": 1.0})[-1]
    far = zones.combine([*pair("a", T0 + 60_000, 20, 40), *pair("b", T0 + 60_000, 20, 50)], {"a": 61.0, "b": 61.0})[-1]
    assert near.flags == Flag.NONE
    assert far.flags == Flag.WITNESSES_APART


def test_two_sensors_narrow_the_spread_and_better_ones_too():
    one = Zones([sensor("a")], 0.0).combine(pair("a", T0, 20, 40), {"a": 1.0})[-1]
    two = Zones([sensor("a"), sensor("b")], 0.0)
    two_air = two.combine([*pair("a", T0, 20, 40), *pair("b", T0, 20, 40)], {"a": 1.0, "b": 1.0})[-1]
    assert two_air.emc_high_pct - two_air.emc_pct == pytest.approx((one.emc_high_pct - one.emc_pct) / 2**0.5)
    fine = Zones([sensor("a", accuracy_humidity_pct=1.0, accuracy_c=0.1)], 0.0)
    fine_air = fine.combine(pair("a", T0, 20, 40), {"a": 1.0})[-1]
    assert fine_air.emc_high_pct < one.emc_high_pct


def test_a_saturated_sensor_speaks_only_where_no_other_does():
    zones = Zones([sensor("a"), sensor("b"), sensor("c", "other")], 0.0)
    wet = [pair("b", T0, 20, 100)[0], Reading("b/humidity_pct", T0, 100.0, Flag.SATURATED)]
    assert zones.combine([*pair("a", T0, 20, 40), *wet], {"a": 1.0, "b": 1.0})[-1].humidity_pct == pytest.approx(40.0)
    alone = [pair("c", T0, 20, 100)[0], Reading("c/humidity_pct", T0, 100.0, Flag.SATURATED)]
    assert zones.combine(alone, {"c": 1.0})[-1].humidity_pct == pytest.approx(100.0)


def test_readings_that_are_not_good_move_nothing():
    zones = Zones([sensor("a")], 0.0)
    assert zones.combine(pair("a", T0, 20, 40, Flag.RANGE), {}) == []
    assert zones.ears["a"].heard_ms is None


def test_half_a_sensor_is_no_air_yet():
    zones = Zones([sensor("a")], 0.0)
    assert zones.combine([Reading("a/temperature_c", T0, 20.0)], {"a": 1.0}) == []
    assert len(zones.combine([Reading("a/humidity_pct", T0 + 1000, 40.0)], {"a": 2.0})) == 1


def test_a_sensor_stops_speaking_for_its_zone_after_two_periods():
    zones = Zones([sensor("a"), sensor("b")], 0.0)
    minute = 60_000
    for n in range(5):
        zones.combine(
            [*pair("a", T0 + n * minute, 20, 40), *pair("b", T0 + n * minute, 30, 40)], {"a": 60.0 * n, "b": 60.0 * n}
        )
    assert zones.ears["b"].period_s == 60.0
    two = zones.combine(pair("a", T0 + 6 * minute, 20, 40), {"a": 360.0})[-1]
    alone = zones.combine(pair("a", T0 + 7 * minute, 20, 40), {"a": 420.0})[-1]
    assert two.temperature_c == 25.0
    assert alone.temperature_c == 20.0


def test_silence_is_counted_on_the_monotonic_clock_from_the_start_or_the_last_good_reading():
    zones = Zones([sensor("a")], 100.0)
    ear = zones.ears["a"]
    assert not ear.is_silent(699.0)
    assert ear.is_silent(701.0)
    for n in range(3):
        zones.combine(pair("a", T0 + n * 300_000, 20, 40), {"a": 1000.0 + 300 * n})
    assert ear.period_s == 300.0
    assert not ear.is_silent(1600.0 + 899)
    assert ear.is_silent(1600.0 + 901)
    assert ear.is_old(1600.0 + 601)


def test_a_batch_of_the_past_gives_the_same_air_as_one_reading_at_a_time():
    rows = [r for n in range(40) for name in "ab" for r in pair(name, T0 + n * 600_000, 18 + n / 10, 40 + n / 7)]
    whole = Zones([sensor("a"), sensor("b")], 0.0).combine(rows, {"a": 1.0, "b": 1.0})
    single = Zones([sensor("a"), sensor("b")], 0.0)
    singles = [single.combine(rows[i : i + 4], {"a": 1.0, "b": 1.0})[-1] for i in range(0, len(rows), 4)]
    assert whole == singles
    assert len({a.t_ms // SLOT_MS for a in whole}) == len(whole)


def test_derived_series_carry_all_four_quantities():
    air = Zones([sensor("a")], 0.0).combine(pair("a", T0, 20, 40), {"a": 1.0})
    names = [r.series for r in as_readings(air)]
    assert names == [f"zone:room/{q}" for q in ("temperature_c", "vapour_pressure_pa", "humidity_pct", "emc_pct")]


def test_a_quantity_in_a_message_of_its_own_does_not_halve_the_period():
    zones = Zones([sensor("a")], 0.0)
    for n in range(6):
        t_ms = T0 + n * 1_200_000
        zones.combine([Reading("a/temperature_c", t_ms, 20.0)], {"a": 1200.0 * n})
        zones.combine([Reading("a/humidity_pct", t_ms + 600_000, 40.0)], {"a": 1200.0 * n + 600})
    assert zones.ears["a"].period_s == 1200.0


def test_a_value_measured_later_does_not_speak_for_an_earlier_moment():
    zones = Zones([sensor("a"), sensor("b")], 0.0)
    zones.combine(pair("a", T0 + 3_600_000, 20, 40), {"a": 3600.0})
    (late,) = zones.combine(pair("b", T0, 30, 60), {"b": 3600.0})
    assert (late.t_ms, late.temperature_c) == (T0, 30.0)


def test_air_the_equation_was_not_made_for_is_flagged_and_never_clamped():
    zones = Zones([sensor("a")], 0.0)
    assert zones.combine(pair("a", T0, 20, 97.9), {"a": 1.0})[-1].flags == Flag.NONE
    damp = zones.combine(pair("a", T0 + 60_000, 20, 98.5), {"a": 61.0})[-1]
    assert damp.flags == Flag.OUTSIDE_FIT
    assert damp.emc_pct == pytest.approx(float(emc_pct(20.0, 0.985)))
    cold = zones.combine(pair("a", T0 + 120_000, -21, 60), {"a": 121.0})[-1]
    assert cold.flags == Flag.OUTSIDE_FIT


def test_the_newest_reading_names_its_slot_whichever_came_first():
    zones = Zones([sensor("a"), sensor("b")], 0.0)
    (air,) = zones.combine([*pair("a", T0 + 5000, 20, 40), *pair("b", T0 + 3000, 30, 40)], {"a": 5.0, "b": 5.0})
    assert (air.t_ms, air.temperature_c) == (T0 + 5000, 25.0)


def test_a_wall_clock_set_on_by_an_hour_is_no_rhythm():
    zones = Zones([sensor("a")], 0.0)
    for n in range(6):
        zones.combine(pair("a", T0 + n * 60_000 + (3_600_000 if n >= 3 else 0), 20, 40), {"a": 60.0 * n})
    assert zones.ears["a"].period_s == 60.0


def test_a_sensor_whose_humidity_died_falls_silent_however_well_its_thermometer_lives():
    zones = Zones([sensor("a")], 0.0)
    for n in range(30):
        zones.combine(pair("a", T0 + n * 60_000, 20.0 + n / 100, 40.0), {"a": n * 60.0})
    ear = zones.ears["a"]
    assert not ear.is_silent(29 * 60.0 + 599)
    for n in range(30, 45):
        said = [Reading("a/temperature_c", T0 + n * 60_000, 20.0), Reading("a/humidity_pct", T0, 140.0, Flag.RANGE)]
        zones.combine(said, {"a": n * 60.0})
    assert ear.is_silent(44 * 60.0)
    assert ear.heard_ms == T0 + 29 * 60_000
    zones.combine(pair("a", T0 + 45 * 60_000, 20.0, 41.0), {"a": 45 * 60.0})
    assert not ear.is_silent(45 * 60.0)


def test_a_thermometer_alone_is_not_called_silent():
    zones = Zones([sensor("a")], 0.0)
    for n in range(30):
        zones.combine([Reading("a/temperature_c", T0 + n * 60_000, 20.0)], {"a": n * 60.0})
    assert not zones.ears["a"].is_silent(29 * 60.0)


def test_two_right_sensors_with_the_same_vapour_agree_by_the_floor_and_by_the_ceiling():
    """18 °C and 50 % is the vapour of 22.5 °C and 37.9 % (psychrolib, independent): no witness is wrong."""
    warm_pct = 100.0 * 0.5 * psychrolib.GetSatVapPres(18.0) / psychrolib.GetSatVapPres(22.5)
    assert warm_pct == pytest.approx(37.9, abs=0.1)
    for off_pct, flags in ((0.0, Flag.NONE), (9.0, Flag.WITNESSES_APART)):
        zones = Zones([sensor("a"), sensor("b")], 0.0)
        said = [*pair("a", T0, 18.0, 50.0), *pair("b", T0, 22.5, warm_pct + off_pct)]
        (air,) = zones.combine(said, {"a": 1.0, "b": 1.0})
        assert air.flags == flags
