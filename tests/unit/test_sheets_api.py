"""A sheet through the API: what it is made of is told, shown, bent by its air, put right, refused, and read again."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.advice.documents import LineDocument
from server.api.problems import ProblemDocument
from server.lot_documents import LotDocument
from tests.unit.spine import Bench
from tests.unit.test_lots_api import get, live, tell
from tests.unit.test_salt_checks import client

OAK = {"laid": "veneer", "species": "oak_white", "thickness_mm": 0.6}
LID: dict[str, Any] = {
    "kind": "received", "lot": "lids", "name": "Lids", "sheet": "mdf", "thickness_mm": 18.6, "pieces": 4,
    "width_mm": 500, "length_mm": 1100, "zone": "bench", "start": {"kind": "heated-store"},
    "aim": {"destination": "heated"}, "construction": {"top": [OAK], "bottom": [], "edges": "open"},
}  # fmt: skip


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    yield made
    await made.close()


async def received(bench: Bench) -> LineDocument:
    async with client(bench) as door:
        reply = await door.post("/api/lots/lids/advice/received", json={})
    assert reply.status_code == 200, reply.text
    return LineDocument.model_validate(reply.json())


async def test_a_lid_veneered_on_one_face_bends_until_the_other_is_veneered(bench: Bench) -> None:
    await tell(bench, "a", **LID)
    await live(bench, 0, 1)
    found = LotDocument.model_validate(await get(bench, "lots/lids"))
    assert found.construction is not None
    assert (found.construction.core_mm, found.construction.bottom, found.construction.edges) == (18.0, [], "open")
    line = await received(bench)
    assert line.word == "look"
    assert line.figures["settled_across_mm_low"] > 0 > line.figures["settled_along_mm_high"]
    assert "goes hollow" in str([said.text for said in line.said])
    done = await tell(bench, "b", kind="veneered", lot="lids", faces="bottom", species="oak_white", thickness_mm=0.6)
    assert done["lot"]["thickness_mm"] == pytest.approx(19.2)
    assert (await received(bench)).figures["alike"] is True
    await tell(bench, "c", kind="undone", entry="wall-0000000b")
    assert (await received(bench)).figures["alike"] is False
    kept = bench.spine.stockroom.shop
    bench.spine.stockroom.open()
    assert bench.spine.stockroom.shop.lots == kept.lots


@pytest.mark.parametrize(
    ("changed", "status", "field", "right"),
    [
        ({"construction": {"top": [{**OAK, "thickness_mm": 20}]}}, 409, "construction.top.0.thickness_mm", "18.3 mm"),
        ({"construction": {"top": [{**OAK, "species": "oak"}]}}, 409, "construction.top.0.species", "oak"),
        ({"construction": {"top": [{"laid": "paint", "cover": "gold"}]}}, 409, "construction.top.0.cover", "one of"),
        ({"sheet": "plywod"}, 409, "sheet", "plywood"),
        ({"sheet": None, "species": "oak_white"}, 409, "construction", "a sheet product in place of the species"),
        ({"construction": {"top": [{"laid": "veneer"}]}}, 422, "deed.construction.top.0", "species and thickness_mm"),
        ({"construction": {"top": "veneer"}}, 422, "deed.construction.top", "from the core outward"),
        ({"construction": {"core": "mdf"}}, 422, "deed.construction.core", "top, bottom, edges"),
    ],
)
async def test_what_cannot_be_names_field_found_and_right(
    bench: Bench, changed: dict[str, Any], status: int, field: str, right: str
) -> None:
    problem = ProblemDocument.model_validate(await tell(bench, "a", status=status, **{**LID, **changed}))
    assert problem.field == field
    assert problem.found
    assert right in problem.would_be_right
    assert bench.spine.stockroom.shop.lots == {}
