"""A record through the real spine, turn by turn as a shop would have heard it, and what the record of alerts kept.

Every turn stores, mixes, closes half hours, asks every rule and moves the alerts. Once an hour of the shop's clock what
goes on beside the loop is caught up with: outlooks and rooms, and every ``lots_every_h`` the lots' moisture, verdicts
and what rules see of them, which take most of a long replay. Nobody touches an alert.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from server.app import Settings, Spine, build
from server.board import Board
from server.clock import ManualClock
from server.outlooks import refresh
from server.placing import placed_entries
from server.reading import Aim, Alert
from server.room.keeper import RoomKeeper
from server.shop.entries import Entry
from server.snapshot import ShopView
from tests.proof.records import HOUR_MS, Record, in_turns

BIN_MS = HOUR_MS // 2
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Replayed:
    """``half_hours`` are each zone's (end_ms, emc_pct) from the beginning of the replay to its end; ``changes`` every
    change of every alert, in time order; ``faults`` the bugs of ours that were noted meanwhile."""

    half_hours: Mapping[str, tuple[NDArray[np.int64], Floats]]
    changes: tuple[Alert, ...]
    aims: Mapping[str, Aim]
    outlooks: Mapping[str, tuple[NDArray[np.int64], Floats]]
    """Each zone's, by when they were made: low end, middle and high end (hours, 3, points)."""
    faults: int = 0


class _NobodyLooks(Board):
    """The wall's documents would be four fifths of a replay's time: they are made only where ``look`` asks for one."""

    look: Callable[[ShopView], None] | None = None

    async def publish(self, view: ShopView) -> None:
        """Hang it, and show it to whoever looks on."""
        self.view = view
        if self.look is not None:
            self.look(view)


@dataclass(slots=True)
class _Shop:
    record: Record
    spine: Spine
    clock: ManualClock
    rooms: RoomKeeper
    bins: dict[str, dict[int, float]] = field(default_factory=dict)
    made: dict[str, dict[int, Floats]] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)

    async def begin(self) -> None:
        """What was heard before, and what was told of it."""
        record, spine = self.record, self.spine
        for batch in record.samples(record.laid_ms, record.from_ms):
            mono = [replace(s, heard_mono_s=(s.heard_ms - record.from_ms) / 1000.0) for s in batch]
            await spine.engine.lay_down(mono)
        placed = placed_entries(spine.config.sensors, spine.history.journal("placed"), record.laid_ms)
        await spine.store.add_journal(placed)
        await spine.stockroom.opened()
        self.entries = list(record.entries)
        await self.tell(record.from_ms)
        await self.beside()

    async def tell(self, until_ms: int) -> None:
        """Entries that were written down by then."""
        while self.entries and self.entries[0].recorded_ms <= until_ms:
            await self.spine.stockroom.tell(self.entries.pop(0))

    async def beside(self) -> None:
        """What goes on beside the loop, once an hour."""
        await refresh(self.spine.engine, self.clock, self.record.timezone)
        await self.rooms.refresh()
        if self.now_ms // HOUR_MS % self.record.lots_every_h == 0 or self.spine.engine.seen.lots is None:
            await self.spine.stockroom.catch_up()
            await self.spine.lot_verdicts.catch_up()
        for zone, bins in self.spine.engine.bins.items():
            self.bins.setdefault(zone, {}).update((b.end_ms, b.emc_pct) for b in bins.closed)
        for zone, points in self.spine.engine.outlooks.items():
            if points:
                figures = [(p.emc_low_pct, p.emc_pct, p.emc_high_pct) for p in points]
                self.made.setdefault(zone, {})[points[0].t_ms] = np.array(figures, np.float32).T

    async def live(self) -> None:
        """Turn after turn."""
        record, hour = self.record, 0
        for batch in in_turns(record.samples(record.from_ms, record.to_ms)):
            heard = [replace(s, heard_mono_s=(s.heard_ms - record.from_ms) / 1000.0) for s in batch]
            await self.silent_until(heard[0].heard_ms)
            self.stand_at(heard[-1].heard_ms)
            await self.tell(self.now_ms)
            await self.spine.engine.turn(heard)
            if hour != self.now_ms // HOUR_MS:
                hour = self.now_ms // HOUR_MS
                await self.beside()
        await self.beside()

    async def silent_until(self, moment_ms: int) -> None:
        """Turns without a sample, every ten minutes: silence is noticed, waits end."""
        while moment_ms - self.now_ms > 20 * 60_000:
            self.stand_at(self.now_ms + 10 * 60_000)
            await self.spine.engine.turn(())

    @property
    def now_ms(self) -> int:
        return self.clock.now().wall_ms

    def stand_at(self, moment_ms: int) -> None:
        self.clock.advance(max(0.0, (moment_ms - self.now_ms) / 1000.0))


async def replay(record: Record, folder: Path, look: Callable[[ShopView], None] | None = None) -> Replayed:
    """All of it, in a new state folder. ``look`` is shown the wall's view after every turn."""
    clock = ManualClock(record.from_ms)
    spine = build(Settings(record.config, folder, clock, boot="proof", machine_boot="proof"))
    board = _NobodyLooks("proof")
    board.look = look
    spine.engine.board = board
    try:
        rooms = RoomKeeper(spine.engine, lambda: spine.frame.config, clock)
        shop = _Shop(record, spine, clock, rooms)
        await shop.begin()
        await shop.live()
        changes = tuple(spine.history.alert_changes(record.from_ms, record.to_ms + HOUR_MS))
        made = {zone: (np.array(list(of)), np.stack(list(of.values()))) for zone, of in shop.made.items()}
        return Replayed(
            _arrays({z: b for z, b in shop.bins.items() if z not in spine.engine.rooms.outdoors}, record.from_ms),
            changes,
            dict(spine.engine.aims),
            made,
            len(spine.engine.faults.all()),
        )
    finally:
        await spine.store.close()


def _arrays(bins: Mapping[str, Mapping[int, float]], from_ms: int) -> dict[str, tuple[NDArray[np.int64], Floats]]:
    found = {}
    for zone, emc in bins.items():
        ends = np.array(sorted(end for end in emc if end > from_ms), np.int64)
        found[zone] = ends, np.array([emc[int(end)] for end in ends])
    return found
