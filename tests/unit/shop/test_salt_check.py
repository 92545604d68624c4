"""When a sensor over a salt has settled and what follows, without a record or a clock."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.config import SaltCheckTable, Sensor
from server.reading import Correction, JournalEntry
from server.shop.salt_check import (
    BEGUN,
    CHECKED,
    DAY_MS,
    GIVEN_UP,
    HOUR_MS,
    WITHDRAWN,
    Point,
    Points,
    Settling,
    as_the_clock_has_it,
    corrected_by,
    folded,
    in_force,
    largest_change_pct,
    partner,
    point_of,
    settings_of,
    settling,
)

LIMITS = SaltCheckTable()
BEGUN_MS = 1_800_000_000_000
SENSOR = Sensor(id="bench-1", source="line", zone="bench")


def jar(hours: float, start: float = 42.0, end: float = 77.0, tau_h: float = 0.6, noise: float = 0.05) -> Points:
    """A jar coming to rest: a first-order approach, one reading in five minutes, with the noise of a good chip."""
    chance = random.Random(3)
    return [
        (BEGUN_MS + n * 300_000, end + (start - end) * math.exp(-n / 12 / tau_h) + chance.gauss(0, noise))
        for n in range(int(hours * 12) + 1)
    ]


def still(hours: float, swing_c: float = 0.1) -> Points:
    return [(BEGUN_MS + n * 300_000, 20.0 + swing_c * math.sin(n / 9)) for n in range(int(hours * 12) + 1)]


def at(hours: float, humidity: Points, temperature: Points) -> Settling:
    return settling(BEGUN_MS, BEGUN_MS + round(hours * HOUR_MS), humidity, temperature, LIMITS)


def test_a_jar_comes_to_rest_and_only_then_is_steady() -> None:
    seen = [at(h, jar(h), still(h)).waiting for h in (0.5, 1, 3, 5.9, 6.1, 12)]
    assert seen == ["unheard", "short", "short", "short", None, None]
    slow = [at(h, jar(h, tau_h=4), still(h)).waiting for h in (6.1, 12, 30)]
    assert slow == ["moving", "moving", None]


def test_what_is_found_is_the_mean_of_the_last_hours() -> None:
    """Independent: plain NumPy over the window the docstring names."""
    found = at(9, jar(9), still(9))
    window = np.array([v for t, v in jar(9) if t >= BEGUN_MS + 6 * HOUR_MS])
    assert found.humidity_pct == pytest.approx(float(window.mean()))
    assert found.humidity_pct == pytest.approx(77.0, abs=0.02)
    assert found.scatter_pct == pytest.approx(0.05, abs=0.02)
    assert abs(found.slope_pct_per_h or 0) < 0.03


def test_noise_a_swinging_room_and_silence_are_named() -> None:
    assert at(9, jar(9, noise=0.6), still(9)).waiting in {"scattered", "moving"}
    assert at(9, jar(9), still(9, swing_c=1.2)).waiting == "warming"
    assert at(9, jar(5), still(5)).waiting == "unheard"
    assert at(9, [], []).waiting == "unheard"
    gone = [p for p in jar(9) if p[0] < BEGUN_MS + 7 * HOUR_MS]
    assert at(9, gone, still(9)).waiting == "unheard", "two hours of silence"


def test_a_sensor_at_the_end_of_its_scale_is_not_settled_and_that_is_named() -> None:
    found = settling(BEGUN_MS, BEGUN_MS + 9 * HOUR_MS, jar(9), still(9), LIMITS, at_end=True)
    assert found.waiting == "saturated"
    assert settling(BEGUN_MS, BEGUN_MS + 3 * HOUR_MS, jar(3), still(3), LIMITS, at_end=True).waiting == "short"


def settled(humidity_pct: float, scatter_pct: float = 0.0, spread_c: float = 0.0) -> Settling:
    return Settling(8.0, None, humidity_pct, 20.0, 0.0, scatter_pct, spread_c)


def test_the_uncertainty_adds_up_in_quadrature() -> None:
    """3-4-5 with the salt's 0.3 and a scatter of 0.4; 1 K of spread at 75 % is half a kelvin's worth: the slope of the
    saturation pressure at 20 °C is 6.2 % a kelvin (ASHRAE Fundamentals (2017) ch. 1 Table 3: 2338.8 to 2487.7 Pa from
    20 to 21 °C, from memory)."""
    assert point_of(settled(77, 0.4), 75.0, 0.3, 0.0, accuracy_c=0.3).uncertainty_pct == pytest.approx(0.5)
    warm = point_of(settled(77, 0.0, 1.0), 75.0, 0.0, 0.0, accuracy_c=0.3).uncertainty_pct
    assert warm == pytest.approx(75.0 * 0.5 * (2487.7 / 2338.8 - 1), rel=0.03)
    assert point_of(settled(77), 75.0, 0.0, -0.06, accuracy_c=0.5).uncertainty_pct == pytest.approx(0.03)
    with pytest.raises(ValueError, match="settled"):
        point_of(Settling(1.0, "short"), 75.0, 0.3, 0.0, accuracy_c=0.3)


def test_one_salt_shifts_and_two_lay_a_line() -> None:
    one = corrected_by(Point(75.3, 77.3, 0.5), None, 5)
    assert (one.gain, one.offset_pct, one.uncertainty_pct, one.made_ms) == (1.0, pytest.approx(-2.0), 0.5, 5)
    two = corrected_by(Point(75.3, 77.3, 0.5), Point(33.1, 33.6, 0.7), 5)
    assert two.corrected_pct(77.3) == pytest.approx(75.3)
    assert two.corrected_pct(33.6) == pytest.approx(33.1)
    assert two.uncertainty_pct == 0.7
    slope, level = np.polyfit([33.6, 77.3], [33.1, 75.3], 1)  # independent
    assert (two.gain, two.offset_pct) == (pytest.approx(slope), pytest.approx(level))


@given(st.floats(0.9, 1.1), st.floats(-5, 5))
def test_two_salts_undo_any_straight_error(gain: float, offset: float) -> None:
    low, high = 33.07, 75.45
    said = [(true - offset) / gain for true in (low, high)]
    made = corrected_by(Point(high, said[1], 0.1), Point(low, said[0], 0.1), 0)
    assert (made.gain, made.offset_pct) == (pytest.approx(gain), pytest.approx(offset, abs=1e-9))


def test_how_far_a_correction_reaches() -> None:
    assert largest_change_pct(Correction(1.0, -2.0)) == 2.0
    assert largest_change_pct(Correction(0.9, 1.0)) == pytest.approx(9.0)
    assert largest_change_pct(corrected_by(Point(75, 50, 1), Point(33, 50, 1), 0)) == math.inf, "a dead sensor"


def done(name: str, at_day: float, published: float, read: float, **more: object) -> list[JournalEntry]:
    when = BEGUN_MS + round(at_day * DAY_MS)
    data = {
        "check": name, "published_pct": published, "read_pct": read, "point_uncertainty_pct": 0.4, "gain": 1.0,
        "offset_pct": published - read, "uncertainty_pct": 0.4, "with_check": None, "settings": settings_of(SENSOR),
    }  # fmt: skip
    return [
        JournalEntry(name, when - HOUR_MS, BEGUN, "bench-1", {"salt": "NaCl"}),
        JournalEntry(f"{name}-done", when, CHECKED, "bench-1", data | more),
    ]


def test_the_journal_folds_to_what_is_in_force() -> None:
    entries = [*done("a", 0, 75.3, 77.3), *done("b", 5, 75.3, 76.0)]
    checks = folded(entries)
    assert [c.kept for c in checks.values()] == ["done", "done"]
    assert in_force(checks.values(), SENSOR) == checks["b"]
    withdrawn = folded([*entries, JournalEntry("w", BEGUN_MS, WITHDRAWN, "bench-1", {"check": "b"})])
    assert in_force(withdrawn.values(), SENSOR) == checks["a"], "what was in force before it counts again"
    for change in ({"offset_c": -1.0}, {"source": "radio"}, {"device": "new-chip"}, {"type": "sht4x"}):
        other = SENSOR.model_copy(update=change)
        assert in_force(checks.values(), other) is None, "another chip, or another offset: it says nothing now"


def test_a_line_through_two_falls_with_either() -> None:
    entries = [*done("a", 0, 33.1, 34.0), *done("b", 1, 75.3, 76.0, with_check="a", gain=0.99)]
    gone = folded([*entries, JournalEntry("w", BEGUN_MS, WITHDRAWN, "bench-1", {"check": "a"})])
    assert {c.kept for c in gone.values()} == {"withdrawn"}


def test_a_clock_that_was_set_between_begin_and_end_loses_no_check() -> None:
    entries = done("a", 0, 75.3, 77.3)
    assert folded(sorted([replace(entries[0], t_ms=BEGUN_MS + DAY_MS), entries[1]], key=lambda e: e.t_ms))[
        "a"
    ].kept == ("done")
    given_up = folded([entries[0], JournalEntry("g", BEGUN_MS, GIVEN_UP, "bench-1", {"check": "a"})])
    assert (given_up["a"].kept, given_up["a"].correction) == ("given up", None)
    assert folded([JournalEntry("g", 0, GIVEN_UP, "bench-1", {"check": "nobody"})]) == {}


def test_what_a_clock_that_ran_ahead_wrote_stands_where_the_clock_has_it_now() -> None:
    def step(name: str, from_day: float, to_day: float) -> JournalEntry:
        from_ms, to_ms = (BEGUN_MS + round(day * DAY_MS) for day in (from_day, to_day))
        return JournalEntry(name, to_ms, "clock-set", "clock", {"from_ms": from_ms, "to_ms": to_ms})

    def day(entry: JournalEntry, *steps: JournalEntry) -> float:
        return (as_the_clock_has_it(entry, steps).t_ms - BEGUN_MS) / DAY_MS

    ended = done("a", 30, 75.3, 77.3)[1]
    back = step("back", 31, 1)
    assert day(ended) == 30
    assert day(ended, back) == 0
    assert day(replace(ended, data={**ended.data, "past_steps": ["back"]}), back) == 30, "written after it"
    assert day(ended, step("old", 20, 1)) == 30, "not over it"
    assert day(ended, step("on", 30.1, 40)) == 30


def test_two_are_laid_together_only_when_near_in_time_far_in_humidity_and_on_the_same_settings() -> None:
    checks = folded([*done("a", 0, 33.1, 34.0), *done("b", 1, 70.0, 71.0)]).values()
    now_ms = BEGUN_MS + 2 * DAY_MS

    def found(published_pct: float, now_ms: int = now_ms, sensor: Sensor = SENSOR) -> str | None:
        other = partner(sensor, published_pct, checks, now_ms=now_ms, limits=LIMITS)
        return None if other is None else other.id

    assert found(75.3) == "a"
    assert found(11.3) == "b", "the newest that is far enough"
    assert found(75.3, BEGUN_MS + 15 * DAY_MS) is None
    assert found(75.3, sensor=SENSOR.model_copy(update={"offset_humidity_pct": 1.0})) is None
    assert found(75.3, sensor=SENSOR.model_copy(update={"id": "bench-2"})) is None
