"""Pictures over HTTP, such as one for the boards of a log: put once under an id of the client's, given back as put."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response
from pydantic import BaseModel, ConfigDict

from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.pictures import KINDS, PICTURED, NoPicture, kind_of
from server.reading import JournalEntry
from server.stores.port import StoreFull

router = APIRouter(prefix="/api/pictures", responses=RESPONSES)
PictureId = Annotated[str, Path(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="small letters, digits, hyphens")]
_BYTES: dict[str, Any] = {kind: {"schema": {"type": "string", "format": "binary"}} for kind in KINDS}


class PictureDone(BaseModel):
    """The answer: ``repeated`` when the same picture had been put under this id before."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    id: str
    type: str
    bytes: int


@router.put("/{picture}", openapi_extra={"requestBody": {"required": True, "content": _BYTES}})
async def put(
    request: Request,
    picture: PictureId,
    who: Annotated[str, Query(max_length=40, description="who says so, up to 40 signs")] = "",
) -> PictureDone:
    """Keep a JPEG or PNG of at most a megabyte. The id stays that picture's; another one takes another id."""
    data, rooms = await request.body(), Rooms.of(request)
    try:
        kind = kind_of(data)
    except NoPicture as e:
        raise Problem(415, "No picture", "body", str(e), "a whole JPEG or PNG") from e
    said = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if said != kind:
        raise Problem(415, "Another type", "content-type", f"{said}, and bytes of {kind}", kind)
    now_ms = rooms.engine.clock.now().wall_ms
    about: dict[str, object] = {"recorded_ms": now_ms, "who": who, "type": kind, "bytes": len(data)}
    entry = JournalEntry(f"{PICTURED}:{picture}", now_ms, PICTURED, picture, about)
    try:
        new = await rooms.engine.store.keep_picture(picture, kind, data, entry)
    except StoreFull as e:
        raise Problem(
            503, "The record cannot be written", "store", str(e), "room on the disk; then the same again"
        ) from e
    if new is None:
        raise Problem(409, "Another picture has this id", "picture", repr(picture), "the same picture, or another id")
    return PictureDone(done=True, repeated=not new, id=picture, type=kind, bytes=len(data))


@router.get("/{picture}", response_class=Response, responses={200: {"content": _BYTES, "description": "As it was put"}})
async def get(request: Request, picture: PictureId) -> Response:
    """The picture. It never changes, so whoever has it need not ask again."""
    found = await asyncio.to_thread(Rooms.of(request).history.picture, picture)
    if found is None:
        raise Problem(404, "No such picture", "picture", repr(picture), "the id of one that was put here")
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "private, max-age=31536000, immutable"}
    return Response(found[1], media_type=found[0], headers=headers)
