"""Keeps rooms and shelves as rules see them, anew with each half hour that closes, and what rooms' nights say, once a
day; both beside the loop."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from server.clock import Clock
from server.config import Config
from server.engine import Engine
from server.room.learning import Learnt, learn_room
from server.room.views import Ground, room_views, shelf_views
from server.rules.base import SeenRooms

DAY_MS = 86_400_000
LOOK_S = 60.0
LEAST_PAUSE_S = 10.0
"""Real seconds between two looks, however fast the clock runs."""


@dataclass(slots=True)
class RoomKeeper:
    """:meth:`run` goes on for ever; :meth:`refresh` looks once, before the first turn too. ``learnt`` is of each zone,
    empty until it was looked for the first time."""

    engine: Engine
    config: Callable[[], Config]
    clock: Clock
    learnt: dict[str, Learnt] = field(default_factory=dict)
    _made_of: tuple[object, ...] = ()
    _learnt_of: tuple[object, ...] = ()

    def ground(self) -> Ground:
        """All that rooms are seen by at this moment."""
        return Ground(self.config(), {zone: tuple(b.closed) for zone, b in self.engine.bins.items()}, dict(self.learnt))

    async def refresh(self) -> None:
        """Make anew what rests on something else than last time. A bug leaves what there was, which soon says nothing
        of now."""
        engine, config, now_ms = self.engine, self.config(), self.clock.now().wall_ms
        outdoors = frozenset(zone.id for zone in config.zones if zone.outdoors)
        if outdoors != engine.rooms.outdoors:
            engine.rooms = replace(engine.rooms, outdoors=outdoors)
        ends = tuple(bins.closed[-1].end_ms if bins.closed else 0 for bins in engine.bins.values())
        made_of = config.zones, config.sensors, config.shop.timezone, ends, self._learnt_of
        if made_of == self._made_of:
            return
        ground = self.ground()
        with engine.faults.noted("rooms", self.clock):
            rooms = await asyncio.to_thread(room_views, ground, engine.history)
            shelves = await asyncio.to_thread(shelf_views, ground, engine.history, now_ms)
            engine.rooms = SeenRooms(rooms, shelves, outdoors)
            self._made_of = made_of

    async def learn(self) -> None:
        """What the rooms' nights say, where a day (UTC) or a setting is another."""
        config, now_ms = self.config(), self.clock.now().wall_ms
        learnt_of = config.zones, config.shop.timezone, config.shop.hours, now_ms // DAY_MS
        if learnt_of == self._learnt_of:
            return
        with self.engine.faults.noted("rooms", self.clock):
            self.learnt = await asyncio.to_thread(self._learn, config, now_ms)
            self._learnt_of = learnt_of

    def _learn(self, config: Config, now_ms: int) -> dict[str, Learnt]:
        outdoors = next((zone.id for zone in config.zones if zone.outdoors), None)
        shop, history = config.shop, self.engine.history
        return {
            zone.id: learn_room(history, zone.id, outdoors, now_ms, shop) for zone in config.zones if not zone.outdoors
        }

    async def run(self) -> None:
        """For ever."""
        while True:
            await self.learn()
            await self.refresh()
            await asyncio.sleep(LEAST_PAUSE_S)
            await self.clock.sleep(LOOK_S)
