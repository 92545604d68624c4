"""The record's housekeeping: when the shop's clock says so, one thing at a time, told when it fails, made up for."""

from __future__ import annotations

import asyncio
import os
import sqlite3
from collections.abc import AsyncIterator
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from server import upkeep as module
from server.clock import Instant, ManualClock
from server.config import StoreTable
from server.keeping import Keeper
from server.reading import JournalEntry, Reading
from server.stores.backup import backup_name, backups
from server.stores.catalog import open_store
from server.stores.port import StoreError
from server.stores.sqlite_file import FILE_NAME
from server.stores.verify import looks
from server.upkeep import LEAST_REAL_S, Upkeep, free_bytes, log_bytes, whole
from tests.unit.spine import UnsetClock

OSLO = ZoneInfo("Europe/Oslo")
DAY_S = 86_400
DAY_MS = DAY_S * 1000


def ms(text: str) -> int:
    return round(datetime.fromisoformat(text).replace(tzinfo=OSLO).timestamp() * 1000)


NOON_MS = ms("2027-01-12 12:00")


class House:
    """A record with some days in it, and its upkeep on two clocks that move when told."""

    def __init__(
        self, folder: Path, *, start_ms: int = NOON_MS, clock: ManualClock | None = None, **table: Any
    ) -> None:
        self.folder, self.table = folder, StoreTable.model_validate(table)
        self.clock, self.machine = clock or ManualClock(start_ms), ManualClock()
        self.store, self.history = open_store(folder, "Europe/Oslo", self.clock)
        self.keeper = Keeper()
        self.upkeep = self.made()

    def made(self) -> Upkeep:
        upkeep = Upkeep(
            self.table, "Europe/Oslo", self.folder, store=self.store, history=self.history, keeper=self.keeper,
            clock=self.clock, machine=self.machine,
        )  # fmt: skip
        upkeep.begin()
        return upkeep

    async def later(self, seconds: float) -> None:
        self.clock.advance(seconds)
        self.machine.advance(max(seconds, LEAST_REAL_S))
        await self.upkeep.look()

    async def fill(self, series: str, days: int, step_s: int = 600) -> None:
        count = days * DAY_S // step_s
        first = NOON_MS - count * step_s * 1000
        await self.store.append([Reading(series, first + n * step_s * 1000, float(n % 50)) for n in range(count)])

    def copies(self) -> list[str]:
        return [path.name for path in backups(self.upkeep.folder)]


@pytest.fixture
async def house(tmp_path: Path) -> AsyncIterator[House]:
    made = House(tmp_path / "state", backup_keep=3)
    await made.fill("t1/temperature_c", 2)
    yield made
    await made.store.close()


async def test_a_copy_every_night_at_the_shops_hour_and_the_oldest_go(house: House) -> None:
    await house.later(60)
    assert house.copies() == [backup_name(NOON_MS + 60_000)], "none yet: at once"
    assert house.upkeep.record_state().backup_ms == NOON_MS + 60_000
    await house.later(14 * 3600)  # 02:01
    assert len(house.copies()) == 1
    await house.later(3600)
    assert house.copies()[1:] == [backup_name(ms("2027-01-13 03:01"))]
    await house.later(20 * 3600)
    assert len(house.copies()) == 2, "one a night"
    for _ in range(4):
        await house.later(DAY_S)
    assert len(house.copies()) == 3
    assert all(look.right for look in looks(backups(house.upkeep.folder)[-1]))


async def test_a_night_that_was_slept_through_is_made_up_for_after_the_start(house: House) -> None:
    await house.later(60)
    house.clock.advance(3 * DAY_S)
    house.upkeep = house.made()
    await house.later(60)
    assert len(house.copies()) == 2
    house.upkeep = house.made()
    await house.later(60)
    assert len(house.copies()) == 2, "the copies themselves say when they were made"


async def test_the_shops_hour_over_a_change_of_the_clocks(tmp_path: Path) -> None:
    """Europe/Oslo, 28 March 2027: 02:00 becomes 03:00 (IANA time-zone database)."""
    house = House(tmp_path, start_ms=ms("2027-03-27 12:00"))
    await house.later(0)
    await house.later(13 * 3600 + 1800)  # 01:30
    assert len(house.copies()) == 1
    await house.later(1800)  # 03:00 by the wall, an hour after 01:30 less half
    assert len(house.copies()) == 2
    await house.store.close()


async def test_a_fast_clock_does_not_copy_all_day(house: House) -> None:
    await house.later(60)
    for _ in range(20):
        house.clock.advance(DAY_S)
        house.machine.advance(24)  # a demo at 3,600 times
        await house.upkeep.look()
    assert len(house.copies()) == 1


async def test_no_copy_when_not_wanted_nor_while_the_clock_is_unset_nor_while_the_disk_is_full(tmp_path: Path) -> None:
    house = House(tmp_path / "a", daily_backup=False)
    await house.later(DAY_S)
    assert house.copies() == []
    await house.store.close()
    house = House(tmp_path / "b", clock=UnsetClock(NOON_MS))
    await house.later(DAY_S)
    assert house.copies() == []
    await house.store.close()
    house = House(tmp_path / "c")
    house.keeper.error = "no room"
    await house.later(DAY_S)
    assert house.copies() == []
    assert not house.upkeep.record_state().writable
    house.keeper.error = ""
    await house.later(60)
    assert len(house.copies()) == 1
    await house.store.close()


async def test_a_folder_that_takes_no_copy_is_told_and_tried_again_in_an_hour(tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.write_text("no folder")
    house = House(tmp_path / "state", backup_folder=str(stick))
    await house.later(60)
    said = house.upkeep.record_state()
    assert said.backup_ms is None
    assert "would be right: a folder with room" in said.backup_error
    stick.unlink()
    await house.later(60)
    assert house.upkeep.record_state().backup_error != ""
    await house.later(3600)
    said = house.upkeep.record_state()
    assert (said.backup_error, house.copies()) == ("", [backup_name(house.clock.now().wall_ms)])
    await house.store.close()


async def test_old_raw_readings_go_by_series_and_hours_and_days_stay(tmp_path: Path) -> None:
    house = House(tmp_path, daily_backup=False, keep_raw_days=60, keep_raw_days_of={"zone:*/vapour_*": 31, "t2/*": 80})
    names = ["t1/temperature_c", "t2/temperature_c", "zone:loft/vapour_pressure_pa", "zone:loft/emc_pct"]
    for name in names:
        await house.fill(name, 70)
    before = {
        n: (house.history.rollups(n, "hour", 0, 1 << 50), house.history.rollups(n, "day", 0, 1 << 50)) for n in names
    }
    await house.later(0)
    firsts = {n: round((NOON_MS - house.history.readings(n, 0, 1 << 50)[0].t_ms) / DAY_MS, 2) for n in names}
    assert firsts == {names[0]: 60.0, names[1]: 70.0, names[2]: 31.0, names[3]: 60.0}
    after = {
        n: (house.history.rollups(n, "hour", 0, 1 << 50), house.history.rollups(n, "day", 0, 1 << 50)) for n in names
    }
    assert after == before
    assert all(look.right for look in looks(tmp_path / FILE_NAME))
    await house.store.close()


async def test_nothing_is_pruned_unless_it_is_wanted(house: House) -> None:
    await house.fill("t3/temperature_c", 400, 3600)
    await house.later(60)
    assert len(house.history.columns("t3/temperature_c", 0, 1 << 50)[0]) == 400 * 24


async def test_the_whole_file_is_looked_through_once_a_week_and_damage_is_told(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    real = whole

    def counted(path: Path, *rest: Any) -> str:
        asked.append(house.clock.now().wall_ms)
        return (
            real(path, *rest) if len(asked) < 3 else f"{path}: row 7 missing from index; would be right: a whole file"
        )

    monkeypatch.setattr(module, "whole", counted)
    await house.later(60)
    for _ in range(6):
        await house.later(DAY_S)
    house.upkeep = house.made()
    assert len(asked) == 1, "also over a restart"
    await house.later(DAY_S)
    assert len(asked) == 2
    assert house.upkeep.record_state().error == ""
    for _ in range(7):
        await house.later(DAY_S)
    said = house.upkeep.record_state()
    assert said.writable
    assert "row 7 missing from index; would be right: a whole file" in said.error


async def test_what_a_full_check_finds_that_a_quick_one_does_not(house: House) -> None:
    await house.store.add_journal([JournalEntry("e1", NOON_MS, "placed", "t1", {})])
    path = house.folder / FILE_NAME
    assert whole(path) == ""
    await house.store.close()
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("PRAGMA writable_schema = on")
        (root,) = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'journal_by_time'").fetchone()
    data = bytearray(path.read_bytes())
    page = bytes(data[(root - 1) * 4096 : root * 4096])
    at = (root - 1) * 4096 + page.rindex((NOON_MS).to_bytes(6, "big"))
    data[at + 5] ^= 1
    path.write_bytes(data)
    house.store, house.history = open_store(house.folder, "Europe/Oslo", house.clock)
    assert "missing from index journal_by_time" in whole(path)
    assert "would be right: a whole file" in whole(path)


async def test_a_stop_in_the_middle_of_a_copy_leaves_no_half_of_one(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.stores.backup._PAGES_A_STEP", 1)
    begun = asyncio.Event()
    loop = asyncio.get_running_loop()
    real = module.back_up

    def telling(*args: Any) -> int:
        loop.call_soon_threadsafe(begun.set)
        return real(*args)

    monkeypatch.setattr(module, "back_up", telling)
    looking = asyncio.create_task(house.later(60))
    await begun.wait()
    looking.cancel()
    with suppress(asyncio.CancelledError):
        await looking
    assert [name for name in os.listdir(house.upkeep.folder) if name.endswith(".part")] == []  # noqa: PTH208


async def test_how_the_record_is(house: House) -> None:
    """Field pitfall 29: the size of the log and the room that is left are figures somebody looks at."""
    await house.store.add_journal([JournalEntry("s", NOON_MS - 5, "salvaged", "record", {})])
    house.upkeep = house.made()
    said = house.upkeep.record_state()
    assert said.salvaged_ms == NOON_MS - 5
    assert said.log_bytes == log_bytes(house.folder / FILE_NAME) > 0
    assert said.free_bytes is not None
    assert abs(said.free_bytes - os.statvfs(house.folder).f_bavail * os.statvfs(house.folder).f_frsize) < 1 << 30
    assert (said.writable, said.ring_rows, said.ring_dropped, said.error) == (True, 0, 0, "")
    assert free_bytes(house.folder / "nowhere") is None
    assert log_bytes(house.folder / "nowhere") == 0


class SteppedClock(ManualClock):
    """A clock that a person sets: ``ahead_ms`` wrong, vouched for by a time service or not."""

    ahead_ms = 0
    vouched: bool | None = True

    def now(self) -> Instant:
        now = super().now()
        return Instant(now.wall_ms + self.ahead_ms, now.mono_s, True, self.vouched)


async def test_a_wrong_year_for_two_minutes_deletes_nothing_and_stops_no_copy(tmp_path: Path) -> None:
    clock = SteppedClock(NOON_MS)
    house = House(tmp_path / "state", clock=clock, backup_keep=3, keep_raw_days=365)
    name = "t1/temperature_c"
    await house.fill(name, 50)
    await house.later(60)
    clock.ahead_ms = 2 * 365 * DAY_MS
    await house.store.append([Reading(name, clock.now().wall_ms, 1.0)])
    await house.later(120)
    assert len(house.history.readings(name, 0, 1 << 50)) == 50 * 144 + 1
    clock.ahead_ms = 0
    for _ in range(5):
        await house.later(DAY_S)
        await house.store.append([Reading(name, clock.now().wall_ms, 2.0)])
    assert len(house.history.readings(name, 0, 1 << 50)) == 50 * 144 + 6
    right = [backup_name(clock.now().wall_ms - days * DAY_MS) for days in (2, 1, 0)]
    assert house.copies() == [*right, backup_name(clock.now().wall_ms + (2 * 365 - 5) * DAY_MS)]
    assert house.upkeep.record_state().backup_ms == clock.now().wall_ms
    await house.store.close()


async def test_a_copy_of_a_time_to_come_is_told_once_and_left_alone(tmp_path: Path) -> None:
    house = House(tmp_path / "state", backup_keep=1)
    house.upkeep.folder.mkdir(parents=True)
    ahead = house.upkeep.folder / backup_name(NOON_MS + 900 * DAY_MS)
    ahead.write_bytes(b"")
    house.upkeep = house.made()
    await house.later(60)
    assert f"found {ahead.name}, from a time to come; would be right" in house.upkeep.record_state().backup_error
    await house.later(DAY_S)
    assert house.upkeep.record_state().backup_error == ""
    assert house.copies() == [backup_name(house.clock.now().wall_ms), ahead.name]
    await house.store.close()


async def test_a_date_at_the_start_that_nobody_vouches_for_deletes_nothing_for_two_days(tmp_path: Path) -> None:
    clock = SteppedClock(NOON_MS)
    clock.vouched = False
    house = House(tmp_path, clock=clock, daily_backup=False, keep_raw_days=31)
    await house.fill("t1/temperature_c", 40)
    await house.later(DAY_S)
    assert len(house.history.readings("t1/temperature_c", 0, 1 << 50)) == 40 * 144
    await house.later(DAY_S)
    await house.later(DAY_S)
    assert len(house.history.readings("t1/temperature_c", 0, 1 << 50)) == 31 * 144, "its own last days stay"
    await house.store.close()


async def test_known_damage_is_looked_for_again_in_a_week_not_all_day(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    monkeypatch.setattr(module, "whole", lambda *_: asked.append(1) or "damage")
    for _ in range(24):
        await house.later(3600)
    assert len(asked) == 1
    assert house.upkeep.record_state().error == "damage"
    for _ in range(7):
        await house.later(DAY_S)
    assert len(asked) == 2


async def test_a_check_in_a_wrong_year_does_not_put_off_the_next(tmp_path: Path) -> None:
    house = House(tmp_path, daily_backup=False)
    await house.store.keep_setting(module.CHECKED, str(NOON_MS + 700 * DAY_MS))
    await house.later(60)
    assert house.history.setting(module.CHECKED) == str(house.clock.now().wall_ms)
    await house.store.close()


async def test_a_copy_that_a_person_asks_for_is_made_at_once_and_once(tmp_path: Path) -> None:
    house = House(tmp_path / "state", daily_backup=False)
    await house.store.append([Reading("bench-1/humidity_pct", NOON_MS - 1000, 41.0)])
    first = await house.upkeep.copy_now("a-command")
    again = await house.upkeep.copy_now("a-command")
    assert again == {**first, "repeated": True}
    assert [str(p) for p in backups(house.upkeep.folder)] == [first["file"]]
    assert house.upkeep.record_state().backup_ms == NOON_MS
    await house.store.close()
    with closing(sqlite3.connect(str(first["file"]))) as copy:
        assert copy.execute("SELECT value FROM reading").fetchall() == [(41.0,)]


async def test_a_copy_that_cannot_be_made_is_an_error_and_leaves_nothing(tmp_path: Path) -> None:
    house = House(tmp_path / "state", daily_backup=False, backup_folder=str(tmp_path / "state" / FILE_NAME))
    with pytest.raises(StoreError):
        await house.upkeep.copy_now("a-command")
    assert house.history.command("a-command") is None
    await house.store.close()
