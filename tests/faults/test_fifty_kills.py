"""kill -9 of the whole server at random points under load, again and again, against a run that nobody disturbs.

Field pitfall 1: whatever a broker said it had taken is in the record once, the remote holds what the record holds, and
the alerts are those of the undisturbed run. ``STILLSTACK_KILLS`` makes it more or fewer.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import math
import os
import random
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, closing
from pathlib import Path

import pytest

from sensors.mqtt import Publisher
from server.reading import Flag
from server.stores.sqlite_file import FILE_NAME
from tests.faults.conftest import ServerProcess
from tests.faults.copying import local
from tests.faults.nursery import Nursling
from tests.flow.conftest import Door, Shop, free_port, until
from tests.remotes import VictoriaServer, own_folder, running
from tests.unit.sensors.helpers import a_broker

pytestmark = pytest.mark.whole
KILLS = int(os.environ.get("STILLSTACK_KILLS", "50"))
SEED = 20270112
DEVICES = ("loft-1", "loft-2", "loft-3")
AIRS = {"inside": 45.0, "dry": 26.5, "inside again": 44.0, "damp": 57.5, "inside at last": 46.0}
"""Phases of the same story for both runs: what the rack loft's devices say there, give or take a little. Never half a
percent past a limit: how they mix on the way there is chance, and an alert that got so much worse is said again."""
EXPECTED = [
    ("dry-limit", "loft", "unacknowledged"),
    ("dry-limit", "loft", "returned"),
    ("damp-limit", "loft", "unacknowledged"),
    ("damp-limit", "loft", "returned"),
]
RULES = """
[rules.dry-limit]
raise_after_min = 0
clear_after_min = 0
[rules.damp-limit]
raise_after_min = 0.02
clear_after_min = 0.02
[rules.falling-fast]
within_h = 1
[rules.sensor-silent]
at_least_min = 600
[rules.source-lost]
raise_after_min = 600
[rules.sensors-apart]
raise_after_min = 1000
"""
PAUSE_S = 0.03
"""Between two rounds of the devices: the load."""
LEAST_OF_A_PHASE = 20


class Load:
    """Devices that publish with QoS 1 and wait for the broker's word, and a serial line; what each has said."""

    def __init__(self, shop: Shop, devices: Publisher) -> None:
        self.shop, self.devices = shop, devices
        self.said: dict[str, dict[int, float]] = {name: {} for name in DEVICES}
        self.spoken: set[float] = set()
        self.phase = next(iter(AIRS))
        self._clock_ms = time.time_ns() // 1_000_000 - 60_000
        self._lines = 0

    @property
    def count(self) -> int:
        return sum(len(one) for one in self.said.values())

    async def run(self) -> None:
        while True:
            await self.round()
            await asyncio.sleep(PAUSE_S)

    async def round(self) -> None:
        for name in DEVICES:
            # Times of their own, a millisecond apart at least, and figures that tell one message from another.
            self._clock_ms = max(self._clock_ms + 1, time.time_ns() // 1_000_000)
            humidity = round(AIRS[self.phase] + self.count % 400 / 1000, 3)
            said = {"temperature": 20.0, "humidity": humidity, "t_ms": self._clock_ms}
            self.devices.publish(f"shop/{name}/air", json.dumps(said))
            self.said[name][self._clock_ms] = humidity
        self._lines += 1
        spoken = round(40 + self._lines % 5000 / 1000, 3)
        if self.shop.pty.write_line(b"T=20.00 RH=%.3f\n" % spoken):
            self.spoken.add(spoken)
        await self.devices.flushed(30.0)


class Record:
    """The record of a running or killed server, read beside it."""

    def __init__(self, shop: Shop) -> None:
        self.path = shop.state / FILE_NAME

    def rows(self, series: str) -> list[tuple[int, float, int]]:
        query = "SELECT t_ms, value, flags FROM reading JOIN series ON id = series WHERE name = ? ORDER BY t_ms"
        return self._ask(query, series)

    def count(self) -> int:
        found = self._ask(
            "SELECT count(*) FROM reading JOIN series ON id = series WHERE name LIKE 'loft-%/humidity_pct'"
        )
        return int(found[0][0]) if found else 0

    def alerts(self) -> list[tuple[str, str, str]]:
        return self._ask("SELECT rule, subject, state FROM alert_change ORDER BY number")

    def _ask(self, query: str, *values: str) -> list[tuple]:  # type: ignore[type-arg]
        with (
            contextlib.suppress(sqlite3.OperationalError),
            closing(sqlite3.connect(f"file:{self.path}?mode=ro", uri=True)) as file,
        ):
            return file.execute(query, values).fetchall()
        return []


def text(shop: Shop, remote: str = "") -> str:
    more = "".join(f'[[sensor]]\nid = "{n}"\nsource = "mq"\ndevice = "{n}"\nzone = "loft"\n' for n in DEVICES[1:])
    copy = (
        f'[[remote]]\nid = "there"\nurl = "{remote}"\norg = "o"\nbucket = "shop"\nsource = "test"\n' if remote else ""
    )
    return shop.text(broker=False, rules=RULES) + more + copy


@asynccontextmanager
async def loaded(shop: Shop, server: ServerProcess) -> AsyncIterator[Load]:
    """The server up once (from then on the broker keeps what it misses), and devices that never stop."""
    server.start()
    async with Door(server.port) as door:
        await until(lambda: is_listening(door), "the server up", 60.0)
    async with Publisher("127.0.0.1", shop.broker_port) as devices:
        load = Load(shop, devices)
        speaking = asyncio.create_task(load.run())
        try:
            yield load
        finally:
            speaking.cancel()
            await asyncio.wait({speaking})
            if not speaking.cancelled() and (error := speaking.exception()):
                raise error


async def is_listening(door: Door) -> bool:
    with contextlib.suppress(Exception):
        return all(s["state"] == "listening" for s in (await door.http.get("/api/sources")).json())
    return False


async def phase_over(load: Load, record: Record, expected: int) -> None:
    """Some more of the phase has been heard live, and it has said what it must."""
    wanted = record.count() + LEAST_OF_A_PHASE
    await until(lambda: record.count() >= wanted and record.alerts() == EXPECTED[:expected], load.phase, 60.0)


async def undisturbed(shop: Shop, server: ServerProcess) -> list[tuple[str, str, str]]:
    record = Record(shop)
    async with a_broker(shop.folder / "broker", shop.broker_port), loaded(shop, server) as load:
        for number, phase in enumerate(AIRS):
            load.phase = phase
            await phase_over(load, record, number)
        assert await server.stop() == 0
    return record.alerts()


class Killer:
    """Starts the server again and again, and kills it at points drawn by chance."""

    def __init__(self, server: Nursling, record: Record, load: Load) -> None:
        self.server, self.record, self.load = server, record, load
        self.chance = random.Random(SEED)
        self.kills: Counter[str] = Counter()

    async def once(self) -> None:
        """Soon after some row of this life was kept; one in five times while it is still starting."""
        starting = self.chance.random() < 0.2
        if starting:
            await asyncio.sleep(self.chance.uniform(0.0, 0.5))  # the chance itself, not a wait for anything
        else:
            wanted = self.record.count() + self.chance.randint(1, 60)
            await until(lambda: self.record.count() >= wanted, f"{wanted} rows kept", 60.0)
            await asyncio.sleep(self.chance.uniform(0.0, 0.03))
        self.server.kill()
        self.kills["while starting" if starting else "under load"] += 1
        afresh = self.kills.total() % 10 == 0
        (self.server.start_afresh if afresh else self.server.start)("--restarted")


@pytest.mark.timeout(300)
async def test_fifty_kills_lose_nothing_and_change_no_alert(tmp_path: Path, servers: list[ServerProcess]) -> None:
    calm, wild = (Shop(made) for made in (tmp_path / "calm", tmp_path / "wild") if not made.mkdir())
    with contextlib.ExitStack() as stack:
        stack.callback(calm.pty.close)
        stack.callback(wild.pty.close)
        remote = stack.enter_context(running(VictoriaServer(stack.enter_context(own_folder()) / "victoria")))
        quiet, server = (
            ServerProcess(calm, text(calm), free_port()),
            Nursling(wild, text(wild, remote.url), free_port()),
        )
        servers += [quiet, server]
        stack.callback(server.close)
        expected = await undisturbed(calm, quiet)
        assert expected == EXPECTED, "the story says what it is made to say"
        record = Record(wild)
        async with a_broker(wild.folder / "broker", wild.broker_port):
            async with loaded(wild, server) as load:
                killer = Killer(server, record, load)
                for number, phase in enumerate(AIRS):
                    load.phase = phase
                    for _ in range(KILLS * (number + 1) // len(AIRS) - KILLS * number // len(AIRS)):
                        await killer.once()
                    await phase_over(load, record, number)
            # what is still on its way comes while nothing more is said
            await until(lambda: missing(record, load) == 0, "every message in the record", 60.0)
        await until(lambda: asyncio.to_thread(same, remote, wild.state), "the remote equal to the record", 60.0)
        server.kill()
    sys.stdout.write(f"{dict(killer.kills)}; {load.count} messages, {len(load.spoken)} lines spoken\n")
    for name in DEVICES:
        rows = record.rows(f"{name}/humidity_pct")
        assert {t_ms: value for t_ms, value, _ in rows} == load.said[name], "each once, and nothing else"
        assert not any(flags & (Flag.BACKLOG | Flag.TIME) for _, _, flags in rows), "they state their own times"
    lines = [value for _, value, _ in record.rows("bench-1/humidity_pct")]
    assert lines, "the serial line came through between two kills"
    assert set(lines) <= load.spoken, "no half line became a figure"
    assert len(lines) == len(set(lines))
    assert record.alerts() == expected
    with closing(sqlite3.connect(record.path)) as file:
        assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def missing(record: Record, load: Load) -> int:
    return load.count - record.count()


def same(remote: VictoriaServer, state: Path) -> bool:
    there, here = remote.kept(), local(state)
    # VictoriaMetrics keeps decimal numbers of 13 digits; the others are exact in its answer.
    return there.keys() == here.keys() and all(
        math.isclose(a, b, rel_tol=1e-12, abs_tol=1e-12)
        for key, figures in here.items()
        for a, b in zip(there[key], figures, strict=True)
    )
