"""One bad hour a day, from the day alone, and never in the first view."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.demo.misbehaviour import (
    DAY_MS,
    FIRST_DAY,
    INDOORS,
    KINDS,
    SWEATING,
    bad_hours,
    day_of,
    misbehaviour,
)
from server.demo.scenario import FIRST_START_MS, PAST_FROM_MS, SENSORS, YARD
from server.demo.weather import HOUR_MS

PAST_DAYS = range(day_of(PAST_FROM_MS), FIRST_DAY + 1)


@given(st.integers(0, 60_000))
def test_every_day_has_one_bad_hour_inside_it(day: int) -> None:
    bad = misbehaviour(day)
    assert bad == misbehaviour(day)
    assert bad.sensor in {sensor.id for sensor in SENSORS}
    assert bad.end_ms - bad.start_ms == HOUR_MS
    assert day_of(bad.start_ms) == day_of(bad.end_ms - 1) == day


def test_every_sensor_and_kind_has_its_turn() -> None:
    turns = Counter((misbehaviour(day).sensor, misbehaviour(day).kind) for day in PAST_DAYS)
    assert {sensor for sensor, _ in turns} == set(INDOORS)
    assert [sensor.zone for sensor in SENSORS if sensor.id not in INDOORS] == [YARD]
    assert {kind for _, kind in turns} == set(KINDS)
    assert {sensor for sensor, kind in turns if kind == "saturated"} == {SWEATING}


def test_the_first_view_is_spared() -> None:
    bad = misbehaviour(FIRST_DAY)
    assert bad.start_ms - FIRST_START_MS >= 5 * HOUR_MS
    assert FIRST_START_MS - misbehaviour(FIRST_DAY - 1).end_ms >= 12 * HOUR_MS


@pytest.mark.parametrize("sensor", [sensor.id for sensor in SENSORS])
def test_bad_hours_are_found_for_any_moments(sensor: str) -> None:
    t_ms = np.arange(FIRST_START_MS - 28 * DAY_MS, FIRST_START_MS, HOUR_MS // 4)
    found = bad_hours(sensor, t_ms)
    assert [int(inside.sum()) for inside, _ in found] == [4] * len(found)
    for inside, bad in found:
        assert bad.sensor == sensor
        assert t_ms[inside].min() >= bad.start_ms
        assert t_ms[inside].max() < bad.end_ms
    assert bad_hours(sensor, []) == []
