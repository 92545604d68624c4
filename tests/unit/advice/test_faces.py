"""Faces: what milling this lot does is what the bench book says of such a board, and what was seen of it counts."""

from __future__ import annotations

from typing import Any

import pytest

from server.advice.asking import ask_one
from server.advice.base import Line, LotView, NotToBeAsked
from server.book.base import ask
from server.book.catalog import QUESTIONS as BOOK
from server.words import Words, render
from tests.unit.advice.lots_for_tests import seen

WORDS = Words("en", strict=True)
WEEK: dict[str, Any] = {"start": {"kind": "metered", "mc_pct": 10.0}}
PINCH = (1.0, {"kind": "fork-tested", "lot": "b-1", "prongs": "pinch"})
STRAIGHT = (1.0, {"kind": "fork-tested", "lot": "b-1", "prongs": "straight"})


def faces(view: LotView, **given: Any) -> Line:
    line = ask_one(view, "faces", given)
    assert line is not None
    return line


def text(line: Line) -> str:
    return " ".join(str(render(s, WORDS)["text"]) for s in line.said)


@pytest.mark.parametrize("plan", [(4.0, 0.0, "one-face"), (4.0, 1.0, "stickered"), (2.0, 2.0, "one-face")])
def test_in_air_that_stays_it_is_what_the_bench_book_says_of_such_a_board(plan: tuple[float, float, Any]) -> None:
    """A metered lot after a week in 21 °C / 30 % RH beside ``book mill``: a cup within 1 % and 0.01 mm, an extra within
    0.02 mm, times within 3 % and six hours; and the same advice."""
    top, bottom, lying = plan
    takes = {"take_top_mm": top, "take_bottom_mm": bottom}
    found = faces(seen(days=7, received=WEEK), **takes, lying=lying).figures
    board = {"species": "cherry_black", "thickness_mm": 25, "from_pct": 10.0, "width_mm": 150, **takes}
    faces_open = "one" if lying == "one-face" else "both"
    book = ask(BOOK["mill"], {**board, "temperature_c": 21.0, "humidity_pct": 30.0, "faces": faces_open}).figures
    for key in ("cup_at_once_mm", "peak_mm", "settled_mm", "advice_peak_mm"):
        assert found[key] == pytest.approx(book[key], rel=0.01, abs=0.01), key
    assert found["peak_day"] == pytest.approx(book["peak_day"], rel=0.03, abs=0.25)
    assert found["rest_days"] == pytest.approx(book["rest_days"], rel=0.03, abs=0.25)
    assert found["extra_mm"] == pytest.approx(book["extra_mm"], abs=0.02)
    assert (found["advice"], found["thickness_mm"]) == (book["advice"], book["thickness_mm"])


@pytest.mark.parametrize(("bark", "side"), [("top", 1.0), ("bottom", -1.0)])
def test_what_its_rings_cup_it_by_is_what_the_bench_book_says_of_such_a_board(bark: str, side: float) -> None:
    """From 10 % into 21 °C / 30 % RH all of it dries, and the side towards the bark goes hollow: as ``book cup`` has it
    with the same radius, from what the lot holds now, within 2 %. Even faces on stickers go out of flat by little else.
    """
    view = seen(days=1, received=WEEK)
    assert view.held is not None
    skim = {"take_top_mm": 0.05, "take_bottom_mm": 0.05}
    line = faces(view, bark_face=bark, ring_radius_mm=120, **skim)
    board = {"species": "cherry_black", "thickness_mm": 25, "from_pct": view.held.mean_pct, "width_mm": 150}
    book = ask(BOOK["cup"], {**board, "temperature_c": 21.0, "humidity_pct": 30.0, "ring_radius_mm": 120}).figures
    assert book["ring_cup_mm"] < -0.1, "the book counts from the pith's side"
    assert line.figures["ring_cup_mm"] == pytest.approx(-side * book["ring_cup_mm"], rel=0.02)
    assert line.figures["peak_mm"] == pytest.approx(line.figures["ring_cup_mm"], rel=0.05, abs=0.02)
    assert abs(line.figures["settled_mm"]) < 0.01, "it was cut flat while it stood straight"
    assert f"the side towards the bark, its {bark}, goes hollow" in text(line)
    damp = faces(
        seen(days=1, air=lambda _: (21, 60), received={"start": {"kind": "metered", "mc_pct": 5.0}}), bark_face=bark
    )
    assert damp.figures["ring_cup_mm"] * side < -0.05, "the side towards the pith"


def test_where_nobody_knows_the_bark_side_only_the_ends_part() -> None:
    told = (0.5, {"kind": "straightedged", "lot": "b-1", "hollow_mm": 0, "hollow_face": "top", "bark_face": "top",
                  "ring_radius_mm": 150})  # fmt: skip
    line, known = faces(seen(days=1, received=WEEK)), faces(seen(told, days=1, received=WEEK))
    ring = known.figures["ring_cup_mm"]
    assert ring > 0.1
    assert known.entries == ("entry-001",)
    assert [line.figures[f"ring_cup_mm{end}"] for end in ("_low", "", "_high")] == pytest.approx(
        [-ring, 0, ring], rel=0.1
    )
    assert abs(line.figures["peak_mm"]) < 0.01
    assert line.figures["peak_mm_low"] < -0.8 * ring
    assert line.figures["peak_mm_high"] > 0.8 * ring
    assert "nobody said which face looks to the bark. Look at the end grain." in text(line)
    quarter = faces(seen(days=1, received={**WEEK, "cut": "quarter"}), bark_face="top")
    assert quarter.figures["ring_cup_mm"] == pytest.approx(0.0, abs=1e-9)
    assert "rings" not in text(quarter)


def test_every_figure_lies_within_its_spread() -> None:
    figures = faces(seen(days=7, received=WEEK), take_top_mm=4, lying="one-face").figures
    rows = [figures, *figures["plans"]]
    for row in rows:
        for key in [k for k in row if f"{k}_low" in row and row[k] is not None]:
            low, high = row[f"{key}_low"], row[f"{key}_high"]
            assert low <= row[key], key
            assert high is None or row[key] <= high, key
    assert figures["cup_at_once_mm_high"] < 0, "the bottom keeps its dry skin: it goes hollow, at every end"


def test_what_nobody_says_is_three_millimetres_evenly_and_as_it_lies() -> None:
    line = faces(seen(days=7, received={**WEEK, "lying": "one-face"}))
    assert (line.figures["take_top_mm"], line.figures["take_bottom_mm"], line.figures["thickness_mm"]) == (1.5, 1.5, 22)
    assert "1.5 mm off the top and 1.5 mm off the bottom, 22.0 mm in the end, flat on the bench" in text(line)
    thin = faces(seen(days=1, received={"thickness_mm": 4.0})).figures
    assert thin["thickness_mm"] == 3.0
    assert faces(seen(days=1), final_mm=20).figures["take_top_mm"] == 2.5


def test_even_faces_of_an_even_lot_need_nothing_left_on() -> None:
    """Common practice, no source: the same off both faces moves least; flat on the bench any board moves."""
    line = faces(seen(days=7, received=WEEK))
    plans = {(row["faces"], row["lying"]): row for row in line.figures["plans"]}
    assert abs(plans["as-planned", "stickers"]["peak_mm"]) < 1e-6
    assert abs(plans["as-planned", "bench"]["peak_mm"]) > 0.5
    assert abs(plans["top-alone", "as-given"]["peak_mm"]) > 0.3
    assert "it may go to size in one go" in text(line)
    assert line.figures["extra_mm"] < 0.01
    assert (line.word, line.entries) == (None, ())


def test_a_fork_test_that_pinched_forbids_uneven_milling_and_asks_for_a_rest() -> None:
    """Common practice, no source."""
    free, pinched = (
        faces(seen(fork, days=1.1, received={"width_mm": 60}), take_top_mm=4) for fork in (STRAIGHT, PINCH)
    )
    assert free.figures["advice"] == "as-planned"
    assert pinched.figures["advice"].startswith("even-faces")
    assert pinched.figures["extra_mm"] == pytest.approx(1.0)
    assert pinched.entries == free.entries == ("entry-001",)
    assert "let it rest between the first pass and the last" in text(pinched)
    assert "No fork test" in text(faces(seen(days=1), take_top_mm=4))
    assert "No fork test" not in text(free)


def test_twist_is_left_for_and_checks_ask_for_a_look() -> None:
    """Common practice, no source."""
    view = seen(days=7, received={**WEEK, "checklist": {"twist": "some", "face_checks": "many"}})
    line, none = faces(view), faces(view, allow_twist_mm=0)
    assert line.figures["extra_mm"] == pytest.approx(1.0, abs=0.01)
    assert none.figures["extra_mm"] < 0.01
    assert "1.0 mm are left for that. Joint it again after its rest." in text(line)
    assert "Cut one piece back and look." in text(line)
    assert line.entries == ("entry-000",)


def test_a_board_that_was_planed_while_it_stood_bent_ends_round() -> None:
    view = seen(STRAIGHT, days=7, received={**WEEK, "lying": "one-face"})
    line = faces(view, lying="stickered")
    assert line.figures["settled_mm"] < -0.5, "its top was hollow when it was planed flat"
    assert "the bottom face hollow: it was cut flat while it stood bent" in text(line)
    assert line.figures["extra_mm"] == pytest.approx(abs(line.figures["peak_mm"]), abs=0.1)


@pytest.mark.parametrize(
    ("given", "field", "found"),
    [
        ({"take_top_mm": 20, "take_bottom_mm": 4.9}, "take_top_mm", "24.9 mm in all"),
        ({"final_mm": 26}, "final_mm", "26 mm"),
        ({"final_mm": 20, "take_top_mm": 2}, "final_mm", "20 mm beside what comes off"),
        ({"take_top_mm": -1}, "take_top_mm", "-1"),
        ({"lying": "hanging"}, "lying", "'hanging'"),
    ],
)
def test_what_cannot_be_meant_is_refused_by_its_field(given: dict[str, Any], field: str, found: str) -> None:
    with pytest.raises(NotToBeAsked) as refused:
        faces(seen(days=1), **given)
    assert (refused.value.field, refused.value.found) == (field, found)
    assert refused.value.would_be_right


def test_of_what_does_not_move_or_is_not_planed_it_is_not_asked() -> None:
    sheet, veneer = {"species": None, "sheet": "particleboard"}, {"thickness_mm": 1.0}
    for view in (seen(days=0), seen(days=1, received=sheet), seen(days=1, received=veneer)):
        assert ask_one(view, "faces", {}) is None
