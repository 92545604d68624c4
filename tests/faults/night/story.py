"""What happens in the night, minute by minute, and how each of it is done to the shop. Three hours, from 23:00 UTC."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import sqlite3
import subprocess
from collections.abc import Awaitable, Callable
from contextlib import closing
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

import serial

from sensors.client_id import client_id
from sensors.driver import SensorError
from sensors.mqtt import Publisher
from sensors.simulated import PtyPair
from server.screening.labels import FUTURE_LIMIT_MS
from server.stores.pages import PageFile
from server.stores.rollups import NOT_GOOD
from server.stores.sqlite_file import FILE_NAME
from tests.faults.night.devices import ANNOUNCED, FOUND
from tests.faults.night.shop import Shop
from tests.flow.conftest import until

BURST = 10_000
WEEK_OLD = 17.171
"""°C, retained at the broker since last week."""
DAY_S = 86_400.0
HOUR_BACK_S = -3607.25
PAGE = 4096
LONG_RUN = 5
"""Readings of a series in a row that are gone: a gap that a report must name. One or two it may take for a pause."""
Row = tuple[str, int, float]
"""Of a reading: (series, t_ms, value)."""


@dataclass
class Night:
    """The shop, and what was done to it: (minute, wire, what)."""

    shop: Shop
    small_disk: bool
    judge: Callable[[Night], None]
    """Looks how what was done so far has ended, while the record still holds it: see :mod:`tests.faults.night.ends`."""
    ended: dict[str, str] = field(default_factory=dict)
    done: list[tuple[int, str, str]] = field(default_factory=list)
    harmed: dict[str, set[Row]] = field(default_factory=dict)
    """What lay on the pages that were damaged, by the damage."""
    lost: dict[str, set[Row]] = field(default_factory=dict)
    """What was in the record before it and is not after it."""
    holes: dict[str, list[tuple[str, int, int]]] = field(default_factory=dict)
    """Of that, the long runs: (series, first, last)."""
    last_lost: dict[int, set[str]] = field(default_factory=dict)
    """By the step in which the server is back: series whose last good reading is gone."""
    answers: list[int] = field(default_factory=list)
    opener: str = ""
    """What was said of the program that held the port."""
    twin_told: str = ""

    @staticmethod
    def step_of(entry: str) -> float:
        """By how many seconds the clock was set, of a journal's entry."""
        data = json.loads(entry)
        return float(data["to_ms"] - data["from_ms"]) / 1000.0

    def note(self, wire: str, what: str) -> None:
        self.done.append((self.shop.step, wire, what))

    # ---- bytes -----------------------------------------------------------------------------------------------------

    async def line(self, what: str, content: bytes) -> None:
        self.note("line", what)
        for start in range(0, len(content), 2048):
            piece = content[start : start + 2048]
            await until(lambda piece=piece: self.shop.line.write_line(piece), what)  # type: ignore[misc]

    async def half_line(self) -> None:
        await self.line("half a line", b"T=19.0")
        await self.line("half a line", b"T=23.0 RH=41.0\n")

    async def boot_text(self) -> None:
        await self.line("boot text", b"\r\nrst:0x1 (POWERON_RESET), boot:0x13\r\n")

    async def no_newline(self) -> None:
        await self.line("a megabyte without a newline", b"\x55" * 1_000_000 + b"\n")

    async def not_utf8(self) -> None:
        await self.line("invalid UTF-8 on the line", b"T=\xff\xfe RH=\xc3\x28\n")

    async def message(self, what: str, topic: str, payload: bytes | str) -> None:
        self.note(topic.partition("/")[0], what)
        await self.shop.say(topic, payload)

    async def over_full(self) -> None:
        await self.message("101 % RH", "shop/odd/air", '{"temperature": 19.5, "humidity": 101}')

    async def not_a_number(self) -> None:
        await self.message("NaN", "shop/odd/air", '{"temperature": NaN, "humidity": 45}')

    async def infinity(self) -> None:
        await self.message("Infinity", "shop/odd/air", '{"temperature": 20.1, "humidity": Infinity}')

    async def dead_chip(self) -> None:
        await self.message("-45.0 from a dead chip", "shop/odd/air", '{"temperature": -45.0, "humidity": 45}')

    async def huge(self) -> None:
        await self.message("1e308", "shop/odd/air", '{"temperature": 1e308, "humidity": 45}')

    async def megabyte(self) -> None:
        await self.message("a megabyte", "any/air", b"5" * 1_000_000)

    async def too_long(self) -> None:
        await self.message("a hundred kilobytes", "any/air", b"5" * 100_000)

    async def broken_text(self) -> None:
        await self.message("invalid UTF-8", "any/air", b'{"temperature": "\xff\xfe"}')

    async def deep(self) -> None:
        await self.message("deeply nested JSON", "any/air", '{"a":' * 1000 + "1" + "}" * 1000)

    async def tower(self) -> None:
        await self.message("a topic of 60 levels", "any/" + "/".join("x" * 59), '{"temperature": 20, "humidity": 45}')

    async def wrong_unit(self) -> None:
        await self.message("a wrong unit", "shop/odd/air", '{"temperature": "20.2 %", "humidity": 45}')

    async def rename(self) -> None:
        """For three minutes the numbers come under another name as well."""
        for n in range(3):
            await self.message("a device renamed", "plain/renamed/temperature", str(20.5 + n))

    async def burst(self) -> None:
        """From a device that nobody placed; everybody else goes on meanwhile."""
        self.note("mq", f"{BURST} messages at once")
        for n in range(BURST):
            said = {"temperature": round(30 + n / 1000, 3), "humidity": 45.0, "t_ms": self.shop.own_ms - BURST + n}
            self.shop.pending.append(("shop/loud/air", json.dumps(said), False))
        await self.shop.flush()

    # ---- wires -----------------------------------------------------------------------------------------------------

    async def refusing(self) -> None:
        """A broker that says no, and at the same time another program on the serial port."""
        shop = self.shop
        shop.broker.stop()
        shop.down |= {"mq", "nested", "numbers", "found", "any", "line"}
        self.note("mq", "a broker that refuses")
        self.note("line", "another program on the port")
        shop.line.close()
        shop.line = PtyPair(shop.folder / "by-id", "usb-line-of-another")
        with serial.Serial(shop.line.port, exclusive=True):
            shop.line.link.rename(shop.folder / "by-id" / "usb-line")
            shop.line.link = shop.folder / "by-id" / "usb-line"
            async with await asyncio.start_server(_says_no, "127.0.0.1", shop.broker.port):
                await until(lambda: self.states_are({"mq": "refused", "line": "refused"}), "both refused", 90)
                for _ in range(4):
                    await shop.minute()
                self.opener = (await shop.sources())["line"]["last_error"]
        await shop.broker.start()
        await self.back()

    async def states_are(self, wanted: dict[str, str]) -> bool:
        found = await self.shop.sources()
        return bool(found) and all(found[name]["state"] == state for name, state in wanted.items())

    async def back(self) -> None:
        self.shop.down = set()
        await self.shop.listened()
        await self.shop.flush()

    async def twin(self) -> None:
        """Another program with our id, which comes back each time we throw it off."""
        self.note("mq", "a twin with our id")
        thrown = client_id("mq", self.shop.state)
        with contextlib.suppress(SensorError):
            for _ in range(4):
                async with Publisher("127.0.0.1", self.shop.broker.port, client_id=thrown):
                    await until(lambda: self.states_are({"mq": "lost"}), "thrown off", 60)
                self.twin_told = (await self.shop.sources())["mq"]["last_error"]
                await until(lambda: self.states_are({"mq": "listening"}), "back", 60)
        await self.back()

    # ---- the record ------------------------------------------------------------------------------------------------

    async def power_cut(self, what: str, harmed_pages: Callable[[], list[int]], harm: Callable[[int], None]) -> None:
        self.judge(self)
        self.note("record", what)
        self.shop.kill()
        path = self.shop.state / FILE_NAME
        with closing(sqlite3.connect(path)) as file:  # as the disk would be, a moment later
            file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        before, last, pages = set(self.rows()), self.last_heard(), harmed_pages()
        self.harmed[what] = _rows_on(path, pages)
        for page in sorted(pages, reverse=True):
            harm(page)
        await self.shop.power_is_back()
        self.lost[what] = before - set(self.rows())
        self.holes[what] = _holes(before, self.lost[what])
        gone = {(series, t_ms) for series, t_ms, _ in self.lost[what]}
        self.last_lost[self.shop.step + 1] = {series for series, t_ms in last if (series, t_ms) in gone}

    def last_heard(self) -> list[tuple[str, int]]:
        """The newest good reading of each series that a start goes by: not one from a clock that ran ahead."""
        question = (
            "SELECT name, max(t_ms) FROM reading JOIN series ON id = series WHERE t_ms <= ? AND flags & ? = 0"
            " GROUP BY name"
        )
        now_ms = self.shop.own_ms + self.shop.ahead_ms
        return self.shop.ask(question, now_ms + FUTURE_LIMIT_MS, NOT_GOOD)  # type: ignore[return-value]

    def rows(self) -> list[Row]:
        return self.shop.ask("SELECT name, t_ms, value FROM reading JOIN series ON id = series")  # type: ignore[return-value]

    async def flipped(self) -> None:
        await self.power_cut("a power cut, and flipped bits", self._some_leaves, self._flip)

    def _some_leaves(self) -> list[int]:
        question = "SELECT pageno FROM dbstat WHERE name = 'reading' AND pagetype = 'leaf'"
        return [page for (page,) in self.shop.ask(question)][1::3][:3]

    def _flip(self, page: int) -> None:
        with (self.shop.state / FILE_NAME).open("r+b") as content:
            content.seek((page - 1) * PAGE)
            held = content.read(PAGE)
            content.seek((page - 1) * PAGE)
            content.write(held[:64] + bytes(byte ^ 0x5A for byte in held[64:]))

    async def cut_off(self) -> None:
        await self.power_cut("a power cut, and a file cut short", self._last_pages, self._cut)

    def _last_pages(self) -> list[int]:
        count = (self.shop.state / FILE_NAME).stat().st_size // PAGE
        return list(range(count - 5, count + 1))

    def _cut(self, page: int) -> None:
        os.truncate(self.shop.state / FILE_NAME, (page - 1) * PAGE)

    async def full(self) -> None:
        if not self.small_disk:
            return
        shop = self.shop
        self.note("record", "a disk that fills")
        await shop.counts_begin()
        shop.full = True
        ballast = shop.state / "ballast"
        with ballast.open("wb", buffering=0) as file, contextlib.suppress(OSError):
            while file.write(bytes(4096)):
                pass
        for _ in range(4):
            await shop.minute()
        alert = shop.wall[-1].ids["record-failing"]
        body = {"command_id": "5f6c2f4e-3f0b-4e0e-8c5e-0d9a3d0b1c11"}
        self.answers.append((await shop.door.post(f"/api/alerts/{alert}/acknowledge", body)).status_code)
        ballast.unlink()
        await asyncio.to_thread(_synced, shop.state)
        shop.hand.advance(3.0)
        shop.full = False
        await shop.arrived()
        self.answers.append((await shop.door.post(f"/api/alerts/{alert}/acknowledge", body)).status_code)

    # ---- the clock -------------------------------------------------------------------------------------------------

    async def month_ahead(self) -> None:
        self.note("clock", "+30 days")
        self.shop.set_clock(30 * DAY_S)

    async def month_back(self) -> None:
        self.note("clock", "and back")
        self.shop.set_clock(-30 * DAY_S)

    async def hour_back(self) -> None:
        """Not to the millisecond: a label that a series has already would be a correction of that reading."""
        self.note("clock", "-1 h")
        self.shop.set_clock(HOUR_BACK_S)


def _rows_on(path: Path, pages: list[int]) -> set[Row]:
    """The readings that lie on these pages of a file that is whole, counted as SQLite itself counts them."""
    with closing(sqlite3.connect(path)) as file:
        names = dict(file.execute("SELECT id, name FROM series").fetchall())
        of_readings = dict(file.execute("SELECT pageno, ncell FROM dbstat WHERE name = 'reading'").fetchall())
    found: set[Row] = set()
    with closing(PageFile(path)) as whole:
        for page in set(pages) & of_readings.keys():
            cells = [cell.values for cell in whole.slots(page) if cell is not None]
            assert len(cells) == of_readings[page]
            found |= {(names[series], t_ms, float(value)) for series, t_ms, value, *_ in cells}
    return found


def _holes(before: set[Row], lost: set[Row]) -> list[tuple[str, int, int]]:
    found = []
    for (series, gone), run in groupby(sorted(before), key=lambda row: (row[0], row in lost)):
        times = [t_ms for _, t_ms, _ in run]
        if gone and len(times) >= LONG_RUN:
            found.append((series, times[0], times[-1]))
    return found


def _synced(folder: object) -> None:
    subprocess.run(["sync", "-f", str(folder)], check=False)


async def _says_no(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """CONNACK with "not authorized", in the version that was asked for (MQTT 5.0 and 3.1.1, section 3.2)."""
    with contextlib.suppress(OSError, asyncio.IncompleteReadError):
        head = await reader.readexactly(9)
        writer.write(b"\x20\x03\x00\x87\x00" if head[-1] == 5 else b"\x20\x02\x00\x05")
        await writer.drain()
    writer.close()


Deed = Callable[[Night], Awaitable[None]]
SCENARIO: list[tuple[int, Deed]] = [
    (5, Night.half_line),
    (7, Night.boot_text),
    (9, Night.not_utf8),
    (11, Night.no_newline),
    (13, Night.over_full),
    (15, Night.not_a_number),
    (17, Night.infinity),
    (19, Night.dead_chip),
    (21, Night.huge),
    (23, Night.wrong_unit),
    (25, Night.too_long),
    (27, Night.megabyte),
    (29, Night.broken_text),
    (31, Night.deep),
    (33, Night.tower),
    (36, Night.refusing),
    (46, Night.twin),
    (50, Night.burst),
    (56, Night.rename),
    (80, Night.flipped),
    (90, Night.full),
    (112, Night.month_ahead),
    (122, Night.month_back),
    (150, Night.hour_back),
    (165, Night.cut_off),
]
LENGTH = 180


async def played(night: Night) -> None:
    """The whole of it."""
    shop, deeds = night.shop, dict(SCENARIO)
    while shop.step < LENGTH:
        await shop.minute()
        if deed := deeds.get(shop.step):
            await deed(night)


async def prepared(night: Night) -> None:
    """What lies at the broker when the night begins, and the server up."""
    shop = night.shop
    for topic, said in ANNOUNCED.items():
        await shop.say(topic, said, retain=True)
    night.note("mq", "a retained value of last week")
    await shop.say("shop/odd/air", json.dumps({"temperature": WEEK_OLD, "humidity": 30.0}), retain=True)
    await shop.start()

    async def followed() -> bool:
        await shop.say(FOUND.topic, json.dumps({"temperature": 18.0, "humidity": 47.0}))
        return bool((await shop.sources())["found"]["heard"])

    await until(followed, "what announced itself heard")
