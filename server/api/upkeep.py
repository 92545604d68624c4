"""A copy of the record at once, for a person who asks for one."""

from __future__ import annotations

from fastapi import APIRouter, Request
from pydantic import BaseModel, ConfigDict

from server.api.commands import Command, answered
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.stores.port import StoreError

router = APIRouter(prefix="/api/store", responses=RESPONSES)


class CopyDone(BaseModel):
    """``repeated``: the same command came before, and this is the copy that was made then."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    file: str
    bytes: int


@router.post("/backup")
async def backup(request: Request, body: Command) -> CopyDone:
    """Copy the record beside the running server; the copy is checked and whole before it has its name."""
    try:
        reply = await Rooms.of(request).upkeep.copy_now(str(body.command_id))
    except StoreError as e:
        right = "a backup folder with room that we may write in; then the same again"
        raise Problem(503, "No copy was made", "backup_folder", str(e), right) from e
    return answered(CopyDone, reply, body.command_id)
