"""A glue-up asked through the API, on the real spine and record."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.advice.glue_up.documents import GlueUpDocument
from server.api.problems import ProblemDocument
from server.shop.gluing import Against
from tests.unit.spine import HOUR, Bench, sample
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_salt_checks import client

BOARDS = {**LOT, "lot": "boards", "name": "Boards", "start": {"kind": "metered", "mc_pct": 8.2}, "quarters": 4}
ASKED: dict[str, Any] = {
    "boards": [{"lot": "boards", "pieces": 5}], "adhesive": "pva", "clamp_h": 3, "aim": {"destination": "heated"},
    "zone": "bench",
}  # fmt: skip


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    yield made
    await made.close()


async def lived(bench: Bench, hours: float, *, warm: float = 20.0, loft: float = 16.0) -> None:
    """Both zones' sensors through some hours, and the lots with them."""
    minutes = range(0, round(hours * 60), 10)
    said = [("bench-1", warm), ("bench-2", warm), ("loft-1", loft)]
    await bench.hear([sample(name, 60.0 * m, c) for m in minutes for name, c in said])
    await bench.spine.stockroom.catch_up()


async def ask(bench: Bench, status: int = 200, **more: Any) -> Any:
    async with client(bench) as door:
        reply = await door.post("/api/glueup", json={**ASKED, **more})
    assert reply.status_code == status, reply.text
    return reply.json()


async def refused(bench: Bench, status: int, **more: Any) -> ProblemDocument:
    return ProblemDocument.model_validate(await ask(bench, status, **more))


def lines_of(found: GlueUpDocument) -> dict[str, Any]:
    return {line.question: line for line in found.lines}


async def test_a_glue_up_is_asked(bench: Bench) -> None:
    """One verdict with its questions, in the catalogue's order; what is against it goes into an entry as it is."""
    await tell(bench, "a", **BOARDS)
    await lived(bench, 30)
    found = GlueUpDocument.model_validate(await ask(bench))
    lines = lines_of(found)
    assert list(lines) == [question["name"] for question in await get(bench, "glueup/questions")]
    assert (found.word, found.title.key, lines["faces-fresh"].word) == ("look", "glue-fresh-title", "look")
    assert [one.question for one in found.against] == ["faces-fresh"]
    (against,) = found.against
    assert Against.model_validate(against.model_dump()).said == "glue-fresh-never"
    assert against.values == {"names": "Boards"}
    assert (found.strips, found.width_mm, found.thickness_mm) == (5, 600.0, 25.4)
    await tell(bench, "b", t_h=29, kind="milled", lot="boards", take_top_mm=1, take_bottom_mm=1)
    await bench.spine.stockroom.catch_up()
    ready = GlueUpDocument.model_validate(await ask(bench))
    assert (ready.word, ready.title.text, ready.when, ready.against) == ("ready", "Ready to glue", None, [])
    assert lines_of(ready)["warm-enough"].caution is not None
    assert "maker's sheet comes first" in lines_of(ready)["warm-enough"].caution.text
    inches = GlueUpDocument.model_validate(await ask(bench, width_mm=450))
    assert (inches.strips, inches.width_mm) == (4, 450.0)


async def test_gluing_against_the_advice_keeps_the_reasons(bench: Bench) -> None:
    """What the answer says against it goes into the entry ``glued`` word for word."""
    await tell(bench, "a", **BOARDS)
    await lived(bench, 4)
    found = GlueUpDocument.model_validate(await ask(bench, aim={"dry_limit_pct": 10, "damp_limit_pct": 12}))
    assert found.word != "ready"
    kept = [one.model_dump() for one in found.against]
    assert {one["question"] for one in kept} >= {"boards-in-aim", "faces-fresh"}
    await tell(
        bench, "b", kind="glued", lot="top", name="Top", boards=ASKED["boards"], width_mm=600, length_mm=1000,
        adhesive="pva", clamp_h=3, zone="bench", aim={"dry_limit_pct": 10, "damp_limit_pct": 12}, against=kept,
    )  # fmt: skip
    (entry,) = [e for e in await get(bench, "journal?lot=top") if e["deed"]["kind"] == "glued"]
    assert entry["deed"]["against"] == kept


async def test_when_it_will_be_and_what_brings_it_soonest(bench: Bench) -> None:
    """Boards out of a cold loft: the wood is cold, then it is not; too damp ones wait, with the ways set beside."""
    await tell(bench, "a", **{**BOARDS, "zone": "loft"})
    await tell(bench, "b", **{**BOARDS, "lot": "damp", "name": "Damp", "start": {"kind": "metered", "mc_pct": 11.0}})
    await lived(bench, 30, loft=4.0)
    await tell(bench, "c", t_h=29.5, kind="milled", lot="boards", take_top_mm=1, take_bottom_mm=1)
    await bench.spine.stockroom.catch_up()
    cold = GlueUpDocument.model_validate(await ask(bench))
    assert (cold.word, cold.title.text) == ("act", "Warm the wood first")
    assert "Bring Boards into the bench room" in cold.why.text
    assert cold.when is not None
    assert cold.when.ready_ms is not None
    assert 0 < cold.when.ready_ms - cold.at_ms < 3 * HOUR * 1000
    damp = GlueUpDocument.model_validate(await ask(bench, boards=[{"lot": "damp", "pieces": 5}]))
    assert damp.when is not None
    assert damp.word == ("look" if damp.when.not_this_season else "wait")
    days = damp.when.days
    assert (days["days"] is None) == damp.when.not_this_season
    for way in damp.when.sooner:
        assert way.saves_days is None or way.saves_days > 0
        assert way.said.text


async def test_a_board_is_held_as_its_lot_is(bench: Bench) -> None:
    """Moisture and days of a lot in its own advice and in a glue-up for the same aim, though that runs all boards of
    all zones in one batch and ends with the season."""
    await tell(bench, "a", **{**BOARDS, "start": {"kind": "metered", "mc_pct": 10.4}})
    await tell(bench, "b", **{**BOARDS, "lot": "other", "zone": "loft", "start": {"kind": "metered", "mc_pct": 10.9}})
    await lived(bench, 30)
    both = [{"lot": "boards", "pieces": 2}, {"lot": "other", "pieces": 2}]
    aim = lines_of(GlueUpDocument.model_validate(await ask(bench, boards=both)))["boards-in-aim"].figures
    alone = []
    for n, lot in enumerate(("boards", "other")):
        (mill,) = [
            line for line in (await get(bench, f"lots/{lot}/advice"))["lines"] if line["question"] == "good-to-mill"
        ]
        own = mill["figures"]
        for key in ("mean_pct", "mean_pct_low", "mean_pct_high"):
            assert aim["boards"][n][key] == pytest.approx(own[key], abs=1e-9)
        alone.append(own["good_to_mill_days"] or float("inf"))
    assert (aim["good_days"] or float("inf")) == pytest.approx(max(alone), rel=0.02)
    assert max(alone) > 0


async def test_what_cannot_be_glued_so_is_refused(bench: Bench) -> None:
    await tell(bench, "a", **BOARDS)
    await tell(bench, "b", **{**BOARDS, "lot": "thick", "quarters": 8})
    await tell(bench, "c", **{**BOARDS, "lot": "oak", "species": "oak_white"})
    await tell(bench, "d", **{**BOARDS, "lot": "sheet", "species": None, "sheet": "particleboard"})
    await tell(bench, "e", **{**BOARDS, "lot": "sold"})
    await lived(bench, 2)
    await tell(bench, "f", kind="delivered", lot="sold")
    one = {"lot": "boards", "pieces": 2}
    for status, field, more in (
        (409, "boards.1.lot", {"boards": [one, one]}),
        (409, "boards.0.lot", {"boards": [{"lot": "sold", "pieces": 1}]}),
        (422, "boards", {"boards": []}),
        (404, "boards.0.lot", {"boards": [{"lot": "nothing", "pieces": 1}]}),
        (409, "boards.0.pieces", {"boards": [{"lot": "boards", "pieces": 9}]}),
        (409, "boards.1.lot", {"boards": [one, {"lot": "thick", "pieces": 1}]}),
        (409, "boards.1.lot", {"boards": [one, {"lot": "oak", "pieces": 1}]}),
        (409, "boards.0.lot", {"boards": [{"lot": "sheet", "pieces": 1}]}),
        (422, "boards", {"boards": [{"lot": "boards", "pieces": 1}]}),
        (422, "clamp_h", {"clamp_h": 0}),
        (422, "clamp_h", {"clamp_h": 8760}),
        (404, "adhesive", {"adhesive": "porridge"}),
        (422, "adhesive", {"adhesive": None}),
        (404, "zone", {"zone": "attic"}),
        (404, "shelf", {"shelf": "attic"}),
        (404, "aim.destination", {"aim": {"destination": "moon"}}),
        (422, "aim", {"aim": {}}),
        (409, "thickness_mm", {"thickness_mm": 30}),
        (422, "width_mm", {"width_mm": 5000}),
        (422, "ring_radius_mm", {"ring_radius_mm": 0}),
    ):
        problem = await refused(bench, status, **more)
        assert problem.field.startswith(field) or field in problem.would_be_right, (more, problem)
        assert problem.found, more
        assert problem.would_be_right, more


async def test_a_room_that_nobody_heard_has_no_air(bench: Bench) -> None:
    """Nothing has come in yet: an answer all the same, with no figure of that air."""
    await tell(bench, "a", **BOARDS)
    found = GlueUpDocument.model_validate(await ask(bench, zone="loft"))
    lines = lines_of(found)
    assert [lines[name].word for name in ("warm-enough", "air-holds")] == ["look", "look"]
    assert lines["warm-enough"].figures["air_c"] is None
    assert lines["room-against-boards"].figures["apart_pct"] is None
