"""Movement left and good to mill: what is said of a lot, and that it is what the bench book says of such a board."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from server.advice.asking import advise, ask_one
from server.advice.base import NotToBeAsked
from server.advice.catalog import QUESTIONS
from server.advice.time_words import counted
from server.book.base import ask
from server.book.catalog import QUESTIONS as BOOK
from server.lot_documents import moisture_document
from server.reading import Aim
from server.wood.ensemble import Spread
from server.words import Words, render
from tests.unit.advice.lots_for_tests import AIM, passing, seen

ROOM = {"temperature_c": 21.0, "humidity_pct": 30.0}
WORDS = Words("en", strict=True)


def texts(sentences: Any) -> str:
    return " ".join(str(render(s, WORDS)["text"]) for s in sentences)


def test_a_lot_in_air_that_stays_moves_as_the_bench_book_has_it() -> None:
    """The lot after an hour at 8 % in 21 °C / 30 % RH beside ``book settle`` of the same board."""
    view = seen(days=1 / 24)
    line = ask_one(view, "movement-left", {})
    board = {"species": "cherry_black", "thickness_mm": 25, "from_pct": 8.0, "width_mm": 150, **ROOM}
    book = ask(BOOK["settle"], {**board, "aim_low_pct": 6, "aim_high_pct": 10}).figures
    assert line is not None
    # Half of what is left after an hour: the way goes with the square root of time, so (0.513 / 0.5)² of the book's.
    assert book["half_days"] < line.figures["half_days"] < 1.06 * book["half_days"]
    assert line.figures["movement_left_mm"] == pytest.approx(book["movement_left_mm"], abs=0.02)
    assert line.figures["movement_left_mm_low"] < line.figures["movement_left_mm"] < 0
    assert line.word is None
    text = texts(line.said)
    assert "It still shrinks by 0.7 mm across 150 mm, 1.5 mm at the most; or it may swell, by 0.2 mm at" in text
    assert "It settles in 50 days, now at the soonest, and perhaps not this season." in text
    assert "and this air draws it to 6.2 %" in text


@pytest.mark.parametrize(
    ("days", "air", "aim", "start", "verdict"),
    [
        (1, (21, 40), AIM, 7.6, ("look", "Measure it")),
        (40, (21, 40), AIM, 7.6, ("ready", "Ready to mill")),
        (20, (21, 40), AIM, 14.0, ("wait", "Mill in ")),
        (20, (21, 12), AIM, 9.0, ("look", "Not in this air")),
        (1, (5, 50), Aim(6.0, 8.0, "x", "y"), 11.5, ("look", "Not ")),
    ],
)
def test_the_word_of_a_lot(
    days: float, air: tuple[float, float], aim: Aim, start: float, verdict: tuple[str, str]
) -> None:
    word, title = verdict
    start_kind = {"kind": "unknown", "mc_pct": start}
    found = advise(seen(days=days, air=lambda _: air, aim=aim, received={"start": start_kind}))
    said = texts([found.title])
    assert (found.word, said[: len(title)]) == (word, title), texts([found.why])
    assert len(said) <= 24


def test_what_is_not_modelled_has_a_verdict_all_the_same() -> None:
    sheet = {"species": None, "sheet": "particleboard"}
    found = advise(seen(days=3, received=sheet))
    assert (found.word, texts([found.title])) == ("wait", "Moisture not followed")
    assert "Sheet goods" in texts([found.why])
    assert "first half hour" in texts([advise(seen(days=0)).why])


def test_a_question_refuses_what_it_does_not_know() -> None:
    with pytest.raises(NotToBeAsked) as refused:
        ask_one(seen(days=1), "movement-left", {"width": 3})
    assert refused.value.field == "width"
    with pytest.raises(KeyError):
        ask_one(seen(days=1), "nothing", {})


def test_every_question_has_defaults_for_all_that_may_be_said() -> None:
    for question in QUESTIONS.values():
        assert question.inputs() == question.inputs.model_validate({})
        assert all(field.description for field in question.inputs.model_fields.values()), question.name


def test_a_time_that_passes_is_said_with_what_ends_it() -> None:
    """Its mean on the day before that is inside its aim, on the day after outside."""
    view = passing()
    line = ask_one(view, "good-to-mill", {})
    assert line is not None
    assert view.held is not None
    good, until = line.figures["good_to_mill_days"], line.figures["good_to_mill_until_days"]
    assert 0.0 < good < until < 60.0
    text = texts(line.said)
    assert f"It is good to mill in {good:.0f} days" in text
    assert f"That passes in {until:.0f} days, " in text
    assert "at the least: then its mean leaves its aim." in text
    course = view.held.outcome.course
    day = (course.times_s - course.times_s[0]) / 86_400.0
    before, after = (float(np.interp(until + by, day, course.mean_pct[:, 0])) for by in (-1.0, 1.0))
    assert after < 6.0 < before
    stays = ask_one(seen(days=20, air=lambda _: (21, 40), received={"start": {"kind": "unknown", "mc_pct": 14.0}}),
                    "good-to-mill", {})  # fmt: skip
    assert stays is not None
    assert "That passes" not in texts(stays.said)


def test_no_days_are_counted_past_this_season() -> None:
    line = ask_one(seen(days=1, received={"thickness_mm": 60}), "movement-left", {})
    assert line is not None
    assert "It does not settle this season." in texts(line.said)
    assert line.figures["settled_days"] is None
    assert line.figures["half_days"] > 60


def test_what_is_held_now_has_its_ends_as_the_lots_document_has_them() -> None:
    """Central 80 %: of a lot metered as it came, no reading since, nearly that of its start (1.28 of its sigma)."""
    view = seen(days=1 / 24, received={"start": {"kind": "metered", "mc_pct": 8.0}})
    assert view.held is not None
    mill, left, stop = (ask_one(view, name, {}) for name in ("good-to-mill", "movement-left", "stop-now"))
    right = moisture_document(view.held.wood, view.at_ms, None)
    for key, own in (("mean_pct", right.mean), ("shell_pct", right.shell), ("core_pct", right.core)):
        assert mill is not None
        found = [mill.figures[f"{key}{end}"] for end in ("", "_low", "_high")]
        assert found == [own.pct, own.low_pct, own.high_pct]
        assert found[0] == pytest.approx(float(getattr(view.held.outcome.course, key)[0, 0]), abs=1e-9)
    assert left is not None
    assert left.figures["mean_pct_high"] - left.figures["mean_pct"] == pytest.approx(1.28 * 1.0, rel=0.25)
    for key in ("cup_now_mm", "apart_now_pct"):
        assert stop is not None
        low, middle, high = (stop.figures[f"{key}{end}"] for end in ("_low", "", "_high"))
        assert low <= middle <= high
        assert low < high


def test_ready_says_so_where_nobody_has_measured_it() -> None:
    """A yard's word and six weeks of air are no meter: what is to be milled on it is metered first."""
    there: dict[str, Any] = {"days": 40, "air": lambda _: (21, 40)}
    yard = {"start": {"kind": "heated-store"}}
    alone = advise(seen(**there, received=yard))
    assert (alone.word, texts([alone.title])) == ("ready", "Ready to mill")
    assert texts([alone.why]).endswith("nobody has measured it. Meter it before the first cut.")
    read = {"kind": "metered", "lot": "b-1", "reading_pct": 8.0}
    for more in (seen(**there), seen((39.0, read), **there, received=yard)):
        assert texts([advise(more).why]) == "It is good to mill now."


def test_what_is_wanting_is_said_with_what_to_do() -> None:
    thick = {"thickness_mm": 75, "start": {"kind": "metered", "mc_pct": 14.0}}
    why = texts([advise(seen(days=1, air=lambda _: (21, 40), received=thick)).why])
    assert why == (
        "It does not come to be good to mill within 60 days: shell and core stay more than 1 % apart, and its mean "
        "outside its aim. Leave it to lie; thinner pieces get there sooner."
    )


@pytest.mark.parametrize(
    ("count", "low", "high", "lasting", "said"),
    [
        (1.2, 0.1, 5.0, False, "1 day, between 0 and 5"),
        (12.0, 0.0, float("nan"), False, "12 days, now at the soonest, and perhaps not this season"),
        (26.0, 9.0, 130.0, False, "26 days, 9 at the soonest, and perhaps not this season"),
        (32.0, 4.0, 50.0, False, "32 days, between 4 and 50"),
        (58.0, 2.0, float("nan"), True, "58 days, 2 at the least"),
        (0.02, 0.01, 0.03, False, "less than an hour"),
    ],
)
def test_spans_of_time_are_said_as_far_as_they_are_known(
    count: float, low: float, high: float, lasting: bool, said: str
) -> None:
    span = Spread(*(np.array([end]) for end in (count, low, high)))
    assert WORDS.say("book-count", counted(span, lasting=lasting)) == said


def test_a_date_that_is_sure_is_said_once_and_none_is_asked_for_where_there_is_none() -> None:
    sure = ask_one(seen(days=40, air=lambda _: (21, 40)), "count-back", {})
    never = ask_one(seen(days=20, air=lambda _: (21, 12)), "count-back", {})
    assert sure is not None
    assert never is not None
    first = texts(sure.said[:1])
    assert first == "Counted from now the first delivery is 3 Mar: first pass 21 Feb, last pass and glue-up 23 Feb."
    assert "Say when it is to be delivered" in texts(sure.said)
    assert "Say when it is to be delivered" not in texts(never.said)


@pytest.mark.parametrize(
    ("days", "rh", "start", "lean"),
    [
        (1, 40, 14.0, "damp"),  # its mean above its aim
        (1, 40, 5.0, "dry"),  # its mean below it
        (20, 12, 9.0, "dry"),  # inside, and this air draws it out
        (5, 40, 9.9, "damp"),  # inside and staying so, its core still damp
        (40, 40, 7.6, "none"),  # ready
    ],
)
def test_a_lot_that_is_off_leans_to_the_side_it_is_off_by(days: float, rh: float, start: float, lean: str) -> None:
    received = {"start": {"kind": "metered", "mc_pct": start}}
    found = advise(seen(days=days, air=lambda _: (21, rh), received=received))
    assert found.lean == lean, (found.word, texts([found.why]))
