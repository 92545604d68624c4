"""Times in which nobody is there, over HTTP, and what to wrap before one. They are told and undone in the journal."""

from __future__ import annotations

import asyncio

from fastapi import APIRouter, Request

from server.api.problems import RESPONSES
from server.api.rooms import Rooms
from server.documents import Document
from server.rules.away import Ask, Away
from server.rules.lot_view import Band, LotView
from server.shop import entries
from server.shop.journal import Fact, facts

router = APIRouter(prefix="/api", responses=RESPONSES)


class ToWrap(Document):
    """An open lot to wrap before: at the worst until somebody is back how far out of flat over its width, ``cup_mm``,
    and then its mean, ``mean_pct``, each with its ends, as it lies and in a wrap."""

    lot: str
    name: str
    zone: str
    width_mm: float
    tolerance_mm: float
    cup_mm: float
    cup_mm_low: float
    cup_mm_high: float
    wrapped_cup_mm: float
    wrapped_cup_mm_low: float
    wrapped_cup_mm_high: float
    mean_pct: float
    mean_pct_low: float
    mean_pct_high: float
    wrapped_mean_pct: float
    wrapped_mean_pct_low: float
    wrapped_mean_pct_high: float


class TimeAway(Document):
    """One time away: by which ``entry``, that can be undone or corrected, and who said so. ``wrap`` is None while it is
    too far ahead to say, and where no lot was worked out yet; else the lots to wrap before, the worst first."""

    entry: str
    from_ms: int
    to_ms: int
    who: str
    note: str
    wrap: list[ToWrap] | None


class AwayDocument(Document):
    """``nobody_until_ms`` is None while somebody is there. The times that have not ended, by their beginning."""

    now_ms: int
    nobody_until_ms: int | None
    times: list[TimeAway]


@router.get("/away")
async def away(request: Request) -> AwayDocument:
    """Nobody is there when? It is told as an entry of the kind away, and undone as any other."""
    rooms = Rooms.of(request)
    engine, written = rooms.engine, rooms.stockroom.written()
    now = engine.clock.now()
    view = engine.rule_view(now)
    rule = next((one for one in engine.rules if isinstance(one, Away)), Away())

    def told() -> list[TimeAway]:
        times = (fact for fact in facts(written.values()) if isinstance(fact.deed, entries.Away))
        coming = sorted((fact for fact in times if fact.deed.to_ms > now.wall_ms), key=lambda one: one.deed.from_ms)
        return [_time(fact, rule, view.lots) for fact in coming]

    return AwayDocument(
        now_ms=now.wall_ms, nobody_until_ms=view.nobody_until_ms, times=await asyncio.to_thread(told)
    )  # fmt: skip


def _time(fact: Fact, rule: Away, lots: tuple[LotView, ...] | None) -> TimeAway:
    span = fact.deed.from_ms, fact.deed.to_ms
    seen = lots is not None and all(_reaches(lot, span[1]) for lot in lots)
    asked = rule.asked(lots, span) if lots is not None and seen else None
    return TimeAway(
        entry=fact.id, from_ms=span[0], to_ms=span[1], who=fact.who, note=fact.note,
        wrap=None if asked is None else [_to_wrap(one, span[1]) for one in asked],
    )  # fmt: skip


def _reaches(lot: LotView, to_ms: int) -> bool:
    """Whether it was looked at that far ahead. One that rests as it lies stays."""
    wrapped = lot.course("wrapped")
    return wrapped is None or wrapped.points[-1].t_ms >= to_ms


def _to_wrap(one: Ask, to_ms: int) -> ToWrap:
    lot = one.lot
    figures: dict[str, float] = {}
    for prefix, leaving in (("", "as-it-lies"), ("wrapped_", "wrapped")):
        course = next(course for course in lot.courses if course.leaving == leaving)
        figures |= _ends(f"{prefix}cup_mm", course.worst_cup(to_ms)) | _ends(
            f"{prefix}mean_pct", course.by(to_ms).mean_pct
        )
    return ToWrap(
        lot=lot.id, name=lot.name, zone=lot.zone, width_mm=lot.width_mm, tolerance_mm=lot.tolerance_mm, **figures
    )  # fmt: skip


def _ends(key: str, band: Band) -> dict[str, float]:
    return {key: band.middle, f"{key}_low": band.low, f"{key}_high": band.high}
