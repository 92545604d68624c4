"""The main job end to end: bytes on real wires become a sentence and a figure at the door, an alarm, and a record."""

from __future__ import annotations

import asyncio
import contextlib
import json
import uuid

import pytest

from sensors.mqtt import Publisher
from server.app import Settings, serving
from server.book.catalog import QUESTIONS
from server.clock import SystemClock
from server.stores.sqlite_history import SqliteHistory
from server.wood.emc import emc_pct
from tests.flow.conftest import Door, Shop, until

AT_ONCE = "[rules.dry-limit]\nraise_after_min = 0\nclear_after_min = 0\n"


def settings(shop: Shop, *, rules: str = "", restarted: bool = False) -> Settings:
    return Settings(shop.config(rules=rules), shop.state, SystemClock(), restarted=restarted)


async def speak(shop: Shop, text: str) -> None:
    """One line on the serial wire, once the server has the port open."""
    await until(lambda: shop.pty.write_line(text.encode() + b"\n"), "the port read")


async def test_serial_and_mqtt_reach_the_wall_as_what_the_air_draws_wood_to(shop: Shop):
    async with serving(settings(shop)) as port, Door(port) as door, Publisher("127.0.0.1", shop.broker_port) as devices:
        await until(lambda: listening(door), "both wires listening")
        await speak(shop, "boot text that is no reading")
        await speak(shop, "T=68.0F RH=40.0")
        devices.publish("shop/loft-1/air", json.dumps({"temperature": 17.5, "humidity": 55.0}))
        devices.publish("shop/loft-1/air", b"{broken")
        await until(lambda: _has_air(door, "bench", "loft"), "air in both zones")
        bench, loft = await door.zone("bench"), await door.zone("loft")
        # Independent of the server's path: the equation itself, at the values sent.
        assert bench["air"]["emc_pct"] == pytest.approx(float(emc_pct(20.0, 0.40)), abs=0.006)
        assert loft["air"]["emc_pct"] == pytest.approx(float(emc_pct(17.5, 0.55)), abs=0.006)
        assert bench["air"]["emc_low_pct"] < bench["air"]["emc_pct"] < bench["air"]["emc_high_pct"]
        assert bench["aim"]["text"]["text"] == "aim 6–10 %: work for heated rooms"
        assert bench["state"] == "fresh"
        health = (await door.http.get("/api/health")).json()
        assert health["store"] == "writing"
        sources = {s["source"]: s for s in (await door.http.get("/api/sources")).json()}
        assert sources["line"]["state"] == sources["mq"]["state"] == "listening"
        await until(lambda: _refused(door, "mq"), "the broken payload counted")
    history = record(shop)
    assert [r.value for r in history.readings("bench-1/humidity_pct", 0, 2**53)] == [40.0]
    assert [r.value for r in history.readings("zone:loft/temperature_c", 0, 2**53)] == [17.5]


async def test_an_alarm_is_raised_acknowledged_once_and_kept_over_a_restart(shop: Shop):
    command = {"command_id": str(uuid.uuid4())}
    async with serving(settings(shop, rules=AT_ONCE)) as port, Door(port) as door:
        await until(lambda: listening(door), "both wires listening")
        await speak(shop, "skipped")
        await speak(shop, "T=21.0 RH=20.0")
        (alert,) = await until(lambda: _alerts(door), "the alert")
        assert (alert["rule"], alert["state"], alert["word"], alert["lean"]) == (
            "dry-limit", "unacknowledged", "look", "dry",
        )  # fmt: skip
        snapshot = await door.snapshot()
        assert snapshot["band"]["alert"] == alert["id"]
        assert snapshot["band"]["word"] == "look"
        first = await door.post(f"/api/alerts/{alert['id']}/acknowledge", command)
        again = await door.post(f"/api/alerts/{alert['id']}/acknowledge", command)
        assert (first.json()["state"], first.json()["repeated"]) == ("acknowledged", False)
        assert (again.json()["state"], again.json()["repeated"]) == ("acknowledged", True)
    history = record(shop)
    assert len(history.journal("acknowledged")) == 1
    async with serving(settings(shop, rules=AT_ONCE, restarted=True)) as port, Door(port) as door:
        (kept,) = await until(lambda: _alerts(door), "the alert after the restart")
        assert (kept["id"], kept["state"]) == (alert["id"], "acknowledged")
        snapshot = await door.snapshot()
        assert "server-restarted" in [n["key"] for n in snapshot["notices"]]
        bench = await door.zone("bench")
        assert bench["air"] is not None, "a restart within the period forgets no air"
        shelved = await door.post(f"/api/alerts/{alert['id']}/shelve", {"command_id": str(uuid.uuid4()), "hours": 8})
        assert shelved.json()["state"] == "shelved"
        await speak(shop, "skipped")
        await speak(shop, "T=21.0 RH=45.0")
        await until(lambda: _inside(door), "the air inside its aim again")
        lifted = await door.post(f"/api/alerts/{alert['id']}/unshelve", {"command_id": str(uuid.uuid4())})
        assert lifted.json()["state"] == "normal"
        assert await _alerts(door) == []


async def test_a_long_poll_wakes_on_the_next_picture_and_another_boots_version_answers_at_once(shop: Shop):
    async with serving(settings(shop)) as port, Door(port) as door:
        first = await door.snapshot()
        waiting = asyncio.create_task(door.snapshot(after=first["version"], wait_s=20))
        await until(lambda: listening(door), "both wires listening")
        await speak(shop, "skipped")
        await speak(shop, "T=21.0 RH=45.0")
        following = await waiting
        assert following["version"] != first["version"]
        assert following["version"].split(".")[0] == first["version"].split(".")[0]
        foreign = await door.snapshot(after="another.7", wait_s=20)
        assert foreign["version"].split(".")[0] == first["version"].split(".")[0]


async def test_stopping_answers_who_waits_and_leaves_the_record_closed(shop: Shop):
    async with contextlib.AsyncExitStack() as outlasting:
        async with serving(settings(shop)) as port:
            door = await outlasting.enter_async_context(Door(port))
            first = await door.snapshot()
            waiting = asyncio.create_task(door.snapshot(after=first["version"], wait_s=25))
            await until(lambda: listening(door), "the server at work")
        assert (await waiting)["zones"]
    assert not list(shop.state.glob("*-wal")), "the log is folded into the record at a clean stop"


def record(shop: Shop) -> SqliteHistory:
    """What a stopped server has left."""
    return SqliteHistory(shop.state / "record.sqlite")


async def listening(door: Door) -> bool:
    """Whether every wire is up: a broker keeps nothing for a session that has not been there yet."""
    return all(s["state"] == "listening" for s in (await door.http.get("/api/sources")).json())


async def _has_air(door: Door, *zones: str) -> bool:
    found = {z["id"]: z["air"] for z in (await door.snapshot())["zones"]}
    return all(found[z] is not None for z in zones)


async def _alerts(door: Door):
    return [a for a in (await door.snapshot())["alerts"] if a["rule"] == "dry-limit"]


async def _inside(door: Door) -> bool:
    zone = await door.zone("bench")
    return zone["air"]["emc_pct"] > zone["aim"]["dry_limit_pct"]


async def _refused(door: Door, source: str) -> bool:
    return any(s["source"] == source and s["refused"] for s in (await door.http.get("/api/sources")).json())


async def test_the_bench_book_knows_the_shops_own_species(shop: Shop):
    own = '[[species]]\nkey = "elm_lane"\ncommon_name = "Elm from the lane"\nspecific_gravity = 0.5\n'
    own += "shrinkage_radial_pct = 4.9\nshrinkage_tangential_pct = 8.2\n"
    asked = {"species": "elm_lane", "width_mm": 300, "from_pct": 8, "to_pct": 12}
    async with serving(settings(shop, rules=own)) as port, Door(port) as door:
        found = (await door.post("/api/book/movement", asked)).json()
        assert found["change_mm"] == pytest.approx(300 * 4 / (3000 / 8.2 - 22))  # eq. 13-3 by hand
        assert "own-species" in found["flags"]
        assert "Elm from the lane is a species of your own" in found["sentence"]
        assert "(yours)" in found["source"]
        near = await door.post("/api/book/movement", {**asked, "species": "elm_lain"})
        assert (near.status_code, near.json()["field"]) == (422, "species")
        assert "elm_lane" in near.json()["would_be_right"]


async def test_the_bench_book_and_the_history_answer_at_the_same_door(shop: Shop):
    async with serving(settings(shop)) as port, Door(port) as door:
        reply = await door.post("/api/book/emc", {"temperature_c": 20, "humidity_pct": 40})
        assert reply.json()["emc_pct"] == pytest.approx(float(emc_pct(20.0, 0.40)))
        assert "draws wood to 7.7 % MC" in reply.json()["sentence"]
        imperial = await door.http.post(
            "/api/book/emc", params={"units": "imperial"}, json={"temperature_c": 20, "humidity_pct": 40}
        )
        assert "Air at 68 °F" in imperial.json()["sentence"]
        wrong = await door.post("/api/book/emc", {"temperature_c": 20, "humidity_pct": 140})
        assert (wrong.status_code, wrong.json()["field"]) == (422, "humidity_pct")
        assert (await door.post("/api/book/nothing", {})).status_code == 404
        assert [q["name"] for q in (await door.http.get("/api/book")).json()] == list(QUESTIONS)
        missing = await door.http.get("/api/history", params={"zone": "cellar", "from_ms": 0, "to_ms": 1})
        assert missing.json()["would_be_right"] == "one of bench, loft"
        paths = (await door.http.get("/openapi.json")).json()["paths"]
        assert {"/api/snapshot", "/api/history", "/api/alerts/{alert}/acknowledge", "/api/health"} <= paths.keys()
