"""What it costs that nobody has said for long how a lot lies, and when to look."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from server.advice import asking
from server.advice.asking import advise, ask_one
from server.advice.base import Line, LotView
from server.advice.catalog import LOTS
from server.advice.confirmed import StillSo
from server.words import Sentence, Words, render
from tests.unit.advice.lots_for_tests import DAY_MS, START_MS, seen

WRAPPED = {"kind": "wrapped", "lot": "b-1"}
EVEN = {"start": {"kind": "metered", "mc_pct": 7.0}}
WORDS = Words("en", strict=True)
DRY = (21.0, 22.0)


def said(line: Line) -> str:
    return " ".join(str(render(s, WORDS)["text"]) for s in line.said)


def asked(view: LotView) -> Line:
    line = ask_one(view, "confirmed", {})
    assert line is not None
    return line


def wrapped(days: float, *more: tuple[float, dict[str, Any]]) -> LotView:
    """At 7 % in a wrap from the first hour, in air that draws it to 4.9 %."""
    return seen((1 / 24, WRAPPED), *more, days=days, air=lambda _: DRY, received=EVEN)


def half_pct(view: LotView) -> float:
    assert view.held is not None
    left = view.held.outcome.left_pct
    return float(left.high[0] - left.middle[0])


def test_nothing_widens_up_to_the_limit_and_ever_more_after_it() -> None:
    """Also what becomes of it is told wider, never narrower; and a word that it lies so ends it at once."""
    before = asked(wrapped(7.0))
    assert (before.figures["drier_pct"], before.figures["holds_days"], before.word) == (0.0, 7.0, None)
    views = [wrapped(days) for days in (7.5, 9.0, 14.0, 30.0)]
    drier = [asked(view).figures["drier_pct"] for view in views]
    assert all(0.0 < earlier < later for earlier, later in pairwise(drier))
    assert all(asked(view).figures["damper_pct"] == 0.0 for view in views)
    again = wrapped(30.0, (29.9, {"kind": "confirmed", "lot": "b-1"}))
    assert asked(again).figures["drier_pct"] == 0.0
    assert again.held is not None
    assert again.held.astray is None
    assert half_pct(again) < half_pct(views[-1])


def test_the_lot_on_the_other_side_of_what_may_be_is_what_it_would_have_been() -> None:
    """Opened at the limit instead: the model's own run of that lies where the widened end says, within a tenth."""
    line, opened = asked(wrapped(20.0)), wrapped(20.0, (7.0 + 1 / 24, {"kind": "unwrapped", "lot": "b-1"}))
    here = wrapped(20.0).held
    assert here is not None
    assert opened.held is not None
    assert here.mean_pct - opened.held.mean_pct == pytest.approx(line.figures["drier_pct"], rel=0.1)


def test_it_asks_to_look_where_the_verdict_may_be_another_one() -> None:
    late = advise(wrapped(40.0))
    assert (late.word, render(late.title, WORDS)["text"]) == ("look", "Is it still wrapped?")
    assert late.if_still is not None
    assert render(late.if_still, WORDS)["text"] == "if it is still wrapped"
    assert "Rails: wrapped in the bench room since 14:00 on Tue 12 Jan." in said(late.lines[1])
    assert said(late.lines[1]).startswith(
        "If it lies otherwise by now, its mean may be 1.1 % lower, and its shell more:"
    )
    assert late.why == late.lines[1].said[0], "what to do stands beside the verdict"
    assert late.lines[1].entries == ("entry-001",)
    early = advise(wrapped(3.0))
    assert early.if_still is None
    assert "That holds until 14:00 on Tue 19 Jan." in said(early.lines[1])
    sure = asked(seen((1 / 24, WRAPPED), days=40, air=lambda _: (21, 40), received=EVEN))
    assert sure.word is None  # opened or not, this air makes nothing else of it
    assert sure.figures["drier_pct"] + sure.figures["damper_pct"] < 0.5


def test_a_freshly_milled_lot_is_doubted_after_a_day_and_may_lie_in_another_zone() -> None:
    planed = {"kind": "milled", "lot": "b-1", "take_top_mm": 1, "take_bottom_mm": 1}
    view = seen((0.5, planed), days=2, air=lambda _: (21, 40), loft=(21, 70), received=EVEN)
    line = asked(view)
    assert line.figures["holds_days"] == 1.0
    assert line.figures["damper_pct"] > 0.0 == line.figures["drier_pct"]
    assert "A word holds for a day" in str(render(line.limit.said, WORDS)["text"]) if line.limit else False
    assert view.holds_ms == START_MS + round(1.5 * DAY_MS)


class Alarm(StillSo):
    name = "alarm"

    def answer(self, view: LotView, _: Any, /) -> Line:
        title = Sentence("lot-nothing-held-title", {"why": "not-yet"})
        return Line(self.name, "act", title, (title,), title=title)


@pytest.mark.parametrize("first", [True, False])
def test_it_neither_mutes_nor_is_muted_by_what_must_be_done(monkeypatch: pytest.MonkeyPatch, *, first: bool) -> None:
    others = dict(LOTS)
    both = {"alarm": Alarm(), **others} if first else {**others, "alarm": Alarm()}
    monkeypatch.setattr(asking, "questions_of", lambda _: both)
    found = advise(wrapped(40.0))
    assert found.word == "act"
    assert [line.word for line in found.lines if line.question == "confirmed"] == ["look"]


def test_the_verdict_alone_is_that_of_every_question() -> None:
    for view in (wrapped(3.0), wrapped(40.0), seen(days=0)):
        whole, (part,) = advise(view), asking.verdicts([view])
        assert (whole.word, whole.lean, whole.title, whole.why) == (part.word, part.lean, part.title, part.why)
        assert all(line.word is None for line in whole.lines if not asking.QUESTIONS[line.question].decides)


def test_the_ends_of_a_lot_seen_in_time_are_as_they_were() -> None:
    held = wrapped(5.0).held
    assert held is not None
    assert held.astray is None
    assert np.isfinite(held.outcome.left_pct.low[0])


def mean_pct(view: LotView) -> float:
    assert view.held is not None
    return view.held.mean_pct


@pytest.mark.parametrize("rh", [22.0, 60.0])
@pytest.mark.parametrize("days", [1.0, 4.0, 6.5, 20.0, 60.0])
def test_a_dead_stack_is_as_unsure_as_its_outermost_piece_is_off(rh: float, days: float) -> None:
    """Against a second run of the same lot, one face open all the while: what is told reaches it within a fifth of the
    way and 0.1 %, to its side alone, and needs no limit to pass; a word that it lies so does not end it."""
    stacked, outermost = (
        seen((0.0, {"kind": lying, "lot": "b-1"}), *((d, {"kind": "confirmed", "lot": "b-1"}) for d in (days - 0.01,)),
             days=days, air=lambda day: (21.0, rh + 8.0 * np.sin(5.0 * day)), received=EVEN)
        for lying in ("dead-stacked", "one-face")
    )  # fmt: skip
    way = mean_pct(outermost) - mean_pct(stacked)
    figures = asked(stacked).figures
    told = (-figures["drier_pct"], figures["damper_pct"])
    assert told[way > 0] == pytest.approx(way, rel=0.2, abs=0.1)
    assert abs(told[way < 0]) < 0.05
    assert asked(stacked).word is None
    assert figures["drier_pct"] + figures["damper_pct"] > 0.0
