"""How the copies are doing, and the order to send a remote again what it has lost."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, ConfigDict, Field

from server.api.commands import Command, answered
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import END_MS
from server.reading import RemoteState
from server.shop.deed import Whole
from server.stores.port import StoreFull

router = APIRouter(prefix="/api/remotes", responses=RESPONSES)


class Rewind(Command):
    """From when on to send again; a point that is there already is only written once more."""

    from_ms: Whole = Field(ge=0, le=END_MS, description="ms since 1970 UTC; 0 sends everything")


class RewindDone(BaseModel):
    """``repeated``: the same command came before, and nothing was done now."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    remote: str
    from_ms: int


@router.get("")
async def remotes(request: Request) -> list[RemoteState]:
    """Every configured remote: what it has, what it lacks and since when, how long the rest takes."""
    return list(Rooms.of(request).remotes.states())


@router.post("/{remote}/rewind")
async def rewind(request: Request, remote: Annotated[str, Path(max_length=40)], body: Rewind) -> RewindDone:
    """Send it everything from a moment on again: it was wiped, or the reason why it refused rows is gone."""
    known = Rooms.of(request).remotes
    if remote not in known.forwarders:
        right = "one of " + ", ".join(known.forwarders) if known.forwarders else "a [[remote]] in the configuration"
        raise Problem(404, "No such remote", "remote", repr(remote), right)
    try:
        reply = await known.rewind(remote, body.from_ms, str(body.command_id))
    except StoreFull as e:
        right = "room on the disk; then the same again"
        raise Problem(503, "The record cannot be written", "store", str(e), right) from e
    return answered(RewindDone, reply, body.command_id)
