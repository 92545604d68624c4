"""Any process may die at any time: nothing acknowledged is lost, and the wall is told."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import time
from collections.abc import Iterable
from pathlib import Path

import pytest

from sensors.mqtt import Publisher
from server.app import Settings, serving
from server.clock import SystemClock
from server.reading import Flag
from server.stores.sqlite_history import SqliteHistory
from tests.faults.conftest import ServerProcess
from tests.flow.conftest import Door, Shop, until
from tests.flow.test_path import listening
from tests.unit.sensors.helpers import a_broker, free_port

pytestmark = pytest.mark.whole
MESSAGES = 900


@pytest.mark.parametrize("stated", [True, False], ids=["own time", "no time"])
async def test_a_server_killed_in_full_flow_loses_no_message_of_the_broker(
    shop: Shop, servers: list[ServerProcess], stated: bool
):
    server = ServerProcess(shop, shop.text(broker=False), free_port())
    servers.append(server)
    async with a_broker(shop.folder / "broker", shop.broker_port), Door(server.port) as door:
        server.start()
        await until(lambda: up(door), "the server up")
        async with Publisher("127.0.0.1", shop.broker_port) as devices:
            began_ms = time.time_ns() // 1_000_000 - MESSAGES
            for n in range(MESSAGES):
                body = {"temperature": 20.0, "humidity": round(10 + n / 10, 1)}
                own = {"t_ms": began_ms + n} if stated else {}
                devices.publish("shop/loft-1/air", json.dumps(body | own))
                if n in (MESSAGES // 3, 2 * MESSAGES // 3):
                    await devices.flushed()
                    await until(lambda: stored(shop), "the first of them stored")
                    server.kill()
                    server.start("--restarted")
            await devices.flushed()
        await until(lambda: len(set(stored(shop))) == MESSAGES, "every message in the record", 40)
        assert set(stored(shop)) == {round(10 + n / 10, 1) for n in range(MESSAGES)}
        # What came twice counts once: by its own time it is one row, without one the second is kept and moves nothing.
        assert len(stored(shop, good_only=True)) == len(set(stored(shop, good_only=True)))
        if stated:
            assert len(stored(shop)) == MESSAGES
        await until(lambda: up(door), "the server up again")
        keys = [n["key"] for n in (await door.snapshot())["notices"]]
        assert "server-restarted" in keys
        assert await server.stop() == 0


async def test_what_a_broker_kept_for_a_stopped_server_is_all_in_the_record_and_moves_nothing(shop: Shop):
    def settings(*, restarted: bool) -> Settings:
        return Settings(shop.config(broker=False), shop.state, SystemClock(), restarted=restarted)

    async def hears(door: Door, humidity: float) -> bool:
        """Whether a live message reaches the wall; a while is left for it, as sensors do."""
        await send(shop, humidity)
        with contextlib.suppress(AssertionError):
            await until(lambda: has(door, humidity), "it on the wall", 1.0)
        return await has(door, humidity)

    kept = [round(20 + n / 20, 2) for n in range(600)]
    async with a_broker(shop.folder / "broker", shop.broker_port):
        async with serving(settings(restarted=False)) as port, Door(port) as door:
            await until(lambda: listening(door), "both wires listening")
            await until(lambda: hears(door, 65.0), "the first reading on the wall")
        before = len(stored(shop))
        async with Publisher("127.0.0.1", shop.broker_port) as devices:
            for humidity in kept:
                devices.publish("shop/loft-1/air", json.dumps({"temperature": 20.0, "humidity": humidity}))
            await devices.flushed()
        async with serving(settings(restarted=True)) as port, Door(port) as door:
            await until(lambda: len(stored(shop)) >= before + len(kept), "all of it in the record")
            assert await has(door, 65.0), "when it was measured nobody knows"
            await until(lambda: hears(door, 66.0), "what is live on the wall")
    rows = SqliteHistory(shop.state / "record.sqlite").readings("loft-1/humidity_pct", 0, 2**53, good_only=False)
    assert [r.value for r in rows if r.value in kept] == kept
    assert {r.flags for r in rows if r.value in kept} == {Flag.BACKLOG}


async def test_a_killed_broker_is_told_on_the_wall_and_brought_back(shop: Shop):
    settings = Settings(shop.config(), shop.state, SystemClock())
    async with serving(settings) as port, Door(port) as door:
        await until(lambda: listening(door), "both wires listening")
        await send(shop, 45.0)
        await until(lambda: has(door, 45.0), "the first reading on the wall")
        os.kill(broker_pid(), signal.SIGKILL)
        await until(lambda: notice(door, "source-lost", "source-back"), "the wall told of the lost broker")
        await until(lambda: listening(door), "both wires listening again", 40)
        await until(lambda: notice(door, "source-back"), "the wall told that it is back, and since when")
        assert not await notice(door, "source-lost")
        await send(shop, 46.0)
        await until(lambda: has(door, 46.0), "the next reading on the wall")
    humidity = SqliteHistory(shop.state / "record.sqlite").readings("loft-1/humidity_pct", 0, 2**53)
    assert [r.value for r in humidity] == [45.0, 46.0]


async def test_a_stop_in_full_flow_ends_within_five_seconds_and_leaves_nothing_behind(
    shop: Shop, servers: list[ServerProcess]
):
    server = ServerProcess(shop, shop.text(), free_port())
    servers.append(server)
    async with Door(server.port) as door:
        server.start()
        await until(lambda: up(door), "the server up")
        pids = children(server.process.pid)
        assert any("mosquitto" in line for line in pids.values())
        assert await server.stop() == 0  # waits five seconds at most
    assert not alive(pids)


async def test_a_killed_server_takes_its_broker_along(shop: Shop, servers: list[ServerProcess]):
    server = ServerProcess(shop, shop.text(), free_port())
    servers.append(server)
    async with Door(server.port) as door:
        server.start()
        await until(lambda: up(door), "the server up")
        pids = children(server.process.pid)
        server.kill()
        await until(lambda: not alive(pids), "the broker gone with it")


def stored(shop: Shop, *, good_only: bool = False) -> list[float]:
    """Every humidity in the record, a row each; empty while there is none."""
    file = shop.state / "record.sqlite"
    with contextlib.suppress(OSError):
        if file.stat().st_size:
            rows = SqliteHistory(file).readings("loft-1/humidity_pct", 0, 2**53, good_only=good_only)
            return [r.value for r in rows]
    return []


def children(pid: int) -> dict[int, str]:
    """Direct children: pid to command line."""
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return {int(p): Path(f"/proc/{p}/cmdline").read_text().replace("\0", " ") for p in listed}


def alive(pids: Iterable[int]) -> list[int]:
    """Those of the processes that still are."""
    return [pid for pid in pids if Path(f"/proc/{pid}").exists()]


def broker_pid() -> int:
    (pid,) = [pid for pid, line in children(os.getpid()).items() if "mosquitto" in line]
    return pid


async def send(shop: Shop, humidity: float) -> None:
    async with Publisher("127.0.0.1", shop.broker_port) as devices:
        devices.publish("shop/loft-1/air", json.dumps({"temperature": 20.0, "humidity": humidity}))
        await devices.flushed()


async def up(door: Door) -> bool:
    with contextlib.suppress(Exception):
        return await listening_mq(door)
    return False


async def listening_mq(door: Door) -> bool:
    """The MQTT wire is up; the serial one may have lost its reader's end."""
    return any(s["source"] == "mq" and s["state"] == "listening" for s in (await door.http.get("/api/sources")).json())


async def has(door: Door, humidity: float) -> bool:
    air = (await door.zone("loft"))["air"]
    return air is not None and air["humidity_pct"] == pytest.approx(humidity, abs=0.06)


async def notice(door: Door, *keys: str) -> bool:
    return not {n["key"] for n in (await door.snapshot())["notices"]}.isdisjoint(keys)
