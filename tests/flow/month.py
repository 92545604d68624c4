"""A month in the demo's workshop without waiting for it: its real configuration, its own air, a clock that is moved,
and the door on a real port."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import httpx

from server.api.door import opened
from server.api.rooms import Rooms
from server.app import Settings, Spine, build
from server.clock import ManualClock
from server.demo.past import past_samples
from server.demo.play import demo_config
from server.demo.scenario import TOWN
from server.outlooks import refresh
from server.placing import placed_entries
from server.room.keeper import RoomKeeper


def at(month: int, day: int, hour: int = 7, minute: int = 0) -> int:
    """A moment of the winter by the town's clock, ms since 1970 UTC."""
    return round(datetime(2026 if month > 6 else 2027, month, day, hour, minute, tzinfo=TOWN).timestamp() * 1000)


@dataclass(slots=True)
class Month:
    """The workshop at one moment. ``said`` are the sentences that were heard, for whoever looks on."""

    spine: Spine
    clock: ManualClock
    door: httpx.AsyncClient
    start_ms: int
    told: int = 0
    said: list[str] = field(default_factory=list)

    @property
    def now_ms(self) -> int:
        """By its clock."""
        return self.clock.now().wall_ms

    async def until(self, moment_ms: int) -> None:
        """Live on: every sensor speaks, half hours close, lots move; then the outlook is made."""
        engine = self.spine.engine
        for batch in past_samples(self.now_ms, moment_ms):
            heard = [replace(s, heard_mono_s=(s.heard_ms - self.start_ms) / 1000.0) for s in batch]
            self._stand_at(heard[-1].heard_ms)
            await engine.turn(heard)
        self._stand_at(moment_ms)
        await engine.turn(())
        await refresh(engine, self.clock, str(TOWN))
        await self._caught_up()

    async def _caught_up(self) -> None:
        await self.spine.stockroom.catch_up()
        await self.spine.lot_verdicts.catch_up()

    def _stand_at(self, moment_ms: int) -> None:
        self.clock.advance(max(0.0, (moment_ms - self.now_ms) / 1000.0))

    async def tell(self, status: int = 200, note: str = "", t_ms: int | None = None, **deed: Any) -> dict[str, Any]:
        """An entry of the journal, now or at another time; the half hours it touches are run."""
        self.told += 1
        body = {"id": f"january-{self.told:03d}", "who": "Ines", "note": note, "deed": deed}
        reply = await self.door.post("/api/journal", json=body if t_ms is None else {**body, "t_ms": t_ms})
        assert reply.status_code == status, reply.text
        await self._caught_up()
        found: dict[str, Any] = reply.json()
        return found

    async def get(self, path: str) -> Any:
        """What the API answers."""
        reply = await self.door.get(f"/api/{path}")
        assert reply.status_code == 200, reply.text
        return reply.json()

    async def post(self, path: str, body: dict[str, Any], status: int = 200) -> Any:
        """What the API answers to that."""
        reply = await self.door.post(f"/api/{path}", json=body)
        assert reply.status_code == status, reply.text
        await self._caught_up()
        return reply.json()

    async def advice(self, lot: str) -> dict[str, Any]:
        """The advice of a lot, its lines by question; what it says is noted."""
        found: dict[str, Any] = await self.get(f"lots/{lot}/advice")
        found["lines"] = {line["question"]: line for line in found["lines"]}
        when = datetime.fromtimestamp(self.now_ms / 1000, TOWN).strftime("%a %d %b %H:%M")
        self.said.append(f"{when}  {lot}  [{found['word']}] {found['title']['text']}: {found['why']['text']}")
        for name, line in found["lines"].items():
            self.said.append(f"    {name}: " + " ".join(said["text"] for said in line["said"]))
        return found


@contextlib.asynccontextmanager
async def month(folder: Path, from_ms: int, start_ms: int) -> AsyncIterator[Month]:
    """The workshop at ``start_ms``, its air recorded from ``from_ms`` on."""
    clock = ManualClock(start_ms)
    spine = build(Settings(demo_config(0, 1, "/dev/null", "/dev/zero"), folder, clock, boot="b", machine_boot="m"))
    try:
        for batch in past_samples(from_ms, start_ms):
            await spine.engine.lay_down(batch)
        placed = placed_entries(spine.config.sensors, spine.history.journal("placed"), from_ms)
        await spine.store.add_journal(placed)
        await spine.stockroom.opened()
        rooms = Rooms(
            board=spine.engine.board, engine=spine.engine, history=spine.history, store_file=folder / "record.sqlite",
            maker=None, listening=None, vitals=None, salt_checks=spine.salt_checks, upkeep=None, arranger=None,  # type: ignore[arg-type]
            stockroom=spine.stockroom, lot_verdicts=spine.lot_verdicts,
            room_keeper=RoomKeeper(spine.engine, lambda: spine.frame.config, spine.engine.clock),
        )  # fmt: skip
        async with (
            asyncio.TaskGroup() as group,
            opened(rooms, 0, group) as port,
            httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}", timeout=30) as door,
        ):
            yield Month(spine, clock, door, start_ms)
    finally:
        await spine.store.close()
