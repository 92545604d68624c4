"""What the routes are handed: the few things of the running server that the door may see."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from fastapi import Request

from server.arranging import Arranger
from server.board import Board
from server.engine import Engine
from server.health import Vitals
from server.listening import Listening
from server.lot_verdicts import LotVerdicts
from server.making import Maker
from server.remotes import Remotes
from server.room.keeper import RoomKeeper
from server.salt_checks import SaltChecks
from server.stockroom import Stockroom
from server.stores.port import History
from server.upkeep import Upkeep


@dataclass(frozen=True, slots=True)
class Rooms:
    """Handed over by the app; the routes reach nothing else."""

    board: Board
    engine: Engine
    history: History
    store_file: Path
    maker: Maker
    arranger: Arranger
    listening: Listening
    vitals: Callable[[], Vitals]
    salt_checks: SaltChecks
    upkeep: Upkeep
    stockroom: Stockroom
    lot_verdicts: LotVerdicts
    room_keeper: RoomKeeper
    remotes: Remotes = field(default_factory=Remotes)

    @property
    def zone_ids(self) -> tuple[str, ...]:
        """Those that there are now."""
        return tuple(self.engine.aims)

    @staticmethod
    def of(request: Request) -> Rooms:
        """Those of the application that took the request."""
        rooms = request.app.state.rooms
        assert isinstance(rooms, Rooms)  # noqa: S101 - set once by the app
        return rooms
