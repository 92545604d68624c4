"""What a person may do to an alert, and what is refused with which words."""

from __future__ import annotations

import pytest

from server.alerts.book import AlertBook, AlertError, ShelfTime, UnknownAlert, WrongState
from server.alerts.shelving import acknowledge, shelve, unshelve
from tests.unit.alerts.turns import Turns

ID = "spell-1"


def dry() -> Turns:
    turns = Turns()
    turns.air(5.8, minutes=30)
    return turns


def shelved(hours: float = 8.0) -> Turns:
    turns = dry()
    turns.book, alert = shelve(turns.book, ID, hours, now_ms=turns.now_ms, mono_s=turns.mono_s)
    assert alert.state == "shelved"
    assert alert.shelved_until_ms == turns.now_ms + round(hours * 3_600_000)
    return turns


def test_acknowledging_twice_is_once() -> None:
    turns = dry()
    book, seen = acknowledge(turns.book, ID, turns.now_ms)
    assert (seen.state, seen.changed_ms) == ("acknowledged", turns.now_ms)
    assert acknowledge(book, ID, turns.now_ms + 1) == (book, seen)


def test_acknowledging_one_that_returned_ends_it() -> None:
    turns = dry()
    turns.air(8.0, minutes=60)
    book, over = acknowledge(turns.book, ID, turns.now_ms)
    assert over.state == "normal"
    assert book.alerts == []


def test_a_shelved_one_comes_back_after_its_time_if_it_stands() -> None:
    turns = shelved(hours=8)
    assert turns.air(4.0, minutes=8 * 60 - 1) == []
    (back,) = turns.air(4.0, minutes=1)
    assert (back.state, back.id, back.shelved_until_ms) == ("unacknowledged", ID, None)
    assert back.values["said_past_pct"] == 2.0


def test_a_shelved_one_that_cleared_meanwhile_ends_in_silence() -> None:
    turns = shelved(hours=8)
    turns.air(8.0, minutes=60)
    (over,) = turns.air(8.0, minutes=8 * 60)
    assert over.state == "normal"
    assert turns.book.alerts == []


def test_the_shelf_outlives_a_restart_by_its_wall_time() -> None:
    turns = shelved(hours=8)
    after = Turns(AlertBook.restore(turns.book.alerts), at_min=turns.at_min + 60, boot_mono_s=3.0)
    assert after.air(5.8, minutes=7 * 60 - 1) == []
    assert [c.state for c in after.air(5.8, minutes=1)] == ["unacknowledged"]


def test_after_a_restart_a_shelved_one_already_over_ends_in_silence() -> None:
    turns = shelved(hours=1)
    after = Turns(AlertBook.restore(turns.book.alerts), at_min=turns.at_min + 120)
    assert [c.state for c in after.air(8.0)] == ["normal"]


def test_a_clock_not_set_at_start_shelves_for_72_hours_at_most() -> None:
    turns = shelved(hours=1)
    back_in_1970 = Turns(AlertBook.restore(turns.book.alerts), at_min=-turns.now_ms / 60_000)
    back_in_1970.air(5.8)
    assert back_in_1970.alert.state == "shelved"
    back_in_1970.at_min += 72 * 60
    assert [c.state for c in back_in_1970.air(5.8)] == ["unacknowledged"]


def test_unshelving_goes_back_to_what_is_true() -> None:
    turns = shelved()
    book, back = unshelve(turns.book, ID, now_ms=turns.now_ms, mono_s=turns.mono_s)
    assert (back.state, book.alerts) == ("unacknowledged", [back])
    turns.air(8.0, minutes=60)
    book, over = unshelve(turns.book, ID, now_ms=turns.now_ms, mono_s=turns.mono_s)
    assert (over.state, book.alerts) == ("normal", [])


def test_shelving_again_sets_a_new_time() -> None:
    turns = shelved(hours=1)
    turns.book, _ = shelve(turns.book, ID, 2.0, now_ms=turns.now_ms, mono_s=turns.mono_s)
    assert turns.air(5.8, minutes=119) == []
    assert len(turns.air(5.8, minutes=1)) == 1


def test_an_unknown_id_is_named() -> None:
    with pytest.raises(UnknownAlert, match="alert: found 'zz'; would be right: the id of an alert in the snapshot"):
        acknowledge(AlertBook(), "zz", 0)


@pytest.mark.parametrize("hours", [0.0, 0.24, 72.1, -1.0, float("nan"), float("inf")])
def test_a_shelf_time_out_of_range_is_named(hours: float) -> None:
    turns = dry()
    with pytest.raises(ShelfTime, match=r"hours: found .*; would be right: 0\.25 to 72"):
        shelve(turns.book, ID, hours, now_ms=0, mono_s=0.0)


def test_deeds_that_do_not_fit_the_state_are_refused() -> None:
    turns = shelved()
    with pytest.raises(WrongState, match=r"found 'shelved'; would be right: .*unshelve"):
        acknowledge(turns.book, ID, 0)
    turns = dry()
    with pytest.raises(WrongState, match="found 'unacknowledged'; would be right: an alert that is shelved"):
        unshelve(turns.book, ID, now_ms=0, mono_s=0.0)
    turns.air(8.0, minutes=60)
    with pytest.raises(WrongState, match="found 'returned'; would be right: an alert that stands"):
        shelve(turns.book, ID, 1.0, now_ms=0, mono_s=0.0)


def test_an_error_carries_what_a_problem_document_needs() -> None:
    error = AlertError("alert", "zz", "an id")
    assert (error.field, error.found, error.would_be_right) == ("alert", "zz", "an id")
