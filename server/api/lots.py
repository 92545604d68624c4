"""The shop's journal and its lots over HTTP: tell, read what was told, see what it comes to."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from heapq import nlargest
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query, Request, Response
from pydantic import BaseModel, ConfigDict, Field

from server.advice.documents import VerdictDocument, verdict_document
from server.api.examples import ENTRIES
from server.api.lots_now import documents_of
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import LONGEST_WAIT_S, Lang, Units
from server.documents import Document
from server.lot_documents import EntryDocument, LotDocument, entry_document, told_document
from server.lot_outlook import LotOutlookDocument, expected_air, lot_outlook
from server.lot_readings import ReadingsDocument, readings_of
from server.lot_trace import TraceDocument, trace_of
from server.making_done import CHANGES
from server.model.recorded import last_week
from server.model.unseen import of_record
from server.pictures import PICTURED
from server.placing import KIND as PLACED
from server.reading import JournalEntry
from server.shop.deed import EntryId, Moment, Note, Who
from server.shop.entries import AnyDeed, Entry
from server.shop.journal import NotPossible, lots_of
from server.snapshot import Speaker
from server.stockroom import OtherEntry, Stockroom
from server.stores.port import History, StoreFull
from server.words import Words

router = APIRouter(prefix="/api", responses=RESPONSES)
LotId = Annotated[str, Path(max_length=40)]


class Telling(BaseModel):
    """What a person tells; ``id`` is made by the client, so that twice is once. Without a time it is now."""

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": ENTRIES})
    id: EntryId
    t_ms: Moment | None = Field(None, description="when it happened, ms since 1970 UTC, up to the year 2100; else now")
    who: Who = ""
    note: Note = ""
    deed: AnyDeed


class ToldDone(BaseModel):
    """The answer: ``repeated`` when the id had been written before; the lot as it stands, where it is about one."""

    model_config = ConfigDict(extra="forbid")
    done: bool
    repeated: bool
    lot: LotDocument | None


@router.post("/journal")
async def tell(request: Request, body: Telling) -> ToldDone:
    """Write one entry down. What cannot be is refused whole, with the field and what would be right."""
    rooms = Rooms.of(request)
    now_ms = rooms.engine.clock.now().wall_ms
    t_ms = now_ms if body.t_ms is None else body.t_ms
    entry = Entry(id=body.id, t_ms=t_ms, recorded_ms=now_ms, who=body.who, note=body.note, deed=body.deed)
    try:
        new = await rooms.stockroom.tell(entry, timed=body.t_ms is not None)
    except NotPossible as e:
        raise _not_possible(e, entry, rooms.stockroom.written()) from e
    except OtherEntry as e:
        raise Problem(
            409, "Another entry has this id", "id", repr(e.entry), "the same content, or an id of its own"
        ) from e
    except StoreFull as e:
        raise Problem(
            503, "The record cannot be written", "store", str(e), "room on the disk; then the same again"
        ) from e
    lot = rooms.stockroom.shop.lots.get(getattr(body.deed, "lot", ""))
    found = None if lot is None else await asyncio.to_thread(_document, rooms.stockroom, lot.id)
    return ToldDone(done=True, repeated=not new, lot=found)


def _not_possible(refused: NotPossible, told: Entry, written: Mapping[str, Entry]) -> Problem:
    """It may be another entry that could not hold with this one: then that is named."""
    found, right, other = refused.found, refused.would_be_right, written.get(refused.entry)
    if other is None or other.id == told.id:
        return Problem(409, "Not possible", refused.field, found, right)
    who = f", which {other.who} told" if other.who else ""
    found = f"{found}, in the entry {other.id!r} ({other.deed.kind}{who})"
    return Problem(409, "Another entry could not hold", refused.field, found, f"{right}; or first put that entry right")


@router.get("/journal")
async def journal(
    request: Request,
    lot: Annotated[str | None, Query(max_length=40)] = None,
    limit: Annotated[int, Query(ge=1, le=1000)] = 200,
) -> list[EntryDocument]:
    """What people told, the newest first: of the lots, and of zones, destinations, settings, sensors and devices; of
    one lot alone where one is named."""
    rooms = Rooms.of(request)
    written = rooms.stockroom.written()

    def newest() -> list[EntryDocument]:
        of_lots = (e for e in written.values() if lot is None or lot in lots_of(e, written))
        found = [entry_document(e) for e in nlargest(limit, of_lots, key=lambda e: (e.recorded_ms, e.id))]
        if lot is None:
            found += [told_document(e) for e in _of_the_shop(rooms.history)]
        return nlargest(limit, found, key=lambda e: (e.recorded_ms, e.id))

    return await asyncio.to_thread(newest)


def _of_the_shop(history: History) -> list[JournalEntry]:
    told = [entry for kind in (*CHANGES, PLACED, PICTURED, "confirmed") for entry in history.journal(kind)]
    return [entry for entry in told if "deed" not in entry.data]


class LotInShop(LotDocument):
    """A lot and its verdict, which is None until it is first worked out and where the lot has left."""

    verdict: VerdictDocument | None


class LotVerdict(VerdictDocument):
    """A verdict and whose it is."""

    lot: str
    name: str
    zone: str


class VerdictsDocument(Document):
    """The verdicts of all lots in the shop, the worst first; the oldest of them is of ``at_ms``."""

    version: str
    at_ms: int
    lots: list[LotVerdict]


@router.get("/lots", response_model=list[LotInShop])
async def lots(  # noqa: PLR0917 - the query's own parameters
    request: Request, ended: bool = False, order: Literal["id", "worst"] = "id", lang: Lang = "en",
    units: Units = "metric",
    skip: Annotated[int, Query(ge=0, le=1_000_000, description="leave out so many from the beginning")] = 0,
    limit: Annotated[int | None, Query(ge=1, le=5000, description="so many at most; all where not given")] = None,
    profiles: Annotated[bool, Query(description="false: the lists depth_mm and profile_pct stay empty")] = True,
) -> Response:  # fmt: skip
    """Every lot in the shop with its verdict, by id or the worst first; with ``ended`` also those that have left it.
    5,000 lots are 13 MB, half of it profiles: ask for a page."""
    rooms, speaker = Rooms.of(request), Speaker(Words(lang), units)
    stockroom, verdicts = rooms.stockroom, rooms.lot_verdicts.now
    names = sorted(name for name, one in stockroom.shop.lots.items() if ended or not one.ended)
    if order == "worst":
        place = {name: i for i, name in enumerate(verdicts.worst_first())}
        names.sort(key=lambda name: (place.get(name, len(place)), name))
    names = names[skip : None if limit is None else skip + limit]

    def worked_out() -> Response:
        found = documents_of(stockroom, names)
        if not profiles:
            found = [_without_profile(one) for one in found]
        said = {
            name: verdict_document(one.advice, one.at_ms, speaker)
            for name in names
            if (one := verdicts.of.get(name)) is not None
        }
        every = (LotInShop(**dict(one), verdict=None if one.ended else said.get(one.id)) for one in found)
        return _json(b"[" + b",".join(one.model_dump_json().encode() for one in every) + b"]")

    return await asyncio.to_thread(worked_out)


def _json(body: bytes) -> Response:
    """Made beside the loop: thousands of lots would hold it up for a second."""
    return Response(body, media_type="application/json")


def _without_profile(lot: LotDocument) -> LotDocument:
    if lot.moisture is None:
        return lot
    return lot.model_copy(update={"moisture": lot.moisture.model_copy(update={"depth_mm": [], "profile_pct": []})})


@router.get("/verdicts", response_model=VerdictsDocument)
async def verdicts(  # noqa: PLR0917 - the query's own parameters
    request: Request, lang: Lang = "en", units: Units = "metric",
    after: Annotated[str | None, Query(max_length=64, description="answer when the version is another one")] = None,
    wait_s: Annotated[float, Query(ge=0, le=LONGEST_WAIT_S, description="wait at most this long")] = 0.0,
    limit: Annotated[int | None, Query(ge=1, le=5000, description="of the worst, so many; all where not given")] = None,
) -> Response:  # fmt: skip
    """What every lot says, the worst first; with ``after`` and ``wait_s`` a long poll, like the snapshot's."""
    rooms, speaker = Rooms.of(request), Speaker(Words(lang), units)
    if after is not None:
        await rooms.lot_verdicts.newer_than(after, wait_s)
    now, version, known = rooms.lot_verdicts.now, rooms.lot_verdicts.version, rooms.stockroom.shop.lots

    def worked_out() -> Response:
        some = [name for name in now.worst_first() if name in known][:limit]
        said = [
            LotVerdict(lot=name, name=known[name].name, zone=known[name].zone,
                       **dict(verdict_document(now.of[name].advice, now.of[name].at_ms, speaker)))
            for name in some
        ]  # fmt: skip
        return _json(VerdictsDocument(version=version, at_ms=now.at_ms, lots=said).model_dump_json().encode())

    return await asyncio.to_thread(worked_out)


@router.get("/lots/{lot}")
async def one_lot(request: Request, lot: LotId) -> LotDocument:
    """One lot, also one that has left."""
    stockroom = Rooms.of(request).stockroom
    _known(stockroom, lot)
    return await asyncio.to_thread(_document, stockroom, lot)


@router.get("/lots/{lot}/outlook")
async def outlook(request: Request, lot: LotId) -> LotOutlookDocument:
    """What becomes of a lot in its air: way left, rest, good to mill, each with its ends."""
    rooms = Rooms.of(request)
    stockroom, course = rooms.stockroom, rooms.stockroom.course
    known = stockroom.shop.lots.get(lot)
    held = stockroom.present()
    if known is None or lot not in held:
        why = "none of that name" if known is None else known.not_modelled or known.ended or "its past is being run"
        raise Problem(404, "Nothing is held of that lot", "lot", f"{lot!r}: {why}", "a lot that the model carries")
    wood, points, shop = held.one(lot).caught_up(), rooms.engine.outlooks.get(known.zone, ()), stockroom.shop

    def worked_out() -> LotOutlookDocument:
        season = stockroom.seasons.of(stockroom.history, wood.zone, course.at_ms)
        air = expected_air(last_week(stockroom.history, wood.zone, course.at_ms), wood.zone, points, season)
        aim = stockroom.aim_of(known)
        off = of_record(stockroom.history, stockroom.zones(), shop, held, course.at_ms, [known]).get(lot)
        return lot_outlook(known, wood, air, aim, at_ms=course.at_ms, find=stockroom.find, astray=off)

    try:
        return await asyncio.to_thread(worked_out)
    except NotPossible as e:
        raise Problem(409, "Not possible", e.field, e.found, e.would_be_right) from e


@router.get("/lots/{lot}/readings")
async def readings(
    request: Request,
    lot: LotId,
    limit: Annotated[int, Query(ge=1, le=100, description="of the newest, so many")] = 20,
    lang: Lang = "en",
    units: Units = "metric",
) -> ReadingsDocument:
    """What each reading of a lot said, what was expected of it, what was believed, and what it changed; the newest
    first."""
    stockroom = Rooms.of(request).stockroom
    _known(stockroom, lot)
    return await asyncio.to_thread(readings_of, stockroom, lot, limit, Speaker(Words(lang), units))


@router.get("/lots/{lot}/trace")
async def trace(
    request: Request,
    lot: LotId,
    limit: Annotated[int, Query(ge=1, le=100, description="of the newest readings, so many")] = 20,
    lang: Lang = "en",
    units: Units = "metric",
) -> TraceDocument:
    """What every figure of a lot rests on: entries, readings, air, checkpoint, species, equations, aim."""
    stockroom = Rooms.of(request).stockroom
    _known(stockroom, lot)
    return await asyncio.to_thread(trace_of, stockroom, lot, limit, Speaker(Words(lang), units))


def _known(stockroom: Stockroom, lot: str) -> None:
    if lot not in stockroom.shop.lots:
        known = ", ".join(sorted(stockroom.shop.lots)[:5]) or "a lot that was received"
        raise Problem(404, "No such lot", "lot", repr(lot), known)


def _document(stockroom: Stockroom, name: str) -> LotDocument:
    return documents_of(stockroom, [name])[0]
