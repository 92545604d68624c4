"""Zones, destinations and settings through the API: at once, after a restart, in the journal, and what is refused."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from server.config import ConfigError, RemoteTable
from server.reading import Aim
from tests.flow.conftest import read_config
from tests.unit.api.walls import Wall
from tests.unit.spine import CONFIG, START_MS, config
from tests.unit.test_lots_api import LOT

PORCH = {"id": "porch", "name": "an unheated porch", "dry_limit_pct": 9, "damp_limit_pct": 14}
ATTIC = {"id": "attic", "name": "Attic", "destination": "heated"}


@pytest.fixture
async def wall(tmp_path: Path) -> AsyncIterator[Wall]:
    made = await Wall(tmp_path / "state").open()
    yield made
    await made.bench.close()


async def tell(wall: Wall, entry: str, /, *, status: int = 200, **deed: Any) -> Any:
    reply = await wall.ask("POST", "journal", {"id": f"wall-{entry:0>8}", "who": "Ada", "deed": deed})
    assert reply.status_code == status, reply.text
    return reply.json()


async def setting(wall: Wall, key: str) -> dict[str, Any]:
    return next(row for row in await wall.get("settings") if row["key"] == key)


async def place(wall: Wall, name: str) -> dict[str, Any]:
    return next(row for row in await wall.get("destinations") if row["id"] == name)


def aim(wall: Wall, lot: str = "ash-1") -> Aim:
    stockroom = wall.bench.spine.stockroom
    return stockroom.aim_of(stockroom.shop.lots[lot])


async def test_a_changed_destination_is_the_aim_of_its_lots_and_zones_at_once(wall: Wall) -> None:
    await wall.do("POST", "destinations", destination=PORCH)
    await wall.do("POST", "zones", zone={**ATTIC, "destination": "porch"})
    await tell(wall, "a", **{**LOT, "aim": {"destination": "porch"}})
    assert (aim(wall).dry_limit_pct, aim(wall).damp_limit_pct) == (9, 14)
    done = await wall.do("PUT", "destinations/porch", destination={"region": "damp-coast"})
    assert done["changed"] == [{"kind": "destination", "id": "porch"}]
    assert (aim(wall).dry_limit_pct, aim(wall).damp_limit_pct) == (8, 13)
    attic = next(z for z in await wall.get("zones") if z["id"] == "attic")
    assert (attic["aim"]["dry_limit_pct"], attic["aim"]["damp_limit_pct"]) == (8, 13)
    found = await place(wall, "porch")
    assert (found["locked"], found["zones"], found["lots"]) == (False, ["attic"], ["ash-1"])
    assert "Table 13-2" in found["source"]
    await wall.do("PUT", "destinations/porch", destination={"dry_limit_pct": 7, "damp_limit_pct": 12})
    await wall.again()
    assert (aim(wall).dry_limit_pct, aim(wall).damp_limit_pct, aim(wall).destination) == (7, 12, "an unheated porch")
    assert (await place(wall, "heated"))["locked"]


async def test_a_new_zone_is_moved_to_at_once_and_goes_when_nothing_lies_there(wall: Wall) -> None:
    await tell(wall, "a", **LOT)
    await tell(wall, "b", status=409, kind="moved", lot="ash-1", zone="attic")
    await wall.do("POST", "zones", zone=ATTIC)
    await tell(wall, "b", kind="moved", lot="ash-1", zone="attic")
    problem = await wall.refused("DELETE", "zones/attic", 409)
    assert (problem.field, problem.found) == ("zone", "'attic': lot ash-1")
    await wall.do("PUT", "zones/attic", zone={"name": "Under the roof"})
    assert [z["name"] for z in await wall.get("zones")] == ["Bench room", "Rack loft", "Under the roof"]
    await tell(wall, "c", kind="moved", lot="ash-1", zone="loft")
    await wall.do("DELETE", "zones/attic")
    assert [z["id"] for z in await wall.get("zones")] == ["bench", "loft"]
    problem_document = await tell(wall, "d", status=409, kind="undone", entry="wall-0000000c")
    assert problem_document["field"] == "zone"
    assert "'attic', which is no zone any more" in problem_document["found"]
    await wall.again()
    assert [z["id"] for z in await wall.get("zones")] == ["bench", "loft"]


async def test_zones_keep_their_order_when_one_is_changed(wall: Wall) -> None:
    for name in ("attic", "cellar"):
        await wall.do("POST", "zones", zone={**ATTIC, "id": name})
        wall.bench.clock.advance(1)
    await wall.do("PUT", "zones/attic", zone={"name": "Under the roof"})
    for _ in range(2):
        assert [z["id"] for z in await wall.get("zones")] == ["bench", "loft", "attic", "cellar"]
        await wall.again()


async def test_a_destination_goes_when_nothing_is_meant_for_it(wall: Wall) -> None:
    await wall.do("POST", "destinations", destination=PORCH)
    await wall.do("POST", "zones", zone={**ATTIC, "destination": "porch"})
    await tell(wall, "a", **{**LOT, "aim": {"destination": "porch"}})
    assert (await wall.refused("DELETE", "destinations/porch", 409)).found == "'porch': zone attic; lot ash-1"
    await wall.do("PUT", "zones/attic", zone={"destination": "heated"})
    await tell(wall, "b", kind="delivered", lot="ash-1")
    await wall.do("DELETE", "destinations/porch")
    problem = await tell(wall, "c", status=409, kind="undone", entry="wall-0000000b")
    assert problem["field"] == "aim.destination"
    assert [row["id"] for row in await wall.get("destinations")] == ["heated"]


async def test_settings_work_at_once_and_a_time_zone_after_a_restart(tmp_path: Path) -> None:
    text = CONFIG.replace('name = "Test shop"\n', "").replace('timezone = "Europe/Oslo"\n', "")
    wall = await Wall(tmp_path / "state", read_config(text)).open()
    given = {"name": "Ash & Elm", "units": "imperial", "timezone": "Europe/Oslo", "hours": {"mon": "07:30-17:00"}}
    assert (await wall.do("POST", "settings", settings=given))["later"] == ["timezone"]
    assert (await wall.get("snapshot"))["shop"]["name"] == "Ash & Elm"
    assert wall.bench.spine.engine.board.default == ("en", "imperial")
    found = await setting(wall, "timezone")
    assert found == {"key": "timezone", "value": "Europe/London", "locked": False, "next": "Europe/Oslo"}
    assert (await setting(wall, "hours"))["value"] == {"mon": "07:30-17:00"}
    assert (await wall.do("POST", "settings", settings={"units": "metric"}))["later"] == []
    await wall.again()
    assert (await setting(wall, "timezone"))["value"] == "Europe/Oslo"
    assert wall.bench.spine.history.setting("timezone") == "Europe/Oslo"
    assert [(await setting(wall, key))["value"] for key in ("name", "units")] == ["Ash & Elm", "metric"]
    await wall.again(read_config(CONFIG))  # the file names the shop from now on: that counts
    assert await setting(wall, "name") == {"key": "name", "value": "Test shop", "locked": True, "next": None}
    assert (await setting(wall, "hours"))["value"] == {"mon": "07:30-17:00"}
    await wall.bench.close()


async def test_the_journal_says_who_changed_what_when_from_what_to_what(wall: Wall) -> None:
    await wall.do("POST", "destinations", destination=PORCH)
    wall.bench.clock.advance(60)
    await wall.do("PUT", "destinations/porch", destination={"damp_limit_pct": 13}, who="Bo")
    wall.bench.clock.advance(60)
    await wall.do("POST", "settings", settings={"units": "imperial"}, who="Bo")
    wall.bench.clock.advance(60)
    await wall.do("DELETE", "destinations/porch")
    removed, units, changed, made = (e for e in await wall.journal() if e["deed"]["kind"] != "placed")
    assert (made["who"], made["t_ms"], made["recorded_ms"]) == ("Ada", START_MS, START_MS)
    assert made["deed"] == {"kind": "made", "subject": "porch", "what": "destination", "from": None, "to": PORCH}
    after = {**PORCH, "damp_limit_pct": 13}
    assert (changed["who"], changed["t_ms"]) == ("Bo", START_MS + 60_000)
    assert (changed["deed"]["from"], changed["deed"]["to"]) == (PORCH, after)
    assert (units["deed"]["subject"], units["deed"]["from"], units["deed"]["to"]) == (
        "shop", {"units": "metric"}, {"units": "imperial"},
    )  # fmt: skip
    assert (removed["deed"]["kind"], removed["deed"]["from"], removed["deed"]["to"]) == ("removed", after, None)


async def test_a_command_twice_is_once_and_with_other_content_refused(wall: Wall) -> None:
    command = str(uuid4())
    first = await wall.do("POST", "destinations", command=command, destination=PORCH)
    again = await wall.do("POST", "destinations", command=command, destination=PORCH)
    assert (first["repeated"], again["repeated"], again["made"]) == (False, True, first["made"])
    others: list[tuple[str, str, dict[str, Any]]] = [
        ("POST", "destinations", {"destination": {**PORCH, "damp_limit_pct": 15}}),
        ("POST", "destinations", {"destination": PORCH, "who": "Bo"}),
        ("PUT", "destinations/porch", {"destination": {"name": "porch"}}),
        ("DELETE", "destinations/porch", {}),
        ("POST", "zones", {"zone": ATTIC}),
        ("POST", "settings", {"settings": {"units": "imperial"}}),
    ]
    for method, path, body in others:
        assert (await wall.refused(method, path, 409, command=command, **body)).field == "command_id"
    assert [e["deed"]["kind"] for e in await wall.journal()].count("placed") + 1 == len(await wall.journal())


def hours(**given: Any) -> dict[str, Any]:
    return {"settings": {"hours": given}}


def porch(**more: Any) -> dict[str, Any]:
    return {"destination": {**PORCH, **more}}


NAME = {"destination": {"name": "x"}}
COAST = {"destination": {"id": "coast", "name": "Coast", "region": "damp-cost"}}


@pytest.mark.parametrize(
    ("what", "body", "said", "right"),
    [
        ("POST settings", {"settings": {"name": "New"}}, (409, "settings"), "[shop] name stands"),
        ("POST settings", {"settings": {"units": "feet"}}, (422, "settings.units"), "'metric' or 'imperial'"),
        ("POST settings", {"settings": {"unit": "metric"}}, (422, "settings.unit"), "'units'"),
        ("POST settings", {"settings": {}}, (422, "settings"), "one of name, timezone, language, units, hours"),
        ("POST settings", hours(mon="22:00-06:00"), (422, "settings.hours.mon"), "midnight"),
        ("POST settings", hours(mon="7-17"), (422, "settings.hours.mon"), "07:30-17:00"),
        ("POST settings", hours(mon="10:00-24:30"), (422, "settings.hours.mon"), "24:00"),
        ("POST settings", hours(mon="09:00-09:00"), (422, "settings.hours.mon"), "after its beginning"),
        ("POST settings", hours(monday="07:30-17:00"), (422, "settings.hours.monday"), "'mon'"),
        ("POST settings", {"settings": {"hours": 8}}, (422, "settings.hours"), "dictionary"),
        ("POST destinations", porch(region="moon"), (422, "destination.id"), "either region"),
        ("POST destinations", COAST, (422, "destination.region"), "'damp-coast'"),
        ("POST destinations", porch(dry_limit_pct=15), (422, "destination.id"), "below"),
        ("POST destinations", porch(damp_limit_pct=99), (422, "destination.damp_limit_pct"), "25"),
        ("POST destinations", porch(id="heated"), (422, "destination.id"), "an id of its own"),
        ("POST destinations", NAME, (422, "destination.id"), "a value"),
        ("POST destinations", {"destination": 7}, (422, "destination"), "dictionary"),
        ("PUT destinations/heated", NAME, (409, "destination"), "[[destination]] 'heated' stands"),
        ("PUT destinations/moon", NAME, (404, "destination"), "made at the wall"),
        ("DELETE destinations/heated", {}, (409, "destination"), "stands"),
        ("DELETE destinations/moon", {}, (404, "destination"), "there is none"),
        ("POST zones", {"zone": {**ATTIC, "destination": "moon"}}, (422, "zone.destination"), "heated"),
        ("POST zones", {"zone": {**ATTIC, "id": "Attic!"}}, (422, "zone.id"), "pattern"),
        ("POST zones", {"zone": {**ATTIC, "id": "bench-1"}}, (422, "sensor 'bench-1'.id"), "no zone has"),
        ("PUT zones/bench", {"zone": {"name": "x"}}, (409, "zone"), "[[zone]] 'bench' stands"),
        ("DELETE zones/bench", {}, (409, "zone"), "stands"),
        ("DELETE zones/moon", {"who": "x" * 41}, (422, "who"), "40"),
    ],
)
async def test_what_cannot_be_names_the_field_and_what_would_be_right(
    wall: Wall, what: str, body: dict[str, Any], said: tuple[int, str], right: str
) -> None:
    method, path = what.split()
    before = await wall.journal()
    problem = await wall.refused(method, path, said[0], **body)
    assert problem.field == said[1]
    assert right in problem.would_be_right
    assert problem.found
    assert await wall.journal() == before


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"id": "cellar"}, "zone.id"),
        ({"destination": "moon"}, "zone.destination"),
        ({"name": ""}, "zone.name"),
        ({"colour": "red"}, "zone.colour"),
    ],
)
async def test_a_change_that_cannot_be_leaves_all_as_it_is(wall: Wall, values: dict[str, Any], field: str) -> None:
    await wall.do("POST", "zones", zone=ATTIC)
    problem = await wall.refused("PUT", "zones/attic", 422, zone=values)
    assert (problem.field, bool(problem.would_be_right)) == (field, True)
    await wall.do("PUT", "zones/attic", zone={"name": "Loft two"})
    assert next(z for z in await wall.get("zones") if z["id"] == "attic")["name"] == "Loft two"


async def test_the_name_that_a_copy_goes_by_stays(tmp_path: Path) -> None:
    """Points of a remote without a source of its own bear the shop's name: another one would begin a second copy."""
    text = CONFIG.replace('name = "Test shop"\n', "")
    wall = await Wall(tmp_path / "state", read_config(text)).open()
    remote = RemoteTable(id="copy", url="http://127.0.0.1:1", bucket="b")
    maker = wall.rooms.maker
    maker.config = type(maker.config)(**{**_fields(maker.config), "remotes": (remote,)})
    problem = await wall.refused("POST", "settings", 409, settings={"name": "New"})
    assert "[[remote]] copy" in problem.would_be_right
    await wall.bench.close()


def _fields(one: Any) -> dict[str, Any]:
    return {name: getattr(one, name) for name in one.__dataclass_fields__}


async def test_an_id_that_comes_to_stand_in_the_file_too_refuses_the_start(wall: Wall, tmp_path: Path) -> None:
    await wall.do("POST", "destinations", destination=PORCH)
    wall.bench.config = config('[[destination]]\nid = "porch"\nname = "porch"\nregion = "damp-coast"\n')
    await wall.bench.spine.store.close()
    wall.bench.spine = wall.bench._built("boot-2")
    refused = wall.bench.spine.refused
    assert isinstance(refused, ConfigError)
    assert "destination[1].id: found 'porch', which a destination made at the wall" in str(refused)
