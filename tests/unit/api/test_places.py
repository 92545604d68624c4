"""Sensors moved from a time on: at once, of the past, through a restart, against a shop that was told in time."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pytest

from server.bins import BIN_MS
from server.model.recorded import recorded_air
from server.placing import Place, places
from server.reading import Flag, JournalEntry, Reading
from server.remixing import Remix
from server.stores.port import StoreFull
from tests.flow.conftest import read_config
from tests.unit.api.walls import Wall
from tests.unit.spine import CONFIG, HOUR, START_MS, config, sample
from tests.unit.test_lots_api import LOT

HOUR_MS = 1000 * HOUR
ZONES = ("bench", "loft")


@pytest.fixture
async def wall(tmp_path: Path) -> AsyncIterator[Wall]:
    made = await Wall(tmp_path / "state").open()
    yield made
    await made.bench.close()


async def hours(wall: Wall, from_h: float, to_h: float, *names: str, a_turn: int = 1) -> None:
    """What three sensors say every two minutes: the bench room at 45 %, the loft at 60 %, and `bench-2`, which in truth
    hangs in the loft from the third hour on."""
    items = []
    for minute in range(round(60 * from_h), round(60 * to_h), 2):
        second = (20.2, 45.5) if minute < 180 else (14.0, 61.0)
        said = {"bench-1": (20.0, 45.0), "bench-2": second, "loft-1": (14.2, 60.0)}
        items += [sample(name, 60.0 * minute + 20 * n, *said[name]) for n, name in enumerate(names or said)]
    await wall.bench.hear(items, a_turn)


async def told(wall: Wall, sensor: str = "bench-2", zone: str = "loft", hour: float | None = None, **more: Any) -> Any:
    since = {} if hour is None else {"from_ms": START_MS + round(hour * HOUR_MS)}
    return await wall.do("POST", f"sensors/{sensor}/places", zone=zone, **since, **more)


async def settled(wall: Wall) -> None:
    """The move is made with the next turn, then the past, then what the wall draws."""
    await wall.bench.spine.engine.turn(())
    await wall.places.catch_up()
    await wall.bench.spine.engine.turn(())
    await wall.bench.spine.stockroom.catch_up()


def air(wall: Wall, to_h: float = 6.0, zones: tuple[str, ...] = ZONES) -> np.ndarray[Any, Any]:
    """Half hours of the zones as lots see them: °C and Pa."""
    found = recorded_air(wall.bench.spine.history, zones, START_MS, START_MS + round(to_h * HOUR_MS))
    return np.stack([found.temperature_c, found.pressure_pa])


def held(wall: Wall) -> np.ndarray[Any, Any]:
    return wall.bench.spine.stockroom.course.woods.one("ash-1").belief.held_pct()


async def receive(wall: Wall, zone: str = "loft") -> None:
    reply = await wall.ask("POST", "journal", {"id": "wall-0000", "deed": {**LOT, "zone": zone}})
    assert reply.status_code == 200, reply.text


async def test_what_is_told_afterwards_is_as_if_it_had_been_told_in_time(wall: Wall, tmp_path: Path) -> None:
    """Zones' half hours, the wall's half hours, hours of the chart, and a lot that lies in the loft."""
    in_time = await Wall(tmp_path / "other").open()
    for one in (wall, in_time):
        await receive(one)
        await hours(one, 0, 3)
    wrong = air(wall, 3)
    await told(in_time)
    for one in (wall, in_time):
        await hours(one, 3, 6.2)
    before = air(wall)
    done = await told(wall, hour=3)
    assert done["changed"] == [{"kind": "sensor", "id": "bench-2"}]
    for one in (wall, in_time):
        await settled(one)
    right, found = air(in_time), air(wall)
    assert np.abs(before - right).max() > 1.0
    # the half hour of the move: told in time, the sensor's last word before it counted for two minutes less
    assert found == pytest.approx(right, rel=2e-3)
    rest = np.delete(found - right, 7, axis=1)
    assert np.abs(rest).max() < 1e-9
    assert (air(wall, 3)[:, :6] == wrong[:, :6]).all()
    assert held(wall) == pytest.approx(held(in_time), abs=1e-3)
    for zone in ZONES:
        bins, theirs = (one.bench.spine.engine.bins[zone].closed for one in (wall, in_time))
        assert [b.end_ms for b in bins] == [b.end_ms for b in theirs]
        assert [b.emc_pct for b in bins] == pytest.approx([b.emc_pct for b in theirs], abs=5e-3)
        series = f"zone:{zone}/emc_pct"
        ours, right_ones = (one.bench.spine.history.rollups(series, "hour", 0, 1 << 60) for one in (wall, in_time))
        assert [h.mean for h in ours] == pytest.approx([h.mean for h in right_ones], abs=5e-3)
    await in_time.bench.close()


@pytest.mark.parametrize("zone", ["loft", "attic"])
async def test_lots_are_those_of_a_run_from_scratch(wall: Wall, zone: str) -> None:
    """Within 1e-9 % MC, whatever checkpoints there were; and a restart finds the same. In the attic nobody measured
    before, so its first air counts for what lay there before it."""
    await wall.do("POST", "zones", zone={"id": "attic", "name": "Attic", "destination": "heated"})
    await receive(wall, zone)
    await hours(wall, 0, 30, a_turn=30)
    await wall.bench.spine.stockroom.catch_up()
    wrong = held(wall)
    await told(wall, zone=zone, hour=3)
    await settled(wall)
    right = held(wall)
    assert np.abs(wrong - right).max() > 1e-3
    await wall.again()
    assert np.abs(held(wall) - right).max() < 1e-9
    await wall.bench.spine.store.change_made(("c", {}), remake=(("n", None), 0))
    assert wall.bench.spine.history.checkpoint_edges(1 << 60) == []
    await wall.again()
    assert np.abs(held(wall) - right).max() < 1e-9


async def test_a_zone_that_its_only_sensor_left_has_no_air_since(wall: Wall) -> None:
    await hours(wall, 0, 4)
    await told(wall, "loft-1", "bench", hour=2)
    await settled(wall)
    history, cut = wall.bench.spine.history, START_MS + 2 * HOUR_MS
    times, _ = history.columns("zone:loft/emc_pct", 0, 1 << 60)
    assert max(times) < cut
    rows = history.readings("zone:loft/emc_pct", cut, 1 << 60, good_only=False)
    assert len(rows) == 60
    assert all(row.flags & Flag.UNPLACED for row in rows)
    assert len(history.rollups("zone:loft/emc_pct", "hour", 0, 1 << 60)) == 2
    loft = next(zone for zone in await wall.get("zones") if zone["id"] == "loft")
    assert (loft["state"], loft["air"]) == ("waiting", None)
    assert await wall.refused("DELETE", "zones/loft", 409)
    await told(wall, "loft-1", "loft", hour=2)  # it was a slip: the same rows count again
    await settled(wall)
    again = history.readings("zone:loft/emc_pct", cut, 1 << 60)
    assert [(r.t_ms, r.value) for r in again] == [(r.t_ms, r.value) for r in rows]


async def test_from_now_on(wall: Wall) -> None:
    await hours(wall, 0, 1)
    await told(wall)
    await settled(wall)
    now_ms = wall.bench.clock.now().wall_ms
    await hours(wall, 1.1, 1.2, "bench-2")
    times, _ = wall.bench.spine.history.columns("zone:loft/emc_pct", now_ms + 1, 1 << 60)
    assert times == [START_MS + round(1000 * t_s) for t_s in (3960.0, 4080.0, 4200.0)]
    assert wall.bench.spine.history.columns("zone:bench/emc_pct", now_ms, 1 << 60) == ([], [])
    assert wall.bench.spine.engine.zones.ears["bench-2"].period_s == 120.0  # its rhythm is its own
    await wall.again()
    found = await wall.get("sensors/bench-2/places")
    assert found["zone"] == "loft"
    assert [p["zone"] for p in found["places"]] == ["bench", "loft"]


async def test_what_comes_late_from_before_the_move_moves_nothing(wall: Wall) -> None:
    """A device that kept its words says them when it already hangs elsewhere."""
    await hours(wall, 0, 1)
    await told(wall)
    await settled(wall)
    late = sample("bench-2", 3700.0, 22.0, 52.0, own_ms=START_MS + 3_510_000)
    await wall.bench.hear([late])
    history = wall.bench.spine.history
    assert history.latest("bench-2/humidity_pct") == Reading("bench-2/humidity_pct", START_MS + 3_510_000, 52.0)
    assert max(history.columns("zone:loft/temperature_c", 0, 1 << 60)[1]) < 16


async def test_a_sensor_that_was_made_at_the_wall_takes_its_table_along(wall: Wall) -> None:
    """So the zone it came from may go, and a start finds it where it stands."""
    await wall.do("POST", "zones", zone={"id": "attic", "name": "Attic", "destination": "heated"})
    source = {"id": "mq-2", "kind": "mqtt", "topics": ["b/+"]}
    await wall.do("POST", "sources", source=source, sensors=[{"id": "new-1", "device": "n", "zone": "attic"}])
    assert (await wall.refused("DELETE", "zones/attic", 409)).found == "'attic': sensor new-1"
    await told(wall, "new-1", "loft")
    await settled(wall)
    await wall.do("DELETE", "zones/attic")
    await wall.again()
    assert wall.bench.spine.refused is None
    assert wall.bench.spine.engine.zones.ears["new-1"].sensor.zone == "loft"
    assert [p["zone"] for p in (await wall.get("sensors/new-1/places"))["places"]] == ["attic", "loft"]


async def test_what_is_half_done_is_gone_on_with_at_the_next_start(wall: Wall, tmp_path: Path) -> None:
    other = await Wall(tmp_path / "other").open()
    for one in (wall, other):
        await hours(one, 0, 40, a_turn=30)
        await told(one, hour=3)
        await one.bench.spine.engine.turn(())
    await settled(other)
    whole = air(other, 39)
    await other.bench.close()
    store, count = wall.bench.spine.store, 0
    replace_air = store.replace_air

    async def full_after_one(*args: Any) -> None:
        nonlocal count
        count += 1
        if count > 1:
            raise StoreFull("no room")
        await replace_air(*args)

    store.replace_air = full_after_one  # type: ignore[method-assign]
    with pytest.raises(StoreFull):
        await wall.places.catch_up()
    assert (await wall.get("sensors/bench-2/places"))["remaking"]
    assert np.abs(air(wall, 39) - whole).max() > 1.0
    await wall.again()
    await settled(wall)
    assert air(wall, 39) == pytest.approx(whole, abs=1e-9)
    assert wall.bench.spine.history.settings("air-remaking:") == {}
    assert not (await wall.get("sensors/bench-2/places"))["remaking"]


async def test_the_file_counts_again_when_it_is_changed(wall: Wall) -> None:
    await hours(wall, 0, 0.2)
    await told(wall, who="Bo")
    await settled(wall)
    await wall.again()
    assert wall.bench.spine.engine.zones.ears["bench-2"].sensor.zone == "loft"
    wall.bench.clock.advance(60)
    text = CONFIG.replace('device = "bench-2"\nzone = "bench"', 'device = "bench-2"\nzone = "attic"')
    await wall.again(read_config(text + '[[zone]]\nid = "attic"\nname = "Attic"\ndestination = "heated"\n'))
    assert wall.bench.spine.engine.zones.ears["bench-2"].sensor.zone == "attic"
    wall.bench.clock.advance(60)
    await wall.again(config())
    found = await wall.get("sensors/bench-2/places")
    assert [p["zone"] for p in found["places"]] == ["bench", "loft", "attic", "bench"]
    assert [p["who"] for p in found["places"]] == ["", "Bo", "", ""]


async def test_the_journal_names_the_move(wall: Wall) -> None:
    await hours(wall, 0, 1)
    await told(wall, hour=0.5, who="Bo", note="hung back after painting")
    entry = (await wall.journal())[0]
    assert (entry["who"], entry["note"]) == ("Bo", "hung back after painting")
    assert entry["t_ms"] == START_MS + HOUR_MS // 2
    assert entry["recorded_ms"] == wall.bench.clock.now().wall_ms
    deed = entry["deed"]
    assert (deed["kind"], deed["subject"], deed["zone"], deed["was"]) == ("placed", "bench-2", "loft", "bench")


async def test_a_command_twice_is_one_move_and_with_other_content_refused(wall: Wall) -> None:
    await hours(wall, 0, 0.1)
    command = str(uuid4())
    assert not (await told(wall, command=command))["repeated"]
    assert (await told(wall, command=command))["repeated"]
    problem = await wall.refused("POST", "sensors/bench-1/places", 409, command=command, zone="loft", who="Ada")
    assert problem.field == "command_id"
    assert [e["deed"]["subject"] for e in await wall.journal()].count("bench-2") == 2


@pytest.mark.parametrize(
    ("sensor", "body", "said", "right"),
    [
        ("bench-9", {"zone": "loft"}, (404, "sensor"), "one of bench-1, bench-2, loft-1"),
        ("bench-2", {"zone": "moon"}, (409, "zone"), "one of bench, loft"),
        ("bench-2", {"zone": "bench"}, (409, "zone"), "another zone, or an earlier time"),
        ("bench-2", {"zone": "loft", "from_ms": START_MS + 9 * HOUR_MS}, (409, "from_ms"), "a time that has come"),
        ("bench-2", {"zone": "loft", "from_ms": -1}, (422, "from_ms"), "ms since 1970 utc, 0 or more"),
        ("bench-2", {"zone": "loft", "from_ms": "noon"}, (422, "from_ms"), "whole ms since 1970"),
        ("bench-2", {"from_ms": START_MS}, (422, "zone"), "a value"),
        ("bench-2", {"zone": "loft", "note": "x" * 10_000}, (422, "note"), "500"),
        ("bench-2", {"zone": "loft", "who": "x" * 41}, (422, "who"), "40"),
    ],
)
async def test_what_cannot_be(wall: Wall, sensor: str, body: dict[str, Any], said: tuple[int, str], right: str) -> None:
    before = await wall.journal()
    problem = await wall.refused("POST", f"sensors/{sensor}/places", said[0], **body)
    assert problem.field == said[1]
    assert right in problem.would_be_right.lower()
    assert await wall.journal() == before


async def test_no_further_back_than_raw_readings_are_kept(wall: Wall) -> None:
    await hours(wall, 0, 4)
    while await wall.bench.spine.store.prune("loft-1/humidity_pct", START_MS + 2 * HOUR_MS, 1000):
        pass
    problem = await wall.refused("POST", "sensors/bench-2/places", 409, zone="loft", from_ms=START_MS + HOUR_MS)
    assert problem.field == "from_ms"
    assert problem.would_be_right.startswith(f"{START_MS + 2 * HOUR_MS} or later")
    await told(wall, hour=2)


def test_what_was_told_later_holds_from_its_time_on() -> None:
    def entry(t_ms: int, zone: str | None, told_ms: int) -> JournalEntry:
        return JournalEntry(f"{t_ms}{zone}", t_ms, "placed", "a", {"zone": zone, "recorded_ms": told_ms, "who": "Bo"})

    first = [entry(100, "bench", 100), entry(200, "loft", 200), entry(300, None, 300)]
    assert [(p.from_ms, p.zone) for p in places(first)["a"]] == [(0, "bench"), (200, "loft"), (300, None)]
    attic = Place(150, "attic", 400, "Bo")
    assert places([*first, entry(150, "attic", 400)])["a"] == (Place(0, "bench", 100, "Bo"), attic)
    assert places([*first, entry(50, "attic", 400)])["a"][-1] == Place(50, "attic", 400, "Bo")
    again = [*first, entry(150, "attic", 400), entry(250, "bench", 500)]
    assert [(p.from_ms, p.zone) for p in places(again)["a"]] == [(0, "bench"), (150, "attic"), (250, "bench")]


async def test_made_anew_without_a_move_it_is_what_was_heard_live(wall: Wall) -> None:
    """The replay is the live path's own stage: the same rows come out, bit for bit."""
    await hours(wall, 0, 26, a_turn=30)
    history, span = wall.bench.spine.history, (START_MS + 24 * HOUR_MS, START_MS + 26 * HOUR_MS)
    stood = {s.id: (Place(0, s.zone, 0),) for s in wall.bench.config.sensors}
    stretches = list(Remix(history, stood, {s.id: s for s in wall.bench.config.sensors}, ZONES, span))
    for zone in ZONES:
        again = [(a.t_ms, a.emc_pct) for s in stretches for a in s.air if a.zone == zone]
        live = [(r.t_ms, r.value) for r in history.readings(f"zone:{zone}/emc_pct", *span)]
        assert again == live
    assert (stretches[0].from_ms, stretches[-1].to_ms) == span


async def test_a_stretch_is_small(wall: Wall) -> None:
    """However often a sensor speaks, what is written at once stays some hundred rows."""
    both = (("temperature_c", 20.0), ("humidity_pct", 45.0))
    fast = [Reading(f"bench-1/{q}", START_MS + 1000 * t, v) for t in range(10_000) for q, v in both]
    await wall.bench.spine.store.append(fast)
    stood = {"bench-1": (Place(0, "bench", 0),)}
    found = list(Remix(wall.bench.spine.history, stood, {}, {"bench"}, (START_MS, START_MS + 10_000_000)))
    assert [len(s.air) for s in found] == [720, 280]
    assert found[0].to_ms - found[0].from_ms > BIN_MS
