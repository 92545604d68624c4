"""The verdict of every lot: the same as its advice, the worst first, hung beside the loop and waited for by version."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.advice import asking
from server.advice.asking import Advice
from server.advice.basis import unlike
from server.advice.view import Seeing
from server.api.lots import LotInShop, VerdictsDocument
from server.lot_verdicts import Verdicts
from server.model.woods import Woods
from server.reading import OutlookPoint
from server.shop.destinations import numbers_aim
from server.wood.belief import Belief
from server.wood.stock import Stock
from server.words import Sentence, Telling
from tests.unit.spine import HOUR, Bench
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_unseen import weather

STARTS: tuple[dict[str, Any], ...] = (
    {"lot": "dry", "start": {"kind": "metered", "mc_pct": 5.0}},
    {"lot": "even", "start": {"kind": "metered", "mc_pct": 7.0}, "lying": "wrapped"},
    {"lot": "damp", "start": {"kind": "metered", "mc_pct": 13.0}, "zone": "loft"},
    {"lot": "sheet", "species": None, "sheet": "particleboard"},
)


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await weather(made, 0, 0.1)
    for name, more in zip("abcd", STARTS, strict=True):
        await tell(made, name, **{**LOT, **more})
    await weather(made, 0.1, 12.0)
    await made.spine.lot_verdicts.catch_up()
    yield made
    await made.close()


async def test_each_verdict_is_that_of_the_lots_own_advice(bench: Bench) -> None:
    found = [LotInShop.model_validate(one) for one in await get(bench, "lots?order=worst")]
    assert sorted(one.id for one in found) == ["damp", "dry", "even", "sheet"]
    for one in found:
        advice = await get(bench, f"lots/{one.id}/advice")
        assert one.verdict is not None
        assert one.verdict.model_dump() == {key: advice[key] for key in one.verdict.model_dump()}
    ranks = ["act", "look", "wait", "ready"]
    places = [ranks.index(one.verdict.word) for one in found if one.verdict]
    assert places == sorted(places)
    assert [one["id"] for one in await get(bench, "lots")] == ["damp", "dry", "even", "sheet"]


async def test_lots_come_by_the_page_and_without_profiles(bench: Bench) -> None:
    for order in ("id", "worst"):
        whole = await get(bench, f"lots?order={order}")
        pages = [await get(bench, f"lots?order={order}&skip={n}&limit=3") for n in (0, 3, 6)]
        assert [len(page) for page in pages] == [3, 1, 0]
        assert [*pages[0], *pages[1]] == whole
    bare = await get(bench, "lots?profiles=false")
    assert [one["moisture"]["profile_pct"] for one in bare if one["moisture"]] == [[], [], []]
    assert [one["verdict"] for one in bare] == [one["verdict"] for one in await get(bench, "lots")]
    assert (await get(bench, "lots?limit=0", 422))["field"].endswith("limit")


async def test_it_is_worked_out_again_only_where_something_is_another(bench: Bench) -> None:
    verdicts = bench.spine.lot_verdicts
    before, version = verdicts.now, verdicts.version
    await verdicts.catch_up()
    assert verdicts.now is before
    await tell(bench, "e", kind="confirmed", lot="even")
    await verdicts.catch_up()
    assert verdicts.now is not before
    assert verdicts.version != version
    assert verdicts.now.of["even"].advice.if_still is None


async def test_a_client_waits_for_the_next_version(bench: Bench) -> None:
    first = VerdictsDocument.model_validate(await get(bench, "verdicts"))
    assert {one.lot for one in first.lots} == {"damp", "dry", "even", "sheet"}
    task = asyncio.create_task(bench.spine.lot_verdicts.run())
    waiting = asyncio.create_task(get(bench, f"verdicts?after={first.version}&wait_s=20"))
    await tell(bench, "e", kind="delivered", lot="dry")
    second = VerdictsDocument.model_validate(await waiting)
    assert second.version != first.version
    assert "dry" not in {one.lot for one in second.lots}
    assert (await get(bench, "verdicts?after=other.7&wait_s=20"))["version"] == second.version
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


async def test_after_a_start_they_hang_as_soon_as_the_journal_is_open(bench: Bench) -> None:
    """They had looked before, and would have looked again a minute later."""
    await bench.restart()
    verdicts = bench.spine.lot_verdicts
    first = verdicts.version
    async with asyncio.TaskGroup() as group:
        running = group.create_task(verdicts.run())
        while not verdicts._rests_on:  # noqa: ASYNC110 - a look tells nobody
            await asyncio.sleep(0)
        await bench.spine.stockroom.opened()
        await asyncio.wait_for(verdicts.newer_than(first, 60), 20)
        running.cancel()
    assert verdicts.now.of.keys() == {"damp", "dry", "even", "sheet"}


async def test_a_destination_that_went_takes_no_other_lots_verdict_with_it(bench: Bench) -> None:
    """A lot that left may leave its destination behind; one in the shop whose destination the file lost is named."""
    aims = {"walls": numbers_aim(9.0, 14.0), "heated": numbers_aim(6.0, 8.0)}
    stockroom, verdicts = bench.spine.stockroom, bench.spine.lot_verdicts
    stockroom.destinations = lambda: aims
    await tell(bench, "f", **{**LOT, "lot": "went", "aim": {"destination": "walls"}})
    await tell(bench, "g", **{**LOT, "lot": "stays", "aim": {"destination": "walls"}})
    await tell(bench, "h", kind="delivered", lot="went")
    del aims["walls"]
    await verdicts.catch_up()
    assert {"damp", "dry", "even"} <= verdicts.now.of.keys()
    assert "stays" not in verdicts.now.of
    assert {one["id"]: one["aim_low_pct"] for one in await get(bench, "lots")}["stays"] is None
    await get(bench, "lots/dry/advice")
    assert (await get(bench, "lots/stays/advice", 409))["field"] == "aim.destination"
    asked = (await get(bench, "round"))["lots"]
    assert [one["verdict"] for one in asked if one["lot"] == "stays"] in ([], [None])


DEEDS: tuple[tuple[dict[str, Any], set[str]], ...] = (
    ({"kind": "confirmed", "lot": "even"}, {"even"}),
    ({"kind": "milled", "lot": "dry", "take_top_mm": 2, "take_bottom_mm": 1}, {"dry"}),
    ({"kind": "one-face", "lot": "dry"}, {"dry"}),
    ({"kind": "split", "lot": "damp", "pieces": 3, "into": "half", "name": "Half"}, {"damp", "half"}),
    ({"kind": "metered", "lot": "half", "reading_pct": 12.0}, {"half"}),
    ({"kind": "moved", "lot": "half", "zone": "bench"}, {"half"}),
    ({"kind": "wrapped", "lot": "damp"}, {"damp"}),
    ({"kind": "used-up", "lot": "half"}, set()),
)


async def test_only_what_was_told_something_is_worked_out_and_all_verdicts_are_right(bench: Bench) -> None:
    """After each deed, a new outlook and a half hour: as if all had been asked just then."""
    verdicts, stockroom = bench.spine.lot_verdicts, bench.spine.stockroom
    for number, (deed, touched) in enumerate(DEEDS):
        before = verdicts.worked_out
        await tell(bench, f"w{number}", **deed)
        await verdicts.catch_up()
        assert verdicts.worked_out - before == len(touched), deed
        assert _known(verdicts.now) == _anew(bench), deed
    before = verdicts.worked_out
    points = (OutlookPoint(stockroom.course.at_ms + 3 * HOUR * 1000, 5.0, 4.0, 6.0),)
    bench.spine.engine.outlooks["loft"] = points
    await verdicts.catch_up()
    assert verdicts.worked_out - before == 1, "damp lies in the loft"
    assert _known(verdicts.now) == _anew(bench)
    await weather(bench, 12.0, 13.0)
    await stockroom.catch_up()
    before = verdicts.worked_out
    await verdicts.catch_up()
    assert verdicts.worked_out - before == 4
    assert _known(verdicts.now) == _anew(bench)
    assert verdicts.now.at_ms == stockroom.course.at_ms


def _known(found: Verdicts) -> dict[str, object]:
    return {name: _rounded(one.advice) for name, one in found.of.items()}


def _anew(bench: Bench) -> dict[str, object]:
    """Every lot asked, by what is held now."""
    engine, stockroom = bench.spine.engine, bench.spine.stockroom
    telling = Telling(engine.clock.now().wall_ms, stockroom.timezone, engine.zone_names)
    views = list(Seeing.of(stockroom, engine.outlooks, telling).views([
        lot for lot in stockroom.shop.lots.values() if not lot.ended
    ]))  # fmt: skip
    return {view.lot.id: _rounded(one) for view, one in zip(views, asking.verdicts(views), strict=True)}


def _rounded(advice: Advice) -> tuple[object, ...]:
    """To 1e-9: the sums of another batch are added up otherwise."""

    def one(sentence: Sentence | None) -> object:
        values = {} if sentence is None else sentence.values
        return sentence and sentence.key, {k: round(v, 9) if isinstance(v, float) else v for k, v in values.items()}

    return advice.word, advice.lean, one(advice.title), one(advice.why), one(advice.if_still)


def test_a_shop_without_lots_is_like_any_other_without() -> None:
    empty = Woods((), (), Stock.none(), Belief.none())
    assert unlike(empty, Woods((), (), Stock.none(), Belief.none())) == set()
