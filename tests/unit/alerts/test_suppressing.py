"""Suppressed by design: kept back while the reason stands, counted, and out by itself when it goes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from server.alerts.book import AlertBook, WrongState
from server.alerts.lifecycle import apply
from server.alerts.shelving import acknowledge, shelve
from server.clock import Instant
from server.deeds import AlertCommand, carried_out
from server.faults import Faults
from server.judging import Judging
from server.reading import Alert, Finding
from server.reason import Reason
from server.rules.base import RuleView, SensorView, ShopFacts
from server.rules.catalog import make_rules
from server.stores.rows import alert_row, to_alert
from tests.unit.rules.views import HOUR_MS, NOW_MS, view

WHY = Reason("suppressed-away", {"to_ms": NOW_MS})


class Story:
    """One alert without waits, a minute a step."""

    def __init__(self, *told_after: str) -> None:
        self.book, self.at_s, self.changes = AlertBook(), 0.0, list[Alert]()
        self.told_after = told_after

    def step(self, holds: str, why: Reason | None = None, minutes: float = 1.0) -> list[str]:
        self.at_s += 60.0 * minutes
        told = why is not None and why.key in self.told_after
        found = Finding(
            "r", "s", holds == "raise", holds == "clear", "look", "dry", {"n": 1}, suppressed_by=why, told_after=told
        )  # fmt: skip
        self.book, changes = apply(self.book, [found], round(self.at_s * 1000), self.at_s, new_id=lambda: "a")
        self.changes += changes
        return [change.state for change in changes]

    @property
    def alert(self) -> Alert:
        (alert,) = self.book.alerts
        return alert


def test_it_is_raised_without_a_word_and_comes_out_when_the_reason_goes() -> None:
    story = Story()
    assert story.step("raise", WHY) == ["suppressed"]
    assert story.alert.suppressed_by == WHY
    assert story.step("raise", WHY) == []
    assert story.step("raise") == ["unacknowledged"]
    assert (story.alert.suppressed_by, story.alert.raised_ms) == (None, 60_000)


def test_an_alert_speaks_of_the_side_that_its_figures_are_of() -> None:
    book = AlertBook()
    for minute, lean in enumerate(("damp", "dry")):
        found = Finding("r", "s", True, False, "look", lean, {"limit_pct": 6.0 if lean == "dry" else 10.0})  # type: ignore[arg-type]
        book, _ = apply(book, [found], minute * 60_000, minute * 60.0)
    (alert,) = book.alerts
    assert (alert.lean, alert.values["limit_pct"]) == ("dry", 6.0)


def test_one_that_stands_falls_silent_even_where_its_condition_says_nothing() -> None:
    story = Story()
    story.step("raise")
    assert story.step("neither", WHY) == ["suppressed"]
    assert story.step("neither") == ["unacknowledged"]


def test_a_condition_that_goes_meanwhile_ends_it_in_silence_and_tells_how_long_it_stood() -> None:
    story = Story()
    story.step("raise", WHY)
    assert story.step("clear", WHY, minutes=20) == ["normal"]
    assert story.changes[-1].values == {"n": 1, "stood_s": 1200, "returned_ms": 21 * 60_000}
    assert story.step("clear") == []


def gone_unseen() -> Story:
    """Raised while nobody is there, and over after 20 minutes."""
    story = Story(WHY.key)
    story.step("raise", WHY)
    assert story.step("clear", WHY, minutes=20) == ["suppressed"]
    assert story.alert.over_unseen
    return story


def test_what_came_and_went_while_nobody_was_there_is_told_when_somebody_is() -> None:
    story = gone_unseen()
    assert story.step("clear", WHY, minutes=600) == []
    assert story.step("clear", minutes=5) == ["returned"]
    assert (story.alert.asks, story.alert.suppressed_by) == ("round", None)
    assert story.alert.values == {"n": 1, "stood_s": 1200, "returned_ms": 21 * 60_000, "while_away": 1}
    story.book, after = acknowledge(story.book, "a", 0)
    assert (after.state, story.book.alerts) == ("normal", [])


def test_it_waits_to_be_told_over_a_restart() -> None:
    story = gone_unseen()
    assert to_alert(alert_row(story.alert)) == story.alert
    again = Story(WHY.key)
    again.at_s, again.book = story.at_s, AlertBook.restore([story.alert])
    assert again.step("clear", WHY) == []
    assert again.step("clear") == ["returned"]
    assert again.alert.values["stood_s"] == 1200


def test_one_that_comes_again_meanwhile_is_a_new_raise() -> None:
    story = gone_unseen()
    assert story.step("raise", WHY, minutes=30) == ["suppressed"]
    assert (story.alert.raised_ms, story.alert.over_unseen) == (51 * 60_000, False)
    (watch,) = story.book.watches.values()
    assert watch.raises == (60.0, 51 * 60.0)
    assert story.step("raise") == ["unacknowledged"]


def test_whoever_touches_an_alert_is_there_and_is_told() -> None:
    story = gone_unseen()
    other = to_alert(alert_row(replace(story.alert, id="b", subject="t", state="unacknowledged", suppressed_by=None)))
    book = AlertBook.restore([story.alert, other])
    command = AlertCommand("touch-1", "acknowledge", "b")
    after, alert, changed = carried_out(book, command, Instant(9_000_000, 9_000.0))
    assert (alert.id, [(one.id, one.state) for one in changed]) == ("b", [("b", "acknowledged"), ("a", "returned")])
    assert {one.id: one.state for one in after.alerts} == {"b": "acknowledged", "a": "returned"}


def test_of_what_looked_ahead_nothing_is_told_afterwards() -> None:
    away = ShopFacts(away=((NOW_MS - HOUR_MS, NOW_MS + HOUR_MS),))
    found = Judging().judged(make_rules(), replace(view(5.0), shop=away), Faults()).findings
    assert {f.rule: f.told_after for f in found if f.rule in AIR} == {rule: rule.endswith("limit") for rule in AIR}


def test_another_reason_is_a_change_and_another_figure_of_it_is_none() -> None:
    story = Story()
    story.step("raise", WHY)
    assert story.step("raise", Reason(WHY.key, {"to_ms": NOW_MS + 1})) == []
    assert story.alert.suppressed_by == Reason(WHY.key, {"to_ms": NOW_MS + 1})
    assert story.step("raise", Reason("suppressed-dry-limit", {})) == ["suppressed"]


def test_a_return_nobody_saw_stays_to_be_seen_and_a_new_raise_is_kept_back() -> None:
    story = Story()
    story.step("raise")
    story.step("clear")
    assert story.step("clear", WHY) == []
    assert story.alert.state == "returned"
    assert story.step("raise", WHY) == ["suppressed"]


def test_a_shelf_lasts_its_time_and_then_the_reason_counts() -> None:
    story = Story()
    story.step("raise")
    story.book, _ = shelve(story.book, "a", 1.0, now_ms=60_000, mono_s=story.at_s)
    assert story.step("raise", WHY, minutes=59) == []
    assert story.step("raise", WHY) == ["suppressed"]


def test_nobody_acknowledges_or_shelves_what_is_kept_back() -> None:
    story = Story()
    story.step("raise", WHY)
    with pytest.raises(WrongState, match="found 'suppressed'"):
        acknowledge(story.book, "a", 0)
    with pytest.raises(WrongState, match="found 'suppressed'"):
        shelve(story.book, "a", 1.0, now_ms=0, mono_s=0.0)


def test_the_reason_outlives_the_record() -> None:
    story = Story()
    story.step("raise", WHY)
    assert to_alert(alert_row(story.alert)) == story.alert
    again = Story()
    again.book = AlertBook.restore([story.alert])
    assert again.step("neither", WHY) == []
    assert again.step("neither") == ["unacknowledged"]
    spoilt = (*alert_row(story.alert)[:-1], '{"suppressed_by": 3}')
    with pytest.raises(ValueError, match="found suppressed_by 3; would be right: a key and its values"):
        to_alert(spoilt)


def reasons(seen: RuleView) -> dict[str, str]:
    """By rule, the key of the reason why its first finding is kept back."""
    found = Judging().judged(make_rules(), seen, Faults()).findings
    return {f.rule: f.suppressed_by.key for f in found if f.suppressed_by is not None}


AIR = {"dry-limit", "damp-limit", "falling-fast", "outlook-dry", "outlook-damp"}
SALT = SensorView("b-1", "bench-room", NOW_MS, 0.0, 60.0, over_salt=True)


def test_a_zone_is_kept_back_only_while_all_its_sensors_hang_over_salts() -> None:
    mate = SensorView("b-2", "bench-room", NOW_MS, 0.0, 60.0)
    alone = reasons(replace(view(5.0), sensors=(SALT,)))
    assert alone == dict.fromkeys({*AIR, "sensors-apart", "sensor-silent", "sensor-stuck"}, "suppressed-over-salt")
    assert not AIR & reasons(replace(view(5.0), sensors=(SALT, mate))).keys()


def test_a_zone_off_for_the_season_says_nothing_and_its_neighbours_do() -> None:
    seen = replace(view(5.0), shop=ShopFacts(off_until_ms={"bench-room": NOW_MS + HOUR_MS}))
    assert {r: k for r, k in reasons(seen).items() if r in AIR} == dict.fromkeys(AIR, "suppressed-off-season")
    assert reasons(replace(seen, shop=ShopFacts(off_until_ms={"loft": NOW_MS}))) == {}


def test_away_keeps_air_back_where_all_is_wrapped_but_no_silent_sensor() -> None:
    away = (NOW_MS - HOUR_MS, NOW_MS + HOUR_MS), (NOW_MS + HOUR_MS, NOW_MS + 3 * HOUR_MS)
    seen = replace(view(5.0), sensors=(replace(SALT, over_salt=False),), shop=ShopFacts(away=away))
    assert reasons(seen) == dict.fromkeys(AIR, "suppressed-away")
    (kept_back,) = (f for f in Judging().judged(make_rules(), seen, Faults()).findings if f.rule == "dry-limit")
    assert kept_back.suppressed_by == Reason("suppressed-away", {"to_ms": NOW_MS + 3 * HOUR_MS}), "two that touch"
    open_lot = replace(seen.shop, open_lots={"bench-room": 1})
    assert reasons(replace(seen, shop=open_lot)) == {}
    assert reasons(replace(seen, shop=ShopFacts(open_lots={"bench-room": 1}))) == {}


def test_a_fall_is_kept_back_while_the_dry_limit_speaks_there() -> None:
    assert reasons(replace(view(5.9), standing={("dry-limit", "bench-room")})) == {
        "falling-fast": "suppressed-dry-limit",
        "outlook-dry": "suppressed-dry-limit",
    }
    assert reasons(replace(view(5.9), standing={("dry-limit", "loft")})) == {}
