"""Frozen sensors, coarse sensors, wet sensors, heated sensors: Field pitfalls 12, 14 and 15."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable

import pytest

from sensors.sample import RawSample
from server.config import ScreeningTable, Sensor
from server.reading import Flag, Reading
from server.screening import Screening
from server.screening.corrections import Away, Calibration
from tests.unit.screening.said import NOW, T0, sample

HOUR, DAY = 60.0, 1440.0
"""Minutes."""


def screening(**limits) -> Screening:
    return Screening(ScreeningTable(**limits), [Sensor(id="bench-1", source="line", zone="bench")])


def room(from_min: float, to_min: float, every_min: float, step_c: float, step_pct: float) -> Iterable[RawSample]:
    """A heated room: a slow swing through the day, the noise of a good chip, and the steps of this one."""
    chance = random.Random(5)
    minutes = from_min
    while minutes < to_min:
        swing = math.sin(2 * math.pi * minutes / DAY)
        t, rh = 19 + 1.5 * swing + chance.gauss(0, 0.02), 45 - 3 * swing + chance.gauss(0, 0.05)
        yield sample(minutes, round(t / step_c) * step_c, round(rh / step_pct) * step_pct)
        minutes += every_min


def first_stuck(one: Screening, items: Iterable[RawSample]) -> float | None:
    for item in items:
        if any(r.flags & Flag.STUCK for r in one.screen([item], NOW).readings):
            return item.heard_mono_s / 60.0
    return None


def frozen(from_min: float, to_min: float, every_min: float = 1.0) -> list[RawSample]:
    return [sample(from_min + n * every_min, 18.31, 47.11) for n in range(int((to_min - from_min) / every_min))]


def test_a_fine_sensor_that_freezes_is_noticed_within_two_hours_once_its_day_is_known() -> None:
    one = screening()
    assert first_stuck(one, room(0, 1.1 * DAY, 1, 0.01, 0.01)) is None
    assert not one.stuck("bench-1")
    noticed = first_stuck(one, frozen(1.1 * DAY, 1.1 * DAY + 4 * HOUR))
    assert noticed == pytest.approx(1.1 * DAY + HOUR, abs=2.0), "the floor: one hour"
    assert one.stuck("bench-1")
    assert not one.screen([sample(1.1 * DAY + 5 * HOUR, 18.4, 47.3)], NOW).readings[0].flags & Flag.STUCK
    assert not one.stuck("bench-1")


def test_in_its_first_day_only_the_shops_limit_counts() -> None:
    one = screening()
    assert first_stuck(one, room(0, 2 * HOUR, 1, 0.01, 0.01)) is None
    assert first_stuck(one, frozen(2 * HOUR, 2 * HOUR + 25 * HOUR)) == pytest.approx(26 * HOUR, abs=1.0)


@pytest.mark.parametrize(("step_c", "step_pct", "every_min"), [(1.0, 1.0, 1.0), (0.1, 0.1, 1.0), (1.0, 1.0, 0.25)])
def test_a_coarse_sensor_in_a_steady_room_is_left_alone(step_c: float, step_pct: float, every_min: float) -> None:
    assert first_stuck(screening(), room(0, 4 * DAY, every_min, step_c, step_pct)) is None


def test_a_slow_sensor_is_not_condemned_by_a_few_words() -> None:
    one = screening()
    assert first_stuck(one, room(0, 1.5 * DAY, 30, 0.01, 0.01)) is None
    noticed = first_stuck(one, frozen(1.5 * DAY, 3 * DAY, 30))
    assert noticed is not None
    assert noticed - 1.5 * DAY >= 12 * 30


def test_a_still_night_that_was_condemned_teaches_and_a_dead_week_does_not_blind() -> None:
    one = screening()
    first_stuck(one, room(0, 1.5 * DAY, 1, 0.01, 0.01))
    assert first_stuck(one, frozen(1.5 * DAY, 1.6 * DAY)) == pytest.approx(1.5 * DAY + HOUR, abs=2)
    for item in frozen(1.6 * DAY, 3 * DAY, 5):
        one.screen([item], NOW)
    assert first_stuck(one, room(3 * DAY, 3.1 * DAY, 1, 0.01, 0.01)) is None
    again = first_stuck(one, frozen(3.1 * DAY, 4 * DAY))
    assert again == pytest.approx(3.1 * DAY + 4 * HOUR, abs=2), "four times what it was condemned for, no more"


def test_a_restart_neither_forgets_the_day_nor_the_frozen_hours() -> None:
    before = screening()
    kept: list[Reading] = []
    for item in [*room(0, 1.5 * DAY, 1, 0.01, 0.01), *frozen(1.5 * DAY, 1.5 * DAY + 50)]:
        kept.extend(before.screen([item], NOW).readings)
    after = screening()
    after.remember(kept)
    assert first_stuck(after, frozen(1.5 * DAY + 50, 1.6 * DAY)) == pytest.approx(1.5 * DAY + HOUR, abs=2)


def test_stuck_is_told_per_sensor_and_a_stranger_is_not() -> None:
    assert not screening().stuck("nobody")
    assert not screening().wet("nobody")


def test_a_table_of_its_own_allows_a_sensor_more() -> None:
    patient = Sensor(id="bench-1", source="line", zone="bench", stuck_after_h=48.0)
    one = Screening(ScreeningTable(), [patient])
    assert first_stuck(one, frozen(0, 60 * HOUR, 60)) == pytest.approx(48 * HOUR)


def test_hours_at_exactly_100_are_a_wet_sensor_not_a_wet_room() -> None:
    """Field pitfall 12."""
    one = screening(wet_after_h=3)
    items = [sample(n * 10, 12 + n / 100, 100.0 if n else 99.0) for n in range(30)]
    flags = [one.screen([item], NOW).readings for item in items]
    assert flags[18][1].flags == Flag.SATURATED, "just under three hours"
    assert flags[19][1].flags == Flag.SATURATED | Flag.STUCK
    assert not flags[19][0].good, "the sensor is missed as a whole"
    assert one.wet("bench-1")
    assert not one.stuck("bench-1")
    dry = one.screen([sample(400, 12.0, 97.0)], NOW).readings
    assert all(r.good for r in dry)
    assert not one.wet("bench-1")


def test_a_chip_whose_scale_ends_below_100_is_wet_at_its_own_end() -> None:
    """Field pitfall 12. The single-wire chip's sheet (from memory) ends its scale at 99.9 %."""
    for kind, wet in (("dht22", True), ("sht4x", False)):
        one = Screening(ScreeningTable(wet_after_h=3), [Sensor(id="bench-1", source="line", zone="bench", type=kind)])
        for n in range(30):
            one.screen([sample(n * 10, 12 + n / 100, 99.9 if n else 99.0)], NOW)
        assert one.wet("bench-1") is wet


def test_while_the_heater_runs_and_until_it_is_cool_nothing_is_believed() -> None:
    """Field pitfall 15. 120 s: common practice, no source."""
    one = screening()
    items = [sample(0), sample(1, 60.0, 8.0, heating=True), sample(2, 24.0, 30.0), sample(3, 22.0, 36.0), sample(5)]
    flags = [one.screen([item], NOW).readings[1].flags for item in items]
    assert flags == [Flag.NONE, Flag.HEATING, Flag.HEATING, Flag.HEATING, Flag.NONE]


def test_a_restart_in_the_middle_of_cooling_waits_once_more() -> None:
    one = screening()
    one.remember(screening().screen([sample(0, heating=True)], NOW).readings)
    flags = [one.screen([sample(m)], NOW).readings[0].flags for m in (1, 3)]
    assert flags == [Flag.HEATING, Flag.NONE]


def test_reasons_are_counted_by_series_since_the_start() -> None:
    one = screening()
    one.screen([sample(0), sample(1, 300.0), sample(2, 300.0), sample(3, 0.0, 0.0)], NOW)
    assert one.rejected == {
        "bench-1/temperature_c": {Flag.RANGE: 2, Flag.SENTINEL: 1},
        "bench-1/humidity_pct": {Flag.SENTINEL: 1},
    }


def hung(away: Away) -> Screening:
    one = screening()
    one.calibration = Calibration({}, {"bench-1": away})
    return one


def test_over_a_salt_a_sensor_stands_still_and_wet_as_it_should() -> None:
    """Three days in a jar, the last of them at 100 %: no fault, and no lesson for the nights after it."""
    one = hung(Away(T0 + round(1.5 * DAY * 60_000), T0 + round(4.5 * DAY * 60_000)))
    first_stuck(one, room(0, 1.5 * DAY, 1, 0.01, 0.01))
    assert first_stuck(one, frozen(1.5 * DAY, 3.5 * DAY)) is None
    assert first_stuck(one, [sample(3.5 * DAY + n * 10, 20.0, 100.0) for n in range(140)]) is None
    assert not one.stuck("bench-1")
    assert not one.wet("bench-1")
    assert first_stuck(one, room(4.5 * DAY, 5.6 * DAY, 1, 0.01, 0.01)) is None
    noticed = first_stuck(one, frozen(5.6 * DAY, 5.8 * DAY))
    assert noticed == pytest.approx(5.6 * DAY + HOUR, abs=2.0), "the jar did not teach it patience"


def test_a_restart_over_a_salt_learns_as_little() -> None:
    kept: list[Reading] = []
    away = Away(T0, T0 + round(2 * DAY * 60_000))
    before, after = hung(away), hung(away)
    for item in frozen(0, 26 * HOUR, 10):
        kept.extend(before.screen([item], NOW).readings)
    after.remember(kept)
    assert first_stuck(after, frozen(26 * HOUR, 27 * HOUR)) is None


def test_a_weekend_unplugged_is_no_weekend_of_standing_still() -> None:
    one = screening()
    assert first_stuck(one, room(0, 1.5 * DAY, 1, 0.01, 0.01)) is None
    assert first_stuck(one, frozen(1.5 * DAY, 1.5 * DAY + 5)) is None
    assert first_stuck(one, frozen(3.5 * DAY, 3.5 * DAY + 50)) is None, "the same figure as two days ago"
    assert first_stuck(one, frozen(3.5 * DAY + 50, 4.6 * DAY, 5)) == pytest.approx(4.5 * DAY, abs=6)


def test_a_restart_does_not_forget_that_a_sensor_is_wet() -> None:
    """Field pitfall 12."""
    before, after = screening(wet_after_h=3), screening(wet_after_h=3)
    for n in range(30):
        after.remember(before.screen([sample(n * 10, 12 + n / 100, 100.0 if n else 99.0)], NOW).readings)
    assert before.wet("bench-1")
    assert after.wet("bench-1")
