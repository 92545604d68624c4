"""Offers of lumber at the shop's own prices, and every species there is, over HTTP. Offers are told in the journal."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.book.base import BadRequest
from server.documents import Document
from server.model.recorded import last_week
from server.offer_comparison import Comparison, compare, in_air_of
from server.shop.offering import Offered
from server.shop.offers import HeldOffer
from server.wood import species
from server.wood.species import Species
from server.words import Words

router = APIRouter(prefix="/api", responses=RESPONSES)


class OfferDocument(Document):
    """An offer as it stands: what was told of it, when, by whom, and by which entry of the journal."""

    id: str
    told: Offered
    since_ms: int
    who: str
    entry: str
    board_feet: float
    price_per_board_foot: float


class SpeciesDocument(Document):
    """A species by its names, and what is published of it; all figures with their sources by ``POST
    /api/book/species``. ``own`` is the shop's."""

    key: str
    common_name: str
    botanical_name: str
    trade_names: list[str]
    group: str
    own: bool
    specific_gravity: float | None
    moves: bool


@router.get("/offers")
async def offers(request: Request) -> list[OfferDocument]:
    """The offers that stand, by id."""
    standing = Rooms.of(request).stockroom.shop.offers
    return [_offer(name, one) for name, one in sorted(standing.items())]


@router.post("/offers/compare")
async def compared(request: Request, need: Comparison, lang: Lang = "en", units: Units = "metric") -> dict[str, Any]:
    """What they really cost by the thickness that is needed, and how long each would have to settle here."""
    rooms = Rooms.of(request)
    stockroom, standing = rooms.stockroom, rooms.stockroom.shop.offers
    missing = next((name for name in need.offers if name not in standing), None)
    if missing is not None:
        some = ", ".join(sorted(standing)[:5]) or "an offer that was told"
        raise Problem(404, "No such offer", "offers", repr(missing), some)
    zones = rooms.zone_ids
    if need.zone is not None and need.zone not in zones:
        raise Problem(404, "No such zone", "zone", repr(need.zone), "one of " + ", ".join(zones))
    zone, until_ms = need.zone or next(iter(zones), None), stockroom.course.at_ms
    chosen = [standing[name].deed for name in need.offers or sorted(standing)]
    known = stockroom.known

    def worked_out() -> dict[str, Any]:
        recorded = None if zone is None else last_week(stockroom.history, zone, until_ms)
        return compare(chosen, in_air_of(need, recorded), known).document(Words(lang), units)

    try:
        return await asyncio.to_thread(worked_out)
    except BadRequest as bad:
        first = bad.mistakes[0]
        raise Problem(422, "Not understood", first.field, first.found, first.would_be_right) from bad


@router.get("/species")
async def every_species(
    request: Request, named: Annotated[str | None, Query(max_length=60, description="a name, as it is typed")] = None
) -> list[SpeciesDocument]:
    """Every species that may be named, by key; with ``named`` up to five that are likely meant, the best first."""
    known = Rooms.of(request).stockroom.known
    keys = sorted(known) if named is None else [named] if named in known else species.nearest(named, known)
    return [_document(known[key]) for key in keys]


def _document(one: Species) -> SpeciesDocument:
    try:
        moves = bool(species.coefficients(one))
    except species.NotPublished:
        moves = False
    return SpeciesDocument(
        key=one.key, common_name=one.common_name, botanical_name=one.botanical_name,
        trade_names=list(one.trade_names), group=one.group, own=one.own, specific_gravity=one.specific_gravity,
        moves=moves,
    )  # fmt: skip


def _offer(name: str, one: HeldOffer) -> OfferDocument:
    offer = one.deed.as_offer()
    return OfferDocument(
        id=name, told=one.deed, since_ms=one.since_ms, who=one.who, entry=one.entry, board_feet=offer.board_feet,
        price_per_board_foot=offer.price_per_bf,
    )  # fmt: skip
