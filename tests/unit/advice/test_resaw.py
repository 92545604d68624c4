"""Resaw or not: what the halves of a lot do is what the bench book says of such a board, and the advice follows."""

from __future__ import annotations

from typing import Any

import pytest

from server.advice.asking import advise, ask_one
from server.advice.base import Line, LotView, NotToBeAsked
from server.book.base import ask
from server.book.catalog import QUESTIONS as BOOK
from tests.unit.advice.lots_for_tests import FORK, SHEET, seen, thick
from tests.unit.advice.test_moving import ROOM, texts


def resawn(view: LotView, **given: Any) -> Line:
    line = ask_one(view, "resaw", given)
    assert line is not None
    assert line.word is None
    return line


@pytest.mark.parametrize(
    ("mm", "pct", "given"),
    [
        (50, 12.0, {"kerf_mm": 3.0}), (50, 14.0, {"kerf_mm": 2.0, "lying": "one-face"}),
        (75, 10.0, {"kerf_mm": 4.0, "top_half_mm": 20.0}), (25, 9.0, {"kerf_mm": 1.0}),
    ],
)  # fmt: skip
def test_in_air_that_stays_it_says_what_the_bench_book_says(mm: float, pct: float, given: dict[str, Any]) -> None:
    """A lot after a week in 21 °C / 30 % RH beside ``book resaw`` of the same board: coarser cells and other steps, so
    1.5 % and 0.02 mm of a cup, 2 % and a quarter of a day of a rest."""
    line = resawn(thick(7, pct, mm=mm), **given)
    asked = {key: value for key, value in given.items() if key != "lying"}
    faces = "one" if given.get("lying") == "one-face" else "both"
    board = {"species": "cherry_black", "thickness_mm": mm, "from_pct": pct, "width_mm": 150, "stood_days": 7, **ROOM}
    book = ask(BOOK["resaw"], {**board, **asked, "faces": faces}).figures
    for ours, theirs in zip(line.figures["halves"], book["halves"], strict=True):
        assert ours["half"] == theirs["half"]
        for key in ("thickness_mm", "cup_at_once_mm", "peak_mm", "settled_mm", "flat_mm"):
            assert ours[key] == pytest.approx(theirs[key], rel=0.015, abs=0.02), key
            if key != "thickness_mm":
                assert ours[f"{key}_low"] <= ours[key] <= ours[f"{key}_high"], key
    for key in ("rest_stickers_days", "rest_wrapped_days"):
        assert line.figures[key] == pytest.approx(book[key], rel=0.02, abs=0.25), key


def test_the_drier_face_goes_hollow() -> None:
    """A lot that dries is driest outside, so its halves' outer faces go hollow; one that takes up water turns round."""
    drying, taking_up = (
        resawn(thick(7, pct, air=lambda _, rh=rh: (21, rh))).figures["halves"] for pct, rh in ((12.0, 30), (5.0, 70))
    )
    assert all(half["cup_at_once_mm"] < -0.5 for half in drying)
    assert all(half["cup_at_once_mm"] > 0.5 for half in taking_up)
    assert "the outer face hollow" in texts(resawn(thick(7, 12.0)).said)


def test_an_even_lot_gives_flat_halves() -> None:
    """Limit: what rests in its air has nothing to bend its halves."""
    line = resawn(thick(10, 6.22, mm=40))
    for half in line.figures["halves"]:
        assert abs(half["peak_mm"]) < 0.05
        assert half["flat_mm"] == pytest.approx(half["thickness_mm"], abs=0.05)
    assert "stays flat over 150 mm" in texts(line.said)


@pytest.mark.parametrize(
    ("view", "given", "advice", "said"),
    [
        (thick(7, 12.0), {}, "sooner", "Where the work allows half its thickness, resaw it: its halves are good to "),
        (thick(7, 12.0, FORK), {}, "condition", "Not yet: its fork test pinches, so both halves would bend"),
        (thick(7, 12.0), {"need_mm": 23}, "too-thin", "Not now: at the worst a half holds a flat piece of 21.8 mm"),
        (thick(7, 7.9), {}, "even", "Whole it is good to mill already"),
        (thick(7, 25.0, mm=100), {}, "no-gain", "Leave it thick: resawn it is good to mill no sooner."),
    ],
    ids=["sooner", "condition", "too-thin", "even", "no-gain"],
)
def test_the_advice_and_its_reason(view: LotView, given: dict[str, Any], advice: str, said: str) -> None:
    line = resawn(view, **given)
    assert line.figures["advice"] == advice
    assert texts(line.said).startswith(said)


def test_what_was_told_of_the_fork_test_is_named() -> None:
    assert resawn(thick(7, 12.0, FORK)).entries == ("entry-001",)
    line = resawn(thick(7, 12.0))
    assert line.entries == ()
    assert "No fork test was told: cut one first" in texts(line.said)
    assert any("common practice, no source" in source.lower() for source in line.sources)


def test_halves_are_ready_as_the_record_would_have_them() -> None:
    """Round trip: told as resawn and laid on stickers, the lot itself is good to mill when the advice said so."""
    line = resawn(thick(7, 12.0))
    then = thick(7, 12.0, (7, {"kind": "resawn", "lot": "b-1", "kerf_mm": 3.0}), mm=50)
    after = thick(7 + 1 / 48, 12.0, (7, {"kind": "resawn", "lot": "b-1", "kerf_mm": 3.0}))
    assert then.lot.thickness_mm == after.lot.thickness_mm == 23.5
    own = ask_one(after, "good-to-mill", {})
    assert own is not None
    assert own.figures["good_to_mill_days"] == pytest.approx(line.figures["halves_good_to_mill_days"], abs=0.1)


def test_it_is_asked_unasked_of_thick_wood_alone() -> None:
    questions = [
        [line.question for line in advise(view).lines] for view in (thick(1, 8.0, mm=38), thick(1, 8.0, mm=37))
    ]
    assert ["resaw" in names for names in questions] == [True, False]
    assert ask_one(seen(days=1, received=SHEET), "resaw", {"kerf_mm": 2}) is None
    assert ask_one(thick(0, 8.0), "resaw", {}) is None


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(NotToBeAsked) as refused:
        resawn(thick(1, 8.0), top_half_mm=48)
    assert refused.value.found == "3 mm below 48 mm"
    assert refused.value.would_be_right == "two halves of 0.3 mm or more out of its 50 mm"
