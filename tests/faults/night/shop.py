"""The shop of a night: wires, devices, broker and server as they are, moved minute by minute."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import httpx

from sensors.driver import SensorError
from sensors.mqtt import Publisher
from sensors.simulated import PtyPair
from sensors.simulated_probe import SimulatedBus, SimulatedProbe
from server.reading import Flag
from server.stores.sqlite_file import FILE_NAME
from tests.faults.conftest import ROOT
from tests.faults.night.clock import Hand
from tests.faults.night.devices import (
    AT_THE_BROKER,
    EVERYBODY,
    LINE,
    PROBE,
    Device,
    config_text,
    registers,
)
from tests.faults.test_broker_kills import KilledBroker
from tests.flow.conftest import Door, free_port, until

STEP_S = 60.0
START_MS = 1_799_794_800_000
"""Tuesday 12 January 2027, 23:00 UTC."""
WITHIN_S = 60.0
Alerts = dict[tuple[str, str], str]


class Wall:
    """What the wall said after each step."""

    def __init__(self, step: int, said: dict[str, Any]) -> None:
        self.step = step
        self.word, self.title = said["band"]["word"], said["band"]["title"]["key"]
        self.sentence = said["band"]["title"]["text"]
        self.notices = {n["key"] for n in said["notices"]}
        self.alerts: Alerts = {(a["rule"], a["subject"]): a["state"] for a in said["alerts"]}
        self.ids = {a["rule"]: a["id"] for a in said["alerts"]}


class Shop:
    """``state`` may lie on a small disk. Nothing in here waits for a time: each step waits for what was said in it."""

    def __init__(self, folder: Path, state: Path) -> None:
        self.folder, self.state = folder, state
        self.broker = KilledBroker(folder / "broker")
        self.hand = Hand(folder / "clock", START_MS)
        self.line, self.bus = PtyPair(folder / "by-id", "usb-line"), PtyPair(folder / "by-id", "usb-bus")
        self.probes = SimulatedBus(self.bus, {})
        self.port = free_port()
        self.door = Door(self.port)
        self.step = 0
        self.down: set[str] = set()
        """Sources that hear nothing now."""
        self.full = False
        self.told: dict[str, list[float]] = {d.sensor: [] for d in EVERYBODY}
        """Temperatures that must be in the record, by sensor."""
        self.pending: list[tuple[str, bytes | str, bool]] = []
        self.wall: list[Wall] = []
        self.voice: Publisher | None = None
        self.counted: dict[str, int] = {}
        self.tries = 0
        self.ahead_ms = 0
        """By how much the machine's wall clock was set."""
        self._server: subprocess.Popen[bytes]
        self._answering: asyncio.Task[None]
        (folder / "stillstack.toml").write_text(config_text(self.line.port, self.bus.port, self.broker.port))

    async def __aenter__(self) -> Shop:
        await self.broker.start()
        self._probe_says()
        self._answering = asyncio.create_task(self.probes.run())
        return self

    async def __aexit__(self, *_: object) -> None:
        self.kill()
        self._answering.cancel()
        await asyncio.wait({self._answering})
        if self.voice is not None:
            await self.voice.stop()
        self.broker.kill()
        self.line.close()
        self.bus.close()
        await self.door.http.aclose()

    # ---- the server ------------------------------------------------------------------------------------------------

    async def start(self, *more: str) -> None:
        self._server = self._begun(*more)
        await self.listened()

    async def power_is_back(self) -> None:
        """A second later: what is said at the very moment of a reading that is there would be a correction of it. The
        probe is asked at once, and answers with a temperature that tells this from the last minute's."""
        self.hand.advance(1.0)
        self.tries += 1
        temperature = round(18.0 + self.tries / 1000, 3)
        self.probes.units[1] = SimulatedProbe({**registers(self.step), 0: round(temperature * 1000)}).answer
        await self.start("--restarted")
        query = "SELECT 1 FROM reading JOIN series ON id = series WHERE name = ? AND abs(value - ?) < 1e-4"
        asked = f"{PROBE.sensor}/temperature_c"
        await until(lambda: bool(self.ask(query, asked, temperature)), "the probe asked after a start", WITHIN_S)

    async def listened(self) -> None:
        """Every wire is up, and the first line on the serial one, which may be half a line, is over."""
        await until(self.listening, "every wire up", WITHIN_S)
        await self.spoken(b"T=99.9\n")
        if self.told[LINE.sensor]:
            await until(self._live, "what is said now counts as said now", WITHIN_S)

    async def _live(self) -> bool:
        """Whether the wires hear what is live again. What a broker had kept for us ends with the first pause, and the
        night leaves none by itself."""
        await asyncio.sleep(0.5)
        self.tries += 1
        temperature = round(18.0 + self.tries / 1000, 3)
        for device in AT_THE_BROKER:
            self.pending += [
                (topic, said, False) for topic, said in device.tries(self.step, temperature, self.own_ms + self.tries)
            ]
        await self.flush()
        query = (
            "SELECT flags FROM reading JOIN series ON id = series"
            " WHERE name LIKE '%/temperature_c' AND NOT name LIKE 'zone:%' AND value = ?"
        )
        await until(lambda: len(self.ask(query, temperature)) == len(AT_THE_BROKER), "a try heard", WITHIN_S)
        return not any(int(flags) & Flag.BACKLOG for (flags,) in self.ask(query, temperature))

    @property
    def own_ms(self) -> int:
        """What a device's own clock says."""
        return START_MS + self.hand.mono_ms

    def _begun(self, *more: str) -> subprocess.Popen[bytes]:
        environment = dict(
            os.environ,
            STILLSTACK_STATE=str(self.state),
            STILLSTACK_CONFIG=str(self.folder / "stillstack.toml"),
            PYTHONPATH=str(ROOT),
        )
        command = [sys.executable, "-m", "tests.faults.night.server", str(self.folder / "clock"), str(self.port), *more]
        return subprocess.Popen(command, cwd=ROOT, env=environment)

    def kill(self) -> None:
        if self._server.poll() is None:
            self._server.send_signal(signal.SIGKILL)
            self._server.wait(10)

    async def sources(self) -> dict[str, dict[str, Any]]:
        with contextlib.suppress(httpx.HTTPError):
            return {s["source"]: s for s in (await self.door.http.get("/api/sources")).json()}
        return {}

    async def listening(self) -> bool:
        found = await self.sources()
        return bool(found) and all(s["state"] == "listening" or name in self.down for name, s in found.items())

    # ---- the devices -----------------------------------------------------------------------------------------------

    def _probe_says(self) -> None:
        self.probes.units[1] = SimulatedProbe(registers(self.step)).answer

    async def say(self, topic: str, payload: bytes | str, *, retain: bool = False) -> None:
        """With QoS 1, and again and again until a broker has taken it."""
        self.pending.append((topic, payload, retain))
        await self.flush()

    async def flush(self) -> None:
        if not self.broker_up or not self.pending:
            return
        while self.pending:
            with contextlib.suppress(SensorError):
                if self.voice is None:
                    self.voice = Publisher("127.0.0.1", self.broker.port)
                    await self.voice.start()
                for topic, payload, retain in self.pending:
                    self.voice.publish(topic, payload, retain=retain)
                await self.voice.flushed(30.0)
                self.pending.clear()
                return
            if self.voice is not None:
                await self.voice.stop()
            self.voice = None
            await asyncio.sleep(0.02)

    @property
    def broker_up(self) -> bool:
        return self.broker.process.poll() is None

    async def minute(self) -> None:
        """The next step: everybody says their piece, and it is awaited wherever a wire is up."""
        self.step += 1
        self._probe_says()
        self.hand.advance(STEP_S)
        if "bus" not in self.down:
            self._tell(PROBE)
        if "line" not in self.down:
            temperature, humidity = LINE.air(self.step)
            await self.spoken(b"T=%.3f RH=%.1f\n" % (temperature, humidity))
            self._tell(LINE)
        for device in AT_THE_BROKER:
            self.pending += [(topic, payload, False) for topic, payload in device.says(self.step, self.own_ms)]
            self._tell(device)
        await self.flush()
        await self.arrived()
        await self.look()

    async def spoken(self, line: bytes) -> None:
        await until(lambda: self.line.write_line(line), "the serial line read", WITHIN_S)

    def _tell(self, device: Device) -> None:
        self.told[device.sensor].append(device.air(self.step)[0])
        messages = 2 if device.source == "numbers" else 1
        self.counted[device.source] = self.counted.get(device.source, 0) + messages

    async def arrived(self) -> None:
        """What was said on wires that are up is in the record, or in memory while that takes nothing."""
        if self.full:
            await until(self._heard, f"step {self.step} heard", WITHIN_S)
            return
        up = [d for d in EVERYBODY if d.source not in self.down]
        await until(lambda: all(self.holds(d) for d in up), f"step {self.step} in the record", WITHIN_S)

    def holds(self, device: Device) -> bool:
        """Whether the last it has told is in the record."""
        query = "SELECT 1 FROM reading JOIN series ON id = series WHERE name = ? AND abs(value - ?) < 1e-4"
        return bool(self.ask(query, f"{device.sensor}/temperature_c", self.told[device.sensor][-1]))

    async def _heard(self) -> bool:
        found = await self.sources()
        return bool(found) and all(found[name]["heard"] >= count for name, count in self.counted.items())

    async def counts_begin(self) -> None:
        """From here on what is heard is counted: the record cannot be asked."""
        self.counted = {name: s["heard"] for name, s in (await self.sources()).items() if name != "any"}

    def ask(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        path = f"file:{self.state / FILE_NAME}?mode=ro"
        with contextlib.suppress(sqlite3.OperationalError), closing(sqlite3.connect(path, uri=True)) as file:
            return file.execute(query, values).fetchall()
        return []

    async def look(self) -> Wall:
        """What the wall says of this step, in a picture drawn since it began."""
        begun_ms = self.own_ms + self.ahead_ms
        said: dict[str, Any] = {}

        async def drawn() -> bool:
            said.update(await self.door.snapshot())
            return int(said["now_ms"]) == begun_ms

        await until(drawn, f"a picture of step {self.step}", WITHIN_S)
        self.wall.append(Wall(self.step, said))
        return self.wall[-1]

    def set_clock(self, seconds: float) -> None:
        """Somebody sets the machine's wall clock by so much."""
        self.hand.step_wall(seconds)
        self.ahead_ms += round(seconds * 1000)
