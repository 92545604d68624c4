"""The closing round over HTTP: the open lots, and one answer for each of them in one call."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import BaseModel, ConfigDict, Field

from server.advice.asking import Asked, verdicts_of
from server.advice.base import Inputs, LotView
from server.advice.confirmed import StillSo
from server.advice.documents import VerdictDocument, verdict_document
from server.advice.view import Seeing
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.documents import Document, Said
from server.shop.closing_round import Answer, Why, entries_of, entry_id, open_lots
from server.shop.closing_round import Said as Told
from server.shop.confirmed import holds_until_ms
from server.shop.deed import Id, Lying
from server.shop.journal import NotPossible
from server.shop.lot import Lot
from server.snapshot import Speaker
from server.stockroom import OtherEntry
from server.stores.port import StoreFull
from server.words import Sentence, Telling, Words

router = APIRouter(prefix="/api", responses=RESPONSES)


class OpenLot(Document):
    """A lot to be asked about: why, how it lies by the record, who last said so, and its verdict (None while its
    destination is there no more)."""

    lot: str
    name: str
    zone: str
    lying: Lying
    why: Why
    says: list[Said]
    lies_so_since_ms: int
    confirmed_ms: int
    confirmed_by: str
    confirmed_until_ms: int
    verdict: VerdictDocument | None


class RoundDocument(Document):
    """The open lots by id, as they are at ``at_ms``."""

    at_ms: int
    lots: list[OpenLot]


class OneAnswer(BaseModel):
    """What is said of one lot. ``t_ms`` is since when it lies so, if that is known; else it is from the round on."""

    model_config = ConfigDict(extra="forbid")
    lot: Id
    said: Told = Field(description="as-it-was, opened (it lies on stickers now), moved, or not-seen")
    zone: Id | None = Field(None, description="where it was moved to")
    lying: Lying | None = Field(None, description="how it lies now, if otherwise than before")
    t_ms: int | None = Field(None, ge=0, le=4_102_444_800_000, description="since when, ms since 1970 UTC")


class RoundTelling(BaseModel):
    """One answer a lot; ``id`` is made by the client, so that twice is once."""

    model_config = ConfigDict(extra="forbid")
    id: str = Field(min_length=8, max_length=40, description="an id made by whoever sends it, 8 to 40 signs")
    t_ms: int | None = Field(None, ge=0, le=4_102_444_800_000, description="when it was walked, ms since 1970 UTC")
    who: str = Field("", max_length=40, description="who walked it, up to 40 signs")
    answers: list[OneAnswer] = Field(min_length=1, max_length=1000, description="one answer for each lot, 1 to 1,000")


class RoundDone(BaseModel):
    """The entries that were written, in the order of the answers; ``repeated`` when they had been before."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    entries: list[Annotated[str, Field(max_length=64)]]


@router.get("/round")
async def open_round(request: Request, lang: Lang = "en", units: Units = "metric") -> RoundDocument:
    """The lots that lie open or whose lying may have changed, each with what is known of it and its verdict."""
    rooms, speaker = Rooms.of(request), Speaker(Words(lang), units)
    stockroom, engine = rooms.stockroom, rooms.engine
    now_ms = engine.clock.now().wall_ms
    some = list(open_lots(stockroom.shop, now_ms, stockroom.timezone))
    seeing = Seeing.of(stockroom, engine.outlooks, Telling(now_ms, stockroom.timezone, engine.zone_names))

    def worked_out() -> list[OpenLot]:
        found, away = verdicts_of(seeing, [lot for lot, _ in some]), seeing.shop.away
        for name, one in found.items():
            if one.fault is not None:
                engine.faults.note("closing round", one.fault, now_ms, name)
        return [
            _open(lot, why, holds_until_ms(lot, away), found.get(lot.id), seeing.at_ms, speaker) for lot, why in some
        ]

    return RoundDocument(at_ms=seeing.at_ms, lots=await asyncio.to_thread(worked_out))


@router.post("/round")
async def tell_round(request: Request, body: RoundTelling) -> RoundDone:
    """Write the whole round down, or nothing of it: an answer that cannot be is named."""
    rooms = Rooms.of(request)
    stockroom, now_ms = rooms.stockroom, rooms.engine.clock.now().wall_ms
    before = {name: one for name, one in stockroom.written().items() if name.startswith(f"{body.id}/")}
    known = [one.t_ms for one in before.values()]
    t_ms = body.t_ms if body.t_ms is not None else max(known, default=now_ms)
    answers = tuple(Answer(**one.model_dump()) for one in body.answers)
    try:
        entries = entries_of(body.id, answers, body.who, stockroom.shop, t_ms, now_ms, before)
        if before and before.keys() != {one.id for one in entries}:
            raise OtherEntry(body.id)
        new = bool(entries) and await stockroom.tell_all(entries)
    except NotPossible as e:
        ids = [entry_id(body.id, one.lot) for one in answers]
        place = len(ids) - 1 - ids[::-1].index(e.entry) if e.entry in ids else None
        where = e.field if place is None else f"answers.{place}.{e.field}"
        raise Problem(409, "Not possible", where, e.found, e.would_be_right) from e
    except OtherEntry as e:
        raise Problem(
            409, "Another round has this id", "id", repr(body.id), "the same answers, or an id of its own"
        ) from e
    except StoreFull as e:
        raise Problem(
            503, "The record cannot be written", "store", str(e), "room on the disk; then the same again"
        ) from e
    return RoundDone(done=True, repeated=bool(before) and not new, entries=[one.id for one in entries])


def _open(  # noqa: PLR0917 - what a lot is asked about with
    lot: Lot, why: Why, holds_ms: int, found: Asked | None, at_ms: int, speaker: Speaker
) -> OpenLot:
    view = None if found is None else found.view
    return OpenLot(
        lot=lot.id, name=lot.name, zone=lot.zone, lying=lot.lying, why=why, lies_so_since_ms=lot.laid_ms,
        says=[] if view is None else [speaker.say(sentence) for sentence in _says(view)],
        confirmed_ms=lot.confirmed_ms, confirmed_by=lot.seen.who, confirmed_until_ms=holds_ms,
        verdict=None if found is None else verdict_document(found.advice, at_ms, speaker),
    )  # fmt: skip


def _says(view: LotView) -> tuple[Sentence, ...]:
    line = StillSo().answer(view, Inputs())
    return () if line is None else line.said
