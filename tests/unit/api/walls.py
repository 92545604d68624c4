"""A spine with the door of a whole server in front of it, and no wire: what is arranged at the wall, and the record."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx

from server.api.door import application
from server.api.problems import ProblemDocument
from server.api.rooms import Rooms
from server.app import SOURCE_SCHEMAS
from server.arranging import Arranger
from server.config import Config
from server.making import Maker
from server.room.keeper import RoomKeeper
from server.shop.zone_aims import zone_aims
from tests.unit.spine import Bench


class NoWires:
    """A shop without wires."""

    async def remove(self, name: str) -> None:
        """Nothing to stop."""

    def add(self, wires: dict[str, Any]) -> None:
        """Nothing to start."""


class Wall:
    """A bench, opened as a start does it, and what a client says to it."""

    def __init__(self, folder: Path, config: Config | None = None) -> None:
        self.bench = Bench(folder, config)

    async def open(self) -> Wall:
        spine = self.bench.spine
        await spine.stockroom.opened()
        await spine.write_places(spine.engine.clock.now().wall_ms)
        maker = Maker(
            config=spine.config,
            in_file=self.bench.config,
            source_schemas=SOURCE_SCHEMAS,
            engine=spine.engine,
            frame=spine.frame,
            clock=spine.engine.clock,
            wires=NoWires(),
            make_wires=lambda _: {},
            aims=zone_aims,
            state=self.bench.folder,
            ports=self.bench.folder,
        )
        arranger = Arranger(maker, spine.stockroom)
        self.places = arranger.places
        self.places.begin()
        self.rooms = Rooms(
            board=spine.engine.board,
            engine=spine.engine,
            history=spine.history,
            store_file=self.bench.folder / "record.sqlite",
            maker=maker,
            arranger=arranger,
            listening=None,  # type: ignore[arg-type]
            vitals=None,  # type: ignore[arg-type]
            salt_checks=spine.salt_checks,
            upkeep=None,  # type: ignore[arg-type]
            stockroom=spine.stockroom,
            lot_verdicts=spine.lot_verdicts,
            room_keeper=RoomKeeper(spine.engine, lambda: spine.frame.config, spine.engine.clock),
        )
        await spine.engine.turn(())
        return self

    async def again(self, config: Config | None = None) -> None:
        """A restart, if need be with another file."""
        self.bench.config = config or self.bench.config
        await self.bench.restart()
        await self.open()

    async def ask(self, method: str, path: str, body: Any = None, **more: Any) -> httpx.Response:
        transport = httpx.ASGITransport(application(self.rooms))
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:8736") as door:
            return await door.request(method, f"/api/{path}", json=body, **more)

    async def get(self, path: str) -> Any:
        reply = await self.ask("GET", path)
        assert reply.status_code == 200, reply.text
        return reply.json()

    async def do(self, method: str, path: str, *, command: str | None = None, who: str = "Ada", **body: Any) -> Any:
        """A command that is carried out."""
        reply = await self.ask(method, path, {"command_id": command or str(uuid4()), "who": who, **body})
        assert reply.status_code == 200, reply.text
        return reply.json()

    async def refused(
        self, method: str, path: str, status: int, *, command: str | None = None, **body: Any
    ) -> ProblemDocument:
        """A command that is not."""
        reply = await self.ask(method, path, {"command_id": command or str(uuid4()), **body})
        assert reply.status_code == status, reply.text
        return ProblemDocument.model_validate(reply.json())

    async def journal(self) -> list[dict[str, Any]]:
        """Newest first."""
        found: list[dict[str, Any]] = await self.get("journal")
        return found
