"""Zones, destinations and the shop's settings over HTTP: what there is, and changing it. Every change says who."""

from __future__ import annotations

from collections.abc import Awaitable
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, ConfigDict, Field

from server.api.commands import Signed
from server.api.listening import MakeZone, made
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.arranging import DestinationRow
from server.making_done import InUse, Locked, MakingDone, Unknown

router = APIRouter(prefix="/api", responses=RESPONSES)
Name = Annotated[str, Path(max_length=40)]


class SettingDocument(BaseModel):
    """One key of the shop. ``locked``: the configuration file says so, and only there may it be changed. ``next`` is
    what holds after a restart, where that is something else."""

    model_config = ConfigDict(extra="forbid")
    key: str
    value: Any
    locked: bool
    next: Any | None


class DestinationDocument(BaseModel):
    """Where pieces will live, the aim that follows, where that comes from, and what is meant for it."""

    model_config = ConfigDict(extra="forbid")
    id: str
    name: str
    region: str | None
    dry_limit_pct: float
    damp_limit_pct: float
    source: str
    locked: bool
    zones: list[str]
    lots: list[str]


class Set(Signed):
    """Keys of the shop, as its table in the configuration file has them."""

    settings: dict[str, Any] = Field(max_length=20)


class MakeDestination(Signed):
    """A destination, as the table of the configuration file."""

    destination: dict[str, Any] = Field(max_length=20)


class ChangeDestination(Signed):
    """The keys that change: name, region, or both limits."""

    destination: dict[str, Any] = Field(max_length=20)


class ChangeZone(Signed):
    """The keys that change: name, destination, off_season, and what is said of the room."""

    zone: dict[str, Any] = Field(max_length=20)


@router.get("/settings")
async def settings(request: Request) -> list[SettingDocument]:
    """The shop as a whole: name, time zone, language, units, working hours."""
    rows = Rooms.of(request).arranger.settings()
    return [SettingDocument(key=r.key, value=r.value, locked=r.locked, next=r.next) for r in rows]


@router.post("/settings")
async def set_settings(request: Request, body: Set) -> MakingDone:
    """Set some of them. A time zone counts from the next start on, everything else at once."""
    deed = Rooms.of(request).arranger.set(str(body.command_id), body.settings, body.who)
    return await _changed(deed, "settings", "shop")


@router.get("/destinations")
async def destinations(request: Request) -> list[DestinationDocument]:
    """Every destination with its aim."""
    return [_document(row) for row in Rooms.of(request).arranger.destinations()]


@router.post("/destinations")
async def make_destination(request: Request, body: MakeDestination) -> MakingDone:
    """Make a destination: a region of the published table, or two limits."""
    maker = Rooms.of(request).maker
    return await made(maker.make_destination(str(body.command_id), body.destination, body.who))


@router.put("/destinations/{destination}")
async def change_destination(request: Request, destination: Name, body: ChangeDestination) -> MakingDone:
    """Change one that was made at the wall; what is meant for it is judged by its new aim at once."""
    arranger = Rooms.of(request).arranger
    deed = arranger.change("destination", destination, body.destination, body.who, command_id=str(body.command_id))
    return await _changed(deed, "destination", destination)


@router.delete("/destinations/{destination}")
async def remove_destination(request: Request, destination: Name, body: Signed) -> MakingDone:
    """Take away one that was made at the wall and that nothing is meant for."""
    arranger = Rooms.of(request).arranger
    deed = arranger.remove("destination", destination, body.who, command_id=str(body.command_id))
    return await _changed(deed, "destination", destination)


@router.post("/zones")
async def make_zone(request: Request, body: MakeZone) -> MakingDone:
    """Make a zone. Lots can be moved to it at once."""
    return await made(Rooms.of(request).maker.make_zone(str(body.command_id), body.zone, body.who))


@router.put("/zones/{zone}")
async def change_zone(request: Request, zone: Name, body: ChangeZone) -> MakingDone:
    """Change a zone that was made at the wall: name, destination, what is said of the room."""
    arranger = Rooms.of(request).arranger
    deed = arranger.change("zone", zone, body.zone, body.who, command_id=str(body.command_id))
    return await _changed(deed, "zone", zone)


@router.delete("/zones/{zone}")
async def remove_zone(request: Request, zone: Name, body: Signed) -> MakingDone:
    """Take away a zone that was made at the wall, in which no lot lies and no sensor stands. Its past stays."""
    arranger = Rooms.of(request).arranger
    return await _changed(arranger.remove("zone", zone, body.who, command_id=str(body.command_id)), "zone", zone)


async def _changed(deed: Awaitable[MakingDone], what: str, name: str) -> MakingDone:
    try:
        return await made(deed)
    except Locked as e:
        raise Problem(409, "Locked by the configuration file", what, repr(name), str(e)) from e
    except Unknown as e:
        raise Problem(404, f"No such {what}", what, repr(name), str(e)) from e
    except InUse as e:
        raise Problem(409, "Not possible now", what, e.found, e.would_be_right) from e


def _document(row: DestinationRow) -> DestinationDocument:
    one, aim = row.destination, row.aim
    return DestinationDocument(
        id=one.id, name=one.name, region=one.region, dry_limit_pct=aim.dry_limit_pct,
        damp_limit_pct=aim.damp_limit_pct, source=aim.source, locked=row.locked, zones=list(row.zones),
        lots=list(row.lots),
    )  # fmt: skip
