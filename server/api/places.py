"""Where sensors stand and stood, over HTTP, and moving one from a time on."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, ConfigDict, Field

from server.api.commands import Signed
from server.api.listening import made
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.making_done import MakingDone, Unknown
from server.placing import Place
from server.shop.journal import NotPossible

router = APIRouter(prefix="/api/sensors", responses=RESPONSES)
SensorId = Annotated[str, Path(max_length=200)]


class PlaceDocument(BaseModel):
    """One place of a sensor. ``from_ms`` is None for as far back as there are readings, ``to_ms`` for the place where
    it stands; ``zone`` is None where it hung nowhere. ``told_ms`` and ``who``: when that was said, and by whom."""

    model_config = ConfigDict(extra="forbid")
    from_ms: int | None
    to_ms: int | None
    zone: str | None
    told_ms: int
    who: str


class PlacesDocument(BaseModel):
    """Where a sensor stood when, the oldest first. ``remaking``: the past of one of these zones is being made anew."""

    model_config = ConfigDict(extra="forbid")
    sensor: str
    zone: str | None
    places: list[PlaceDocument]
    remaking: bool


class Move(Signed):
    """The sensor stands in another zone since a time, now where none is named. What was told of where it stood later
    than that holds no more."""

    zone: str = Field(max_length=40)
    from_ms: int | None = Field(
        None, ge=0, le=4_102_444_800_000, description="since when: whole ms since 1970 UTC, 0 or more"
    )
    note: str = Field("", max_length=500, description="up to 500 signs")


@router.get("/{sensor}/places")
async def places(request: Request, sensor: SensorId) -> PlacesDocument:
    """Where it stood when."""
    room = Rooms.of(request).arranger.places
    try:
        stood = await room.stood(sensor)
    except Unknown as e:
        raise Problem(404, "No such sensor", "sensor", repr(sensor), str(e)) from e
    ends = [*(place.from_ms for place in stood[1:]), None]
    zones = [place.zone for place in stood if place.zone is not None]
    found = [_document(place, end) for place, end in zip(stood, ends, strict=True)]
    return PlacesDocument(sensor=sensor, zone=stood[-1].zone, places=found, remaking=room.remaking(zones))


@router.post("/{sensor}/places")
async def move(request: Request, sensor: SensorId, body: Move) -> MakingDone:
    """Move it. Readings since then count for the new zone and no longer for the old one: what follows from them is made
    anew beside everything else."""
    room = Rooms.of(request).arranger.places
    deed = room.move(str(body.command_id), sensor, body.zone, body.from_ms, who=body.who, note=body.note)
    try:
        return await made(deed)
    except Unknown as e:
        raise Problem(404, "No such sensor", "sensor", repr(sensor), str(e)) from e
    except NotPossible as e:
        raise Problem(409, "Not possible", e.field, e.found, e.would_be_right) from e


def _document(place: Place, end_ms: int | None) -> PlaceDocument:
    return PlaceDocument(
        from_ms=place.from_ms or None, to_ms=end_ms, zone=place.zone, told_ms=place.told_ms, who=place.who
    )  # fmt: skip
