"""A zone tonight through the door: on the real spine and record, with lots, a yard and what is refused."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.room.learning import Learnt
from tests.unit.api.walls import Wall
from tests.unit.room.nights_for_tests import LEAK
from tests.unit.room.rooms_for_tests import YARD, with_rooms
from tests.unit.room.test_keeper import YARD_SENSOR
from tests.unit.spine import HOUR, sample
from tests.unit.test_lots_api import LOT

ROOM = """volume_m3 = 150
glazing = "double"
extractor_m3_per_h = 900
extractor_hours = { tue = "17:00-19:00" }
propane_kg_per_day = 1.0
"""
NAMES = ["tonight", "heat", "water", "extractor", "stock", "leakiness", "gas"]


@pytest.fixture
async def wall(tmp_path: Path) -> AsyncIterator[Wall]:
    made = await Wall(tmp_path / "state", with_rooms(ROOM, yard=YARD + YARD_SENSOR)).open()
    await air(made)
    yield made
    await made.bench.close()


async def air(wall: Wall, hours: float = 6.0, *, yard: bool = True) -> None:
    said = []
    for n in range(round(hours * 12)):
        said.append(sample("bench-1", 300.0 * n + 1, 19.0, 34.0))
        if yard:
            said.append(sample("yard-1", 300.0 * n + 2, -5.0, 80.0))
    await wall.bench.hear(said, 24)
    await wall.rooms.room_keeper.refresh()


def lines(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {line["question"]: line for line in document["lines"]}


async def test_all_that_holds_a_room_tonight(wall: Wall) -> None:
    reply = await wall.ask("POST", "journal", {"id": "wall-0000000a", "who": "Ada", "deed": LOT})
    assert reply.status_code == 200, reply.text
    wall.rooms.room_keeper.learnt["bench"] = Learnt(LEAK, nights=41, usual_per_h=0.05)
    found = await wall.get("zones/bench/tonight")
    assert (found["zone"], found["side"], found["hold_pct"]) == ("bench", "dry", 6.5)
    hours = (found["to_ms"] - found["from_ms"]) / (1000 * HOUR)
    assert hours == pytest.approx(12.0, abs=0.1), "19:00 to 7:00 in Oslo"
    told = lines(found)
    assert list(told) == NAMES
    assert told["stock"]["figures"]["lots_count"] == 1
    assert told["leakiness"]["figures"]["nights_count"] == 41
    water = told["water"]["figures"]
    assert water["water_kg_low"] <= water["water_kg"] <= water["water_kg_high"]
    assert told["extractor"]["figures"]["extractor_h"] == pytest.approx(0.08, abs=0.01), "its last five minutes"
    assert told["water"]["caution"]["key"] == "book-caution-water"
    assert told["gas"]["caution"]["key"] == "room-caution-gas"
    other = await wall.get("zones/bench/tonight?hold_pct=9.5&units=imperial")
    assert (other["hold_pct"], other["side"]) == (9.5, "dry")
    assert lines(other)["water"]["flags"] == ["glass-would-run"]
    assert "°F" in lines(other)["heat"]["said"][0]["text"]


async def test_a_room_that_was_told_nothing_of_says_what_it_wants(wall: Wall) -> None:
    wall.bench.config = with_rooms("", yard="")
    await wall.again()
    await wall.bench.hear([sample("bench-1", 6 * HOUR + 300.0 * n, 19.0, 34.0) for n in range(3)])
    told = lines(await wall.get("zones/bench/tonight"))
    assert list(told) == ["tonight", "heat", "water", "stock", "leakiness"]
    assert told["water"]["flags"] == ["no-volume"]
    assert told["heat"]["figures"]["set_c"] is not None


async def test_learning_is_told_once_it_was_done(wall: Wall) -> None:
    assert lines(await wall.get("zones/bench/tonight"))["leakiness"]["flags"] == ["not-yet"]
    await wall.rooms.room_keeper.learn()
    found = lines(await wall.get("zones/bench/tonight"))
    assert found["leakiness"]["flags"] == ["few-nights"]
    assert found["water"]["flags"] == ["no-leakiness"]


@pytest.mark.parametrize(
    ("path", "status", "field", "says"),
    [
        ("zones/cellar/tonight", 404, "zone", "one of bench, loft"),
        ("zones/yard/tonight", 409, "zone", "one of bench, loft"),
        ("zones/loft/tonight", 409, "zone", "a zone that is heard now"),
        ("zones/bench/tonight?hold_pct=40", 422, "hold_pct", "less than or equal to 25"),
        ("zones/bench/tonight?hold_pct=nan", 422, "hold_pct", "a finite number"),
        ("zones/bench/tonight?units=feet", 422, "units", "'metric' or 'imperial'"),
    ],
)
async def test_what_is_refused(wall: Wall, path: str, status: int, field: str, says: str) -> None:
    reply = await wall.ask("GET", path)
    assert reply.status_code == status
    assert reply.headers["content-type"] == "application/problem+json"
    assert reply.json()["field"] == field
    assert says in reply.json()["would_be_right"]


async def test_a_room_made_at_the_wall_says_what_it_is(wall: Wall) -> None:
    await wall.do("POST", "zones", zone={"id": "attic", "name": "Attic", "destination": "heated", "volume_m3": 60})
    await wall.do("PUT", "zones/attic", zone={"glazing": "none", "shelf": True})
    attic = next(z for z in wall.rooms.maker.config.zones if z.id == "attic")
    assert (attic.volume_m3, attic.glazing, attic.shelf) == (60, "none", True)
    problem = await wall.refused("PUT", "zones/attic", 422, zone={"volume_m3": -1})
    assert (problem.field, problem.found) == ("zone.volume_m3", "-1")
    problem = await wall.refused("PUT", "zones/attic", 422, zone={"outdoors": True, "volume_m3": None})
    assert "yard" in problem.found
