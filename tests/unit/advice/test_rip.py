"""Rip oversize from the lot's own test strips: what the bench book says of the same strip, and when it is released."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from server.advice.asking import ask_one
from server.advice.base import Line, NotToBeAsked
from server.book.base import ask
from server.book.catalog import QUESTIONS as BOOK
from server.wood.milling import rip_crook_ends_mm
from tests.unit.advice.lots_for_tests import BOARD, SHEET, ripped, seen
from tests.unit.advice.test_moving import texts


def rip(*deeds: Any, given: dict[str, Any] | None = None, **more: Any) -> Line:
    line = ask_one(seen(*deeds, days=1, **more), "rip", given or {})
    assert line is not None
    assert line.word is None
    return line


def test_it_says_what_the_bench_book_says_of_that_strip() -> None:
    line = rip(ripped(0.5, 0.5), given={"width_mm": 40, "pass_mm": 1.5})
    strip = {"length_mm": BOARD["length_mm"], "width_mm": 40, "pass_mm": 1.5}
    book = ask(BOOK["rip"], {**strip, "test_crook_mm": 0.5, "test_length_mm": 1100})
    for key in ("crook_mm", "oversize_mm", "rip_width_mm", "released"):
        assert line.figures[key] == book.figures[key], key
    assert line.said[0] == book.said[0]
    assert line.figures["crook_mm"] == pytest.approx(4 * 0.5)  # twice the length, four times the crook
    assert line.entries == ("entry-001",)
    assert "common practice, no source" in " ".join(line.sources).lower()


def test_the_worst_of_the_last_three_strips_counts() -> None:
    four = [ripped(0.1 * i, crook) for i, crook in enumerate((9.0, 1.0, 2.0, 0.0))]
    line = rip(*four)
    found = [line.figures[key] for key in ("crook_least_mm", "crook_most_mm", "crook_mm", "strips")]
    assert found == [0.0, 8.0, 8.0, 4]
    assert not line.figures["released"]


@given(st.lists(st.floats(0.0, 50.0), min_size=2, max_size=3), st.floats(0.0, 1.0))
def test_the_ends_are_those_of_the_next_strip_by_students_t(crooks: list[float], read: float) -> None:
    """Beside SciPy's quantile of the predictive distribution of a normal sample, mean and spread unknown (the table's
    three decimals: within 0.05 %)."""
    n, s = len(crooks), np.hypot(np.std(crooks, ddof=1), read)
    low, high = rip_crook_ends_mm(crooks, [read] * n)
    right = stats.t.ppf((0.1, 0.9), n - 1, np.mean(crooks), s * np.sqrt(1 + 1 / n)) if s > 0 else (crooks[0], crooks[0])
    assert (low, high) == pytest.approx((max(0.0, right[0]), right[1]), rel=5e-4, abs=5e-4 * float(s) + 1e-9)
    assert low <= max(crooks) + 1e-9
    assert high >= max(crooks) - 1e-9


def test_crook_has_its_ends() -> None:
    """Of one strip half to twice: common practice, no source. A short strip is read the worse for it."""
    one, three = rip(ripped(0.1, 2.0)), rip(*(ripped(0.1 * i, crook) for i, crook in enumerate((1.0, 1.5, 2.0))))
    assert one.figures["crook_mm_low"] == pytest.approx(4.0, abs=0.1)
    assert one.figures["crook_mm_high"] == pytest.approx(16.0, abs=0.1)
    assert "Ends: half to twice of one strip. Common practice, no source." in one.sources
    assert three.figures["crook_mm_low"] < 4.0 < three.figures["crook_mm"] == 8.0 < three.figures["crook_mm_high"]
    assert "Ends: the scatter of its own 3 last strips, by Student's t." in three.sources
    assert "crooks by 8.0 mm at the worst of them; the next one by 1." in texts(three.said)
    assert rip().figures["crook_mm_high"] is None
    with pytest.raises(ValueError, match="found 0 strips and 0 readings; would be right: one strip or more"):
        rip_crook_ends_mm([], [])


@pytest.mark.parametrize(
    ("crooks", "free"),
    [((3.0, 0.1, 0.12, 0.0), True), ((0.1, 0.1), False), ((0.1, 0.1, 0.13), False)],
)
def test_three_strips_straight_over_the_whole_length_release_the_lot(crooks: tuple[float, ...], free: bool) -> None:
    """0.125 mm over 1,100 mm are 0.5 mm over 2,200 mm. Common practice, no source."""
    line = rip(*(ripped(0.1 * i, crook) for i, crook in enumerate(crooks)))
    assert line.figures["released"] is free
    assert line.figures["oversize_mm"] == (2.0 if free else pytest.approx(2 * (2 * line.figures["crook_mm"] + 1)))


def test_a_knot_in_the_line_voids_a_test() -> None:
    straight = [ripped(0.1 * i, 0.0) for i in range(2)]
    line = rip(*straight, ripped(0.3, 40.0, knot=True), ripped(0.4, 0.0))
    assert line.figures["released"] is True
    assert (line.figures["strips"], line.figures["strips_with_knot"]) == (3, 1)
    assert "A test strip had a knot in the line, which voids the test. Rest a strip" in texts(line.said)
    alone = rip(ripped(0.3, 40.0, knot=True))
    assert alone.figures["oversize_mm"] is None
    assert texts(alone.said).startswith("Make a rip test first")


def test_a_strip_of_a_lot_that_was_parted_from_it_counts_for_it() -> None:
    parted = (0.2, {"kind": "split", "lot": "b-1", "pieces": 1, "into": "b-1-test", "name": "Test strip"})
    strip = ripped(0.3, 1.0, lot="b-1-test", pieces=2)
    line = rip(parted, strip, (0.4, {"kind": "used-up", "lot": "b-1-test"}))
    assert line.figures["crook_mm"] == pytest.approx(4.0)
    assert line.entries == ("entry-002",)


def test_without_a_test_it_says_how_to_make_one() -> None:
    line = rip()
    assert [line.figures[key] for key in ("crook_mm", "oversize_mm", "rip_width_mm")] == [None, None, None]
    assert texts(line.said).startswith("Make a rip test first: rip one strip, as wide as it will be used")


def test_a_strip_that_would_be_of_no_use_and_one_of_another_width() -> None:
    far = rip(ripped(0.5, 100.0))
    assert far.figures["oversize_mm"] is None
    assert "cut the pieces shorter first" in texts(far.said)
    assert "one of 40 mm says more" in texts(rip(ripped(0.5, 0.5), given={"width_mm": 40}).said)
    assert "says more" not in texts(rip(ripped(0.5, 0.1), given={"width_mm": 55, "pass_mm": 0}).said)


def test_what_cannot_be_meant() -> None:
    with pytest.raises(NotToBeAsked) as refused:
        rip(ripped(0.5, 1.0), given={"width_mm": 58})
    assert (refused.value.field, refused.value.found) == ("width_mm", "58 mm, ripped 76 mm wide")
    assert refused.value.would_be_right == "a strip that fits into pieces of 60 mm"
    assert ask_one(seen(days=1, received=SHEET), "rip", {}) is None
