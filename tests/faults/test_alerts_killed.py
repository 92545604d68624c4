"""An alert and what people do to it outlive a death at any point: before each write, after it, before the answer."""

from __future__ import annotations

import asyncio
import contextlib
import json
import random
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest

from sensors.mqtt import Publisher
from server.deeds import AlertCommand, CommandDone
from server.stores.sqlite_history import SqliteHistory
from tests.faults.conftest import ServerProcess
from tests.faults.test_killed import up
from tests.flow.conftest import Door, Shop, free_port, until
from tests.unit.sensors.helpers import a_broker
from tests.unit.spine import MINUTE, Bench, config, sample, with_store

AT_ONCE = "[rules.dry-limit]\nraise_after_min = 0\nclear_after_min = 0\n"
RULE = "dry-limit"
ROUNDS = 2
WRITES = ("append", "put_alerts", "add_journal", "remember_command")


class Killed(BaseException):
    """The process dies here; nobody catches it."""


class Dying:
    """The real store in a process that dies at its ``at``-th write: before it, or after it and before anybody knows."""

    def __init__(self, store: Any, at: int | None = None, *, after: bool = False) -> None:
        self.store, self.at, self.after, self.writes = store, at, after, 0

    def __getattr__(self, name: str) -> Any:
        found = getattr(self.store, name)
        return found if name not in WRITES else self._writing(found)

    def _writing(self, write: Callable[..., Awaitable[Any]]) -> Callable[..., Awaitable[Any]]:
        async def dying(*args: Any, **more: Any) -> Any:
            self.writes += 1
            if self.writes == self.at and not self.after:
                raise Killed
            done = await write(*args, **more)
            if self.writes == self.at:
                raise Killed
            return done

        return dying


class Story:
    """An alert seen by two walls while it stands, and one by two walls when it is over. A step that a death cut short
    is told again after the restart, as a broker and a wall do."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.answers: list[tuple[str, bool]] = []
        self.alert = ""

    async def air(self, minute: int, humidity_pct: float) -> None:
        await self.bench.hear([sample("bench-1", (minute + n) * MINUTE, 20.0, humidity_pct) for n in range(2)], 2)

    async def look(self) -> None:
        (alert,) = [a for a in self.bench.document.alerts if a.rule == RULE]
        self.alert = alert.id

    async def acknowledge(self, wall: str) -> None:
        done: CommandDone = await self.bench.spine.engine.command(AlertCommand(wall, "acknowledge", self.alert))
        self.answers.append((done.state, done.already))

    def steps(self) -> list[Callable[[], Awaitable[None]]]:
        return [
            lambda: self.air(1, 20.0), self.look, lambda: self.acknowledge("wall-a-1"),
            lambda: self.acknowledge("wall-b-1"), lambda: self.air(4, 45.0), lambda: self.air(7, 20.0), self.look,
            lambda: self.air(10, 45.0), lambda: self.acknowledge("wall-a-2"), lambda: self.acknowledge("wall-b-2"),
        ]  # fmt: skip

    async def tell(self) -> None:
        for step in self.steps():
            try:
                await step()
            except Killed:
                await self.bench.restart(boot=f"boot-{uuid4().hex[:6]}")
                await step()

    def kept(self) -> tuple[object, ...]:
        history = self.bench.spine.history
        states = [(rule, subject, state) for _, rule, subject, state in self.bench.alert_story() if rule == RULE]
        entries = [(e.id, e.kind, e.data["state"]) for e in history.journal()]
        return states, entries, [a for a in history.alerts() if a.rule == RULE], self.answers


async def test_killed_at_any_write_no_alert_and_no_deed_is_lost_or_done_twice(tmp_path: Path) -> None:
    whole = Bench(tmp_path / "whole", config(AT_ONCE))
    counting = Dying(whole.spine.store)
    with_store(whole, counting)
    told = Story(whole)
    await told.tell()
    expected = told.kept()
    await whole.close()
    assert expected[0] == [(RULE, "bench", s) for s in (
        "unacknowledged", "acknowledged", "normal", "unacknowledged", "returned", "normal",
    )]  # fmt: skip
    assert expected[1] == [("wall-a-1", "acknowledged", "acknowledged"), ("wall-a-2", "acknowledged", "normal")]
    assert told.answers == [("acknowledged", False), ("acknowledged", True), ("normal", False), ("normal", True)]
    assert counting.writes > 10
    for n in range(2 * counting.writes):
        bench = Bench(tmp_path / f"killed-{n}", config(AT_ONCE))
        with_store(bench, Dying(bench.spine.store, 1 + n // 2, after=bool(n % 2)))
        story = Story(bench)
        await story.tell()
        assert story.kept() == expected, n
        await bench.close()


@pytest.mark.whole
async def test_a_server_killed_between_the_write_and_the_answer_is_asked_again(
    shop: Shop, servers: list[ServerProcess]
) -> None:
    chance = random.Random(7)
    server = ServerProcess(shop, shop.text(broker=False, rules=AT_ONCE), free_port())
    servers.append(server)
    async with a_broker(shop.folder / "broker", shop.broker_port), Publisher("127.0.0.1", shop.broker_port) as devices:
        server.start()
        async with Door(server.port) as door, Door(server.port) as other:
            await until(lambda: up(door), "the server up")
            for n in range(ROUNDS):
                alert = await said(devices, 20.0 + n / 10, lambda: standing(door))
                body = {"command_id": str(uuid4())}
                path = f"/api/alerts/{alert}/acknowledge"
                cut_short = asyncio.create_task(sent(door, path, body))
                if n % 2:  # the answer is on its way or there: nobody reads it
                    await until(lambda body=body: kept(shop, body["command_id"]), "it in the record")
                else:
                    await asyncio.sleep(chance.uniform(0.0, 0.01))  # anywhere on its way
                server.kill()
                await cut_short
                server.start("--restarted")
                await until(lambda: up(door), "the server up again")
                again, second = await door.post(path, body), await other.post(path, {"command_id": str(uuid4())})
                assert (again.status_code, again.json()["state"]) == (200, "acknowledged"), again.text
                assert (second.status_code, second.json()["already"]) == (200, True), second.text
                await said(devices, 45.0 + n / 10, lambda: nothing_stands(door))
        assert await server.stop() == 0
    history = SqliteHistory(shop.state / "record.sqlite")
    assert [e.kind for e in history.journal() if e.kind == "acknowledged"] == ["acknowledged"] * ROUNDS


async def said(devices: Publisher, humidity: float, seen: Callable[[], Awaitable[Any]]) -> Any:
    """Say it, as sensors do again and again, until it shows: what a broker kept over a start moves nothing."""

    async def once() -> Any:
        devices.publish("shop/loft-1/air", json.dumps({"temperature": 20.0, "humidity": humidity}))
        await devices.flushed()
        with contextlib.suppress(AssertionError):
            return await until(seen, "it", 0.5)

    return await until(once, f"what {humidity} % makes of the alert")


async def sent(door: Door, path: str, body: dict[str, str]) -> None:
    with contextlib.suppress(httpx.TransportError):
        await door.post(path, body)


async def standing(door: Door) -> str | None:
    found = [a for a in (await door.snapshot())["alerts"] if a["rule"] == RULE and a["state"] != "returned"]
    return found[0]["id"] if found else None


async def nothing_stands(door: Door) -> bool:
    return not [a for a in (await door.snapshot())["alerts"] if a["rule"] == RULE]


def kept(shop: Shop, command_id: str) -> bool:
    return SqliteHistory(shop.state / "record.sqlite").command(command_id) is not None
