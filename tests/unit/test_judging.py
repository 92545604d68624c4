"""What rules about lots said stands while nothing is another, and an alert outlives what keeps its rule from asking."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.faults import Faults
from server.judging import MINUTE_MS, Judging
from server.reading import Finding
from server.rules.base import RuleView, ShopFacts
from server.rules.catalog import make_rules
from server.rules.lot_rule import LotParameters, LotRule
from server.rules.lot_view import Course
from server.rules.spans import joined, span_with, without
from tests.unit.rules.lot_cases import in_danger
from tests.unit.rules.lots import HOUR_MS, NOW_MS, course, lot, shop
from tests.unit.rules.views import view as air_view


class Counted(LotRule):
    """Finds something of every lot, and counts how often it is asked."""

    name = "counted"
    schema = LotParameters

    def __init__(self) -> None:
        self.parameters = LotParameters()
        self.asked = 0

    def findings(self, view: RuleView) -> Sequence[Finding]:
        self.asked += 1
        found = []
        for one in view.lots or ():
            if one.cup_mm is None:
                raise ArithmeticError("a bug of ours")
            found.append(Finding(self.name, one.id, True, False, "look", "none", {}))
        return found


def test_a_rule_about_lots_is_asked_again_when_lots_or_the_minute_are_others() -> None:
    rule, judging, faults = Counted(), Judging(), Faults()
    view = replace(shop(lot("tops"), lot("rails")), now_ms=NOW_MS - NOW_MS % MINUTE_MS)
    for seconds in (0, 1, 59):
        found = judging.judged([rule], replace(view, now_ms=view.now_ms + 1000 * seconds), faults)
        assert [f.subject for f in found.findings] == ["tops", "rails"]
    assert rule.asked == 1
    judging.judged([rule], replace(view, now_ms=view.now_ms + MINUTE_MS), faults)
    judging.judged([rule], replace(view, lots=(lot("tops"),)), faults)
    judging.judged([rule], replace(view, lots=(lot("tops"),), shop=ShopFacts(away=((NOW_MS, NOW_MS + 1),))), faults)
    assert rule.asked == 4


def test_a_lot_that_rests_is_no_finding_unless_something_was_the_matter_with_it() -> None:
    """Thousands of them rest at every turn."""
    rules, judging, faults, book = make_rules(), Judging(), Faults(), AlertBook()
    view = shop(in_danger(3.0), lot("rails"))
    judged = judging.judged(rules, view, faults, book.watches)
    assert [f.subject for f in judged.findings if f.rule == "lot-checks"] == ["tops"]
    book, _ = apply(book, judged.findings, NOW_MS, 0.0)
    book, (raised,) = apply(book, judged.findings, NOW_MS, 3600.0)
    over = judging.judged(rules, shop(lot("tops"), lot("rails")), faults, book.watches)
    book, (returned,) = apply(book, over.findings, NOW_MS, 3601.0, unjudged=over.unjudged)
    assert (returned.id, returned.state) == (raised.id, "returned"), "it is over, not gone"


def test_alerts_stand_while_no_lot_is_worked_out_yet_and_while_a_bug_stops_their_rule() -> None:
    rule, judging, faults = Counted(), Judging(), Faults()
    judged = judging.judged([rule], shop(lot()), faults)
    book, (raised,) = apply(AlertBook(), judged.findings, NOW_MS, 0.0)
    for view in (replace(shop(), lots=None), shop(lot(cup_mm=None))):
        judged = judging.judged([rule], view, faults)
        assert judged.findings == []
        assert judged.unjudged == {"counted"}
        book, changes = apply(book, judged.findings, NOW_MS, 1.0, unjudged=judged.unjudged)
        assert (book.alerts, changes) == ([raised], [])
    assert [(f.part, f.what) for f in faults.all()] == [("rule counted", "ArithmeticError: a bug of ours")]
    judged = judging.judged([rule], shop(), faults)
    book, (gone,) = apply(book, judged.findings, NOW_MS, 2.0, unjudged=judged.unjudged)
    assert (book.alerts, gone.state) == ([], "normal")


def test_a_bug_in_a_rule_about_air_stops_neither_the_turn_nor_other_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    rules, faults, seen = make_rules(), Faults(), air_view(5.0)
    before = Judging().judged(rules, seen, faults)
    book, _ = apply(AlertBook(), [replace(f, raise_after_s=0.0) for f in before.findings], NOW_MS, 0.0)
    dry = next(rule for rule in rules if rule.name == "dry-limit")
    monkeypatch.setattr(dry, "findings", lambda _: 1 / 0)
    judged = Judging().judged(rules, seen, faults, book.watches)
    assert "dry-limit" in judged.unjudged
    assert {f.rule for f in judged.findings} == {f.rule for f in before.findings} - {"dry-limit"}
    book, changes = apply(book, judged.findings, NOW_MS, 1.0, unjudged=judged.unjudged)
    assert [a.rule for a in book.alerts if a.rule == "dry-limit"] == ["dry-limit"]
    assert not [a for a in changes if a.rule == "dry-limit"]
    assert [f.part for f in faults.all()] == ["rule dry-limit"]


def test_a_course_is_straight_between_its_points_and_stays_at_its_last() -> None:
    going = course("as-it-lies", (0, 0.1, 1.0, 8.0), (4, 0.5, 2.0, 7.0), half=0.1)
    assert going.by(NOW_MS - HOUR_MS).cup_mm.middle == 0.1
    point = going.by(NOW_MS + HOUR_MS)
    assert (round(point.cup_mm.middle, 9), round(point.cup_mm.low, 9), round(point.mean_pct.middle, 9)) == (
        0.2,
        0.1,
        7.75,
    )
    assert point.danger is not None
    assert point.danger.middle == 1.25
    assert going.by(NOW_MS + 99 * HOUR_MS).cup_mm.middle == 0.5
    without_strength = Course.of("wrapped", tuple(replace(p, danger=None) for p in going.points))
    assert without_strength.by(NOW_MS + HOUR_MS).danger is None
    assert lot(courses=(going,)).course("wrapped") is None


def test_spans_are_joined_found_and_cut() -> None:
    spans = ((10, 20), (0, 5), (20, 30), (3, 6))
    assert joined(spans) == ((0, 6), (10, 30))
    assert span_with(spans, 19) == (10, 30)
    assert span_with(spans, 6) is None
    assert list(without(spans, [(4, 12), (15, 18)])) == [(0, 4), (12, 15), (18, 30)]
    assert list(without(spans, [(0, 40)])) == []


def test_somebody_is_there_unless_a_time_away_says_otherwise() -> None:
    away = ((NOW_MS - HOUR_MS, NOW_MS + HOUR_MS), (NOW_MS + HOUR_MS, NOW_MS + 2 * HOUR_MS))
    assert shop(away=away).nobody_until_ms == NOW_MS + 2 * HOUR_MS
    assert shop(away=away[1:]).nobody_until_ms is None
