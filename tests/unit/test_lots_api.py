"""The journal and its lots through the API, on the real spine and record."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from server.advice.documents import AdviceDocument, LineDocument
from server.api.problems import ProblemDocument
from server.lot_documents import EntryDocument, LotDocument
from server.lot_outlook import LotOutlookDocument
from server.lot_readings import ReadingsDocument
from server.lot_trace import TraceDocument
from server.reading import OutlookPoint, Reading
from server.wood import species
from server.wood.emc import emc_pct
from server.wood.movement import across_width, change
from tests.unit.spine import HOUR, START_MS, Bench, sample
from tests.unit.test_salt_checks import client

LOT = {
    "kind": "received", "lot": "ash-1", "name": "Rails", "species": "ash_white", "quarters": 4, "pieces": 8,
    "width_mm": 120, "length_mm": 2200, "zone": "bench", "start": {"kind": "unknown"}, "cost": 96,
    "aim": {"destination": "heated"},
}  # fmt: skip


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    yield made
    await made.close()


async def tell(
    bench: Bench, entry: str, /, *, status: int = 200, t_h: float | None = None, **deed: Any
) -> dict[str, Any]:
    body: dict[str, Any] = {"id": f"wall-{entry:0>8}", "who": "Ada", "deed": deed}
    if t_h is not None:
        body["t_ms"] = START_MS + round(t_h * HOUR * 1000)
    async with client(bench) as door:
        reply = await door.post("/api/journal", json=body)
    assert reply.status_code == status, reply.text
    found: dict[str, Any] = reply.json()
    return found


async def get(bench: Bench, path: str, status: int = 200) -> Any:
    async with client(bench) as door:
        reply = await door.get(f"/api/{path}")
    assert reply.status_code == status, reply.text
    return reply.json()


async def live(bench: Bench, from_h: float, to_h: float) -> None:
    """The bench room's sensors through some hours, and the lots with it."""
    minutes = range(round(from_h * 60), round(to_h * 60), 10)
    await bench.hear([sample(name, 60.0 * m) for m in minutes for name in ("bench-1", "bench-2")])
    await bench.spine.stockroom.catch_up()


async def test_a_lot_is_told_read_and_moved_by_the_air(bench: Bench) -> None:
    done = await tell(bench, "a", **LOT)
    assert (done["done"], done["repeated"]) == (True, False)
    assert done["lot"]["moisture"]["mean"]["pct"] == pytest.approx(10.5)  # before any half hour closed
    await live(bench, 0, 6)
    found = LotDocument.model_validate(await get(bench, "lots/ash-1"))
    assert found.moisture is not None
    assert found.moisture.at_ms == START_MS + round(5.5 * HOUR * 1000)
    assert found.moisture.mean.low_pct < found.moisture.mean.pct < found.moisture.mean.high_pct
    assert found.moisture.shell.pct < found.moisture.core.pct  # 45 % RH dries it from 10.5 %
    await tell(bench, "b", t_h=2, kind="metered", lot="ash-1", reading_pct=9.0, wood_temperature_c=20)
    await bench.spine.stockroom.catch_up()
    metered = LotDocument.model_validate(await get(bench, "lots/ash-1"))
    assert metered.moisture is not None
    assert metered.moisture.mean.pct < found.moisture.mean.pct
    assert metered.moisture.mean.high_pct - metered.moisture.mean.low_pct < 4
    entries = [EntryDocument.model_validate(e) for e in await get(bench, "journal?lot=ash-1")]
    assert [e.deed["kind"] for e in entries] == ["metered", "received"]
    assert entries[0].who == "Ada"
    await tell(bench, "c", kind="delivered", lot="ash-1")
    assert await get(bench, "lots") == []
    assert [lot["ended"] for lot in await get(bench, "lots?ended=true")] == ["delivered"]


async def test_a_lot_is_drawn_by_its_aim_its_cup_and_its_rings(bench: Bench) -> None:
    """The drier face goes hollow, as deep as its own profile bends it: the integral here is of the document's layers
    (the formula of a free strip, Timoshenko 1925, as server/wood/cup.py quotes it). What a straightedge says counts."""
    await tell(bench, "a", **LOT, lying="one-face")
    await tell(bench, "b", **{**LOT, "lot": "board", "species": None, "sheet": "particleboard"})
    at_once = LotDocument.model_validate(await get(bench, "lots/ash-1"))
    assert at_once.cup is not None
    assert (at_once.cup.mm, at_once.end_grain) == (pytest.approx(0.0, abs=1e-9), None)
    await live(bench, 0, 6)
    found, sheet = [LotDocument.model_validate(await get(bench, f"lots/{name}")) for name in ("ash-1", "board")]
    assert (found.aim_low_pct, found.aim_high_pct, found.dry_limit_pct) == (6.0, 10.0, None)
    assert (sheet.moisture, sheet.cup, sheet.aim_high_pct) == (None, None, 10.0)
    assert found.moisture is not None
    assert found.cup is not None
    pct, middle = np.array(found.moisture.profile_pct), np.array(found.moisture.depth_mm)
    ends = [0.0]
    for m in middle:
        ends.append(2 * m - ends[-1])
    thick, across = found.thickness_mm, across_width(species.find("ash_white"), 0.0).coefficient
    bend = 12 / thick**3 * np.sum(pct * (middle - thick / 2) * np.diff(ends))
    assert found.cup.mm == pytest.approx(across * bend * 120.0**2 / 8, rel=1e-6)
    assert found.cup.low_mm < found.cup.mm < found.cup.high_mm
    assert pct[0] < pct[-1]  # the top is open to the dry air
    assert found.cup.mm > 0.05
    edge = {"bark_face": "bottom", "ring_radius_mm": 90}
    await tell(bench, "c", kind="straightedged", lot="ash-1", hollow_mm=0.4, hollow_face="bottom", **edge)
    seen = LotDocument.model_validate(await get(bench, "lots/ash-1"))
    assert seen.end_grain is not None
    assert (seen.end_grain.bark_face, seen.end_grain.ring_radius_mm) == ("bottom", 90)
    assert seen.cup is not None
    assert seen.cup.mm == pytest.approx(-0.4)


async def test_what_becomes_of_a_lot(bench: Bench) -> None:
    """With no outlook the air of its last days goes on, which nobody vouches for: the ends lie apart."""
    await tell(bench, "a", **LOT)
    await live(bench, 0, 6)
    plain = LotOutlookDocument.model_validate(await get(bench, "lots/ash-1/outlook"))
    assert (plain.aim_low_pct, plain.aim_high_pct) == (6.0, 10.0)
    target, way = plain.target_pct, plain.way_left_mm
    assert way is not None
    assert target.low < target.middle < target.high
    assert target.middle == pytest.approx(float(emc_pct(20.0, 0.45)), abs=0.05)
    assert way.low < way.middle < 0  # 45 % RH dries it from 10.5 %
    moved = change(across_width(species.find("ash_white"), 0.0), 120.0, plain.series[0]["mean_pct"], target.middle)
    assert way.middle == pytest.approx(float(moved), abs=0.01)
    assert plain.settled_days.low < plain.settled_days.middle
    assert plain.series[0]["day"] == 0
    assert (plain.air_beyond, plain.air_beyond_heard_days) == ("week", 0)
    assert plain.air_beyond_from_ms == plain.at_ms
    now_ms = bench.clock.now().wall_ms
    bench.spine.engine.outlooks["bench"] = tuple(OutlookPoint(now_ms + h * 3_600_000, 6.0, 5.5, 6.5) for h in range(97))
    drier = LotOutlookDocument.model_validate(await get(bench, "lots/ash-1/outlook"))
    assert drier.target_pct.middle < target.middle - 0.1
    assert drier.air_beyond_from_ms == now_ms + 96 * 3_600_000
    await tell(bench, "b", **{**LOT, "lot": "board", "species": None, "sheet": "particleboard"})
    problem = ProblemDocument.model_validate(await get(bench, "lots/board/outlook", 404))
    assert "sheet-goods" in problem.found


async def test_a_zone_with_a_year_of_record_goes_on_with_its_season(bench: Bench) -> None:
    """It was as damp at this time last year as the last hours are, and 2 % drier half a year later."""
    hours, at = 3_600_000 * np.arange(-400 * 24, 0, 6), float(emc_pct(20.0, 0.45))
    emc = at - 1.0 + np.cos(2 * np.pi * hours / (365.2425 * 24 * 3_600_000))
    for name, values in (("temperature_c", np.full(hours.size, 20.0)), ("emc_pct", emc)):
        pairs = zip(hours.tolist(), values.tolist(), strict=True)
        await bench.spine.store.append([Reading(f"zone:bench/{name}", START_MS + t, v) for t, v in pairs])
    await tell(bench, "a", **LOT)
    await live(bench, 0, 6)
    found = LotOutlookDocument.model_validate(await get(bench, "lots/ash-1/outlook"))
    assert (found.air_beyond, found.air_beyond_from_ms) == ("season", found.at_ms)
    assert found.air_beyond_heard_days == 400
    assert found.series[0]["target_pct"] == pytest.approx(at, abs=0.1)
    assert found.series[183]["target_pct"] == pytest.approx(at - 2.0, abs=0.15)
    mill = AdviceDocument.model_validate(await get(bench, "lots/ash-1/advice")).lines
    (said,) = [line.said for line in mill if line.question == "good-to-mill"]
    assert "this zone's own record of 400 days" in said[-1].text


async def test_advice_of_a_lot(bench: Bench) -> None:
    """Every question at once, or one with what is planned; a verdict of one word, the same as in the lines."""
    await tell(bench, "a", **LOT)
    early = AdviceDocument.model_validate(await get(bench, "lots/ash-1/advice"))
    assert {"movement-left", "good-to-mill"} <= {line.question for line in early.lines}  # at once
    await live(bench, 0, 6)
    found = AdviceDocument.model_validate(await get(bench, "lots/ash-1/advice"))
    outlook = LotOutlookDocument.model_validate(await get(bench, "lots/ash-1/outlook"))
    lines = {line.question: line for line in found.lines}
    assert outlook.way_left_mm is not None
    assert lines["movement-left"].figures["movement_left_mm"] == pytest.approx(outlook.way_left_mm.middle)
    assert found.word == lines["good-to-mill"].word
    assert found.title == lines["good-to-mill"].title
    assert {q["name"] for q in await get(bench, "lot-questions")} >= set(lines)
    async with client(bench) as door:
        one = await door.post("/api/lots/ash-1/advice/good-to-mill", json={})
        wrong = await door.post("/api/lots/ash-1/advice/good-to-mill", json={"days": 3})
        nobody = await door.post("/api/lots/ash-9/advice/good-to-mill", json={})
        nothing = await door.post("/api/lots/ash-1/advice/good-to-burn", json={})
    assert LineDocument.model_validate(one.json()) == lines["good-to-mill"]
    assert [reply.status_code for reply in (wrong, nobody, nothing)] == [422, 404, 404]
    assert ProblemDocument.model_validate(wrong.json()).field == "days"


async def test_a_lot_s_date_is_asked_for_in_another_zone(bench: Bench) -> None:
    """Zones of which something was heard in the last week may be named; the work is counted in their air."""
    await tell(bench, "a", **LOT)
    await bench.hear([sample(name, 60.0 * m) for m in range(0, 360, 10) for name in ("bench-1", "bench-2", "loft-1")])
    await bench.spine.stockroom.catch_up()
    async with client(bench) as door:
        own, there, wrong = [
            await door.post("/api/lots/ash-1/advice/count-back", json=given)
            for given in ({}, {"zone": "loft"}, {"zone": "attic"})
        ]
    for reply in (own, there):
        assert LineDocument.model_validate(reply.json()).figures["met"] is None
    assert wrong.status_code == 422
    assert ProblemDocument.model_validate(wrong.json()).would_be_right == "one of bench, loft"


async def test_advice_counts_what_was_told_a_minute_ago(bench: Bench) -> None:
    """Milled, metered and laid on the bench since the last half hour closed: the pieces asked about are those."""
    await tell(bench, "a", **LOT)
    await live(bench, 0, 6)
    lot = {"lot": "ash-1", "t_h": 5.8}
    await tell(bench, "b", kind="milled", take_top_mm=2, take_bottom_mm=2, **lot)
    await tell(bench, "c", kind="one-face", **lot)
    await tell(bench, "d", kind="metered", reading_pct=8.5, scale="corrected", **lot)
    found = AdviceDocument.model_validate(await get(bench, "lots/ash-1/advice"))
    lines = {line.question: line for line in found.lines}
    assert lines["faces"].figures["thickness_mm"] == pytest.approx(25.4 - 4 - 3)
    stop = lines["stop-now"]
    each = {row["lying"]: row for row in stop.figures["ways"]}
    assert stop.figures["cup_mm"] == each["one-face"]["cup_mm"] != each["stickered"]["cup_mm"]
    assert stop.entries == ["wall-0000000b", "wall-0000000c"]
    document = LotDocument.model_validate(await get(bench, "lots/ash-1"))
    assert document.thickness_mm == pytest.approx(21.4)
    assert lines["movement-left"].figures["mean_pct"] < 9.5, "it came with 10.5 %"


async def test_what_readings_changed(bench: Bench) -> None:
    """Each with what was expected and believed; a correction's figures, under the id it was told by."""
    await tell(bench, "a", **LOT)
    await live(bench, 0, 6)
    said = {"kind": "metered", "lot": "ash-1"}
    await tell(bench, "b", t_h=2, **said, reading_pct=9.0)
    becomes = {**said, "reading_pct": 8.6, "method": "dielectric"}
    await tell(bench, "c", kind="corrected", entry="wall-0000000b", at_ms=START_MS + 2 * 3_600_000, becomes=becomes)
    await tell(bench, "d", t_h=3, kind="weighed", lot="ash-1", kg=4.2)
    await bench.spine.stockroom.catch_up()
    await tell(bench, "e", kind="straightedged", lot="ash-1", hollow_mm=0.4, hollow_face="top")
    found = ReadingsDocument.model_validate(await get(bench, "lots/ash-1/readings"))
    assert [(r.entry.id, r.kind, r.outcome) for r in found.readings] == [
        ("wall-0000000e", "straightedge", "first-straightedge"), ("wall-0000000d", "scale", "first-weighing"),
        ("wall-0000000b", "dielectric", "used"),
    ]  # fmt: skip
    assert found.open == ["wall-0000000e"]
    meter = found.readings[2]
    assert meter.entry.deed["reading_pct"] == 8.6
    assert meter.before.mean_pct.middle > meter.after.mean_pct.middle > 8.6
    assert meter.said.text.startswith("The dielectric meter says 8.6 % where 10.")
    assert meter.after.mean_pct.high - meter.after.mean_pct.low < meter.before.mean_pct.high - meter.before.mean_pct.low
    only = ReadingsDocument.model_validate(await get(bench, "lots/ash-1/readings?limit=1"))
    assert (len(only.readings), only.earlier) == (1, 2)
    assert ProblemDocument.model_validate(await get(bench, "lots/oak/readings", 404)).field == "lot"


async def test_what_a_lot_rests_on_is_one_call(bench: Bench) -> None:
    await tell(bench, "a", **LOT)
    at_once = TraceDocument.model_validate(await get(bench, "lots/ash-1/trace"))
    assert at_once.moisture == LotDocument.model_validate(await get(bench, "lots/ash-1")).moisture
    assert (at_once.air, at_once.entries[0].fate) == ([], "counts")
    await live(bench, 0, 6)
    found = TraceDocument.model_validate(await get(bench, "lots/ash-1/trace"))
    assert found.moisture == LotDocument.model_validate(await get(bench, "lots/ash-1")).moisture
    (stretch,) = found.air
    assert (stretch.zone, stretch.recorded, stretch.bridged, stretch.unknown) == ("bench", 11, 0, 0)
    assert [e.id for e in found.entries] == ["wall-0000000a"]
    assert ProblemDocument.model_validate(await get(bench, "lots/oak/trace", 404)).field == "lot"


async def test_undoing_is_among_what_was_told_of_a_lot(bench: Bench) -> None:
    await tell(bench, "a", **LOT)
    await tell(bench, "b", **{**LOT, "lot": "ash-2"})
    await tell(bench, "c", kind="wrapped", lot="ash-1")
    done = await tell(bench, "d", kind="undone", entry="wall-0000000c")
    assert done["lot"] is None
    assert (await get(bench, "lots/ash-1"))["lying"] == "stickered"
    kinds = {name: [e["deed"]["kind"] for e in await get(bench, f"journal?lot={name}")] for name in ("ash-1", "ash-2")}
    assert kinds == {"ash-1": ["undone", "wrapped", "received"], "ash-2": ["received"]}


async def test_an_entry_is_undone_once_and_that_undoing_may_be_undone(bench: Bench) -> None:
    await tell(bench, "a", **LOT)
    await tell(bench, "b", kind="wrapped", lot="ash-1")
    first = await tell(bench, "c", kind="undone", entry="wall-0000000b")
    again = await tell(bench, "c", kind="undone", entry="wall-0000000b")
    assert (first["repeated"], again["repeated"]) == (False, True)
    refused = ProblemDocument.model_validate(await tell(bench, "d", status=409, kind="undone", entry="wall-0000000b"))
    assert (refused.field, refused.found, refused.would_be_right) == (
        "entry",
        "'wall-0000000b', already undone by entry 'wall-0000000c' at 2027-01-12 12:00 UTC by Ada",
        "an entry that still counts; to bring this one back, undo 'wall-0000000c'",
    )
    await tell(bench, "e", kind="undone", entry="wall-0000000c")
    assert (await get(bench, "lots/ash-1"))["lying"] == "wrapped"
    await tell(bench, "f", status=409, kind="undone", entry="wall-0000000c")
    await tell(bench, "g", kind="undone", entry="wall-0000000b")
    assert (await get(bench, "lots/ash-1"))["lying"] == "stickered"
    assert len(await get(bench, "journal")) == 5


async def test_told_twice_is_once(bench: Bench) -> None:
    await tell(bench, "a", **LOT)
    await bench.hear([sample("bench-1", 60.0)])
    assert (await tell(bench, "a", **LOT))["repeated"]
    problem = ProblemDocument.model_validate(await tell(bench, "a", status=409, **{**LOT, "pieces": 9}))
    assert problem.field == "id"
    assert len(await get(bench, "journal")) == 1


@pytest.mark.parametrize(
    ("deed", "status", "field"),
    [
        ({**LOT, "species": "ashh"}, 409, "species"),
        ({**LOT, "zone": "attic"}, 409, "zone"),
        ({**LOT, "pieces": -1}, 422, "deed.pieces"),
        ({**LOT, "width_mm": 15_240}, 422, "deed.width_mm"),
        ({**LOT, "start": {"kind": "metered"}}, 422, "deed.start"),
        ({"kind": "milled", "lot": "ash-1", "take_top_mm": 1, "take_bottom_mm": 1}, 409, "lot"),
        ({"kind": "sold", "lot": "ash-1"}, 422, "deed.kind"),
        ({"kind": "undone", "entry": "nothing-here"}, 409, "entry"),
    ],
)
async def test_what_cannot_be_is_a_problem_that_names_the_field(
    bench: Bench, deed: dict[str, Any], status: int, field: str
) -> None:
    problem = ProblemDocument.model_validate(await tell(bench, "a", status=status, **deed))
    assert problem.field == field
    assert problem.found
    assert problem.would_be_right
    assert await get(bench, "lots?ended=true") == []


async def test_two_walls_at_once_end_in_one_outcome(bench: Bench) -> None:
    """Each splits five of eight pieces off: one can."""
    await tell(bench, "a", **LOT)

    async def split(name: str) -> int:
        body = {"kind": "split", "lot": "ash-1", "pieces": 5, "into": f"part-{name}", "name": "Part"}
        async with client(bench) as door:
            reply = await door.post("/api/journal", json={"id": f"wall-{name:0>8}", "deed": body})
        return reply.status_code

    assert sorted(await asyncio.gather(split("x"), split("y"))) == [200, 409]
    lots = {lot["id"]: lot["pieces"] for lot in await get(bench, "lots")}
    assert sorted(lots.values()) == [3, 5]


async def test_no_such_lot(bench: Bench) -> None:
    problem = ProblemDocument.model_validate(await get(bench, "lots/oak", 404))
    assert (problem.field, problem.found) == ("lot", "'oak'")


async def test_what_was_sent_is_named_by_its_fields_where_its_values_would_be_cut_off(bench: Bench) -> None:
    said = ProblemDocument.model_validate(await tell(bench, "a", status=422, **{**LOT, "thickness_mm": 32}))
    assert (said.field, said.would_be_right) == ("deed", "either thickness_mm or quarters")
    assert said.found.startswith("the fields aim, cost, kind, length_mm, ")
    assert said.found.endswith("quarters, species, start, thickness_mm, width_mm, zone")


async def test_a_share_is_no_per_cent(bench: Bench) -> None:
    await tell(bench, "a", **LOT)
    share = await tell(bench, "b", status=409, kind="metered", lot="ash-1", reading_pct=0.095)
    assert share["would_be_right"] == "per cent, as the meter shows it: 9.5?"
