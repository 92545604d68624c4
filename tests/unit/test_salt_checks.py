"""A salt check from its beginning to its end, through the API, the spine, the record and a restart."""

from __future__ import annotations

import math
from collections.abc import AsyncIterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest

from server.api.door import application
from server.api.rooms import Rooms
from server.reading import Flag
from server.room.keeper import RoomKeeper
from tests.unit.spine import DAY, HOUR, MINUTE, START_MS, Bench, sample, with_store
from tests.unit.test_clock_set import SettableClock

PUBLISHED = 75.45
"""Sodium chloride at 20 °C, between its rows (Greenspan 1977, from memory: 75.47)."""


def client(bench: Bench) -> httpx.AsyncClient:
    spine = bench.spine

    def nothing() -> Any:
        raise NotImplementedError

    rooms = Rooms(
        board=spine.engine.board,
        engine=spine.engine,
        history=spine.history,
        store_file=bench.folder / "record.sqlite",
        maker=nothing,  # type: ignore[arg-type]
        arranger=nothing,  # type: ignore[arg-type]
        listening=nothing,  # type: ignore[arg-type]
        vitals=nothing,
        salt_checks=spine.salt_checks,
        upkeep=nothing,  # type: ignore[arg-type]
        stockroom=spine.stockroom,
        lot_verdicts=spine.lot_verdicts,
        room_keeper=RoomKeeper(spine.engine, lambda: spine.frame.config, spine.engine.clock),
    )
    return httpx.AsyncClient(transport=httpx.ASGITransport(application(rooms)), base_url="http://127.0.0.1:8736")


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    yield made
    await made.close()


async def post(
    bench: Bench, path: str, *, status: int = 200, command: str | None = None, **more: str
) -> dict[str, Any]:
    async with client(bench) as door:
        reply = await door.post(f"/api/salt-checks{path}", json={"command_id": command or str(uuid4()), **more})
    assert reply.status_code == status, reply.text
    found: dict[str, Any] = reply.json()
    return found


async def listed(bench: Bench) -> list[dict[str, Any]]:
    async with client(bench) as door:
        reply = await door.get("/api/salt-checks")
    found: list[dict[str, Any]] = reply.json()
    return found


async def in_the_jar(
    bench: Bench, from_h: float, to_h: float, level: float, *, temperature_c: float = 20.0, begun_h: float | None = None
) -> None:
    """bench-1 comes to rest at ``level`` while bench-2 goes on saying what the room is."""
    begun_h = from_h if begun_h is None else begun_h
    said = []
    for n in range(int((to_h - from_h) * 12)):
        t_s = from_h * HOUR + n * 5 * MINUTE
        rh = level + (45.0 - level) * math.exp(-(t_s - begun_h * HOUR) / (0.5 * HOUR))
        said += [
            sample("bench-1", t_s, temperature_c + 0.01 * (n % 3), rh + 0.02 * (n % 4)),
            sample("bench-2", t_s + 1, 20.0 + 0.01 * (n % 5), 45.0),
        ]
    await bench.hear(said, 12)


async def test_from_the_jar_to_a_correction_that_outlives_a_restart(bench: Bench) -> None:
    await bench.hear([s for n in range(6) for s in (sample("bench-1", n * 60), sample("bench-2", n * 60 + 1))])
    command = str(uuid4())
    begun = await post(bench, "", command=command, sensor="bench-1", salt="nacl")
    assert (begun["state"], begun["salt"], begun["salt_name"]) == ("settling", "NaCl", "sodium chloride")
    assert "gloves" in begun["caution"]["text"]
    assert (await post(bench, "", command=command, sensor="bench-1", salt="nacl"))["id"] == begun["id"], "twice is once"
    await in_the_jar(bench, 0.2, 4.0, 77.4)
    (now,) = await listed(bench)
    assert (now["state"], now["line"]["key"]) == ("settling", "salt-short")
    assert (await post(bench, f"/{begun['id']}/finish", status=409))["found"] == "settling (short)"
    air = bench.spine.engine.air["bench"]
    assert air.humidity_pct == pytest.approx(45.0, abs=0.1), "the jar does not move the room"

    await bench.restart()
    await in_the_jar(bench, 4.0, 8.0, 77.4, begun_h=0.2)
    (now,) = await listed(bench)
    assert (now["state"], now["published_pct"]) == ("steady", pytest.approx(PUBLISHED, abs=0.01))
    assert now["line"]["text"].startswith("Steady: it says 77.4 % RH where sodium chloride at 20.0 °C makes 75.4 %")
    finish = str(uuid4())
    done = await post(bench, f"/{begun['id']}/finish", command=finish)
    assert done["state"] == "done"
    made = done["correction"]
    assert (made["gain"], made["points"]) == (1.0, 1)
    assert made["offset_pct"] == pytest.approx(PUBLISHED - 77.43, abs=0.02)
    assert 0.1 < made["uncertainty_pct"] < 1.0
    assert "75.4 % lies between the published rows for 15" in done["line"]["text"]
    assert done["line"]["text"].endswith("near that humidity.")
    assert "[between the rows for 15 and 25 °C (memory" in done["source"]
    assert done["due_ms"] == pytest.approx(bench.clock.now().wall_ms + 365 * DAY * 1000, abs=1000)
    assert (await post(bench, f"/{begun['id']}/finish", command=finish)) == done

    await bench.hear([sample("bench-1", 8 * HOUR + 60, 20.0, 70.0)])
    assert bench.spine.history.latest("bench-1/humidity_pct").flags & Flag.UNPLACED, "it is still on its way back"
    await bench.hear([sample("bench-1", 9.1 * HOUR, 20.0, 47.0)])
    await bench.restart("boot-3")
    await bench.hear([sample("bench-1", 9.2 * HOUR, 20.0, 47.1)])
    kept = bench.spine.history.latest("bench-1/humidity_pct")
    assert (kept.value, kept.raw) == (pytest.approx(47.1 + made["offset_pct"]), 47.1)
    assert kept.flags == Flag.CORRECTED
    assert kept.good

    gone = await post(bench, f"/{begun['id']}/withdraw")
    assert (gone["state"], gone["correction"], gone["due_ms"]) == ("withdrawn", None, None)
    await bench.hear([sample("bench-1", 9.3 * HOUR, 20.0, 47.2)])
    assert bench.spine.history.latest("bench-1/humidity_pct").value == 47.2
    kinds = [entry.kind for entry in bench.spine.history.journal() if entry.kind.startswith("salt")]
    assert kinds == ["salt-check-begun", "salt-checked", "salt-check-withdrawn"]


async def test_two_salts_make_a_line(bench: Bench) -> None:
    first = await post(bench, "", sensor="bench-1", salt="MgCl2")
    await in_the_jar(bench, 0.0, 8.0, 34.0)
    await post(bench, f"/{first['id']}/finish")
    second = await post(bench, "", sensor="bench-1", salt="NaCl")
    await in_the_jar(bench, 8.0, 16.0, 77.4)
    done = await post(bench, f"/{second['id']}/finish")
    made = done["correction"]
    assert (made["points"], done["line"]["key"]) == (2, "salt-done-two-between")
    assert made["gain"] * 34.03 + made["offset_pct"] == pytest.approx(33.07, abs=0.02)
    assert made["gain"] * 77.43 + made["offset_pct"] == pytest.approx(PUBLISHED, abs=0.02)
    assert [c["state"] for c in await listed(bench)] == ["done", "done"]


async def test_a_sensor_over_a_salt_is_not_called_silent(bench: Bench) -> None:
    begun = await post(bench, "", sensor="loft-1", salt="NaCl")
    await bench.tick_until(3 * HOUR, 600)
    view = {s.sensor: s for s in bench.spine.engine.rule_view(bench.clock.now()).sensors}
    assert view["loft-1"].silent_for_s == 0.0
    assert view["bench-1"].silent_for_s == 3 * HOUR
    await post(bench, f"/{begun['id']}/give-up")
    await bench.tick_until(4.5 * HOUR, 600)
    view = {s.sensor: s for s in bench.spine.engine.rule_view(bench.clock.now()).sensors}
    assert view["loft-1"].silent_for_s == pytest.approx(0.5 * HOUR), "an hour to hang it back, then it is missed"


async def test_what_cannot_be_is_refused_with_what_would_be_right(bench: Bench) -> None:
    assert (await post(bench, "", status=404, sensor="attic", salt="NaCl"))["would_be_right"] == (
        "one of bench-1, bench-2, loft-1"
    )
    assert (await post(bench, "", status=409, sensor="bench-1", salt="sand"))["would_be_right"].startswith(
        "one of LiCl"
    )
    await post(bench, "/nobody/finish", status=404)
    begun = await post(bench, "", sensor="bench-1", salt="NaCl")
    again = await post(bench, "", status=409, sensor="bench-1", salt="KCl")
    assert again["found"] == "'bench-1' over NaCl already"
    await in_the_jar(bench, 0.0, 8.0, 88.0)
    refused = await post(bench, f"/{begun['id']}/finish", status=409)
    assert refused["field"] == "correction"
    assert refused["found"] == "12.6 % RH (it says 88.0)"
    assert refused["would_be_right"].startswith("at most 10 % RH; is the salt wet")
    given_up = await post(bench, f"/{begun['id']}/give-up")
    assert (given_up["state"], given_up["line"]["text"]) == ("given up", "Given up; nothing was changed.")
    await post(bench, f"/{begun['id']}/withdraw", status=409)
    assert not bench.spine.engine.screening.calibration.corrections


async def test_a_jar_colder_than_the_table_is_not_steady_at_anything(bench: Bench) -> None:
    begun = await post(bench, "", sensor="bench-1", salt="CH3COOK")
    await in_the_jar(bench, 0.0, 8.0, 24.0, temperature_c=5.0)
    (now,) = await listed(bench)
    assert (now["state"], now["line"]["key"]) == ("settling", "salt-outside")
    refused = await post(bench, f"/{begun['id']}/finish", status=409)
    assert (refused["field"], refused["would_be_right"]) == (
        "temperature_c",
        "10 to 30 °C, where the table has CH3COOK",
    )


async def test_it_grows_due_and_says_so_to_the_rules(bench: Bench) -> None:
    begun = await post(bench, "", sensor="bench-1", salt="NaCl")
    await in_the_jar(bench, 0.0, 8.0, 76.0)
    done = await post(bench, f"/{begun['id']}/finish")
    view = {s.sensor: s.check_due_ms for s in bench.spine.engine.rule_view(bench.clock.now()).sensors}
    assert view == {"bench-1": done["due_ms"], "bench-2": None, "loft-1": None}
    assert done["due_ms"] - START_MS == pytest.approx((365 * DAY + 8 * HOUR) * 1000, abs=600_000)


async def test_a_table_that_changed_since_makes_it_due_at_once_and_its_correction_counts_no_longer(
    tmp_path: Path,
) -> None:
    bench = Bench(tmp_path / "state")
    begun = await post(bench, "", sensor="bench-1", salt="NaCl")
    await in_the_jar(bench, 0.0, 8.0, 76.0)
    done = await post(bench, f"/{begun['id']}/finish")
    sensors = tuple(s.model_copy(update={"offset_c": -1.0}) if s.id == "bench-1" else s for s in bench.config.sensors)
    bench.config = replace(bench.config, sensors=sensors)
    await bench.restart()
    calibration = bench.spine.engine.screening.calibration
    assert calibration.corrections == {}
    assert calibration.due_ms == {"bench-1": done["ended_ms"]}
    await bench.close()


async def test_a_figure_held_at_100_is_no_figure_to_correct_by(bench: Bench) -> None:
    """Potassium sulfate makes 97.6 % at 20 °C (Greenspan 1977, from memory): a sensor that says 101 there is kept as
    100, and would have been corrected by 2.4 instead of 3.4."""
    begun = await post(bench, "", sensor="bench-1", salt="K2SO4")
    await in_the_jar(bench, 0.0, 8.0, 101.0)
    (now,) = await listed(bench)
    assert (now["state"], now["line"]["key"]) == ("settling", "salt-saturated")
    assert (await post(bench, f"/{begun['id']}/finish", status=409))["found"] == "settling (saturated)"


@pytest.mark.parametrize("ahead_s", [HOUR, 30 * DAY])
async def test_a_sensor_in_a_jar_stays_there_when_the_clock_is_put_back(tmp_path: Path, ahead_s: float) -> None:
    clock = SettableClock(START_MS)
    bench = Bench(tmp_path / "state", clock=clock)

    async def hear(from_min: int, to_min: int, rh: float) -> None:
        for minute in range(from_min, to_min):
            bench.until(minute * MINUTE)
            said = sample("loft-1", minute * MINUTE, 20 + 0.01 * (minute % 3), rh + 0.02 * (minute % 4))
            await bench.spine.engine.turn([replace(said, heard_ms=clock.now().wall_ms)])

    def loft() -> float:
        air = bench.spine.engine.air.get("loft")
        return 0.0 if air is None else air.humidity_pct

    clock.ahead_s = ahead_s
    await hear(1, 20, 45.0)
    begun = await post(bench, "", sensor="loft-1", salt="NaCl")
    await hear(20, 30, 75.0)
    clock.ahead_s = 0
    await hear(30, 50, 75.0)
    assert loft() < 50, "the jar is not the loft"
    await bench.restart()
    await hear(50, 70, 75.0)
    assert loft() < 50
    clock.ahead_s = ahead_s
    await hear(70, 72, 75.0)
    await post(bench, f"/{begun['id']}/give-up")
    clock.ahead_s = 0
    await hear(72, 120, 48.0)
    assert loft() < 47, "an hour on its way"
    await hear(120, 140, 48.0)
    assert loft() == pytest.approx(48.0, abs=0.2), "back, and believed"
    await bench.restart("boot-3")
    await hear(140, 142, 49.0)
    assert loft() == pytest.approx(49.0, abs=0.2)
    await bench.close()


class FullStore:
    async def add_journal(self, entries: object) -> int:
        from server.stores.port import StoreFull

        raise StoreFull("no room")


async def test_what_the_disk_did_not_take_has_not_begun(bench: Bench) -> None:
    real = bench.spine.store
    bench.spine.salt_checks.store = FullStore()  # type: ignore[assignment]
    refused = await post(bench, "", status=503, sensor="bench-1", salt="NaCl")
    assert refused["field"] == "store"
    assert await listed(bench) == []
    assert not bench.spine.engine.screening.calibration.away
    with_store(bench, real)
