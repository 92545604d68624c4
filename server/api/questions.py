"""The bench book's questions over HTTP: made from the same request models as the command's flags."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import APIRouter, Request

from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.book.base import BadRequest, ask
from server.book.catalog import QUESTIONS
from server.shop.own_species import species_table
from server.words import Words

router = APIRouter(prefix="/api/book", responses=RESPONSES)


@router.get("")
async def questions() -> list[dict[str, Any]]:
    """Every question: its name, what it answers, and the JSON schema of its input."""
    return [{"name": q.name, "summary": q.summary, "input": q.request.model_json_schema()} for q in QUESTIONS.values()]


async def answer(
    name: str, given: dict[str, Any], request: Request, lang: Lang = "en", units: Units = "metric"
) -> dict[str, Any]:
    """One answer: figures unrounded, keys ending in their unit, with flags, sentence, source and caution."""
    if name not in QUESTIONS:
        raise Problem(404, "No such question", "name", repr(name), "one of " + ", ".join(QUESTIONS))
    try:
        known = species_table(Rooms.of(request).maker.config.species)
        return ask(QUESTIONS[name], given, known, as_json=True).document(Words(lang), units)
    except BadRequest as bad:
        first = bad.mistakes[0]
        raise Problem(422, "Not understood", first.field, first.found, first.would_be_right) from bad


def _asked(name: str) -> Callable[..., Coroutine[Any, Any, dict[str, Any]]]:
    async def asked(
        given: dict[str, Any], request: Request, lang: Lang = "en", units: Units = "metric"
    ) -> dict[str, Any]:
        return await answer(name, given, request, lang, units)

    return asked


for _name, _question in QUESTIONS.items():  # each with the schema of its own input in the OpenAPI document
    _body = {"content": {"application/json": {"schema": _question.request.model_json_schema()}}}
    router.add_api_route(
        f"/{_name}", _asked(_name), methods=["POST"], name=_name, description=_question.summary,
        openapi_extra={"requestBody": _body},
    )  # fmt: skip
router.add_api_route("/{name}", answer, methods=["POST"], include_in_schema=False)
