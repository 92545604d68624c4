"""Versions and waiting: another version only for another picture, nobody waits on another boot's."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest

from server.board import KEPT_RENDERINGS, Board
from tests.unit.spine import MINUTE, Bench, sample

SOON_S, LONG_S = 0.02, 10.0


@pytest.fixture
async def bench(tmp_path: Path):
    made = Bench(tmp_path)
    yield made
    await made.close()


async def test_before_the_first_view_there_is_nothing_to_show():
    board = Board("b0")
    assert (board.version, board.rendered("en", "metric")) == ("b0.0", None)
    await board.newer_than(None, SOON_S)
    await board.newer_than("other.3", SOON_S)


async def test_a_version_changes_only_when_the_document_does(bench: Bench):
    board, turn = bench.spine.engine.board, bench.spine.engine.turn
    await bench.hear([sample("bench-1", 1)])
    first = bench.document
    bench.clock.advance(1)
    await turn(())
    assert (board.version, bench.document) == (first.version, first)
    bench.until(MINUTE)
    await turn(())
    second = bench.document
    assert second.version == f"boot-1.{int(first.version.rpartition('.')[2]) + 1}"
    assert second.shop.now_text != first.shop.now_text
    alike = second.model_copy(update={"version": first.version, "now_ms": first.now_ms, "shop": first.shop})
    assert alike == first


async def test_who_waits_is_woken_by_the_next_picture_and_by_nothing_else(bench: Bench):
    board = bench.spine.engine.board
    await bench.hear([sample("bench-1", 1)])
    version = board.version
    waiting = asyncio.create_task(board.newer_than(version, LONG_S))
    bench.clock.advance(1)
    await bench.spine.engine.turn(())
    assert not waiting.done()
    await bench.hear([sample("bench-1", 11, 22.0)])
    await asyncio.wait_for(waiting, 1)
    assert board.version != version


async def test_a_wait_ends_by_itself(bench: Bench):
    board = bench.spine.engine.board
    await bench.spine.engine.turn(())
    await asyncio.wait_for(board.newer_than(board.version, SOON_S), 1)
    await asyncio.wait_for(board.newer_than(board.version, 0), 1)


@pytest.mark.parametrize("version", ["boot-0.1", "boot-1.999", "nonsense", None])
async def test_any_other_version_is_answered_at_once(bench: Bench, version: str | None):
    await bench.spine.engine.turn(())
    await asyncio.wait_for(bench.spine.engine.board.newer_than(version, LONG_S), 1)


async def test_the_first_view_wakes_a_client_that_came_before_it(bench: Bench):
    board = bench.spine.engine.board
    early = [asyncio.create_task(board.newer_than(version, LONG_S)) for version in (None, "boot-0.7")]
    await bench.spine.engine.turn(())
    await asyncio.wait_for(asyncio.gather(*early), 1)
    assert board.version == "boot-1.1"


async def test_stopping_answers_who_waits(bench: Bench):
    board = bench.spine.engine.board
    await bench.spine.engine.turn(())
    waiting = [asyncio.create_task(board.newer_than(board.version, LONG_S)) for _ in range(3)]
    await asyncio.sleep(0)
    await board.close()
    await asyncio.wait_for(asyncio.gather(*waiting), 1)


async def test_a_version_never_repeats_over_a_restart(bench: Bench):
    await bench.spine.engine.turn(())
    before = bench.document.version
    await bench.restart()
    assert before.split(".")[0] != bench.document.version.split(".")[0]


async def test_a_picture_is_made_once_for_each_language_and_units(bench: Bench):
    board = bench.spine.engine.board
    await bench.hear([sample("bench-1", 1)])
    assert board.rendered("en", "metric") is board.rendered("en", "metric")
    imperial = board.rendered("en", "imperial")
    assert imperial is board.rendered("en", "imperial")
    assert imperial is not None
    assert (imperial.units, imperial.version) == ("imperial", board.version)
    assert len(board._rendered) <= KEPT_RENDERINGS


async def test_a_picture_of_the_last_version_is_never_shown_under_a_new_one(bench: Bench):
    board = bench.spine.engine.board
    await bench.hear([sample("bench-1", 1)])
    before = board.rendered("en", "imperial")
    assert board.view is not None
    await board.publish(replace(board.view, shop="Another name"))
    after = board.rendered("en", "imperial")
    assert before is not None
    assert after is not None
    assert (after.shop.name, after.version) == ("Another name", board.version)
    assert after.version != before.version
