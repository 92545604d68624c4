"""What is told counts at once, and is what the model makes of it when its half hour closes."""

from __future__ import annotations

import numpy as np
import pytest

from server.bins import BIN_MS
from server.model.course import Course
from server.model.present import Present, present
from server.model.run import Run, run
from server.model.woods import NONE
from server.shop.acts import Begin, Done, End, From, Hear, Lie, Mill
from tests.unit.advice.lots_for_tests import START_MS, constant

AIR = constant(lambda _: (21.0, 35.0), START_MS, START_MS + 100 * BIN_MS)
BEGUN = (Begin(0.025, 0.47, 0.115, 9.0, 1.5), Lie("bench", 0.0, 0.0))


def done(edge: int, place: int, act: object) -> Done:
    return Done(START_MS + edge * BIN_MS, (START_MS + edge * BIN_MS, 0, f"e{place}", place), f"e{place}", act)  # type: ignore[arg-type]


def course_at(edge: int, program: tuple[Done, ...]) -> Course:
    there = {"a": program}
    woods = run(Run(START_MS, NONE), there, AIR, START_MS + edge * BIN_MS).woods
    return Course(START_MS + edge * BIN_MS, there, woods)


def test_what_was_told_since_the_last_half_hour_counts_at_once() -> None:
    begun = tuple(done(0, i, act) for i, act in enumerate(BEGUN))
    course = course_at(20, begun)
    heard = Hear("pins", (7.0, 1.0, None, 0.21, True))
    told = {
        "a": (*begun, done(20, 2, heard), done(21, 3, Mill(0.003, 0.001))),
        "b": (done(21, 4, From(("a",), (1.0,))), done(21, 5, Lie("bench", 0.0, 0.0))),
        "gone": (done(21, 6, From(("unheard-of",), (1.0,))),),
    }
    now = present(course, told)
    assert now.names == ("a", "b")
    assert now.one("a").stock.thickness_m[0] == pytest.approx(0.021)
    assert now.one("a").belief.held_pct()[0, 0].mean() < course.woods.one("a").belief.held_pct()[0, 0].mean() - 0.3
    after = run(Run(course.at_ms, course.woods), {"a": told["a"][:3]}, AIR, course.at_ms + BIN_MS).woods
    early = present(course, {"a": told["a"][:3]})
    apart = after.one("a").belief.held_pct() - early.one("a").belief.held_pct()
    assert np.abs(apart[0, 0]).max() < 0.3  # what half an hour of this air does to the outermost cells


def test_nothing_told_is_the_course_itself_and_a_lot_that_left_is_gone() -> None:
    begun = tuple(done(0, i, act) for i, act in enumerate(BEGUN))
    course = course_at(20, begun)
    assert present(course, {"a": begun}) is course.woods
    assert "a" not in present(course, {"a": (*begun, done(20, 2, End()))})
    kept = Present()
    assert kept.woods(course, {"a": begun}) is kept.woods(course, {"a": begun})
