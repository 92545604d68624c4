"""What a room's nights say, through the record's hours: computed rooms come back, and the rest says why it does not."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from server.config import Shop
from server.room.learning import is_night, learn_room, towards_outdoors_per_h
from tests.unit.room.rooms_for_tests import HOUR_MS, Past
from tests.unit.spine import START_MS
from tests.wood.test_leakiness import TRUTHS, computed_room

HOURS = dict.fromkeys(("mon", "tue", "wed", "thu", "fri", "sat", "sun"), "08:00-18:00")
SHOP = Shop.model_validate({"timezone": "UTC", "hours": HOURS})
DAYS = 42
FIRST_MS = START_MS - START_MS % (24 * HOUR_MS) - DAYS * 24 * HOUR_MS


@dataclass(frozen=True)
class Computed:
    past: Past
    truth: tuple[float, ...]


@cache
def computed(which: int) -> Computed:
    """Six weeks of hours of a room whose leak is known."""
    bins = computed_room(TRUTHS[which], days=DAYS, seed=7 * which)
    hours = {name: bins[name][: 48 * DAYS].reshape(-1, 2).mean(axis=1) for name in bins if name != "night"}
    start_ms = [FIRST_MS + HOUR_MS * n for n in range(24 * DAYS)]
    past = Past()
    past.put("bench", start_ms, hours["indoor_c"].tolist(), hours["indoor_rh"].tolist())
    past.put("yard", start_ms, hours["outdoor_c"].tolist(), hours["outdoor_rh"].tolist())
    return Computed(past, TRUTHS[which])


@pytest.mark.parametrize("which", [0, 1])
def test_a_computed_rooms_leak_comes_back_within_its_spread(which: int) -> None:
    """Independent: rooms stepped by SciPy with another saturation formula; a quarter, as tests/wood/test_leakiness.py
    holds of hours."""
    room = computed(which)
    found = learn_room(room.past, "bench", "yard", FIRST_MS + DAYS * 24 * HOUR_MS, SHOP)  # type: ignore[arg-type]
    leak = found.leakiness
    assert leak is not None
    assert found.nights == leak.nights > 30
    assert leak.air_changes_per_h == pytest.approx(room.truth[0], rel=0.25)
    assert leak.air_changes_per_h_low < leak.air_changes_per_h < leak.air_changes_per_h_high
    assert found.usual_per_h is not None
    assert 0 < found.usual_per_h < room.truth[0], "walls hold the room's air back"


def test_rooms_that_do_not_tell_say_why() -> None:
    room, now_ms = computed(0), FIRST_MS + DAYS * 24 * HOUR_MS
    assert learn_room(room.past, "bench", None, now_ms, SHOP).why_not == "no-outdoors"  # type: ignore[arg-type]
    early = learn_room(room.past, "bench", "yard", FIRST_MS + 9 * 24 * HOUR_MS, SHOP)  # type: ignore[arg-type]
    assert (early.why_not, early.leakiness) == ("few-nights", None)
    assert 5 <= early.nights < 14
    assert early.usual_per_h is not None
    never = learn_room(Past(), "bench", "yard", now_ms, SHOP)  # type: ignore[arg-type]
    assert (never.why_not, never.nights, never.usual_per_h) == ("few-nights", 0, None)
    still, hours = Past(), [FIRST_MS + HOUR_MS * n for n in range(24 * DAYS)]
    still.put("bench", hours, [18.0] * len(hours), [0.5] * len(hours))
    still.put("yard", hours, [2.0] * len(hours), [0.8] * len(hours))
    told = learn_room(still, "bench", "yard", now_ms, SHOP)  # type: ignore[arg-type]
    assert (told.why_not, told.leakiness) == ("nights-do-not-tell", None)
    assert told.nights > 30


def test_nights_are_those_of_the_shops_clock_without_work() -> None:
    start_ms = np.arange(FIRST_MS, FIRST_MS + 24 * HOUR_MS, HOUR_MS)
    assert np.flatnonzero(is_night(start_ms, "UTC", {})).tolist() == [0, 1, 2, 3, 4, 5, 21, 22, 23]
    assert np.flatnonzero(is_night(start_ms, "Europe/Oslo", {})).tolist() == [0, 1, 2, 3, 4, 20, 21, 22, 23]
    late = dict.fromkeys(HOURS, "05:00-21:30")
    assert np.flatnonzero(is_night(start_ms, "UTC", late)).tolist() == [0, 1, 2, 3, 4, 22, 23]


def test_how_fast_air_goes_outdoors_is_not_said_across_gaps_or_of_air_alike() -> None:
    t_ms = np.array([0, 1, 3, 4]) * HOUR_MS
    inside, outside = np.array([8.0, 7.0, 6.0, 3.1]) / 1000, np.full(4, 3.0) / 1000
    share = towards_outdoors_per_h(t_ms, inside, outside)
    assert share == pytest.approx([0.2, np.nan, 2.9 / 3], nan_ok=True)
    assert np.isnan(towards_outdoors_per_h(t_ms, outside + 2e-4, outside)).all()
