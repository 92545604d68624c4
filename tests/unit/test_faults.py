"""A bug in what works beside the engine costs neither the server nor the other lots, and is told: once in the log,
counted in the health document."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest

from server import lot_verdicts, neighbours, outlooks, upkeep
from server.advice.good_to_mill import GoodToMill
from server.advice.stop_now import StopNow
from server.api.closing_round import RoundDocument
from server.api.lots import LotInShop
from server.clock import ManualClock
from server.faults import Faults
from server.model.course import Course
from server.model.run import programs
from server.shop.standing import Standing
from server.upkeep import Upkeep
from tests.flow.conftest import until
from tests.unit.spine import DAY, START_MS, Bench, sample
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_unseen import weather


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    """Three lots of nine days."""
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await weather(made, 0, 0.1)
    for name in ("a", "b", "c"):
        await tell(made, name, **{**LOT, "lot": f"ash-{name}"})
    await weather(made, 0.1, 9.0)
    await made.spine.stockroom.catch_up()
    yield made
    await made.close()


@asynccontextmanager
async def running(work: Any) -> AsyncIterator[asyncio.Task[None]]:
    task = asyncio.create_task(work)
    yield task
    assert not task.done(), "it has ended"
    task.cancel()
    await asyncio.wait({task})


def test_the_same_fault_is_logged_once_and_counted(caplog: pytest.LogCaptureFixture) -> None:
    faults, clock = Faults(), ManualClock(START_MS)
    with caplog.at_level(logging.ERROR):
        for n, lot in enumerate(("a", "b", "c")):
            clock.advance(n)
            with faults.noted("verdicts", clock, lot):
                raise ZeroDivisionError(f"by {lot}")
        with faults.noted("verdicts", clock):
            raise KeyError("other")
    first, other = sorted(faults.all(), key=lambda one: -one.times)
    assert (first.times, first.about, first.what) == (3, "c", "ZeroDivisionError: by a")
    assert (first.first_ms, first.last_ms) == (START_MS, START_MS + 3000)
    assert first.where.startswith("unit/test_faults.py:")
    assert (other.times, other.what) == (1, "KeyError: 'other'")
    assert [record.getMessage()[:23] for record in caplog.records] == ["A bug of ours in verdic"] * 2
    assert "(a)" in caplog.text
    assert "Traceback" in caplog.text


@pytest.mark.parametrize(("question", "way"), [(GoodToMill, "answer"), (StopNow, "decisions")])
async def test_a_lot_that_cannot_be_worked_out_says_so_and_the_others_go_on(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, question: type, way: str
) -> None:
    """Also with the question that answers many lots at once."""
    whole = getattr(question, way)

    def broken(self: Any, asked: Any, *more: Any) -> Any:
        if any(view.lot.id == "ash-b" for view in (asked if isinstance(asked, Sequence) else [asked])):
            raise ZeroDivisionError("a bug")
        return whole(self, asked, *more)

    monkeypatch.setattr(question, way, broken)
    await bench.spine.lot_verdicts.catch_up()
    told = {one["id"]: LotInShop.model_validate(one).verdict for one in await get(bench, "lots")}
    assert told.keys() == {"ash-a", "ash-b", "ash-c"}
    failed = told.pop("ash-b")
    assert failed is not None
    assert failed.word == "look"
    assert (failed.title.key, failed.why.key) == ("lot-not-worked-out-title", "lot-not-worked-out")
    assert all(one is not None and one.title.key != "lot-not-worked-out-title" for one in told.values())
    asked = {one.lot: one for one in RoundDocument.model_validate(await get(bench, "round")).lots}
    assert (asked["ash-b"].verdict, asked["ash-b"].says) == (failed, [])
    assert asked["ash-a"].verdict == told["ash-a"]
    noted = {one.part: one.about for one in bench.spine.engine.faults.all()}
    assert noted == {"verdicts": "ash-b", "closing round": "ash-b"}


async def test_the_verdicts_task_outlives_a_bug_in_what_it_looks_at(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    verdicts, engine = bench.spine.lot_verdicts, bench.spine.engine
    with monkeypatch.context() as patch:
        patch.setattr(lot_verdicts.Basis, "of", _raises)
        async with running(verdicts.run()):
            await until(engine.faults.all, "the fault")
            assert verdicts.now.of == {}
            patch.undo()
            await tell(bench, "d", kind="confirmed", lot="ash-a")
            await until(lambda: len(verdicts.now.of) == 3, "all verdicts")


async def test_the_lots_task_outlives_a_bug_and_undoing_what_caused_it_cures(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    await bench.restart()
    room, whole = bench.spine.stockroom, Course.retold

    def broken(self: Course, told: Any, *more: Any) -> Course:
        if len(told["ash-a"]) > 2:
            raise IndexError("a bug")
        return whole(self, told, *more)

    monkeypatch.setattr(Course, "retold", broken)
    async with running(room.run()):
        await until(room._opened.is_set, "it is open")
        before = room.course
        await tell(bench, "d", kind="milled", lot="ash-a", take_top_mm=1, take_bottom_mm=1, t_h=30)
        await until(bench.spine.engine.faults.all, "the fault")
        assert set(room.course.programs["ash-a"]) == set(before.programs["ash-a"])
        await tell(bench, "e", kind="undone", entry="wall-0000000d")
        await until(lambda: room.course.programs == programs(room.shop), "it is cured")
    (fault,) = bench.spine.engine.faults.all()
    assert (fault.part, fault.what) == ("lots", "IndexError: a bug")


async def test_a_start_outlives_a_bug_in_the_journal_or_the_model(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = bench.spine.stockroom
    with monkeypatch.context() as patch:
        patch.setattr(Course, "_again", _raises)
        await room.opened()
        assert room.shop.lots.keys() == {"ash-a", "ash-b", "ash-c"}
        assert room.trouble == ""
    await room.catch_up()
    assert set(room.course.woods.names) == set(room.shop.lots)
    with monkeypatch.context() as patch:
        patch.setattr(Standing, "told", _raises)
        await room.opened()
    assert room.trouble == "a bug"
    assert [(one.part, one.times) for one in bench.spine.engine.faults.all()] == [("lots", 2)]


async def test_outlooks_neighbours_and_upkeep_outlive_a_bug(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other zone gets its outlook, and an old one is taken down."""
    engine, clock, whole = bench.spine.engine, bench.clock, outlooks.zone_outlook
    await bench.hear([sample(name, 9 * DAY + n) for n in range(2) for name in ("bench-1", "loft-1")])
    for zone in ("bench", "loft"):
        assert engine.present_air(zone, clock.now()) is not None
        engine.outlooks[zone] = ()

    def broken(history: Any, zone: str, *more: Any) -> Any:
        return _raises() if zone == "bench" else whole(history, zone, *more)

    monkeypatch.setattr(outlooks, "zone_outlook", broken)
    await outlooks.refresh(engine, clock, "UTC")
    assert engine.outlooks.keys() == {"loft"}
    assert engine.outlooks["loft"]
    seen = engine.neighbours
    monkeypatch.setattr(neighbours, "neighbours_of", _raises)
    await neighbours.refresh_neighbours(engine, clock)
    assert engine.neighbours is seen
    monkeypatch.setattr(upkeep, "LEAST_PAUSE_S", 0.0)
    monkeypatch.setattr(upkeep, "LOOK_S", 0.0)
    monkeypatch.setattr(Upkeep, "look", _raises)
    async with running(Upkeep.of(bench.config, tmp_path, engine).run()):
        await until(lambda: any(one.part == "upkeep" for one in engine.faults.all()), "upkeep's")
    assert {(one.part, one.about) for one in engine.faults.all()} == {
        ("outlooks", "bench"), ("neighbours", ""), ("upkeep", ""),
    }  # fmt: skip


def _raises(*_: Any, **__: Any) -> Any:
    raise ValueError("a bug")
