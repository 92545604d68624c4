"""Panels over HTTP: the lots that a glue-up made, until they are delivered and after."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Path, Request

from server.advice.documents import verdict_document
from server.api.lots import LotInShop
from server.api.lots_now import documents_of
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.api.routes import Lang, Units
from server.snapshot import Speaker
from server.words import Words

router = APIRouter(prefix="/api", responses=RESPONSES)
PanelId = Annotated[str, Path(max_length=40)]


@router.get("/panels")
async def panels(request: Request, ended: bool = False, lang: Lang = "en", units: Units = "metric") -> list[LotInShop]:
    """Every panel in the shop with its verdict, by id; with ``ended`` also those that have left it or were glued into
    others. What is asked of a panel is asked at ``/api/lots/ID/advice``: a panel is a lot."""
    lots = Rooms.of(request).stockroom.shop.lots
    names = sorted(name for name, one in lots.items() if one.panel is not None and (ended or not one.ended))
    return await asyncio.to_thread(_seen, Rooms.of(request), names, Speaker(Words(lang), units))


@router.get("/panels/{panel}")
async def one_panel(request: Request, panel: PanelId, lang: Lang = "en", units: Units = "metric") -> LotInShop:
    """One panel, also one that was delivered."""
    stockroom = Rooms.of(request).stockroom
    lot = stockroom.shop.lots.get(panel)
    if lot is None or lot.panel is None:
        known = sorted(name for name, one in stockroom.shop.lots.items() if one.panel is not None)
        found = repr(panel) if lot is None else f"{panel!r}, a lot that is no panel"
        raise Problem(404, "No such panel", "panel", found, ", ".join(known[:5]) or "a panel that was glued")
    return (await asyncio.to_thread(_seen, Rooms.of(request), [panel], Speaker(Words(lang), units)))[0]


def _seen(rooms: Rooms, names: Sequence[str], speaker: Speaker) -> list[LotInShop]:
    verdicts = rooms.lot_verdicts.now.of
    found = []
    for one in documents_of(rooms.stockroom, names):
        said = None if one.ended else verdicts.get(one.id)
        verdict = None if said is None else verdict_document(said.advice, said.at_ms, speaker)
        found.append(LotInShop(**dict(one), verdict=verdict))
    return found
