"""Readings of every outcome, made the real way: entries folded, the model run, each word looked at again."""

from __future__ import annotations

from typing import Any

from server.lot_readings import ReadingDocument, reading_document
from server.model.again import heard_again, lineage, programs_of
from server.model.run import Programs
from server.shop.journal import Fact, facts
from server.shop.lots import fold
from server.snapshot import Speaker
from server.words import Words
from tests.unit.advice.lots_for_tests import BOARD, DAY_MS, START_MS, constant, told
from tests.unit.model.memory_shelf import MemoryShelf

PINS: dict[str, Any] = {"kind": "metered", "lot": "b-1"}
SCALE: dict[str, Any] = {"kind": "weighed", "lot": "b-1"}
EDGE: dict[str, Any] = {"kind": "straightedged", "lot": "b-1", "hollow_face": "top"}
WRAP: dict[str, Any] = {"kind": "wrap-read", "lot": "b-1", "temperature_c": 20.0}
READ: tuple[tuple[float, dict[str, Any]], ...] = (
    (1.0, {**PINS, "reading_pct": 9.5}), (1.1, {**PINS, "reading_pct": 20.0}), (1.2, {**PINS, "reading_pct": 20.3}),
    (1.3, {**PINS, "reading_pct": 4.0}), (1.4, {**PINS, "reading_pct": 45.0}),
    (1.5, {**PINS, "reading_pct": 9.0, "method": "dielectric"}),
    (1.6, {**PINS, "reading_pct": 3.0, "method": "dielectric"}),
    (1.7, {**PINS, "reading_pct": 35.0, "method": "dielectric"}),
    (1.9, {"kind": "wrapped", "lot": "b-1"}),
    (2.0, {**WRAP, "humidity_pct": 40.0}), (2.1, {**WRAP, "humidity_pct": 40.0, "swing_k": 5.0}),
    (2.15, {"kind": "unwrapped", "lot": "b-1"}),
    (2.2, {**SCALE, "kg": 3.210}), (4.0, {**SCALE, "kg": 3.205}),
    (4.1, {**EDGE, "hollow_mm": 0.4}), (4.2, {**EDGE, "hollow_mm": 0.5}), (4.3, {**EDGE, "hollow_mm": 8.0}),
)  # fmt: skip


def told_of(*deeds: tuple[float, dict[str, Any]]) -> tuple[Programs, dict[str, Fact]]:
    """The programs and facts of what was told."""
    every = facts(told(day, i, deed) for i, (day, deed) in enumerate(deeds))
    lots = fold(every).lots
    return {name: lot.acts for name, lot in lots.items() if lot.acts}, {fact.id: fact for fact in every}


def readings() -> list[ReadingDocument]:
    """One of every outcome, in order."""
    programs, there = told_of((0.0, BOARD), *READ)

    def air_of(from_ms: int, to_ms: int) -> Any:
        return constant(lambda _: (21.0, 30.0), from_ms, to_ms)

    kin = programs_of(lineage("b-1", programs), programs)
    changed = heard_again(kin, air_of, MemoryShelf(), START_MS + 6 * DAY_MS, most=99)
    speaker = Speaker(Words("en", strict=True), "metric")
    return [reading_document(one, there[one.done.entry], speaker) for one in changed]
