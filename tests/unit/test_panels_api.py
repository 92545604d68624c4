"""Panels through the API, on the real spine and record."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.api.lots import LotInShop
from server.api.problems import ProblemDocument
from server.lot_documents import LotDocument
from server.wood import species
from server.wood.movement import across_width, change
from tests.unit.spine import START_MS, Bench
from tests.unit.test_lots_api import LOT, get, live, tell
from tests.unit.test_salt_checks import client

TOP: dict[str, Any] = {
    "kind": "glued", "lot": "top", "name": "Hall table top",
    "boards": [{"lot": "ash-1", "pieces": 3}, {"lot": "ash-2", "pieces": 2}], "width_mm": 580, "length_mm": 1100,
    "adhesive": "pva", "clamp_h": 2, "zone": "bench", "aim": {"destination": "heated"},
}  # fmt: skip


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await tell(made, "a", **{**LOT, "start": {"kind": "metered", "mc_pct": 8.0}})
    await tell(made, "b", **{**LOT, "lot": "ash-2", "start": {"kind": "metered", "mc_pct": 9.5}})
    yield made
    await made.close()


async def panel(bench: Bench, name: str = "top") -> LotInShop:
    return LotInShop.model_validate(await get(bench, f"panels/{name}"))


async def test_a_panel_is_a_lot_that_begins_as_its_boards(bench: Bench) -> None:
    await live(bench, 0, 6)
    one, two = [LotDocument.model_validate(await get(bench, f"lots/ash-{i}")) for i in (1, 2)]
    await tell(bench, "c", **TOP)
    top = await panel(bench)
    assert one.moisture is not None
    assert two.moisture is not None
    assert top.moisture is not None
    assert top.panel is not None
    for part in ("mean", "shell", "core"):
        mixed = 0.6 * getattr(one.moisture, part).pct + 0.4 * getattr(two.moisture, part).pct
        assert getattr(top.moisture, part).pct == pytest.approx(mixed, abs=1e-6)
    assert [b.share for b in top.panel.boards] == pytest.approx([0.6, 0.4])
    await live(bench, 6, 12)
    later = await panel(bench)
    assert later.moisture is not None
    assert later.moisture.mean.pct < top.moisture.mean.pct  # 45 % RH draws it on, as any lot
    assert [one["id"] for one in await get(bench, "panels")] == ["top"]
    assert {one["id"] for one in await get(bench, "lots")} == {"ash-1", "ash-2", "top"}
    assert [e["deed"]["kind"] for e in await get(bench, "journal?lot=ash-2")] == ["glued", "received"]
    await bench.spine.lot_verdicts.catch_up()
    advice, verdict = await get(bench, "lots/top/advice"), (await panel(bench)).verdict
    assert verdict is not None
    assert (verdict.word, verdict.title.text) == (advice["word"], advice["title"]["text"])
    assert {"curing", "flatten", "delivery"} <= {line["question"] for line in advice["lines"]}
    outlook = await get(bench, "lots/top/outlook")
    assert outlook["way_left_mm"]["middle"] < 0


async def test_a_late_entry_runs_it_again(bench: Bench) -> None:
    """A board that was metered before the glue-up, told after it; and a glue-up that never was."""
    await live(bench, 0, 6)
    await tell(bench, "c", t_h=4, **TOP)
    await live(bench, 6, 8)
    before = await panel(bench)
    await tell(bench, "d", t_h=3, kind="metered", lot="ash-1", reading_pct=11.5)
    await bench.spine.stockroom.catch_up()
    after = await panel(bench)
    assert before.moisture is not None
    assert after.moisture is not None
    assert after.moisture.mean.pct > before.moisture.mean.pct + 0.1
    await tell(bench, "e", kind="undone", entry="wall-0000000c")
    await bench.spine.stockroom.catch_up()
    assert await get(bench, "panels") == []
    problem = ProblemDocument.model_validate(await get(bench, "panels/top", 404))
    assert (problem.field, problem.would_be_right) == ("panel", "a panel that was glued")
    assert "no panel" in ProblemDocument.model_validate(await get(bench, "panels/ash-1", 404)).found


async def test_what_it_was_when_it_was_fitted_is_worked_out_again(bench: Bench) -> None:
    """From the record, whatever has happened since: what its document said at that half hour."""
    await live(bench, 0, 6)
    await tell(bench, "c", t_h=1, **TOP)
    await bench.spine.stockroom.catch_up()
    then = (await panel(bench)).moisture
    assert then is not None
    await tell(bench, "d", t_h=(then.at_ms - START_MS) / 3_600_000, kind="fitted", lot="top", held="free")
    await live(bench, 6, 40)
    now = (await panel(bench)).moisture
    assert now is not None
    assert now.mean.pct < then.mean.pct
    (line,) = [one for one in (await get(bench, "lots/top/advice"))["lines"] if one["question"] == "fitted"]
    assert line["figures"]["fitted_pct"] == pytest.approx(then.mean.pct, abs=1e-9)
    per_pct = across_width(species.find("ash_white"), 0.0)
    moved = float(change(per_pct, 580.0, then.mean.pct, now.mean.pct))
    assert line["figures"]["used_mm"] == pytest.approx(moved, abs=1e-6)


async def test_a_panel_goes_out_and_is_read_there(bench: Bench) -> None:
    await live(bench, 0, 6)
    await tell(bench, "c", t_h=2, **TOP)
    await tell(bench, "d", kind="fitted", lot="top", held="free", clearance_mm=3)
    await tell(bench, "e", kind="crated", lot="top")
    await tell(bench, "f", kind="delivered", lot="top", to="the mill house", house={"heated": True})
    await tell(bench, "g", kind="customer-read", lot="top", reading_pct=8.0, temperature_c=21, humidity_pct=35)
    top = await panel(bench)
    assert top.panel is not None
    assert (top.panel.stage, top.ended, [r.humidity_pct for r in top.panel.read_there]) == (
        "delivered",
        "delivered",
        [35],
    )
    assert await get(bench, "panels") == []
    assert [one["id"] for one in await get(bench, "panels?ended=true")] == ["top"]
    advice = await get(bench, "lots/top/advice")
    (line,) = [line for line in advice["lines"] if line["question"] == "there"]
    assert line["figures"]["readings"][0]["entry"] == "wall-0000000g"


@pytest.mark.parametrize(
    ("question", "given", "field"),
    [
        ("delivery", {"dry_limit_pct": 9, "damp_limit_pct": 7}, "dry_limit_pct"),
        ("delivery", {"destination": "moon"}, "destination"),
        ("delivery", {"zone": "bench"}, "zone"),
        ("fitted", {"driest_day": 0}, "driest_day"),
        ("finish", {"cover": "shelac"}, "cover"),
        ("crate", {"days": 0}, "days"),
        ("there", {"zone": "nowhere"}, "zone"),
    ],
)
async def test_what_cannot_be_asked_names_its_field(
    bench: Bench, question: str, given: dict[str, Any], field: str
) -> None:
    await live(bench, 0, 6)
    await tell(bench, "c", t_h=1, **TOP)
    await tell(bench, "d", t_h=2, kind="fitted", lot="top", held="free", clearance_mm=3)
    if question == "there":
        await tell(bench, "e", t_h=5, kind="delivered", lot="top")
    await bench.spine.stockroom.catch_up()
    async with client(bench) as door:
        reply = await door.post(f"/api/lots/top/advice/{question}", json=given)
    assert reply.status_code == 422, reply.text
    assert ProblemDocument.model_validate(reply.json()).field == field


@pytest.mark.parametrize(
    ("deed", "status", "field", "right"),
    [
        ({"boards": []}, 422, "boards", "the boards, 1 to 40 lots"),
        ({"boards": [{"lot": "ash-1", "pieces": 9}]}, 409, "boards", "1 to 8, as many as the lot has"),
        ({"clamp_h": 0}, 422, "clamp_h", "hours in the clamps, above 0 to 240 h"),
        ({"clamp_h": 8766}, 422, "clamp_h", "hours in the clamps, above 0 to 240 h"),
        ({"adhesive": "horse"}, 409, "adhesive", "one of pva"),
        ({"zone": "attic"}, 409, "zone", "one of bench"),
        ({"aim": {"destination": "moon"}}, 409, "aim.destination", "one of heated"),
        ({"kind": "fitted", "held": "free", "clearance_mm": -1}, 422, "clearance_mm", "the room it has to widen"),
    ],
)
async def test_a_problem_names_its_field(
    bench: Bench, deed: dict[str, Any], status: int, field: str, right: str
) -> None:
    body = {"lot": "top", **deed} if "kind" in deed else {**TOP, **deed}
    problem = ProblemDocument.model_validate(await tell(bench, "c", status=status, **body))
    assert field in problem.field
    assert problem.would_be_right.startswith(right)
