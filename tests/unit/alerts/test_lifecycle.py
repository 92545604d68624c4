"""The state machine over the real rules: times kept, one raise a spell, nothing lost over a restart."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.alerts.shelving import acknowledge
from server.reading import Finding
from tests.unit.alerts.turns import START_MS, Turns


def dry() -> Turns:
    turns = Turns()
    turns.air(5.8, minutes=30)
    return turns


def test_29_minutes_below_do_not_raise_and_30_do() -> None:
    turns = Turns()
    assert turns.air(5.8, minutes=29) == []
    (raised,) = turns.air(5.8, minutes=1)
    assert (raised.state, raised.rule, raised.subject, raised.id) == (
        "unacknowledged",
        "dry-limit",
        "bench-room",
        "spell-1",
    )
    assert raised.raised_ms == START_MS + 30 * 60_000
    assert raised.values == {"emc_pct": 5.8, "limit_pct": 6.0, "past_limit_pct": 0.2, "said_past_pct": 0.2}


def test_a_break_starts_the_wait_anew() -> None:
    turns = Turns()
    turns.air(5.8, minutes=20)
    turns.air(6.05)
    assert turns.air(5.8, minutes=29) == []
    assert len(turns.air(5.8, minutes=1)) == 1


def test_a_silence_is_no_break_and_nothing_is_said_in_it() -> None:
    """A radio that is heard now and then: what was past its limit before and after counts as past it meanwhile."""
    turns = Turns()
    turns.air(5.8, minutes=1)
    assert turns.air(None, minutes=200) == []
    (raised,) = turns.air(5.8)
    assert raised.raised_ms == START_MS + 201 * 60_000
    assert turns.air(6.4, minutes=1) == turns.air(None, minutes=200) == []
    (over,) = turns.air(6.4)
    assert over.state == "returned"


def test_what_is_heard_after_a_silence_can_be_the_break() -> None:
    turns = Turns()
    turns.air(5.8, minutes=20)
    turns.air(None, minutes=60)
    turns.air(6.05)
    assert turns.air(5.8, minutes=29) == []
    assert len(turns.air(5.8, minutes=1)) == 1


@pytest.mark.parametrize(("silent_h", "waited"), [(6, True), (7, False)])
def test_of_a_long_silence_nobody_knows(silent_h: int, waited: bool) -> None:
    turns = Turns()
    turns.air(5.8, minutes=20)
    turns.air(None, minutes=60 * silent_h)
    assert bool(turns.air(5.8)) is waited
    assert bool(turns.air(5.8, minutes=29)) is False
    assert bool(turns.air(5.8, minutes=1)) is not waited


def test_clear_needs_60_minutes_well_inside() -> None:
    turns = dry()
    assert turns.air(6.2, minutes=300) == []
    assert turns.air(6.3, minutes=59) == []
    (over,) = turns.air(6.3, minutes=1)
    assert (over.state, over.id) == ("returned", "spell-1")


def test_noise_around_the_limit_gives_one_raise() -> None:
    turns, rng = Turns(), random.Random(1)
    turns.air(5.9, minutes=40)
    for _ in range(48 * 60):
        turns.at_min += 1
        turns.air(6.0 + rng.gauss(0.0, 0.1))
    assert turns.states == ["unacknowledged"]


def test_acknowledged_clears_to_normal_and_a_new_spell_has_a_new_id() -> None:
    turns = dry()
    turns.book, _ = acknowledge(turns.book, "spell-1", turns.now_ms)
    (over,) = turns.air(8.0, minutes=60)
    assert (over.state, over.id) == ("normal", "spell-1")
    assert turns.book.alerts == []
    (again,) = turns.air(5.8, minutes=30)
    assert again.id == "spell-2"


def test_returned_raised_again_is_the_same_spell_with_its_newest_time() -> None:
    turns = dry()
    turns.air(8.0, minutes=60)
    (again,) = turns.air(5.7, minutes=30)
    assert (again.state, again.id) == ("unacknowledged", "spell-1")
    assert again.raised_ms == turns.now_ms


def test_said_again_only_when_half_a_per_cent_worse() -> None:
    turns = dry()
    turns.book, _ = acknowledge(turns.book, "spell-1", turns.now_ms)
    assert turns.air(5.4, minutes=600) == []
    (worse,) = turns.air(5.3, minutes=600)
    assert (worse.state, worse.values["emc_pct"], worse.id) == ("unacknowledged", 5.3, "spell-1")
    turns.book, _ = acknowledge(turns.book, "spell-1", turns.now_ms)
    for emc_pct in (5.6, 5.3, 5.9, 4.9, 5.6, 4.9):
        assert turns.air(emc_pct, minutes=30) == []
    assert len(turns.air(4.8)) == 1


def test_getting_worse_before_anyone_has_seen_it_is_a_step_not_a_state() -> None:
    turns = dry()
    turns.at_min += 1
    (step,) = turns.air(5.2, minutes=120)
    assert (step.state, step.values["said_past_pct"]) == ("unacknowledged", 0.8)
    assert step.changed_ms > step.raised_ms


def test_acknowledging_counts_what_was_on_the_wall_as_said() -> None:
    turns = dry()
    turns.air(5.4)
    turns.book, seen = acknowledge(turns.book, "spell-1", turns.now_ms)
    assert seen.values["said_past_pct"] == 0.6
    assert turns.air(5.0, minutes=60) == []


def test_figures_follow_without_being_a_change() -> None:
    turns = dry()
    assert turns.air(5.6) == []
    assert turns.alert.values["emc_pct"] == 5.6
    assert turns.alert.changed_ms == turns.alert.raised_ms


def test_silence_of_the_air_leaves_an_alert_as_it_is() -> None:
    turns = dry()
    assert turns.air(None, minutes=600) == []
    assert turns.alert.values["emc_pct"] == 5.8


@pytest.mark.parametrize("boot_mono_s", [0.0, 9e6])
def test_restart_in_the_middle_keeps_state_and_does_not_raise_again(boot_mono_s: float) -> None:
    turns = dry()
    turns.book, seen = acknowledge(turns.book, "spell-1", turns.now_ms)
    after = Turns(AlertBook.restore([seen]), at_min=turns.at_min + 5, boot_mono_s=boot_mono_s)
    assert after.air(None) == []
    assert after.air(5.8, minutes=120) == []
    assert (after.alert.id, after.alert.state) == ("spell-1", "acknowledged")
    assert [change.state for change in after.air(7.0, minutes=60)] == ["normal"]


def test_restart_keeps_the_newest_state_of_each_and_no_normal_one() -> None:
    turns = dry()
    raised = turns.alert
    _, seen = acknowledge(turns.book, "spell-1", turns.now_ms + 60_000)
    assert AlertBook.restore([seen, raised]).alerts == [seen]
    over = replace(seen, state="normal", changed_ms=seen.changed_ms + 1)
    assert AlertBook.restore([over, seen]).alerts == []


def test_a_subject_no_longer_watched_goes_to_normal() -> None:
    turns = dry()
    (gone,) = turns.apply([])
    assert (gone.state, gone.id) == ("normal", "spell-1")
    assert turns.book.alerts == []
    assert turns.apply([]) == []


def test_a_graver_word_is_said_again_and_a_milder_one_is_not() -> None:
    def finding(word: str) -> Finding:
        return Finding("r", "s", True, False, word, "dry", {})  # type: ignore[arg-type]

    turns = Turns()
    turns.apply([finding("look")])
    turns.book, _ = acknowledge(turns.book, "spell-1", turns.now_ms)
    (graver,) = turns.apply([finding("act")])
    assert (graver.state, graver.word) == ("unacknowledged", "act")
    turns.book, _ = acknowledge(turns.book, "spell-1", turns.now_ms)
    (milder,) = turns.apply([finding("look")])
    assert (milder.state, milder.word) == ("acknowledged", "look")


def test_two_findings_for_one_subject_are_refused() -> None:
    finding = Finding("r", "s", False, True, "look", "dry", {})
    with pytest.raises(ValueError, match=r"found two for \('r', 's'\)"):
        apply(AlertBook(), [finding, finding], 0, 0.0)


def test_ids_are_their_own_without_a_maker() -> None:
    finding = Finding("r", "s", True, False, "look", "dry", {})
    ids: set[str] = set()
    for _ in range(3):
        _, changes = apply(AlertBook(), [finding], 0, 0.0)
        ids |= {change.id for change in changes}
    assert len(ids) == 3


def test_the_wall_clock_stepping_changes_no_wait() -> None:
    turns = Turns()
    turns.air(5.8, minutes=15)
    finding_ms = turns.now_ms + 30 * 86_400_000
    _, changes = apply(turns.book, _dry_findings(), finding_ms, turns.mono_s + 60)
    assert changes == []
    _, changes = apply(turns.book, _dry_findings(), 0, turns.mono_s + 15 * 60)
    assert [c.raised_ms for c in changes] == [0]


def _dry_findings() -> list[Finding]:
    return [Finding("dry-limit", "bench-room", True, False, "look", "dry", {}, 1800.0, 3600.0)]


def test_what_comes_to_ask_for_a_look_now_is_said_again_and_what_no_longer_does_is_not() -> None:
    book, states = AlertBook(), []
    for minute, asks in enumerate(("round", "round", "now", "now", "round")):
        found = Finding("r", "s", True, False, "look", "none", {}, asks=asks)  # type: ignore[arg-type]
        book, changes = apply(book, [found], minute * 60_000, minute * 60.0, new_id=lambda: "a")
        states.append([(change.state, change.asks) for change in changes])
        if minute in (0, 3):
            book, _ = acknowledge(book, "a", minute * 60_000)
    assert states == [[("unacknowledged", "round")], [], [("unacknowledged", "now")], [], [("acknowledged", "round")]]
    found = Finding("r", "s", False, False, "look", "none", {}, asks="now")
    assert apply(book, [found], 600_000, 600.0)[1] == [], "what only keeps it standing asks for nothing more"
