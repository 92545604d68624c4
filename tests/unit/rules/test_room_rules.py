"""Extractor, shelf, iron and mould: where each speaks, what it waits for, and that noise on a limit is one alert."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from server.rules.base import RoomView, RuleView, ShelfView, ShopFacts, ZoneView
from server.rules.extractor_cold import ExtractorCold, ExtractorColdParameters
from server.rules.iron_rusts import IronRusts
from server.rules.mould_grows import MouldGrows
from server.rules.shelf_freezing import ShelfFreezing
from server.rules.suppressing import Around, kept_back
from tests.unit.rules.spells import raised_and_over
from tests.unit.rules.views import AIM, HOUR_MS, NOW_MS, air

ZONE = "bench-room"
BLOWS = ((NOW_MS - HOUR_MS, NOW_MS + HOUR_MS),)
OLD_MS = NOW_MS - 2 * HOUR_MS


def room(emc_pct: float | None = 6.3, at_ms: int = NOW_MS, now_ms: int = NOW_MS, **known: object) -> RuleView:
    zone = ZoneView(ZONE, AIM, None if emc_pct is None else air(emc_pct))
    return RuleView(now_ms, (zone,), rooms=(RoomView(ZONE, at_ms, **known),))  # type: ignore[arg-type]


COLD = {"outdoor_c": -8.0, "incoming_pct": 2.9}


@pytest.mark.parametrize(
    ("view", "raises", "clears", "because"),
    [
        (room(**COLD, blows=BLOWS), True, False, "it blows, it is cold, the room has nothing to spare"),
        (room(7.5, **COLD, blows=BLOWS), False, True, "the room has enough to spare"),
        (room(6.7, **COLD, blows=BLOWS), False, False, "between the two"),
        (room(5.5, **COLD, blows=BLOWS), True, False, "past the limit it is all the more to be stopped"),
        (room(outdoor_c=8.0, incoming_pct=2.9, blows=BLOWS), False, True, "a mild day"),
        (room(outdoor_c=-8.0, incoming_pct=6.4, blows=BLOWS), False, True, "cold air that dries nothing"),
        (room(**COLD, blows=((NOW_MS - HOUR_MS, NOW_MS),)), False, True, "its hours are over"),
        (room(None, **COLD, blows=BLOWS), False, False, "nobody hears the room"),
        (room(at_ms=OLD_MS, **COLD, blows=BLOWS), False, False, "outdoors was last known two hours ago"),
        (room(blows=BLOWS), False, False, "outdoors is not known"),
        (room(**COLD, follows_per_h=0.4, usual_per_h=0.05), True, False, "eight times as fast as on still nights"),
        (room(**COLD, follows_per_h=0.15, usual_per_h=0.05), False, False, "three times: it may be anything"),
        (room(**COLD, follows_per_h=0.05, usual_per_h=0.05), False, True, "still"),
        (room(**COLD, follows_per_h=0.08, usual_per_h=0.01), False, False, "eight times next to nothing"),
        (room(**COLD, follows_per_h=None, usual_per_h=0.05), False, False, "not known now"),
    ],
)
def test_the_extractor(view: RuleView, raises: bool, clears: bool, because: str) -> None:
    (finding,) = ExtractorCold().findings(view)
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears), because
    assert finding.lean == "dry"


def test_the_extractor_is_said_once_a_cold_spell_and_not_once_a_day() -> None:
    """Three weeks of its hours from eight to five, no weekends; cold for nine days, mild for three, cold again. A night
    gives the room what the day took."""
    told = []
    for n in range(21 * 24):
        now_ms, day, hour = NOW_MS + n * HOUR_MS, n // 24, n % 24
        begin_ms = now_ms - (hour - 8) * HOUR_MS
        works, cold = day % 7 < 5, not 9 <= day < 12
        blows = ((begin_ms, begin_ms + 9 * HOUR_MS),) if works else ((0, HOUR_MS),)
        emc_pct = 6.3 if works and 9 <= hour < 17 else 7.5
        told.append(
            room(emc_pct, now_ms, now_ms, outdoor_c=-8.0 if cold else 9.0, incoming_pct=2.9, blows=blows)
        )  # fmt: skip
    rule = ExtractorCold(ExtractorColdParameters(raise_after_min=0))
    hours = [(kind, (ms - NOW_MS) // HOUR_MS) for kind, ms in raised_and_over(rule, told)]
    assert hours == [("raised", 9), ("over", 8 * 24 + 17 + 12), ("raised", 14 * 24 + 9)]
    rests = ExtractorCold().findings(told[20])[0].values
    assert rests["rests"] == 1, "at night it is not said to blow"
    assert "until_ms" not in rests


def test_the_extractor_needs_outdoors_and_hours_or_nights() -> None:
    (unknown,) = ExtractorCold().findings(room(**COLD))
    assert (unknown.raise_holds, unknown.clear_holds) == (False, False), "its nights may not have been looked at yet"
    assert ExtractorCold().unwatched(room(blows=BLOWS)) == "not-watched-no-outdoors"
    assert ExtractorCold().unwatched(room(**COLD)) == "not-watched-no-extractor"
    assert ExtractorCold().unwatched(room(**COLD, usual_per_h=0.05)) is None


def test_its_hours_blow_nothing_while_nobody_is_there() -> None:
    away = ((NOW_MS - HOUR_MS, NOW_MS + HOUR_MS),)
    for times, why in (((), None), (away, "suppressed-nobody")):
        seen = replace(room(**COLD, blows=BLOWS), shop=ShopFacts(away=times))
        (found,) = kept_back(ExtractorCold(), ExtractorCold().findings(seen), Around.of(seen))
        assert (found.suppressed_by and found.suppressed_by.key) == why


def shelf(temperature_c: float, per_h: float | None = None, at_ms: int = NOW_MS, now_ms: int = NOW_MS) -> RuleView:
    return RuleView(now_ms, shelves=(ShelfView("shelf-1", ZONE, at_ms, temperature_c, per_h),))


@pytest.mark.parametrize(
    ("view", "raises", "clears", "in_h"),
    [
        (shelf(4.9), True, False, None),
        (shelf(5.5), False, False, None),
        (shelf(6.5), False, True, None),
        (shelf(8.0, -0.5), True, False, 6.0),
        (shelf(8.0, -0.2), False, False, 15.0),
        (shelf(8.0, -0.1), False, True, None),
        (shelf(14.0, -2.0), False, True, None),
        (shelf(4.0, -0.5), True, False, None),
        (shelf(4.0, at_ms=OLD_MS), False, False, None),
    ],
)
def test_the_shelf(view: RuleView, raises: bool, clears: bool, in_h: float | None) -> None:
    (finding,) = ShelfFreezing().findings(view)
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears)
    assert (finding.subject, finding.values["zone"], finding.values.get("in_h")) == ("shelf-1", ZONE, in_h)


def test_a_shop_without_a_shelf_says_so() -> None:
    assert ShelfFreezing().unwatched(RuleView(NOW_MS)) == "not-watched-no-shelf"
    assert ShelfFreezing().unwatched(shelf(8.0)) is None


@pytest.mark.parametrize(
    ("rh_pct", "raises", "clears", "said"),
    [(58.0, False, True, {}), (62.0, False, False, {}), (71.0, True, False, {"metal_rh_pct": 71}),
     (104.0, True, False, {"metal_rh_pct": 100, "sweats": 1})],
)  # fmt: skip
def test_the_iron(rh_pct: float, raises: bool, clears: bool, said: dict[str, int]) -> None:
    (finding,) = IronRusts().findings(room(metal_c=9.2, metal_rh_pct=rh_pct))
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears)
    assert said.items() <= finding.values.items()
    (old,) = IronRusts().findings(room(at_ms=OLD_MS, metal_c=9.2, metal_rh_pct=rh_pct))
    assert (old.raise_holds, old.clear_holds) == (False, False)


def test_where_no_iron_stands_nothing_is_watched() -> None:
    assert IronRusts().findings(room()) == []
    assert IronRusts().unwatched(room()) == "not-watched-no-iron"


@pytest.mark.parametrize(
    ("rh_pct", "from_pct", "days", "raises", "clears"),
    [
        (86.0, 81.2, 7.0, True, False),
        (80.0, 81.2, 7.0, False, False),
        (75.0, 81.2, 7.0, False, True),
        (86.0, 81.2, 3.0, False, False),
        (86.0, None, 7.0, False, True),
    ],
)
def test_the_mould(rh_pct: float, from_pct: float | None, days: float, raises: bool, clears: bool) -> None:
    seen = room(surface_c=11.2, surface_rh_pct=rh_pct, surface_days=days, mould_from_pct=from_pct, mould_weeks=14.2)
    (finding,) = MouldGrows().findings(seen)
    assert (finding.raise_holds, finding.clear_holds) == (raises, clears)
    assert not raises or finding.values["weeks"] == 14
    assert MouldGrows().unwatched(seen) == (None if days >= 5 else "not-watched-no-week")
    assert MouldGrows().findings(room()) == []


def half_hours(rule: str, figures: np.ndarray) -> Iterator[RuleView]:
    """Turns of five minutes, a figure each half hour."""
    for n, figure in enumerate(np.repeat(figures, 6)):
        now_ms, at_ms = NOW_MS + 300_000 * n, NOW_MS + 1_800_000 * (n // 6)
        if rule == "shelf":
            yield shelf(float(figure), at_ms=at_ms, now_ms=now_ms)
        elif rule == "iron":
            yield room(at_ms=at_ms, now_ms=now_ms, metal_c=9.0, metal_rh_pct=float(figure))
        elif rule == "mould":
            yield room(
                at_ms=at_ms, now_ms=now_ms, surface_c=11.0, surface_rh_pct=float(figure), surface_days=7.0,
                mould_from_pct=81.0,
            )  # fmt: skip
        else:
            blows = ((NOW_MS, NOW_MS + 400 * HOUR_MS),)
            yield room(float(figure), at_ms=at_ms, now_ms=now_ms, **COLD, blows=blows)


@pytest.mark.parametrize(
    ("name", "rule", "limit", "noise", "quiet"),
    [
        ("shelf", ShelfFreezing(), 5.0, 0.2, 12.0),
        ("iron", IronRusts(), 65.0, 1.0, 50.0),
        ("mould", MouldGrows(), 81.0, 0.7, 60.0),
        ("extractor", ExtractorCold(), 6.5, 0.05, 8.0),
    ],
)
def test_noise_on_a_limit_is_one_alert(name: str, rule, limit: float, noise: float, quiet: float) -> None:
    """Three days around the limit between two quiet ones."""
    rng = np.random.default_rng(1)
    figures = np.concatenate([np.full(48, quiet), limit + rng.normal(0, noise, 144), np.full(160, quiet)])
    assert [kind for kind, _ in raised_and_over(rule, half_hours(name, figures))] == ["raised", "over"]
