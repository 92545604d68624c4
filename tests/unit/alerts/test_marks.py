"""How long it stood, stale and chattering: measured on the monotonic clock, whatever the wall clock does."""

from __future__ import annotations

import pytest

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.alerts.marks import Marks, is_raise, marks_of, raises_of
from server.alerts.shelving import PUT_AWAY, acknowledge, shelve, unshelve
from server.words.functions import span_text
from tests.unit.alerts.turns import START_MS, Turns

DAY_MIN = 24 * 60


def test_a_return_tells_how_long_it_stood_since_the_raise() -> None:
    turns = Turns()
    turns.air(5.8, minutes=30 + 320)
    (over,) = turns.air(8.0, minutes=60)
    assert over.state == "returned"
    assert over.values["stood_s"] == 380 * 60  # 6 h 20 min, the hour it must stay inside included
    assert over.values["returned_ms"] == over.changed_ms
    turns.at_min += 100
    turns.book, away = acknowledge(turns.book, over.id, turns.now_ms)
    assert (away.state, away.values["stood_s"], away.values[PUT_AWAY]) == ("normal", 380 * 60, 1)


def test_a_wall_clock_that_steps_lengthens_nothing_and_a_restart_goes_by_the_label() -> None:
    turns = Turns()
    turns.air(5.8, minutes=60)
    for restarted in (False, True):
        again = Turns(AlertBook.restore([turns.alert]) if restarted else turns.book, turns.at_min, turns.mono_s)
        again.air(5.8)
        year_ms = 0 if restarted else 365 * 86_400_000
        found = [(again.mono_s + 60.0 * n, again.now_ms + 60_000 * n + year_ms) for n in range(62)]
        book, over = again.book, None
        for mono_s, now_ms in found:
            book, changes = apply(book, findings(8.0), now_ms, mono_s)
            over = changes[0] if changes else over
        assert over is not None
        assert over.values["stood_s"] == 90 * 60


def findings(emc_pct: float) -> list[object]:
    turns = Turns()
    kept: list[object] = []
    turns.apply = lambda found: kept.extend(found) or []  # type: ignore[method-assign,func-returns-value]
    turns.air(emc_pct)
    return kept


def test_what_ended_on_the_shelf_tells_when_that_was() -> None:
    turns = Turns()
    turns.air(5.8, minutes=30)
    turns.book, _ = shelve(turns.book, "spell-1", 8.0, now_ms=turns.now_ms, mono_s=turns.mono_s)
    turns.air(8.0, minutes=120)
    book, over = unshelve(turns.book, "spell-1", now_ms=turns.now_ms, mono_s=turns.mono_s)
    assert book.alerts == []
    assert (over.values["stood_s"], over.values["returned_ms"]) == (3600, START_MS + 90 * 60_000)
    (ended,) = turns.air(8.0, minutes=8 * 60)
    assert (ended.state, ended.values["stood_s"]) == ("normal", 3600)


def test_stale_after_a_day_before_peoples_eyes_and_not_before() -> None:
    turns = Turns()
    turns.air(5.8, minutes=30 + DAY_MIN)
    assert marks_of(turns.book, turns.mono_s) == {"spell-1": Marks(raises=0)}
    assert marks_of(turns.book, turns.mono_s + 1) == {"spell-1": Marks(stale=True, raises=0)}
    book, _ = shelve(turns.book, "spell-1", 1.0, now_ms=turns.now_ms, mono_s=turns.mono_s)
    assert not marks_of(book, turns.mono_s + 1)["spell-1"].stale


def test_three_raises_within_a_day_are_chatter_also_over_a_restart() -> None:
    turns = Turns()
    for _ in range(3):
        turns.air(5.8, minutes=30)
        turns.air(8.0, minutes=60)
    (marks,) = marks_of(turns.book, turns.mono_s).values()
    assert marks == Marks(chattering=True, raises=3)
    assert [is_raise(change) for change in turns.changes] == [True, False] * 3
    again = AlertBook.restore(turns.book.alerts, raises_of(turns.changes, turns.now_ms, 7.0))
    assert list(marks_of(again, 7.0).values()) == [marks]
    turns.air(8.0, minutes=DAY_MIN - 151)
    (later,) = marks_of(turns.book, turns.mono_s).values()
    assert later == Marks(raises=2)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0 s"), (59.4, "59 s"), (60, "1 min"), (3599, "59 min"), (3600, "1 h"), (22_800, "6 h 20 min"),
     (86_399, "23 h 59 min"), (86_400, "1 d"), (4 * 86_400 + 3 * 3600 + 59, "4 d 3 h"), (-5, "0 s")],
)  # fmt: skip
def test_a_span_in_its_two_greatest_units(seconds: float, text: str) -> None:
    assert span_text(seconds) == text
