"""Counting back from a delivery: days that follow from when a lot is good, forwards and back, and what they risk."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.advice.asking import advise, ask_one
from server.advice.base import Line, LotView, NotToBeAsked
from server.advice.schedule import Good, Work, back_from, earliest
from server.wood.movement import change
from server.words import Sentence
from tests.unit.advice.lots_for_tests import DAY_MS, SHEET, damp, elsewhere, seen
from tests.unit.advice.test_moving import texts

WORK = Work(2.0, 1.0, 2.0, 5.0)
GOODS = st.builds(
    lambda first, stays, gap: Good(first, first + stays, first + stays + gap),
    st.floats(0, 60) | st.just(0.0), st.floats(0, 20) | st.just(math.inf), st.floats(0.1, 30) | st.just(math.inf),
)  # fmt: skip


def back(view: LotView, days: float | None = None, **more: Any) -> Line:
    asked = more if days is None else {"delivery_ms": view.at_ms + round(days * DAY_MS), **more}
    line = ask_one(view, "count-back", asked)
    assert line is not None
    return line


@given(good=GOODS, deliver=st.floats(0, 200))
def test_counting_back_is_counting_on_turned_round(good: Good, deliver: float) -> None:
    """Limits and round trip: a delivery can be met if and only if it is no sooner than the first one, work lies where
    the lot is good, and the latest days leave as much time as the soonest."""
    first = earliest(good, WORK)
    plan = back_from(good, WORK, deliver)
    if plan is None:
        assert deliver < first.deliver + 1e-9
        return
    assert deliver > first.deliver - 1e-9
    for day in (plan.mill, plan.glue):
        assert good.first <= day <= good.until or day >= good.again
    assert plan.glue - plan.mill >= WORK.rest - 1e-9
    assert plan.glue <= deliver - WORK.after_glue + 1e-9
    assert plan.mill >= first.mill - 1e-9


def test_a_lot_that_is_good_for_a_while_and_again_later() -> None:
    good = Good(0.0, 1.0, 10.0)
    assert earliest(good, WORK).mill == 0.0
    assert earliest(good, WORK).glue == 10.0  # two days of rest lead past what is good now
    assert back_from(good, WORK, 18.5) is not None
    assert back_from(good, WORK, 17.5) is None
    plan = back_from(good, WORK, 18.5)
    assert plan is not None
    assert (plan.mill, plan.glue) == (1.0, 10.5)


def test_the_first_delivery_follows_from_good_to_mill() -> None:
    view = damp()
    line = back(view, cure_days=3, assemble_days=4, finish_days=6, rest_days=5)
    mill = ask_one(view, "good-to-mill", {})
    assert mill is not None
    for key, end in (("earliest_ms", ""), ("earliest_ms_low", "_low"), ("earliest_ms_high", "_high")):
        days = (line.figures[key] - view.at_ms) / DAY_MS
        assert days == pytest.approx(mill.figures[f"good_to_mill_days{end}"] + 18, abs=1e-6), key
    assert line.figures["met"] is None
    assert line.word is None
    assert "Say when it is to be delivered" in texts(line.said)


def test_a_delivery_that_can_be_met_has_its_days() -> None:
    view = damp()
    line = back(view, 60)
    days = {key: (line.figures[f"{key}_ms"] - view.at_ms) / DAY_MS for key in ("bring_in", "mill", "glue", "earliest")}
    assert (days["mill"], days["glue"]) == (50, 52)
    assert days["bring_in"] == pytest.approx(60 - days["earliest"], abs=1e-6)  # so much room there is
    assert line.figures["bring_in_ms_low"] < line.figures["bring_in_ms"] < line.figures["bring_in_ms_high"]
    assert (line.word, line.figures["met"], line.figures["sooner"]) == (None, True, [])
    local = datetime.fromtimestamp(line.figures["mill_ms"] / 1000, ZoneInfo("Europe/Oslo"))
    assert line.figures["mill_date"] == local.date().isoformat()
    assert f"the first pass {local.day} " in texts(line.said)
    assert "If it goes slowly the first delivery is" in texts(line.said)
    assert "If it goes slowly" not in texts(back(view, 150).said)


def test_one_that_cannot_be_met_says_which_can_and_what_would_help() -> None:
    view = damp(2, lying="dead-stacked")
    line = back(view, 40)
    assert (line.word, texts([line.title])) == ("look", "Too late for its date")
    assert line.figures["met"] is False
    assert line.figures["earliest_ms"] is None  # nothing passes between boards of a dead stack
    ways = {way["how"]: way for way in line.figures["sooner"]}
    assert set(ways) == {"stickered", "resawn"}
    assert ways["resawn"]["deliver_days"] < ways["stickered"]["deliver_days"]
    for way in ways.values():
        assert way["deliver_days_low"] < way["deliver_days"] < way["deliver_days_high"]
    assert "Resawn in two and stickered, where the work allows it: delivery on" in texts(line.said)


def test_what_would_help_is_what_comes_of_it() -> None:
    """Round trip: the lot laid so, or in that zone, has the delivery that was said of it."""
    dead, stickered = damp(2, lying="dead-stacked"), damp(2)
    helped = {way["how"]: way["deliver_ms"] for way in back(dead, 40).figures["sooner"]}
    laid = (2, {"kind": "stickered", "lot": "b-1"})
    start = {"start": {"kind": "metered", "mc_pct": 14.0}, "lying": "dead-stacked"}
    then = seen(laid, days=2 + 1 / 48, air=lambda _: (21, 40), received=start)
    assert back(then).figures["earliest_ms"] == pytest.approx(helped["stickered"], abs=0.1 * DAY_MS)
    (zone,) = (way for way in back(stickered, 12).figures["sooner"] if way["how"] == "zone")
    assert zone["zone"] == "loft"
    assert back(stickered, zone="loft").figures["earliest_ms"] == zone["deliver_ms"]
    assert zone["saves_days"] > 1


def test_what_is_at_risk_is_the_way_its_width_still_goes() -> None:
    """Independent: the same from the lot's own course; milled now it is less than all that is left to move."""
    view = damp()
    line = back(view)
    assert view.held is not None
    across = view.across()
    assert across is not None
    course, days = view.held.outcome.course, view.held.outcome.good.middle[0]
    at = [math.nan, math.nan]
    for i, day in enumerate((0.0, float(days))):
        before = int((course.times_s - course.times_s[0] <= day * 86_400).sum()) - 1
        span = course.times_s[before + 1] - course.times_s[before]
        share = (day * 86_400 - (course.times_s[before] - course.times_s[0])) / span
        mean = course.mean_pct[before : before + 2, 0]
        at[i] = float(mean[0] + share * (mean[1] - mean[0]))
    assert line.figures["risk_now_mm"] == pytest.approx(-float(change(across, 150, *at)), abs=0.01)
    left = ask_one(view, "movement-left", {})
    assert left is not None
    assert line.figures["risk_now_mm"] < abs(left.figures["movement_left_mm"])
    moves = [row["moves_mm"] for row in line.figures["at_risk"]]
    assert moves == sorted(moves)
    assert moves[0] == line.figures["risk_mm_per_day"]
    assert moves[-1] == line.figures["risk_now_mm"]
    for row in line.figures["at_risk"]:
        assert 0 <= row["moves_mm_low"] <= row["moves_mm"] <= row["moves_mm_high"]


def test_what_is_too_little_to_show_is_not_said_to_be_nothing() -> None:
    values = {"day_mm": 0.003, "most_mm": 0.04, "now_mm": 0.004, "now_most_mm": 1.26, "width_mm": 150.0}
    assert texts([Sentence("lot-back-risk", values)]) == (
        "A day saved by milling before it is good to mill leaves < 0.01 mm across 150 mm still to move, 0.04 mm at the "
        "most; milled now, < 0.01 mm in all, 1.3 mm at the most."
    )


def test_nothing_is_at_risk_of_what_is_good_already() -> None:
    even = seen(days=40, air=lambda _: (21, 40), received={"start": {"kind": "metered", "mc_pct": 7.6}})
    line = back(even, 10.5)
    assert line.figures["met"] is True
    assert (line.figures["risk_mm_per_day"], line.figures["at_risk"]) == (None, [])
    assert "milling today puts nothing at risk" in texts(line.said)
    assert back(even, 9.5).figures["met"] is False


def test_air_that_draws_it_out_of_its_aim_has_no_date() -> None:
    start = {"start": {"kind": "metered", "mc_pct": 14.0}, "thickness_mm": 18}
    view = elsewhere(seen(days=2, air=lambda _: (21, 75), received=start), loft=(21.0, 40.0))
    line = back(view, 100)
    assert line.figures["earliest_ms"] is None
    assert "out of its aim of 6 to 10 %" in texts(line.said)
    assert [way["how"] for way in line.figures["sooner"]] == ["zone"]
    assert line.figures["sooner"][0]["saves_days"] is None
    assert "In the loft, as it lies: delivery on" in texts(line.said)
    assert "in time" in texts(line.said)


def test_days_for_the_work_are_common_practice_and_say_so() -> None:
    """Common practice, no source: 2 days of rest, 1 in clamps, 2 for assembly, 5 for finishing."""
    line = back(damp())
    assert [line.figures[f"{key}_days"] for key in ("rest", "cure", "assemble", "finish")] == [2, 1, 2, 5]
    assert any(source.endswith("Common practice, no source.") for source in line.sources)
    assert "Oily rags heat themselves" in texts([line.caution])


def test_a_date_nobody_gave_does_not_bear_on_the_verdict() -> None:
    assert all(line.word is None for line in advise(damp()).lines if line.question == "count-back")
    assert ask_one(seen(days=1, received=SHEET), "count-back", {}) is None


def test_what_cannot_be_meant() -> None:
    view = damp()
    for more, field, found, right in (
        ({"delivery_ms": view.at_ms}, "delivery_ms", f"{view.at_ms}, 2027-02-01", f"a time after {view.at_ms}"),
        ({"zone": "attic"}, "zone", "'attic'", "one of bench, loft"),
        ({"finish_days": -1}, "finish_days", "-1", "finishing, 0 to 365 days; 5 if not given"),
    ):
        with pytest.raises(NotToBeAsked) as refused:
            ask_one(view, "count-back", more)
        assert (refused.value.field, refused.value.found, refused.value.would_be_right) == (field, found, right)
