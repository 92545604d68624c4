"""What a reading changed, worked out again, is what it changed when it was heard: whatever else happened."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.bins import BIN_MS
from server.lot_readings import ReadingDocument
from server.model.again import heard_again, lineage, programs_of
from server.model.air import ShopAir
from server.model.course import Course
from server.model.run import Run, run
from server.model.woods import NONE
from server.shop.journal import NotPossible
from tests.unit.advice.lots_for_tests import BOARD, DAY_MS, START_MS, constant
from tests.unit.model.memory_shelf import MemoryShelf
from tests.unit.model.readings_for_tests import EDGE, PINS, SCALE, readings, told_of

FROM_MS = START_MS - START_MS % BIN_MS


def air_of(from_ms: int, to_ms: int) -> ShopAir:
    return constant(lambda day: (20.0 + np.sin(6 * day), 40.0 + 15 * np.sin(day)), from_ms, to_ms)


GLUED: dict[str, Any] = {
    "kind": "glued", "lot": "p", "name": "Panel", "boards": [{"lot": "b-1", "pieces": 1}, {"lot": "b-3", "pieces": 1}],
    "width_mm": 150, "length_mm": 500, "adhesive": "pva", "clamp_h": 2, "zone": "bench", "aim": BOARD["aim"],
}  # fmt: skip
DEEDS = st.lists(
    st.tuples(
        st.floats(0.1, 5.5),
        st.sampled_from(["b-1", "b-2", "b-3"]),
        st.sampled_from([
            {**PINS, "reading_pct": 9.0}, {**PINS, "reading_pct": 12.0, "method": "dielectric"}, {**SCALE, "kg": 3.2},
            {**EDGE, "hollow_mm": 0.3}, {"kind": "milled", "take_top_mm": 1.0, "take_bottom_mm": 1.0},
            {"kind": "split", "pieces": 2, "into": "b-2", "name": "Two"}, {"kind": "joined", "others": ["b-3"]},
            {"kind": "delivered"}, {"kind": "moved", "zone": "loft"}, GLUED, {**PINS, "lot": "p", "reading_pct": 8.5},
        ]),
    ),
    max_size=9,
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(DEEDS)
def test_it_is_what_was_heard_in_the_run(deeds: list[tuple[float, str, dict[str, Any]]]) -> None:
    said: list[tuple[float, dict[str, Any]]] = [(0.0, BOARD), (0.05, {**BOARD, "lot": "b-3"})]
    for day, lot, deed in deeds:
        try:
            told_of(*said, (day, {"lot": lot, **deed}))
        except NotPossible:
            continue
        said.append((day, {"lot": lot, **deed}))
    programs, _ = told_of(*said)
    shelf, course = MemoryShelf(), replace(Course.begin(FROM_MS), programs=programs)
    for _ in range(3):
        course = course.moved_on(air_of, course.at_ms + 2 * DAY_MS)
        shelf.keep(course)
    run_through = run(Run(FROM_MS, NONE), programs, air_of(FROM_MS, course.at_ms), course.at_ms).heard
    for lot in programs:
        kin = programs_of(lineage(lot, programs), programs)
        for there in (shelf, MemoryShelf()):
            found = heard_again(kin, air_of, there, course.at_ms, most=99)
            mine = {one.done.entry: one.told for one in found}
            right = {h.entry: h.told for h in run_through if h.entry in mine}
            assert mine.keys() == right.keys()
            for entry, one in mine.items():
                assert one.reason == right[entry].reason
                assert one.mean_pct == pytest.approx(right[entry].mean_pct, abs=1e-9)
        own = {h.entry for h in run_through if h.lot == lot}
        assert own <= mine.keys()
        assert [c.done.entry for c in heard_again(kin, air_of, shelf, course.at_ms, most=2)] == list(mine)[-2:]


def test_what_was_done_to_the_rest_after_a_split_is_not_its_own() -> None:
    programs, _ = told_of(
        (0.0, BOARD), (1.0, {**PINS, "reading_pct": 9.0}),
        (2.0, {"kind": "split", "lot": "b-1", "pieces": 2, "into": "b-2", "name": "Two"}),
        (3.0, {**PINS, "reading_pct": 10.0}), (3.1, {**PINS, "lot": "b-2", "reading_pct": 8.0}),
    )  # fmt: skip
    kin = programs_of(lineage("b-2", programs), programs)
    found = heard_again(kin, air_of, MemoryShelf(), FROM_MS + 5 * DAY_MS, most=99)
    assert [(one.lot, one.done.entry) for one in found] == [("b-1", "entry-001"), ("b-2", "entry-004")]


def test_every_outcome_is_told_with_what_it_changed() -> None:
    found = readings()
    outcomes = [one.outcome for one in found]
    assert outcomes == [
        "used", "absurd", "second-alike", "seven-or-less", "beyond-what-pins-tell", "used", "below-what-it-tells",
        "beyond-what-it-tells", "used", "not-steady", "first-weighing", "used", "first-straightedge", "used",
        "shape-anew",
    ]  # fmt: skip
    for one in found:
        assert isinstance(one, ReadingDocument)
        moved = one.before.mean_pct.middle != one.after.mean_pct.middle
        assert one.believed or not moved
        # This board is the same from both sides: a hollow that is believed says nothing of its mean, but for rounding.
        assert moved or not one.believed or one.entry.deed["kind"] == "straightedged"
        assert one.before.mean_pct.low < one.before.mean_pct.middle < one.before.mean_pct.high
        assert one.read.low < one.read.middle < one.read.high
        assert (one.expected is None) == one.outcome.startswith("first")
    pins = found[0]
    assert pins.expected is not None
    assert pins.said.text == (
        f"The pins say {pins.read.middle:.1f} % where {pins.expected.middle:.1f} % was expected: the mean goes from "
        f"{pins.before.mean_pct.middle:.1f} to {pins.after.mean_pct.middle:.1f} %, give or take "
        f"{(pins.before.mean_pct.high - pins.before.mean_pct.low) / 2:.1f} before and "
        f"{(pins.after.mean_pct.high - pins.after.mean_pct.low) / 2:.1f} now."
    )
    scale = found[11]
    assert scale.unit == "kg"
    assert "3.205 kg where 3." in scale.said.text
