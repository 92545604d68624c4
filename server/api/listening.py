"""Listening to what is not configured yet, and making sources, sensors and zones at the wall."""

from __future__ import annotations

from collections.abc import Awaitable
from typing import Annotated, Any

from fastapi import APIRouter, Request
from fastapi import Path as InPath
from pydantic import Field

from server.api.commands import Command, Signed
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.config import ConfigError, Mistake
from server.heard import HeardDocument
from server.listening import LONGEST_S, Busy
from server.making import SourceRow
from server.making_done import Locked, MakingDone, NothingAsked, Unknown
from server.shop.deed import Number
from server.snapshot import Speaker
from server.stores.port import StoreFull
from server.words import Words

router = APIRouter(prefix="/api", responses=RESPONSES)
SourceId = Annotated[str, InPath(max_length=40)]
Name = Annotated[str, Field(max_length=255)]


class Listen(Command):
    """Where to listen, and for how long. Without ports and broker: on every port that is plugged in."""

    ports: list[Name] | None = Field(default=None, max_length=32)
    broker: dict[str, Any] | None = Field(
        default=None, description="as an mqtt source's table: host, port, username ...; topics default to all"
    )
    seconds: Number = Field(default=10.0, ge=1, le=LONGEST_S, description=f"seconds, 1 to {LONGEST_S:g}")


class MakeSource(Signed):
    """A source and its sensors, as the tables of the configuration file; a sensor's source need not be repeated."""

    source: dict[str, Any]
    sensors: list[dict[str, Any]] = Field(default_factory=list, max_length=200)


class MakeZone(Signed):
    """A zone, as the table of the configuration file."""

    zone: dict[str, Any]


@router.post("/listen")
async def listen(request: Request, body: Listen, lang: Lang = "en", units: Units = "metric") -> HeardDocument:
    """What is heard, after so many seconds. Opens each port that nobody reads, which restarts many boards. The same
    command id again is the same listening."""
    rooms = Rooms.of(request)
    there = rooms.listening.ports()
    ports = body.ports if body.ports is not None else [] if body.broker is not None else there
    for n, port in enumerate(ports):
        if port not in there:
            right = "one of " + ", ".join(there) if there else "none: no serial port is plugged in"
            raise Problem(422, "Not understood", f"ports.{n}", repr(port), right)
    try:
        brokers = [] if body.broker is None else [await rooms.maker.broker(body.broker)]
        return await rooms.listening.listen(
            str(body.command_id), ports, brokers, body.seconds, Speaker(Words(lang), units)
        )
    except ConfigError as e:
        raise _problem(e.mistakes) from e
    except Busy as e:
        right = f"to wait until it is over, {LONGEST_S:.0f} s at most"
        raise Problem(409, "Not possible now", "listen", "somebody listens already", right) from e


@router.get("/sources")
async def sources(request: Request) -> list[SourceRow]:
    """Every configured wire: state, silent since, counters, last raw bytes; and whether it was made at the wall or
    stands in the file, where it is locked."""
    return await Rooms.of(request).maker.sources()


@router.post("/sources")
async def make_source(request: Request, body: MakeSource) -> MakingDone:
    """Make a source and its sensors; they work at once and after a restart."""
    return await made(Rooms.of(request).maker.make_source(str(body.command_id), body.source, body.sensors, body.who))


@router.delete("/sources/{source}")
async def remove_source(request: Request, source: SourceId, body: Signed) -> MakingDone:
    """Take away a source that was made at the wall, and its sensors. What they said stays in the record."""
    try:
        return await made(Rooms.of(request).maker.remove_source(str(body.command_id), source, body.who))
    except Locked as e:
        raise Problem(409, "Locked by the configuration file", "source", repr(source), str(e)) from e
    except Unknown as e:
        raise Problem(404, "No such source", "source", repr(source), str(e)) from e


@router.post("/sources/{source}/confirm")
async def confirm(request: Request, source: SourceId, body: Signed) -> MakingDone:
    """The device that is there now is the right one: a person has looked. See ``to_confirm`` of the source."""
    try:
        return await made(Rooms.of(request).maker.confirm(str(body.command_id), source, body.who))
    except Unknown as e:
        raise Problem(404, "No such source", "source", repr(source), str(e)) from e
    except NothingAsked as e:
        right = "a source with something to confirm, as GET /api/sources says"
        raise Problem(409, "Not possible now", "source", f"{source!r}, where nothing is asked", right) from e


async def made(making: Awaitable[MakingDone]) -> MakingDone:
    """What was made, or the problem that says why not."""
    try:
        return await making
    except ConfigError as e:
        raise _problem(e.mistakes) from e
    except StoreFull as e:
        raise Problem(
            503, "The record cannot be written", "store", str(e), "room on the disk; then the same again"
        ) from e


def _problem(mistakes: tuple[Mistake, ...] | list[Mistake]) -> Problem:
    """The first mistake as a problem, its place as it is in the request."""
    first = mistakes[0]
    place = first.key.replace("sensor[", "sensors[").removesuffix(".[key]")
    if place.partition(".")[0] == "shop":
        place = "settings" + place.removeprefix("shop")
    for table in ("source", "zone", "destination"):
        place = place.replace(f"{table}[0]", table)
    more = f" (and {len(mistakes) - 1} more)" if len(mistakes) > 1 else ""
    return Problem(422, "Not understood", place, first.found, first.would_be_right + more)
