"""What was seen when a lot came in asks for something ever after; the trade's rules are marked as such."""

from __future__ import annotations

from typing import Any

import pytest

from server.advice.asking import advise, ask_one
from server.advice.base import PRACTICE, Line
from server.book.base import ask
from server.book.catalog import QUESTIONS as BOOK
from tests.unit.advice.lots_for_tests import EVERYTHING, FORK, MATE, NOTHING_SEEN, SHEET, seen
from tests.unit.advice.test_moving import ROOM, texts


def received(*deeds: Any, days: float = 1, given: dict[str, Any] | None = None, **came: Any) -> Line:
    line = ask_one(seen(*deeds, days=days, received=came), "received", given or {})
    assert line is not None
    return line


def test_each_find_is_said_with_what_it_asks_for_and_marked_as_practice() -> None:
    """Common practice, no source: no figure stands behind any of these but that of the ends."""
    line = received(checklist=EVERYTHING)
    text = texts(line.said)
    for part in (
        "Many face checks: they run deeper than they show", "Some twist: twisted stock tends to twist again",
        "cut to rough lengths", "let no rip line run through one", "Many insect holes: keep it apart",
        "not for outdoors", "Its movement is like that of the rest", "see how deep it goes", "count on less width",
        "Not looked at: a fork test;",
    ):  # fmt: skip
        assert part in text
    assert line.sources[0] == f"What each find asks for: {PRACTICE}"
    assert line.entries == ("entry-000",)
    assert line.word is None


def test_it_stands_after_milling_moving_and_parting() -> None:
    later = (
        (1, {"kind": "milled", "lot": "b-1", "take_top_mm": 2, "take_bottom_mm": 2}),
        (2, {"kind": "split", "lot": "b-1", "pieces": 2, "into": "b-3", "name": "Short rails"}),
    )
    view = seen(*later, days=3, lot="b-3", received={"checklist": {"face_checks": "some"}})
    line = ask_one(view, "received", {})
    assert line is not None
    assert texts(line.said).startswith("Face checks: they run deeper")


def test_ends_run_ahead_as_the_bench_book_has_it() -> None:
    """An hour after it came in, in air that stays: the figure of ``book settle`` for the same board."""
    line = received(days=1 / 24, checklist={"ends_sealed": False})
    board = {"species": "cherry_black", "thickness_mm": 25, "from_pct": 8.0, **ROOM}
    book = ask(BOOK["settle"], board).figures["ends_mm"]
    assert line.figures["ends_ahead_mm"] == pytest.approx(book, rel=0.03)
    assert line.figures["ends_ahead_mm_low"] < line.figures["ends_ahead_mm"] < line.figures["ends_ahead_mm_high"]
    assert "Ends check first: seal or trim them." in texts(line.said)
    assert any("Newman" in source for source in line.sources)


def test_ends_that_are_sealed_wrapped_or_not_looked_at_have_no_figure() -> None:
    sealed = received(checklist={"ends_sealed": True})
    wrapped = received(checklist={"ends_sealed": False}, lying="wrapped")
    for line in (sealed, wrapped, received()):
        assert line.figures["ends_ahead_mm"] is None
        assert not any("Newman" in source for source in line.sources)
    assert "as long as it is wrapped that does little" in texts(wrapped.said)
    assert "whether its ends are sealed" in texts(received().said)


def test_ends_that_were_sealed_since_are_open_no_more() -> None:
    sealing = (0.5, {"kind": "ends-sealed", "lot": "b-1"})
    before, after = (received(*deeds, checklist={"ends_sealed": False}) for deeds in ((), (sealing,)))
    assert before.figures["ends_ahead_mm"] is not None
    assert after.figures["ends_ahead_mm"] is None
    assert after.entries == ("entry-000", "entry-001")


def test_what_was_not_looked_at_is_said_and_what_was_is_not() -> None:
    line = received(checklist={**NOTHING_SEEN, "twist": None})
    assert line.figures["not_looked_at"] == ["twist", "fork_test"]
    text = texts(line.said)
    assert (
        text == "Nothing was found on it when it came in. Not looked at: twist; a fork test; look while it is at hand."
    )
    assert len(received().figures["not_looked_at"]) == 10


@pytest.mark.parametrize(("prongs", "title"), [("pinch", "Fork test pinches"), ("open", "Fork test spreads")])
def test_a_fork_test_that_is_not_straight_stops_uneven_milling(prongs: str, title: str) -> None:
    forked = (0.5, {"kind": "fork-tested", "lot": "b-1", "prongs": prongs})
    settled = {"start": {"kind": "metered", "mc_pct": 7.6}}
    found = advise(seen(forked, days=40, air=lambda _: (21, 40), received=settled))
    assert (found.word, texts([found.title])) == ("look", title)
    assert "Take the same off both faces" in texts([found.why])
    waiting = advise(
        seen(forked, days=20, air=lambda _: (21, 40), received={"start": {"kind": "metered", "mc_pct": 14}})
    )
    assert waiting.word == "wait"  # nobody would mill it yet
    line = received(forked)
    assert line.entries == ("entry-000", "entry-001")
    again = (0.7, {"kind": "fork-tested", "lot": "b-1", "prongs": "straight"})
    assert received(forked, again).word is None


def test_prongs_of_wood_that_is_uneven_inside_speak_of_that_too() -> None:
    """FDMC Magazine, Prong test basics (read): the test is only valid without a moisture gradient."""
    for pct, said in ((14.0, True), (6.3, False)):
        line = received(FORK, days=3, start={"kind": "metered", "mc_pct": pct})
        assert ("prongs bend with that, too" in texts(line.said)) is said
        assert any("valid without a moisture gradient" in source for source in line.sources)


def test_what_could_be_read_is_named_where_it_is_said() -> None:
    sources = " ".join(received(checklist={"sapwood": "some"}).sources)
    assert "34 Pa. Code § 21.66, read" in sources
    assert "Fork test" not in sources
    assert len(received().sources) == 1


def test_fresh_dust_is_a_reason_to_look() -> None:
    line = received(given={"fresh_dust": True}, checklist={"bug_holes": "some"})
    assert (line.word, texts([line.title])) == ("look", "Insects may be at work")
    assert "licensed practice" in texts(line.said)
    assert received(given={"fresh_dust": False}, checklist={"bug_holes": "many"}).word is None


def test_sheet_goods_are_asked_what_fits_them() -> None:
    line = received(**SHEET, checklist={"sheet_flat": False})
    assert line.figures["not_looked_at"] == ["stain", "damaged_edges"]
    assert "lay them flat on a flat base, weighted" in texts(line.said)
    assert "do not come back by themselves" in texts(line.said)


def test_boards_of_one_log_know_each_other() -> None:
    line = received(FORK, MATE, log="log-7")
    assert line.figures["mates"] == ["b-2"]
    assert "another lot of its log is in the shop. Stiles, of the same log, lies in the bench room." in texts(line.said)
    assert "No other lot of its log" in texts(received(log="log-7").said)
    assert "log" not in texts(received().said)
