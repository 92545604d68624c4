"""What is worked out beside the loop, again and again: outlooks, neighbours, rooms. And what a start does first."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from dataclasses import dataclass
from typing import Any

from sensors.threads import in_daemon_thread
from server.clock import Clock
from server.config import Config
from server.engine import Engine
from server.neighbours import keep_neighbours, refresh_neighbours
from server.outlooks import keep_outlooks, past_outlooks, refresh
from server.restore import restore
from server.room.keeper import RoomKeeper


@dataclass(frozen=True, slots=True)
class Beside:
    """Of one engine. ``timezone`` is the shop's."""

    engine: Engine
    clock: Clock
    timezone: str
    rooms: RoomKeeper

    @classmethod
    def of(cls, engine: Engine, clock: Clock, configured: Callable[[], Config]) -> Beside:
        """For a shop as it is configured at each moment; its time zone is that of the start."""
        return cls(engine, clock, configured().shop.timezone, RoomKeeper(engine, configured, clock))

    async def first(self) -> None:
        """Once before the first turn: the engine goes on where the record ends, and rules want all of the rest."""
        ahead = past_outlooks(self.engine.history, self.timezone)
        await in_daemon_thread(lambda: restore(self.engine, self.clock.now(), ahead), "restore")
        await refresh(self.engine, self.clock, self.timezone)
        await refresh_neighbours(self.engine, self.clock)
        await self.rooms.refresh()

    def parts(self) -> list[tuple[str, Coroutine[Any, Any, None]]]:
        """What runs for ever, by name."""
        return [
            ("outlooks", keep_outlooks(self.engine, self.clock, self.timezone)),
            ("neighbours", keep_neighbours(self.engine, self.clock)),
            ("rooms", self.rooms.run()),
        ]
