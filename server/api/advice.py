"""What to do with a lot, over HTTP: all questions at once, or one with what is planned."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request

from server.advice.asking import advise, ask_one
from server.advice.base import LotView, NotToBeAsked
from server.advice.catalog import QUESTIONS
from server.advice.documents import AdviceDocument, LineDocument, advice_document, line_document
from server.advice.view import view_of
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.shop.journal import NotPossible
from server.snapshot import Speaker
from server.words import Telling, Words

router = APIRouter(prefix="/api", responses=RESPONSES)
LotId = Annotated[str, Path(max_length=40)]


@router.get("/lot-questions")
async def lot_questions() -> list[dict[str, Any]]:
    """Every question that can be asked of a lot: its name, what it answers, the JSON schema of what may be said with
    it."""
    return [{"name": q.name, "summary": q.summary, "input": q.inputs.model_json_schema()} for q in QUESTIONS.values()]


@router.get("/lots/{lot}/advice")
async def advice(request: Request, lot: LotId, lang: Lang = "en", units: Units = "metric") -> AdviceDocument:
    """The lot's verdict and every line of it."""
    seen, speaker = _view(request, lot), Speaker(Words(lang), units)

    def worked_out() -> AdviceDocument:
        view = seen()
        return advice_document(lot, view.at_ms, advise(view), speaker)

    return await asyncio.to_thread(worked_out)


@router.post("/lots/{lot}/advice/{question}")
async def one_line(  # noqa: PLR0917 - the query's own parameters
    request: Request, lot: LotId, question: str, given: dict[str, Any], lang: Lang = "en", units: Units = "metric"
) -> LineDocument:
    """One question with what is planned. 404 where it makes no sense to ask it of this lot."""
    if question not in QUESTIONS:
        raise Problem(404, "No such question", "question", repr(question), "one of " + ", ".join(QUESTIONS))
    seen = _view(request, lot)
    try:
        line = await asyncio.to_thread(lambda: ask_one(seen(), question, given))
    except NotToBeAsked as e:
        raise Problem(422, "Not understood", e.field, e.found, e.would_be_right) from e
    if line is None:
        found = f"{question!r} of {lot!r}, of which it cannot be asked"
        raise Problem(404, "Nothing to say", "question", found, "a question among the lines of its advice")
    return line_document(line, Speaker(Words(lang), units))


def _view(request: Request, lot: str) -> Callable[[], LotView]:
    rooms = Rooms.of(request)
    stockroom, engine = rooms.stockroom, rooms.engine
    if lot not in stockroom.shop.lots:
        some = ", ".join(sorted(stockroom.shop.lots)[:5]) or "a lot that was received"
        raise Problem(404, "No such lot", "lot", repr(lot), some)
    telling = Telling(engine.clock.now().wall_ms, stockroom.timezone, engine.zone_names)
    try:
        return view_of(stockroom, lot, engine.outlooks, telling)
    except NotPossible as e:
        raise Problem(409, "Not possible", e.field, e.found, e.would_be_right) from e
