"""A clock that is set late, leaps and falls back, in real processes; and a process that dies in the middle of the move.

Field pitfall 3: fake clock jumps +30 days and -1 h, a boot in 1970 that learns the time later.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import textwrap
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from sensors.mqtt import Publisher
from server.clock import ManualClock
from server.reading import Flag, JournalEntry, Reading, Refused
from server.stores.catalog import open_store
from server.stores.sqlite_file import FILE_NAME
from server.stores.sqlite_history import SqliteHistory
from tests.contract.test_store import alert
from tests.faults.conftest import ROOT, ServerProcess
from tests.flow.conftest import Door, Shop, until
from tests.unit.sensors.helpers import a_broker, free_port

T0 = 1_799_755_200_000
HOUR, DAY = 3_600_000, 86_400_000
KILLS = 20
ALWAYS = (0, 2**53)
MOVER = textwrap.dedent(f"""
    import asyncio, os, signal, sys
    from pathlib import Path
    from server.clock import ManualClock
    from server.reading import JournalEntry
    from server.stores.catalog import open_store

    async def main(folder, dies_after):
        store, history = open_store(Path(folder), "Europe/Oslo", ManualClock({T0}))
        steps = 0

        def step():
            nonlocal steps
            steps += 1
            if steps == dies_after:
                os.kill(os.getpid(), signal.SIGKILL)

        store._ledger._connection.set_progress_handler(step, 500)
        boot = history.boot()
        entry = JournalEntry("set", {T0} + {DAY}, "clock-set", "clock", {{}})
        await store.set_clock(boot.id, boot.wall_minus_mono_ms + {DAY}, entry)
        print(steps, flush=True)
        if not dies_after:
            await store.close()
        os.kill(os.getpid(), signal.SIGKILL)

    asyncio.run(main(sys.argv[1], int(sys.argv[2])))
""")


async def laid_down(folder: Path) -> None:
    """A record with a boot whose clock was not set: six hours of readings on both sides of where it begins."""
    store, _ = open_store(folder, "Europe/Oslo", ManualClock(T0))
    before = [Reading(f"s{n % 4}/temperature_c", T0 - 1 - n * 30_000, 20.0) for n in range(720)]
    await store.append(before)
    boot = await store.begin_boot("boot", 0, T0, clock_set=False)
    unset = [Reading(f"s{n % 4}/temperature_c", T0 + n * 30_000, n / 8, Flag.CLOCK_UNSET) for n in range(720)]
    await store.append(unset, [Refused("s", T0 + n, "a", b"x", "no") for n in range(50)])
    await store.add_journal([JournalEntry(f"j{n}", T0 + n, "placed", "s1", {"from_ms": T0 + n}) for n in range(50)])
    await store.put_alerts([alert(changed_ms=T0 + 5, alert_id="a")])
    assert boot.id
    await store.close()


def contents(folder: Path) -> dict[str, list[Any]]:
    with closing(sqlite3.connect(folder / FILE_NAME)) as file:
        assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        tables = ("reading", "replaced", "refused", "hour", "day", "journal", "alert", "alert_change", "boot", "late")
        return {table: file.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall() for table in tables}  # noqa: S608


def moved(folder: Path, dies_after: int) -> int | None:
    """Let a process move it; after how many steps it had, None where it died on the way."""
    environment = dict(os.environ, PYTHONPATH=str(ROOT))
    command = [sys.executable, "-c", MOVER, str(folder), str(dies_after)]
    done = subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, timeout=60)
    assert done.returncode == -signal.SIGKILL
    return int(done.stdout) if done.stdout else None


async def test_a_process_that_dies_in_the_move_leaves_all_of_it_before_or_all_of_it_after(tmp_path: Path):
    await laid_down(tmp_path / "unset")
    before = contents(tmp_path / "unset")
    shutil.copytree(tmp_path / "unset", tmp_path / "whole")
    steps = moved(tmp_path / "whole", 0)
    after = contents(tmp_path / "whole")
    assert steps
    assert steps > KILLS
    assert {r[1] for r in after["reading"]} == {r[1] + DAY * (r[1] >= T0) for r in before["reading"]}
    chance = random.Random(20270112)
    for number in range(KILLS):
        folder = tmp_path / f"killed-{number}"
        shutil.copytree(tmp_path / "unset", folder)
        # the last one dies just after the answer: that must have been kept
        dies_after = steps + 1 if number == KILLS - 1 else chance.randint(1, steps - 1)
        finished = moved(folder, dies_after) is not None
        assert contents(folder) == (after if finished else before), dies_after
        assert finished == (dies_after > steps)
        if not finished:  # the next start does it
            moved(folder, 0)
            assert contents(folder) == after


SERVER = textwrap.dedent("""
    import asyncio, json, sys
    from pathlib import Path
    from server.app import Settings, run
    from server.clock import Instant, SystemClock
    from server.serve import read_config

    class ToldClock:
        def __init__(self, told):
            self.told, self.machine = told, SystemClock(ask=lambda _: True)
            self.sleep = self.machine.sleep

        def now(self):
            now, told = self.machine.now(), json.loads(self.told.read_text())
            wall_ms = now.wall_ms + told["ahead_ms"] if told["is_set"] else round(now.mono_s)
            return Instant(wall_ms, now.mono_s, told["is_set"], told["is_set"] or None)

    config, state, told = (Path(name) for name in sys.argv[1:])
    asyncio.run(run(Settings(read_config(config), state, ToldClock(told))))
""")


class ClockedServer(ServerProcess):
    """A server whose wall clock says what a file tells it: real record, real wires, real monotonic clock."""

    def __init__(self, shop: Shop) -> None:
        port = free_port()
        super().__init__(shop, shop.text(broker=False).replace("port = 0\n", f"port = {port}\n", 1), port)
        self.state, self.told = shop.state, shop.folder / "clock.json"

    def start(self, *_: str) -> None:
        command = [sys.executable, "-c", SERVER, str(self.file), str(self.state), str(self.told)]
        self.process = subprocess.Popen(command, cwd=ROOT, env=dict(self.environment, PYTHONPATH=str(ROOT)))

    def wall(self, ahead_ms: int | None) -> None:
        """So far ahead of the true time; None: nobody has set it."""
        new = self.told.with_suffix(".new")
        new.write_text(json.dumps({"ahead_ms": ahead_ms or 0, "is_set": ahead_ms is not None}))
        new.replace(self.told)


class Told:
    """A device that says a humidity no other message has, and when that was."""

    def __init__(self, shop: Shop, door: Door) -> None:
        self.shop, self.door, self.sent_ms = shop, door, dict[float, int]()

    async def say(self, humidity: float) -> None:
        """Again each second until the wall has it: just after a start the broker's backlog has the first word."""
        async with Publisher("127.0.0.1", self.shop.broker_port) as devices:
            for _ in range(20):
                self.sent_ms[humidity] = time.time_ns() // 1_000_000
                devices.publish("shop/loft-1/air", json.dumps({"temperature": 20.0, "humidity": humidity}))
                await devices.flushed()
                with contextlib.suppress(AssertionError):
                    await until(lambda: self.shown(humidity), f"{humidity} % on the wall", 1.0)
                    return
        raise AssertionError(f"never came: {humidity} % on the wall")

    async def shown(self, humidity: float) -> bool:
        zone = await self.door.zone("loft")
        return zone["air"] is not None and zone["air"]["humidity_pct"] == pytest.approx(humidity, abs=0.06)

    def rows(self) -> dict[float, Reading]:
        found = SqliteHistory(self.shop.state / FILE_NAME).readings("loft-1/humidity_pct", *ALWAYS, good_only=False)
        return {row.value: row for row in found}


async def listening(door: Door) -> bool:
    """The server is up and hears its broker."""
    try:
        sources = (await door.http.get("/api/health")).json()["sources"]
    except httpx.TransportError:
        return False
    return bool(sources["mq"] == "listening")


async def clock_set(door: Door) -> bool:
    return bool((await door.snapshot())["shop"]["clock_set"])


@pytest.mark.whole
async def test_a_board_that_starts_in_1970_is_killed_learns_the_time_leaps_and_falls_back(
    shop: Shop, servers: list[ServerProcess]
):
    server = ClockedServer(shop)
    servers.append(server)
    async with a_broker(shop.folder / "broker", shop.broker_port), Door(server.port) as door:
        told = Told(shop, door)
        server.wall(-3 * DAY)
        server.start()
        await until(lambda: listening(door), "the server listening")
        await told.say(40.0)
        server.kill()

        server.wall(None)
        server.start()
        await until(lambda: listening(door), "the server listening without a clock")
        await told.say(41.0)
        assert not await clock_set(door)
        assert "clock-not-set" in [n["key"] for n in (await door.snapshot())["notices"]]
        server.kill()
        server.start()
        await until(lambda: listening(door), "the server listening again")
        await told.say(42.0)
        rows = told.rows()
        assert rows[40.0].t_ms < rows[41.0].t_ms < rows[42.0].t_ms
        assert [rows[h].flags for h in (40.0, 41.0, 42.0)] == [Flag.NONE, Flag.CLOCK_UNSET, Flag.CLOCK_UNSET]

        server.wall(0)
        await until(lambda: clock_set(door), "the clock set")
        await told.say(43.0)
        rows = told.rows()
        for humidity, flag in {41.0: Flag.RELABELLED, 42.0: Flag.RELABELLED, 43.0: Flag.NONE}.items():
            assert rows[humidity].flags == flag
            assert abs(rows[humidity].t_ms - told.sent_ms[humidity]) < 5000, humidity

        for ahead_ms, humidity in ((30 * DAY, 44.0), (30 * DAY - HOUR, 45.0), (0, 46.0)):
            server.wall(ahead_ms)
            await told.say(humidity)
            zone = await door.zone("loft")
            assert zone["state"] == "fresh"
            assert abs(told.rows()[humidity].t_ms - told.sent_ms[humidity] - ahead_ms) < 5000
        health = (await door.http.get("/api/health")).json()
        assert (health["clock_set"], health["clock_jumps"]) == (True, 4)
        assert abs(health["clock_moved_by_ms"] - 3 * DAY) < 60_000
        assert not [a for a in (await door.snapshot())["alerts"] if a["subject"] == "loft-1"]
        assert await server.stop() == 0
    steps = [e.data for e in SqliteHistory(shop.state / FILE_NAME).journal("clock-set")]
    by = sorted(round((int(str(s["to_ms"])) - int(str(s["from_ms"]))) / HOUR) for s in steps)
    assert by == [-30 * 24 + 1, -1, 3 * 24, 30 * 24]
