"""May these boards be glued? Over HTTP: the verdict with its questions, when it will be, what brings it soonest."""

from __future__ import annotations

import asyncio
from typing import Any

from fastapi import APIRouter, Request

from server.advice.base import NotToBeAsked
from server.advice.glue_up.asking import advise
from server.advice.glue_up.base import GlueUp, Refused
from server.advice.glue_up.catalog import QUESTIONS
from server.advice.glue_up.documents import GlueUpDocument, glue_up_document
from server.advice.glue_up.view import glue_view
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.snapshot import Speaker
from server.words import Telling, Words

router = APIRouter(prefix="/api", responses=RESPONSES)


@router.get("/glueup/questions")
async def glue_up_questions() -> list[dict[str, Any]]:
    """Every question that a glue-up is asked, in their order: its name, what it answers, whether it may decide the
    verdict."""
    return [{"name": q.name, "summary": q.summary, "decides": q.decides} for q in QUESTIONS]


@router.post("/glueup")
async def glue_up(request: Request, asked: GlueUp, lang: Lang = "en", units: Units = "metric") -> GlueUpDocument:
    """One verdict with its questions for a glue-up that is thought of. Nothing is written down."""
    rooms = Rooms.of(request)
    stockroom, engine = rooms.stockroom, rooms.engine
    telling = Telling(engine.clock.now().wall_ms, stockroom.timezone, dict(engine.zone_names))
    try:
        seen = glue_view(stockroom, asked, engine.outlooks, telling)
    except Refused as e:
        status, title = (404, "No such name") if e.unknown else (409, "Not possible")
        raise Problem(status, title, e.field, e.found, e.would_be_right) from e
    except NotToBeAsked as e:
        raise Problem(422, "Not understood", e.field, e.found, e.would_be_right) from e
    speaker = Speaker(Words(lang), units)

    def worked_out() -> GlueUpDocument:
        view = seen()
        return glue_up_document(view, advise(view), speaker)

    return await asyncio.to_thread(worked_out)
