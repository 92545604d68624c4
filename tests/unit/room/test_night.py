"""From when to when a night is, how warm rooms are in it, and what outdoors does meanwhile."""

from __future__ import annotations

import math

import numpy as np
import pytest

from server.config import Shop
from server.config_zone import Zone
from server.reading import ZoneAir
from server.room.hours import Hours
from server.room.night import extractor_hours, night_span, outdoors_tonight, usual_c
from server.wood.air import vapour_pressure_pa
from tests.unit.room.rooms_for_tests import HOUR_MS, closed
from tests.unit.spine import START_MS

NOON_MS = START_MS - HOUR_MS
"""Tuesday 12 January 2027, 12:00 in Oslo."""
WORK = {"mon": "08:00-17:00", "tue": "08:00-17:00", "wed": "06:00-14:00", "fri": "08:00-13:00"}


@pytest.mark.parametrize(
    ("at_h", "hours", "from_h", "to_h"),
    [
        (12, {}, 18, 31),
        (20, {}, 20, 31),
        (30, {}, 42, 55),
        (28, {}, 28, 31),
        (12, WORK, 17, 30),
        (29, WORK, 38, 62),
        (40, WORK, 40, 64),
        (90, WORK, 90, 114),
    ],
    ids=["by day", "at night", "an hour before work", "before it", "by the shop's hours", "an hour before them",
         "a day off ahead", "a weekend is looked a day ahead"],
)  # fmt: skip
def test_a_night_is_from_the_end_of_work_to_its_beginning(
    at_h: int, hours: dict[str, str], from_h: int, to_h: int
) -> None:
    """Hours since midnight of that Tuesday."""
    midnight_ms = NOON_MS - 12 * HOUR_MS
    shop = Shop.model_validate({"timezone": "Europe/Oslo", "hours": hours})
    found = night_span(midnight_ms + at_h * HOUR_MS, shop)
    assert [(t - midnight_ms) / HOUR_MS for t in found] == [from_h, to_h]


def test_the_extractors_share_of_a_night() -> None:
    zone = Zone.model_validate(
        {"id": "a", "name": "A", "destination": "b", "extractor_hours": {"tue": "16:30-18:15", "wed": "07:00-09:00"}}
    )
    night = NOON_MS + 5 * HOUR_MS, NOON_MS + 20 * HOUR_MS
    assert extractor_hours(zone, night, "Europe/Oslo") == pytest.approx(1.25 + 1.0)


def test_how_warm_it_is_at_night_is_that_of_the_nights_before() -> None:
    """16 °C from 18 to 7 o'clock in Oslo, 20 by day."""
    t_ms = [START_MS - 1_800_000 * n for n in range(140, -1, -1)]
    night = [(t / HOUR_MS + 1) % 24 > 18 or (t / HOUR_MS + 1) % 24 <= 7 for t in t_ms]
    bins = closed("bench", [16.0 if one else 20.0 for one in night], [0.4] * len(t_ms))
    span = NOON_MS + 6 * HOUR_MS, NOON_MS + 19 * HOUR_MS
    assert usual_c(bins, span, 20.0) == pytest.approx(16.0, abs=0.2)
    assert usual_c([], span, 20.0) == 20.0


def yard(t_ms: int, temperature_c: float, rh: float) -> ZoneAir:
    pa = float(vapour_pressure_pa(temperature_c, rh))
    return ZoneAir("yard", t_ms, temperature_c, pa, 100 * rh, 0.0, 15.0, 14.0, 16.0)


def past(days: int, swing_k: float) -> Hours:
    """A yard that swings about -4 °C, coldest at 6 o'clock UTC, with the vapour of 3.5 mbar."""
    start = np.arange(START_MS - days * 24 * HOUR_MS, START_MS, HOUR_MS)
    of_day = (start / HOUR_MS + 0.5) % 24
    c = -4.0 - swing_k * np.cos(2 * math.pi * (of_day - 6) / 24)
    return Hours(start, c, np.full(start.size, 350.0))


def test_a_yard_that_stays_stays_and_one_that_swings_is_coldest_in_the_morning() -> None:
    """Limit: the same air for weeks is expected again, with hardly a doubt. A swing of 3 K puts the coldest hour 3 K
    below the mean, to a fifth of a degree: the habit of three weeks is believed by 21 parts of 24."""
    span = START_MS + 5 * HOUR_MS, START_MS + 18 * HOUR_MS
    still = outdoors_tonight(past(60, 0.0), yard(START_MS, -4.0, 0.7698), span, START_MS, "UTC")
    assert still is not None
    assert (still.mean_c, still.coldest_c) == (pytest.approx(-4.0, abs=0.01), pytest.approx(-4.0, abs=0.01))
    assert still.pressure_pa == pytest.approx(350.0, rel=0.01)
    assert -4.5 < still.coldest_c_low <= still.coldest_c <= still.coldest_c_high < -3.5
    now_c = float(past(60, 3.0).temperature_c[-1])
    swings = outdoors_tonight(past(60, 3.0), yard(START_MS, now_c, 0.6), span, START_MS, "UTC")
    assert swings is not None
    assert swings.coldest_c == pytest.approx(-7.0, abs=0.5)
    assert swings.coldest_c < swings.mean_c - 1


def test_a_yard_just_hung_is_as_it_is_now_and_in_doubt() -> None:
    span = START_MS, START_MS + 12 * HOUR_MS
    found = outdoors_tonight(past(1, 0.0), yard(START_MS, -9.0, 0.8), span, START_MS, "UTC")
    assert found is not None
    assert found.mean_c == pytest.approx(-9.0)
    assert found.coldest_c_low < -10 < found.coldest_c_high
    assert found.pressure_pa_low < found.pressure_pa < found.pressure_pa_high


def test_no_air_holds_more_than_it_can() -> None:
    """A night that grows cold cannot keep the vapour of the evening: saturation at its temperature, and no more."""
    cold = past(3, 6.0)
    damp = Hours(cold.start_ms, cold.temperature_c, np.full(cold.start_ms.size, 900.0))
    span = START_MS + 12 * HOUR_MS, START_MS + 18 * HOUR_MS
    found = outdoors_tonight(damp, yard(START_MS, 5.0, 1.0), span, START_MS, "UTC")
    assert found is not None
    assert found.pressure_pa_high <= float(vapour_pressure_pa(found.mean_c + 1.0, 1.0)) * 1.1


def test_a_yard_not_heard_for_a_day_says_nothing() -> None:
    old = past(60, 0.0)
    late = START_MS + 30 * HOUR_MS
    assert outdoors_tonight(old, yard(START_MS, math.nan, 0.7), (late, late + 9 * HOUR_MS), late, "UTC") is None


def test_a_yard_in_the_sun_is_taken_for_the_warmest_there_is() -> None:
    hot = Hours(past(3, 0.0).start_ms, np.full(72, 71.0), np.full(72, 900.0))
    span = START_MS, START_MS + 12 * HOUR_MS
    found = outdoors_tonight(hot, yard(START_MS, 71.0, 0.03), span, START_MS, "UTC")
    assert found is not None
    assert (found.mean_c, found.coldest_c_high) == (50.0, 50.0)
