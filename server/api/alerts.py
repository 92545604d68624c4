"""Alerts over HTTP: what stands, what became of them, how well they serve. Deeds: :mod:`server.api.commands`."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict

from server.alerts.measures import report
from server.alerts.report_parts import Measure, Report
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import END_MS, Lang, Units, snapshot
from server.documents import AlertPart, ChangePart, Said
from server.snapshot import ShopView, Speaker, change_part
from server.words import Sentence, Words

router = APIRouter(prefix="/api/alerts", responses=RESPONSES)
FromMs = Annotated[int, Query(ge=0, le=END_MS, description="ms since 1970 UTC")]
ToMs = Annotated[int, Query(ge=0, le=END_MS, description="ms since 1970 UTC, after from_ms")]
LONGEST_DAYS = 400
DAY_MS = 86_400_000


class PageDocument(BaseModel):
    """Changes, the newest first; ``before`` asks for those that follow, None where there are no more."""

    model_config = ConfigDict(extra="forbid")
    changes: list[ChangePart]
    before: int | None


class MeasureDocument(Measure):
    """A measure with what it is in words."""

    title: Said


class ReportDocument(Report):
    """The report with its measures named."""

    measures: list[MeasureDocument]  # type: ignore[assignment]  # each is one with a title


@router.get("")
async def alerts(request: Request, lang: Lang = "en", units: Units = "metric") -> list[AlertPart]:
    """The alerts that stand, worst first: state, since when, what to do about it, and what may be told of it."""
    return (await snapshot(request, lang, units)).alerts


@router.get("/history")
async def history(  # noqa: PLR0917 - the query's own parameters
    request: Request,
    from_ms: FromMs = 0,
    to_ms: ToMs = END_MS,
    before: Annotated[int, Query(ge=1, le=2**53, description="as the page before said")] = 2**53,
    most: Annotated[int, Query(ge=1, le=500, description="so many at once, 1 to 500")] = 50,
    lang: Lang = "en",
    units: Units = "metric",
) -> PageDocument:
    """Every change of every alert, the newest first, a page at a time."""
    rooms, view = Rooms.of(request), _view(request, from_ms, to_ms)
    speaker = Speaker(Words(lang), units)
    found = await asyncio.to_thread(rooms.history.alert_page, from_ms, to_ms, before, most + 1)
    page = found[:most]
    return PageDocument(
        changes=[change_part(change, view.telling, speaker) for _, change in page],
        before=page[-1][0] if len(found) > most else None,
    )


@router.get("/measures")
async def measures(
    request: Request, from_ms: FromMs, to_ms: ToMs, lang: Lang = "en", units: Units = "metric"
) -> ReportDocument:
    """The measures of ISA-18.2 / IEC 62682 for a span of at most 400 days. Bounds are from memory, as each says."""
    _view(request, from_ms, to_ms)
    if to_ms - from_ms > LONGEST_DAYS * DAY_MS:
        right = f"at most {LONGEST_DAYS} days after from_ms ({from_ms + LONGEST_DAYS * DAY_MS})"
        raise Problem(422, "Not understood", "to_ms", str(to_ms), right)
    changes = await asyncio.to_thread(Rooms.of(request).history.alert_story, from_ms, to_ms)
    found = await asyncio.to_thread(report, changes, from_ms, to_ms)
    speaker = Speaker(Words(lang), units)
    named = [{**one.model_dump(), "title": speaker.say(Sentence(one.title_key))} for one in found.measures]
    return ReportDocument.model_validate({**found.model_dump(), "measures": named})


def _view(request: Request, from_ms: int, to_ms: int) -> ShopView:
    if from_ms >= to_ms:
        raise Problem(422, "Not understood", "to_ms", str(to_ms), f"later than from_ms ({from_ms})")
    if (view := Rooms.of(request).board.view) is None:
        raise Problem(503, "Not ready", "snapshot", "no view yet: the server is starting", "the same request, later")
    return view
