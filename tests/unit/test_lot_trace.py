"""The trace of a lot: its moisture worked out again from nothing but what the trace names, and what it names."""

from __future__ import annotations

import hashlib
from collections.abc import AsyncIterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from server.bins import BIN_MS, HOLD_MS
from server.lot_trace import TraceDocument, trace_of
from server.model.again import lineage, programs_of
from server.model.air import ShopAir
from server.model.course import Course
from server.model.half_hours import HalfHours, half_hours
from server.model.present import present
from server.model.run import Run, run
from server.model.woods import NONE
from server.reading import JournalEntry
from server.shop.entries import Entry
from server.shop.journal import NotPossible, facts
from server.shop.lots import fold
from server.snapshot import Speaker
from server.stockroom import OtherEntry
from server.wood import species
from server.wood.belief import boards_of, sigma_of
from server.wood.emc import emc_pct
from server.wood.ensemble import END_OF_80
from server.words import Words
from tests.unit.test_stockroom import CHERRY, DAY_MS, HOUR_MS, T0, Room

SPEAKER = Speaker(Words("en", strict=True), "metric")
DAYS = 5


@pytest.fixture
async def room(tmp_path: Path) -> AsyncIterator[Room]:
    made = Room(tmp_path / "state")
    await made.stock.opened()
    yield made
    await made.store.close()


def trace(room: Room, lot: str = "cherry-1") -> TraceDocument:
    found = trace_of(room.stock, lot, 20, SPEAKER)
    return TraceDocument.model_validate_json(found.model_dump_json())


def worked_out_again(room: Room, found: TraceDocument) -> dict[str, float]:
    """From its entries, and the stored air of the zones of its stretches, by the pure functions alone."""
    entries = [
        Entry(**{k: getattr(e, k) for k in ("id", "t_ms", "recorded_ms", "who", "note", "deed")}) for e in found.entries
    ]
    lots = fold(facts(entries), species.find).lots
    every = {name: lot.acts for name, lot in lots.items() if lot.acts}
    programs = programs_of(lineage(found.lot, every), every)
    first_ms = min(stretch.from_ms for stretch in found.air)
    zones = sorted({stretch.zone for stretch in found.air})
    heard = {zone: stored(room, zone, first_ms - DAY_MS, found.at_ms) for zone in zones}
    # What lasted within one half hour is in no stretch, and moved nothing.
    there = sorted({*zones, *(done.act.zone for p in programs.values() for done in p if hasattr(done.act, "zone"))})
    air = ShopAir.of(there, heard, first_ms, found.at_ms)
    closed = run(Run(first_ms, NONE), programs, air, found.at_ms).woods
    course = replace(Course.begin(found.at_ms), programs=programs, woods=closed)
    wood = present(course, programs).one(found.lot).caught_up()
    boards, held = boards_of(wood.stock, wood.belief), wood.belief.held_pct()[0]
    half = END_OF_80 * sigma_of(boards.mean_pct(held))
    return {
        "mean": float(boards.mean_pct(held)[0]), "low": float(boards.mean_pct(held)[0] - half),
        "shell": float(boards.shell_pct(held)[0]), "core": float(boards.core_pct(held)[0]),
        "rate": float(np.exp(wood.belief.ln_rate[0, 0])),
    }  # fmt: skip


def stored(room: Room, zone: str, from_ms: int, to_ms: int) -> HalfHours:
    c, pa = (
        room.history.columns(f"zone:{zone}/{name}", from_ms - HOLD_MS, to_ms)
        for name in ("temperature_c", "vapour_pressure_pa")
    )
    return half_hours(c[0], c[1], pa[1], from_ms, to_ms)


def assert_rests_on_it(room: Room, lot: str) -> TraceDocument:
    found = trace(room, lot)
    assert found.moisture is not None
    again, held = worked_out_again(room, found), found.moisture
    assert held.mean.pct == pytest.approx(again["mean"], abs=1e-9)
    assert held.mean.low_pct == pytest.approx(max(0.0, again["low"]), abs=1e-9)
    assert (held.shell.pct, held.core.pct) == (
        pytest.approx(again["shell"], abs=1e-9), pytest.approx(again["core"], abs=1e-9),
    )  # fmt: skip
    assert held.rate_factor == pytest.approx(again["rate"], abs=1e-9)
    return found


async def breathe(room: Room, chance: np.random.Generator) -> None:
    """Air of both zones with holes in it, some longer than is bridged."""
    for zone in ("loft", "bench"):
        hour = 0.0
        while hour < 24 * DAYS:
            until = hour + chance.choice([3.0, 9.0, 20.0])
            if chance.random() < 0.75:
                await room.air((hour, min(until, 24 * DAYS)), chance.uniform(14, 22), chance.uniform(0.3, 0.65), zone)
            hour = until


GLUED: dict[str, Any] = {
    "kind": "glued", "name": "Panel", "boards": [{"lot": "cherry-1", "pieces": 1}, {"lot": "cherry-2", "pieces": 1}],
    "width_mm": 200, "length_mm": 900, "adhesive": "pva", "clamp_h": 2, "zone": "bench", "aim": CHERRY["aim"],
}  # fmt: skip
DEEDS: tuple[dict[str, Any], ...] = (
    {"kind": "moved", "zone": "bench"}, {"kind": "moved", "zone": "loft", "lying": "one-face"}, {"kind": "wrapped"},
    {"kind": "unwrapped"}, {"kind": "milled", "take_top_mm": 1.0, "take_bottom_mm": 1.0}, {"kind": "resawn"},
    {"kind": "metered", "reading_pct": 9.0}, {"kind": "metered", "reading_pct": 8.0, "method": "dielectric"},
    {"kind": "weighed", "kg": 4.1}, {"kind": "straightedged", "hollow_mm": 0.3, "hollow_face": "top"},
    {"kind": "split", "pieces": 1, "into": "part", "name": "Part"}, {"kind": "joined", "others": ["cherry-2"]},
    {"kind": "finished", "cover": "shellac-3"}, {"kind": "confirmed"}, {"kind": "delivered"},
    {**GLUED, "lot": "panel"}, {"kind": "metered", "lot": "panel", "reading_pct": 8.5},
    {"kind": "crated", "lot": "panel"},
)  # fmt: skip


@pytest.mark.parametrize("seed", range(6))
async def test_its_moisture_can_be_worked_out_again_from_what_it_names(room: Room, seed: int) -> None:
    """Property: whatever was told of its lots in whatever order, corrected or taken back, and whatever air there was,
    to 1e-9 % MC."""
    chance = np.random.default_rng(seed)
    await breathe(room, chance)
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.tell(2, 0.07, **{**CHERRY, "lot": "cherry-2", "start": {"kind": "unknown"}})
    for day in range(1, DAYS):
        await room.to(day + 0.3)
        for _ in range(4):
            n = len(room.stock.written()) + 1
            lot = chance.choice(["cherry-1", "cherry-2", "part"])
            said: dict[str, Any] = {"lot": str(lot), **DEEDS[chance.integers(len(DEEDS))]}
            when = max(0.1, day + 0.25 - chance.exponential(0.5))
            if chance.random() < 0.2:
                said = {"kind": "undone", "entry": f"entry-{chance.integers(3, n + 1):04}"}
            try:
                await room.tell(n, when, **said)
            except (NotPossible, OtherEntry):
                continue
    for lot in room.stock.course.woods.names:
        found = assert_rests_on_it(room, lot)
        for stretch in found.air:
            assert stretch.recorded + stretch.bridged + stretch.unknown == (stretch.to_ms - stretch.from_ms) // BIN_MS


async def test_a_split_lot_names_what_it_was_made_from(room: Room) -> None:
    """Its entries with their fates, its kin up to the parting, each stretch with the sensors that stood there."""
    placed = [
        JournalEntry("placed:loft-1", T0 - HOUR_MS, "placed", "loft-1", {"zone": "loft", "source": "s"}),
        JournalEntry("placed:loft-2", T0 + DAY_MS, "placed", "loft-2", {"zone": "bench", "source": "s"}),
        JournalEntry("placed:loft-2b", T0 + 2 * DAY_MS, "placed", "loft-2", {"zone": "loft", "source": "s"}),
    ]
    await room.store.add_journal(placed)
    await room.air((0, 48), 21.0, 0.30)
    await room.air((60, 96), 21.0, 0.30)
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.to(1.1)
    await room.tell(2, 1.0, kind="metered", lot="cherry-1", reading_pct=9.0)
    await room.tell(3, 1.02, kind="corrected", entry="entry-0002", at_ms=T0 + DAY_MS,
                    becomes={"kind": "metered", "lot": "cherry-1", "reading_pct": 7.6})  # fmt: skip
    await room.tell(4, 1.05, kind="wrapped", lot="cherry-1")
    await room.tell(5, 1.06, kind="undone", entry="entry-0004")
    await room.to(2.2)
    await room.tell(6, 2.1, kind="split", lot="cherry-1", pieces=2, into="legs", name="Legs")
    await room.tell(7, 2.15, kind="moved", lot="cherry-1", zone="bench")
    await room.to(3.9)
    found = assert_rests_on_it(room, "legs")
    assert [(kin.lot, kin.until) for kin in found.made_from] == [("cherry-1", "entry-0006")]
    assert [(e.id, e.fate, e.by) for e in found.entries] == [
        ("entry-0001", "counts", ""), ("entry-0002", "corrected", "entry-0003"),
        ("entry-0003", "corrects", "entry-0002"), ("entry-0004", "undone", "entry-0005"),
        ("entry-0005", "undoes", "entry-0004"), ("entry-0006", "counts", ""),
    ]  # fmt: skip
    assert found.entries[0].acts_ms == T0 + 2 * BIN_MS
    first, second = found.air
    assert (first.lot, second.lot, first.to_ms) == ("cherry-1", "legs", second.from_ms)
    assert (second.zone, second.to_ms) == ("loft", found.at_ms)
    # Its last value before the gap holds until 48:20; six hours on is 54:30; the next is of 60:00.
    assert (second.from_ms, second.to_ms) == (T0 + 50 * HOUR_MS, T0 + 93.5 * HOUR_MS)
    assert (second.recorded, second.bridged, second.unknown) == (67, 9, 11)
    assert second.emc_pct.mean == pytest.approx(float(emc_pct(21.0, 0.30)), abs=1e-6)
    assert first.first_ms == first.from_ms
    assert second.last_ms is not None
    assert second.last_ms < second.to_ms
    stood = [(s.sensor, s.from_ms, s.to_ms) for s in second.sensors]
    assert stood == [("loft-1", second.from_ms, second.to_ms), ("loft-2", second.from_ms, second.to_ms)]
    assert [(s.sensor, s.to_ms) for s in first.sensors] == [("loft-1", first.to_ms), ("loft-2", first.to_ms)]
    (reading,) = found.readings.readings
    assert (reading.lot, reading.entry.deed["reading_pct"], reading.believed) == ("cherry-1", 7.6, True)
    edge_ms = T0 + 3 * DAY_MS
    (state,) = room.history.checkpoints(edge_ms, ["legs"])
    assert found.checkpoint is not None
    assert (found.checkpoint.at_ms, found.checkpoint.sha256) == (edge_ms, hashlib.sha256(state.state).hexdigest())


async def test_every_figure_says_where_it_comes_from(room: Room) -> None:
    await room.air((0, 3), 21.0, 0.30)
    await room.to(0.1)
    await room.tell(1, 0.01, **CHERRY)
    await room.tell(2, 0.02, kind="finished", lot="cherry-1", cover="shellac-3")
    await room.tell(3, 0.03, kind="wrapped", lot="cherry-1")
    found = trace(room)
    row, figures = species.find("cherry_black"), {f.name: f for f in found.figures}
    assert figures["specific_gravity_basic"].value == row.specific_gravity
    assert figures["specific_gravity_basic"].source == row.sources["specific_gravity"].source
    assert figures["width_fraction_per_pct_mc"].value == row.ct
    assert figures["thickness_fraction_per_pct_mc"].value == row.cr
    assert figures["start_pct"].value == 8.0
    assert figures["start_pct"].low == pytest.approx(8.0 - END_OF_80)
    assert {"wrapped_m2_s_pa_per_kg", "shellac-3_m2_s_pa_per_kg"} <= figures.keys()
    for figure in found.figures:
        assert figure.provenance, figure.name
        assert figure.source or "no source" in figure.provenance, figure.name
    for equation in found.equations:
        assert equation.source
        assert equation.provenance
    assert found.aim is not None
    assert (found.aim.dry_limit_pct, found.aim.source) == (6.0, room.stock.destinations()["homes"].source)


async def test_sheet_goods_have_entries_and_no_moisture(room: Room) -> None:
    await room.to(0.1)
    await room.tell(1, 0.01, **{**CHERRY, "species": None, "sheet": "particleboard"})
    found = trace(room)
    assert (found.moisture, found.not_modelled, found.air, found.checkpoint) == (None, "sheet-goods", [], None)
    assert [e.fate for e in found.entries] == ["counts"]
    with pytest.raises(KeyError):
        trace(room, "oak")
