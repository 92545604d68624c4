"""Rooms and shelves kept fresh: with each half hour that closes, beside the loop; outdoors is held against no aim."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from server.room import keeper
from server.room.keeper import RoomKeeper
from tests.unit.room.rooms_for_tests import YARD, with_rooms
from tests.unit.spine import HOUR, MINUTE, Bench, sample

YARD_SENSOR = """
[[sensor]]
id = "yard-1"
source = "mq"
device = "yard-1"
zone = "yard"
"""


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state", with_rooms("iron = true\nshelf = true", yard=YARD + YARD_SENSOR))
    yield made
    await made.close()


def kept(bench: Bench) -> RoomKeeper:
    return RoomKeeper(bench.spine.engine, lambda: bench.spine.frame.config, bench.clock)


async def hear(bench: Bench, from_h: float, to_h: float) -> None:
    said = []
    for n in range(round(from_h * 12), round(to_h * 12)):
        t_s = 300.0 * n
        said += [sample("bench-1", t_s + 1, 20.0, 40.0), sample("yard-1", t_s + 2, -5.0, 80.0)]
    await bench.hear(said, 24)


async def test_views_come_with_each_half_hour_and_only_then(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    rooms, engine = kept(bench), bench.spine.engine
    await hear(bench, 0, 7.2)
    await rooms.refresh()
    (one,) = engine.rooms.rooms
    assert one.zone == "bench"
    assert (one.outdoor_c, one.metal_c) == (pytest.approx(-5.0), pytest.approx(20.0))
    assert engine.rooms.shelves[0].subject == "bench"
    before = engine.rooms
    await rooms.refresh()
    assert engine.rooms is before
    await hear(bench, 7.2, 7.8)
    await rooms.refresh()
    assert engine.rooms.rooms[0].at_ms == before.rooms[0].at_ms + HOUR * 500

    def broken(*_: object) -> None:
        raise RuntimeError("a bug")

    monkeypatch.setattr(keeper, "room_views", broken)
    await hear(bench, 7.8, 8.2)
    await rooms.refresh()
    assert [fault.part for fault in engine.faults.all()] == ["rooms"]
    assert engine.rooms.rooms[0].zone == "bench", "what there was stands, and soon says nothing of now"


async def test_outdoors_is_held_against_no_aim(bench: Bench) -> None:
    """Air of 80 % at -5 °C draws wood to 16 %: no room of ours is that damp, and nobody can do anything about it."""
    await kept(bench).refresh()
    await hear(bench, 0, 2)
    assert [zone.zone for zone in bench.spine.engine.rule_view(bench.clock.now()).zones] == ["bench", "loft"]
    assert not [a for a in bench.spine.engine.book.alerts if a.subject == "yard"]
    assert bench.document.band.zone != "yard"
    assert [zone.id for zone in bench.document.zones] == ["bench", "loft", "yard"]


async def test_nights_are_learnt_from_once_a_day(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    rooms, asked = kept(bench), []
    real = keeper.learn_room
    monkeypatch.setattr(keeper, "learn_room", lambda *given: asked.append(given[1]) or real(*given))
    await rooms.learn()
    assert asked == ["bench", "loft"]
    assert rooms.learnt["bench"].why_not == "few-nights"
    await rooms.learn()
    assert len(asked) == 2
    bench.until(24 * HOUR + MINUTE)
    await rooms.learn()
    assert len(asked) == 4
