"""The closing round through the API: which lots are open, one answer each, all or nothing, twice is once."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.api.closing_round import RoundDocument
from server.api.problems import ProblemDocument
from tests.unit.spine import DAY, START_MS, Bench
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_salt_checks import client
from tests.unit.test_unseen import weather


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    """Three lots of nine days ago, one confirmed and wrapped, and one that came in today."""
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await weather(made, 0, 0.1)
    for name in ("a", "b", "c"):
        await tell(made, name, **{**LOT, "lot": f"ash-{name}", "start": {"kind": "metered", "mc_pct": 8.0}})
    await tell(made, "d", kind="wrapped", lot="ash-a")
    await weather(made, 0.1, 9.0)
    await tell(made, "e", kind="confirmed", lot="ash-b")
    await tell(made, "f", **{**LOT, "lot": "ash-new"})
    made.until(9.001 * DAY)
    await made.spine.stockroom.catch_up()
    yield made
    await made.close()


async def post(bench: Bench, *answers: dict[str, Any], status: int = 200, **more: Any) -> Any:
    body = {"id": "round-0001", "who": "Ada", "answers": list(answers), **more}
    async with client(bench) as door:
        reply = await door.post("/api/round", json=body)
    assert reply.status_code == status, reply.text
    return reply.json()


def as_it_was(lot: str) -> dict[str, Any]:
    return {"lot": lot, "said": "as-it-was"}


async def test_the_open_lots_say_why_they_are_and_what_is_known_of_them(bench: Bench) -> None:
    found = RoundDocument.model_validate(await get(bench, "round"))
    assert [(one.lot, one.why) for one in found.lots] == [
        ("ash-a", "unconfirmed"), ("ash-c", "unconfirmed"), ("ash-new", "touched"),
    ]  # fmt: skip
    wrapped = found.lots[0]
    assert (wrapped.lying, wrapped.zone, wrapped.confirmed_by) == ("wrapped", "bench", "Ada")
    said = " ".join(one.text for one in wrapped.says)
    assert "wrapped in the bench room since" in said
    assert "since then it may lie otherwise" in said
    advice = await get(bench, "lots/ash-a/advice")
    assert wrapped.verdict.model_dump() == {k: advice[k] for k in ("at_ms", "word", "lean", "title", "why", "if_still")}
    await tell(bench, "g", kind="milled", lot="ash-b", take_top_mm=1, take_bottom_mm=1)
    await tell(bench, "h", kind="one-face", lot="ash-new")
    why = {one["lot"]: one["why"] for one in (await get(bench, "round"))["lots"]}
    assert (why["ash-b"], why["ash-new"]) == ("milled", "one-face")


async def test_one_answer_each_and_twice_is_once(bench: Bench) -> None:
    answers = (
        {"lot": "ash-a", "said": "opened", "t_ms": START_MS + 8 * DAY * 1000}, as_it_was("ash-c"),
        {"lot": "ash-new", "said": "moved", "zone": "loft", "lying": "dead-stacked"},
    )  # fmt: skip
    done = await post(bench, *answers)
    assert (done["done"], done["repeated"], len(done["entries"])) == (True, False, 3)
    lots = {lot["id"]: lot for lot in await get(bench, "lots")}
    assert (lots["ash-a"]["lying"], lots["ash-a"]["lies_so_since_ms"]) == ("stickered", START_MS + 8 * DAY * 1000)
    assert (lots["ash-new"]["zone"], lots["ash-new"]["lying"]) == ("loft", "dead-stacked")
    assert {e["id"] for e in await get(bench, "journal")} >= set(done["entries"])
    bench.until(9.01 * DAY)
    again = await post(bench, *answers)
    assert (again["repeated"], again["entries"]) == (True, done["entries"])
    assert len(await get(bench, "journal?lot=ash-c")) == 2
    for other in ((*answers[:2], as_it_was("ash-new")), answers[:2], (*answers, as_it_was("ash-b"))):
        problem = ProblemDocument.model_validate(await post(bench, *other, status=409))
        assert (problem.field, problem.found) == ("id", "'round-0001'")
    assert [one["lot"] for one in (await get(bench, "round"))["lots"]] == ["ash-new"]


@pytest.mark.parametrize(
    ("wrong", "status", "field", "right"),
    [
        ({"lot": "oak-9", "said": "as-it-was"}, 409, "answers.1.lot", "a lot that is in the shop"),
        ({"lot": "ash-a", "said": "as-it-was"}, 409, "answers.1.lot", "one answer for each lot"),
        ({"lot": "ash-c", "said": "moved", "zone": "attic"}, 409, "answers.1.zone", "one of bench, loft"),
        ({"lot": "ash-c", "said": "moved"}, 409, "answers.1.zone", "where it was moved to"),
        ({"lot": "ash-c", "said": "opened"}, 409, "answers.1.said", "as-it-was or moved"),
        ({"lot": "ash-c", "said": "as-it-was", "lying": "wrapped"}, 409, "answers.1.said", "moved"),
        (
            {"lot": "ash-c", "said": "as-it-was", "t_ms": 1_700_000_000_000},
            409,
            "answers.1.lot",
            "a lot received before",
        ),
        ({"lot": "ash-c", "said": "gone"}, 422, "answers.1.said", "as-it-was"),
        ({"lot": "ash-c", "said": "as-it-was", "t_ms": 4_000_000_000_000}, 409, "answers.1.t_ms", "has come"),
    ],
)
async def test_a_wrong_answer_is_named_and_nothing_is_written(
    bench: Bench, wrong: dict[str, Any], status: int, field: str, right: str
) -> None:
    before = await get(bench, "journal")
    problem = ProblemDocument.model_validate(await post(bench, as_it_was("ash-a"), wrong, status=status))
    assert problem.field == field
    assert right in problem.would_be_right
    assert await get(bench, "journal") == before


async def test_a_lot_that_was_not_seen_gets_no_entry(bench: Bench) -> None:
    done = await post(bench, {"lot": "ash-a", "said": "not-seen"}, as_it_was("ash-c"))
    assert len(done["entries"]) == 1
    assert "ash-a" in [one["lot"] for one in (await get(bench, "round"))["lots"]]
