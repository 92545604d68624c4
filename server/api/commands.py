"""What a client may do. Every command carries an id made by the client, so that twice is once."""

from __future__ import annotations

from typing import Annotated, TypeVar
from uuid import UUID

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from server.alerts.book import AlertError, UnknownAlert
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.deeds import AlertCommand, CommandDone
from server.shop.deed import Number
from server.stores.port import OtherCommand, Reply, StoreFull

router = APIRouter(prefix="/api/alerts", responses=RESPONSES)
Model = TypeVar("Model", bound=BaseModel)
AlertId = Annotated[str, Path(max_length=64)]


class Command(BaseModel):
    """A command's body."""

    model_config = ConfigDict(extra="forbid")
    command_id: UUID


class Signed(Command):
    """A command of which the journal says whose it was."""

    who: str = Field("", max_length=40, description="who says so, up to 40 signs")


class Shelve(Command):
    """Put an alert aside for a while; it comes back by itself if it still stands then."""

    hours: Number = Field(ge=0.25, le=72, description="hours, 0.25 to 72")


@router.post("/{alert}/acknowledge")
async def acknowledge(request: Request, alert: AlertId, body: Command) -> CommandDone:
    """A person has seen it."""
    return await _do(request, AlertCommand(str(body.command_id), "acknowledge", alert))


@router.post("/{alert}/shelve")
async def shelve(request: Request, alert: AlertId, body: Shelve) -> CommandDone:
    """Put it aside for a number of hours."""
    return await _do(request, AlertCommand(str(body.command_id), "shelve", alert, body.hours))


@router.post("/{alert}/unshelve")
async def unshelve(request: Request, alert: AlertId, body: Command) -> CommandDone:
    """Take it back before its time."""
    return await _do(request, AlertCommand(str(body.command_id), "unshelve", alert))


def answered(model: type[Model], reply: Reply, command_id: object) -> Model:
    """A kept reply as this command's document. Raises OtherCommand where the id was another command's."""
    try:
        return model.model_validate(reply)
    except ValidationError:
        raise OtherCommand(str(command_id)) from None


async def _do(request: Request, command: AlertCommand) -> CommandDone:
    try:
        return await Rooms.of(request).engine.command(command)
    except AlertError as e:
        status, title = (404, "No such alert") if isinstance(e, UnknownAlert) else (409, "Not possible now")
        raise Problem(status, title, e.field, repr(e.found), e.would_be_right) from e
    except StoreFull as e:
        raise Problem(
            503, "The record cannot be written", "store", str(e), "room on the disk; then the same again"
        ) from e
