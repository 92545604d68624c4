"""What holds the aim of a zone's air tonight, over HTTP."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request

from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.room.tonight import Asked, TonightDocument
from server.snapshot import Speaker
from server.words import Telling, Words

router = APIRouter(prefix="/api", responses=RESPONSES)
Hold = Annotated[
    float | None,
    Query(
        ge=0.5, le=25, allow_inf_nan=False,
        description="what the air is to draw wood to, 0.5 to 25 % MC; else half a per cent inside its nearer limit",
    ),
]  # fmt: skip


@router.get("/zones/{zone}/tonight")
async def tonight(
    request: Request,
    zone: Annotated[str, Path(max_length=40)],
    hold_pct: Hold = None,
    lang: Lang = "en",
    units: Units = "metric",
) -> TonightDocument:
    """A cooler room, litres with their ceiling, the extractor, the stock, the leak: with what each of them rests on."""
    asked = _asked(Rooms.of(request), zone, hold_pct)
    rooms, speaker = Rooms.of(request), Speaker(Words(lang), units)
    return await asyncio.to_thread(asked.document, rooms.history, rooms.stockroom, speaker)


def _asked(rooms: Rooms, zone: str, hold_pct: float | None) -> Asked:
    engine, ground = rooms.engine, rooms.room_keeper.ground()
    known = [one.id for one in ground.config.zones if not one.outdoors]
    right = "one of " + ", ".join(known)
    if zone not in rooms.zone_ids:
        raise Problem(404, "No such zone", "zone", repr(zone), right)
    if zone not in known:
        raise Problem(409, "Not a room", "zone", f"{zone!r}, which is outdoors", right)
    now = engine.clock.now()
    air = engine.present_air(zone, now)
    if air is None:
        raise Problem(
            409, "Not possible now", "zone", f"{zone!r}, of which nothing is heard", "a zone that is heard now"
        )
    yard = ground.outdoors
    return Asked(
        zone, engine.aims[zone], air, engine.present_air(yard, now) if yard in engine.aims and yard else None, ground,
        engine.outlooks.get(zone, ()), Telling(now.wall_ms, ground.config.shop.timezone, engine.zone_names), hold_pct,
    )  # fmt: skip
