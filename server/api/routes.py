"""What a client may read: the snapshot and its next version, history, zones, sources, health, the book."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request

from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.documents import SnapshotDocument
from server.health import HealthDocument, health
from server.history import HistoryDocument, history_of
from server.words import Language

router = APIRouter(prefix="/api", responses=RESPONSES)
Lang = Annotated[Language, Query(description="language of the sentences")]
Units = Annotated[Literal["metric", "imperial"], Query(description="units inside the sentences")]
ZoneQuantity = Literal["temperature_c", "vapour_pressure_pa", "humidity_pct", "emc_pct"]
LONGEST_WAIT_S = 25.0
END_MS = 253_402_300_799_999
"""The end of the year 9999, where calendars end."""


@router.get("/snapshot")
async def snapshot(
    request: Request,
    lang: Lang = "en",
    units: Units = "metric",
    after: Annotated[str | None, Query(max_length=64, description="answer when the version is another one")] = None,
    wait_s: Annotated[float, Query(ge=0, le=LONGEST_WAIT_S, description="wait at most this long")] = 0.0,
) -> SnapshotDocument:
    """The wall in one document. With ``after`` and ``wait_s`` a long poll; another boot's version answers at once."""
    board = Rooms.of(request).board
    if after is not None or board.counter == 0:
        await board.newer_than(after, wait_s)
    if (found := board.rendered(lang, units)) is None:
        raise Problem(503, "Not ready", "snapshot", "no view yet: the server is starting", "the same request, later")
    return found


@router.get("/zones")
async def zones(request: Request, lang: Lang = "en", units: Units = "metric") -> list[dict[str, Any]]:
    """The zones of the newest snapshot."""
    document = await snapshot(request, lang, units)
    return [zone.model_dump() for zone in document.zones]


@router.get("/history")
async def history(  # noqa: PLR0917 - the query's own parameters
    request: Request,
    zone: Annotated[str, Query(max_length=40)],
    from_ms: Annotated[int, Query(ge=0, le=END_MS, description="ms since 1970 UTC")],
    to_ms: Annotated[int, Query(ge=0, le=END_MS, description="ms since 1970 UTC, after from_ms")],
    quantity: ZoneQuantity = "emc_pct",
    points: Annotated[int, Query(ge=2, le=5000, description="at most about this many rows")] = 500,
) -> HistoryDocument:
    """A zone's past at a fitting resolution: raw values while they fit, else hours, else days."""
    rooms = Rooms.of(request)
    if zone not in rooms.zone_ids:
        raise Problem(404, "No such zone", "zone", repr(zone), "one of " + ", ".join(rooms.zone_ids))
    if from_ms >= to_ms:
        raise Problem(422, "Not understood", "to_ms", str(to_ms), f"later than from_ms ({from_ms})")
    return await asyncio.to_thread(history_of, rooms.history, zone, quantity, from_ms, to_ms, points)


@router.get("/health")
async def health_now(request: Request, lang: Lang = "en") -> HealthDocument:
    """Whether the instrument itself is well."""
    rooms = Rooms.of(request)
    return await asyncio.to_thread(health, rooms.vitals(), rooms.history, rooms.store_file, lang)
