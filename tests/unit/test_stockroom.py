"""The stockroom on a real record: told, moved by its air, run again, restarted; and against the bench book."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest

from server.bins import BIN_MS
from server.book.base import ask
from server.book.catalog import QUESTIONS
from server.clock import ManualClock
from server.model.course import Course
from server.model.recorded import recorded_air
from server.model.woods import Woods
from server.reading import JournalEntry, Reading, ZoneAir
from server.shop.destinations import numbers_aim, region_aim
from server.shop.entries import Entry
from server.shop.journal import NotPossible
from server.stockroom import OtherEntry, Stockroom
from server.stores.catalog import open_store
from server.stores.port import History, Store, StoreFull
from server.wood import species
from server.wood.air import saturation_pressure_pa

T0 = 1_799_712_000_000
HOUR_MS, DAY_MS = 3_600_000, 86_400_000
CHERRY = {
    "kind": "received", "lot": "cherry-1", "name": "Chest front", "species": "cherry_black", "thickness_mm": 25.0,
    "pieces": 6, "width_mm": 180, "length_mm": 2400, "zone": "loft", "start": {"kind": "metered", "mc_pct": 8.0},
    "aim": {"destination": "homes"},
}  # fmt: skip


def assert_same(found: Woods, right: Woods) -> None:
    assert found.names == right.names
    assert np.abs(found.belief.held_pct() - right.belief.held_pct()).max() < 1e-9


AIMS = {"homes": region_aim("most-areas"), "walls": numbers_aim(9.0, 14.0)}


class Room:
    """A stockroom, its record and its clock."""

    def __init__(self, state: Path) -> None:
        self.state, self.clock = state, ManualClock(T0)
        self.store: Store
        self.history: History
        self.begin()

    def begin(self) -> None:
        self.store, self.history = open_store(self.state, "Europe/Oslo", self.clock)
        self.stock = Stockroom(self.clock, self.store, self.history, lambda: ("bench", "loft"), lambda: AIMS)

    async def again(self) -> None:
        await self.store.close()
        self.begin()
        await self.stock.opened()

    async def air(self, hours: tuple[float, float], c: float, rh: float, zone: str = "loft") -> None:
        """Readings every ten minutes between two hours, as the engine stores them."""
        values = {"temperature_c": c, "vapour_pressure_pa": float(saturation_pressure_pa(c)) * rh}
        times = np.arange(T0 + hours[0] * HOUR_MS, T0 + hours[1] * HOUR_MS, 600_000).astype(int).tolist()
        await self.store.append([Reading(f"zone:{zone}/{q}", t, v) for t in times for q, v in values.items()])
        told = [ZoneAir(zone, t, c, values["vapour_pressure_pa"], 100 * rh, 0, 0, 0, 0) for t in times]
        self.stock.air_heard(told)

    async def to(self, days: float) -> None:
        self.clock.advance(days * 86_400 - (self.clock.now().wall_ms - T0) / 1000 + 180)
        await self.stock.catch_up()

    async def tell(self, number: int, days: float, **deed: Any) -> bool:
        t_ms = T0 + round(days * DAY_MS)
        recorded_ms = self.clock.now().wall_ms + number
        done = await self.stock.tell(Entry(id=f"entry-{number:04}", t_ms=t_ms, recorded_ms=recorded_ms, deed=deed))
        await self.stock.catch_up()
        return done

    def mean_pct(self, lot: str = "cherry-1") -> float:
        wood = self.stock.course.woods.one(lot)
        boards = wood.stock.boards()
        return float(boards.mean_pct(wood.belief.held_pct()[0, :1])[0])

    def from_scratch(self) -> Woods:
        """Every lot by the record alone: no checkpoint, and no air that was read before."""
        course, air_of = self.stock.course, partial(recorded_air, self.history, ("bench", "loft"))
        return Course.resumed(course.at_ms, course.programs, air_of, _Empty()).woods


@pytest.fixture
async def room(tmp_path: Path) -> AsyncIterator[Room]:
    made = Room(tmp_path / "state")
    await made.stock.opened()
    yield made
    await made.store.close()


async def test_a_lot_in_air_that_stays_is_the_bench_books(room: Room) -> None:
    """Within 0.03 % MC through twelve days: the same model through record, half hours and journal."""
    await room.air((0, 13 * 24), 21.0, 0.30)
    await room.to(0.001)
    await room.tell(1, 0.0, **CHERRY)
    given = {"species": "cherry_black", "thickness_mm": 25, "from_pct": 8, "temperature_c": 21, "humidity_pct": 30}
    series = ask(QUESTIONS["settle"], {**given, "days": 12}).figures["series"]
    for day in (1, 4, 12):
        await room.to(day)
        assert room.mean_pct() == pytest.approx(series[day]["mean_pct"], abs=0.03)


async def test_what_is_told_late_is_as_if_it_had_been_told_in_time(room: Room, tmp_path: Path) -> None:
    """Through checkpoints in the record, and after a restart."""
    other = Room(tmp_path / "other")
    await other.stock.opened()
    planed = {"kind": "milled", "lot": "cherry-1", "take_top_mm": 3.0, "take_bottom_mm": 1.0}
    for one in (room, other):
        await one.air((0, 6 * 24), 19.0, 0.35)
        await one.air((0, 6 * 24), 15.0, 0.60, "bench")
        await one.to(0.1)
        await one.tell(1, 0.05, **CHERRY)
    await other.to(1.3)
    await other.tell(2, 1.25, **planed)
    await other.tell(3, 1.3, kind="moved", lot="cherry-1", zone="bench")
    for one in (room, other):
        await one.to(5.5)
    await room.tell(3, 1.3, kind="moved", lot="cherry-1", zone="bench")
    await room.again()
    await room.tell(2, 1.25, **planed)
    assert room.mean_pct() == pytest.approx(other.mean_pct(), abs=1e-9)
    await room.again()
    assert room.stock.course.at_ms == other.stock.course.at_ms
    assert room.mean_pct() == pytest.approx(other.mean_pct(), abs=1e-9)
    assert len(room.history.checkpoint_edges(1 << 50)) == 5
    await other.store.close()


async def test_air_that_comes_while_its_half_hours_are_worked_out_counts(room: Room) -> None:
    """It was not late when they were read, and nobody would have asked for it again."""
    await room.air((0, 50), 19.0, 0.35)
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    read, go_on = threading.Event(), threading.Event()
    room.stock.history = cast("History", _Slow(room.history, read, go_on))
    moving = asyncio.create_task(room.to(2.0))
    assert await asyncio.to_thread(read.wait, 10)
    await room.air((40, 44), 19.0, 0.90)
    go_on.set()
    await moving
    assert_same(room.stock.course.woods, room.from_scratch())


async def test_air_that_comes_late_runs_its_lots_again(room: Room) -> None:
    await room.air((0, 48), 19.0, 0.35)
    await room.air((60, 96), 19.0, 0.35)
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.to(3.9)
    before = room.mean_pct()
    await room.air((48, 60), 19.0, 0.70)
    await room.stock.catch_up()
    after = room.mean_pct()
    assert after > before + 0.01
    course = room.stock.course
    scratch = room.from_scratch()
    assert_same(course.woods, scratch)
    await room.again()
    assert_same(room.stock.course.woods, scratch)


class _Slow:
    """A record whose reader waits, once it has read a zone's air."""

    def __init__(self, history: History, read: threading.Event, go_on: threading.Event) -> None:
        self._history, self._read, self._go_on = history, read, go_on

    def __getattr__(self, name: str) -> Any:
        return getattr(self._history, name)

    def arrays(self, *asked: Any) -> Any:
        found = self._history.arrays(*asked)
        if asked[0] == "zone:loft/vapour_pressure_pa":
            self._read.set()
            assert self._go_on.wait(10)
        return found


class _Empty:
    def edges(self, before_ms: int) -> list[int]:
        return []

    def at(self, edge_ms: int, lots: Any) -> Any:
        raise AssertionError


async def test_the_same_id_twice_is_once_and_with_other_content_refused(room: Room) -> None:
    await room.to(0.1)
    assert await room.tell(1, 0.05, **CHERRY)
    assert not await room.tell(1, 0.05, **CHERRY)
    with pytest.raises(OtherEntry):
        await room.tell(1, 0.05, **{**CHERRY, "pieces": 7})
    assert room.stock.shop.lots["cherry-1"].pieces == 6
    assert len(room.history.journal("received")) == 1


async def test_what_cannot_be_is_refused_whole(room: Room) -> None:
    await room.to(1)
    for wrong, said in (
        ({"zone": "attic"}, "zone: found 'attic'; would be right: one of bench, loft"),
        ({"aim": {"destination": "moon"}}, "aim.destination: found 'moon'; would be right: one of homes, walls"),
        ({"species": "chery_black"}, "species: found 'chery_black'; would be right: one of cherry_black"),
    ):
        with pytest.raises(NotPossible, match=said):
            await room.tell(1, 0.5, **{**CHERRY, **wrong})
    with pytest.raises(NotPossible, match=r"t_ms: found .* would be right: a time that has come"):
        await room.tell(1, 2.0, **CHERRY)
    assert room.stock.shop.lots == {}
    assert room.history.journal() == []
    assert await room.tell(1, 0.5, **CHERRY)


async def test_what_the_journal_says_of_a_device_is_no_entry_of_a_lot(room: Room) -> None:
    """A person who confirms a replaced device writes `confirmed` too."""
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    said = JournalEntry("command-1", T0, "confirmed", "line-1", {"expected": "a", "found": "b"})
    await room.store.add_journal([said])
    await room.again()
    assert room.stock.trouble == ""
    assert list(room.stock.shop.lots) == ["cherry-1"]


async def test_a_correction_is_read_back_as_it_was_told(room: Room) -> None:
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    right = {**CHERRY, "thickness_mm": 50.0}
    await room.tell(2, 0.06, kind="corrected", entry="entry-0001", at_ms=T0, becomes=right)
    told = dict(room.stock.written())
    await room.again()
    assert room.stock.trouble == ""
    assert room.stock.written() == told
    assert room.stock.shop.lots["cherry-1"].thickness_mm == 50.0


async def test_it_runs_beside_the_loop_and_ends_when_cancelled(room: Room) -> None:
    await room.air((0, 3), 21.0, 0.30)
    task = asyncio.create_task(room.stock.run())
    room.clock.advance(600)
    await room.stock.tell(Entry(id="entry-0001", t_ms=T0, recorded_ms=T0, deed=CHERRY))
    room.clock.advance(2 * 3600)
    async with asyncio.timeout(30):
        while room.stock.course.at_ms < T0 + 4 * BIN_MS or "cherry-1" not in room.stock.course.woods:
            await asyncio.sleep(0)
            room.clock.advance(60)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


class Full:
    """A record whose disk is full, for checkpoints."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    async def keep_checkpoints(self, checkpoints: Any, mark: str | None) -> bool:
        raise StoreFull("no room")


async def test_a_full_disk_holds_no_lot_up_and_loses_nothing(room: Room) -> None:
    """What could not be kept is worked out again where it is asked for: late air then, or a start."""
    await room.air((0, 60), 21.0, 0.30)
    await room.air((60, 96), 21.0, 0.60)
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.to(2.2)
    room.stock.store = Full(room.store)  # type: ignore[assignment]
    await room.air((6, 7), 21.0, 0.90)
    with pytest.raises(StoreFull):
        await room.stock.catch_up()
    with pytest.raises(StoreFull):
        await room.to(3.5)
    assert room.stock.course.at_ms >= T0 + 3 * DAY_MS
    assert_same(room.stock.course.woods, room.from_scratch())
    room.stock.store = room.store
    await room.air((50, 51), 21.0, 0.90)
    await room.stock.catch_up()
    assert_same(room.stock.course.woods, room.from_scratch())
    await room.again()
    assert_same(room.stock.course.woods, room.from_scratch())


async def test_a_journal_that_cannot_hold_is_said_and_takes_nothing_down(room: Room) -> None:
    """A species of the shop's own that is no longer configured."""
    await room.to(0.1)
    own = replace(species.find("cherry_black"), key="hedge_cherry")
    room.stock.known = {**species.all_species(), "hedge_cherry": own}
    await room.tell(1, 0.05, **{**CHERRY, "species": "hedge_cherry"})
    await room.again()
    assert "species: found 'hedge_cherry'" in room.stock.trouble
    await room.stock.catch_up()
    with pytest.raises(NotPossible, match="journal: found species"):
        await room.tell(2, 0.06, kind="confirmed", lot="cherry-1")
    assert len(room.history.journal()) == 1


async def test_checkpoints_of_another_form_are_made_again(room: Room) -> None:
    """What an earlier Stillstack kept of a lot is no state that can be read: the lot runs from its beginning."""
    await room.air((0, 60), 21.0, 0.30)
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.to(2.2)
    right, mark = room.stock.course.woods, room.history.lots_mark()
    edges = room.history.checkpoint_edges(1 << 50)
    assert len(edges) == 2
    for edge_ms in edges:
        (kept,) = room.history.checkpoints(edge_ms, ["cherry-1"])
        form = kept.state.index(b"belief\0\0") + 8
        old = kept.state[:form] + bytes([1, 0, 0, 0]) + kept.state[form + 4 :]
        assert await room.store.keep_checkpoints([replace(kept, state=old)], mark)
    await room.again()
    assert_same(room.stock.course.woods, right)


@pytest.mark.parametrize("late", [False, True])
async def test_the_first_air_of_a_zone_counts_for_what_lay_there_before(room: Room, late: bool) -> None:
    """A sensor is hung up, or its gap filled, after a lot came in: the lot is that of a run from scratch."""
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.to(1.1)
    if late:
        await room.air((30, 40), 18.0, 0.45)
        await room.to(1.7)
    await room.air((27 if late else 30, 29 if late else 34), 15.0, 0.70)
    await room.to(1.8)
    course = room.stock.course
    scratch = room.from_scratch()
    assert_same(course.woods, scratch)
    await room.again()
    assert_same(room.stock.course.woods, scratch)


@pytest.mark.parametrize("off_h", [0.0, 1.5])
async def test_a_start_in_the_half_hour_of_a_zones_first_air_loses_nothing_of_it(room: Room, off_h: float) -> None:
    """Stopped before that half hour closed, for a moment or for hours."""
    await room.to(0.1)
    await room.tell(1, 0.05, **CHERRY)
    await room.to(1.1)
    await room.to(1.25)
    await room.air((30, 30.4), 15.0, 0.70)
    await room.again()
    await room.to(1.26 + off_h / 24)
    await room.air((30.4 + off_h, 34), 15.0, 0.70)
    await room.to(1.8)
    course = room.stock.course
    scratch = room.from_scratch()
    assert_same(course.woods, scratch)
