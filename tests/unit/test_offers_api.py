"""Offers told by hand and compared in the shop's air; species by name. On the real spine and record."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.api.offers import OfferDocument, SpeciesDocument
from server.api.problems import ProblemDocument
from server.book.base import ask
from server.book.catalog import QUESTIONS
from server.shop.offering import BOARD_FOOT_M3, Offered
from tests.unit.spine import Bench
from tests.unit.test_lots_api import get, live, tell
from tests.unit.test_salt_checks import client

CHERRY = {
    "kind": "offered", "offer": "cherry-4", "label": "Cherry 4/4", "species": "cherry_black", "quarters": 4,
    "width_mm": 152.4, "length_mm": 2438.4, "price_per_board_foot": 9.0,
}  # fmt: skip
THICK = {**CHERRY, "offer": "cherry-8", "label": "Cherry 8/4", "quarters": 8, "price_per_board_foot": 12, "resaw": True}


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    yield made
    await made.close()


async def asked(bench: Bench, body: dict[str, Any], status: int = 200) -> dict[str, Any]:
    async with client(bench) as door:
        reply = await door.post("/api/offers/compare", json=body)
    assert reply.status_code == status, reply.text
    found: dict[str, Any] = reply.json()
    return found


def test_a_board_foot_in_cubic_metres() -> None:
    """NIST SP 811 (2008), appendix B.8: 1 board foot = 2.359 737 E-03 m³."""
    assert pytest.approx(2.359737e-3, abs=5e-10) == BOARD_FOOT_M3
    metric = Offered.model_validate({**CHERRY, "price_per_board_foot": None, "price_per_m3": 9.0 / 2.359737e-3})
    assert metric.as_offer().price_per_bf == pytest.approx(9.0, rel=1e-6)


async def test_offers_are_told_priced_anew_compared_and_withdrawn(bench: Bench) -> None:
    """Against the bench book's own question with the same figures typed in."""
    await tell(bench, "a", **CHERRY)
    await tell(bench, "b", **{**CHERRY, "price_per_board_foot": 10.0})
    await tell(bench, "c", **THICK)
    held = [OfferDocument.model_validate(one) for one in await get(bench, "offers")]
    assert [(one.id, one.price_per_board_foot, one.board_feet, one.who) for one in held] == [
        ("cherry-4", 10.0, pytest.approx(4.0), "Ada"), ("cherry-8", 12.0, pytest.approx(8.0), "Ada")
    ]  # fmt: skip
    await live(bench, 0, 6)
    found = await asked(bench, {"need_mm": 20, "zone": "bench"})
    book = ask(QUESTIONS["price"], {
        "offer": ["Cherry 4/4,4,6,96,10", "Cherry 8/4,8,6,96,12,resaw"], "need_mm": 20, "species": "cherry_black",
        "temperature_c": 20.0, "humidity_pct": 45.0,
    }).document()  # fmt: skip
    assert [one["label"] for one in found["offers"]] == ["Cherry 4/4", "Cherry 8/4"]
    for mine, theirs in zip(found["offers"], book["offers"], strict=True):
        assert mine == {
            key: pytest.approx(value, rel=1e-3) if isinstance(value, float) else value for key, value in theirs.items()
        }
    assert found["caution"] == book["caution"]
    newest = await get(bench, "journal?limit=1")
    assert newest[0]["deed"]["kind"] == "offered"
    await tell(bench, "d", kind="offer-withdrawn", offer="cherry-8")
    assert [one["id"] for one in await get(bench, "offers")] == ["cherry-4"]
    await tell(bench, "e", kind="undone", entry="wall-0000000d")
    assert [one["id"] for one in await get(bench, "offers")] == ["cherry-4", "cherry-8"]


async def test_what_cannot_be_offered_or_compared(bench: Bench) -> None:
    wrong = (
        ({**CHERRY, "species": "chery"}, 409, "species"),
        ({**CHERRY, "grade": "best"}, 422, "deed"),
        ({**CHERRY, "price_per_m3": 4000}, 422, "deed"),
        ({**CHERRY, "price_per_board_foot": -1}, 422, "deed.price_per_board_foot"),
        ({**CHERRY, "length_mm": 2.4}, 422, "deed.length_mm"),
        ({"kind": "offer-withdrawn", "offer": "cherry-4"}, 409, "offer"),
    )
    for number, (deed, status, field) in enumerate(wrong):
        problem = ProblemDocument.model_validate(await tell(bench, f"w{number}", status=status, **deed))
        assert problem.field == field, problem
    await tell(bench, "a", **CHERRY)
    assert (await asked(bench, {"need_mm": 20}, 422))["field"] == "offers"
    assert (await asked(bench, {"need_mm": 20, "offers": ["oak"]}, 404))["would_be_right"] == "cherry-4"
    assert (await asked(bench, {"need_mm": 20, "zone": "moon"}, 404))["field"] == "zone"
    assert (await asked(bench, {"need_mm": -3}, 422))["field"] == "need_mm"


async def test_species_by_key_and_by_name(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "state")
    try:
        every = [SpeciesDocument.model_validate(one) for one in await species(bench)]
        assert len(every) > 150
        assert [one.key for one in every] == sorted(one.key for one in every)
        meant = await species(bench, "?named=black+chery")
        assert meant[0]["key"] == "cherry_black"
        assert await species(bench, "?named=zzzz") == []
    finally:
        await bench.close()


async def species(bench: Bench, query: str = "") -> Any:
    async with client(bench) as door:
        reply = await door.get(f"/api/species{query}")
    assert reply.status_code == 200, reply.text
    return reply.json()
