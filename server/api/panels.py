"""Panels over HTTP: the lots that a glue-up made, until they are delivered and after."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Path, Request

from server.api.lots import documents_of
from server.api.problems import RESPONSES, Problem
from server.api.rooms import Rooms
from server.lot_documents import LotDocument

router = APIRouter(prefix="/api", responses=RESPONSES)
PanelId = Annotated[str, Path(max_length=40)]


@router.get("/panels")
async def panels(request: Request, ended: bool = False) -> list[LotDocument]:
    """Every panel in the shop by id; with ``ended`` also those that have left it or were glued into others."""
    stockroom = Rooms.of(request).stockroom
    lots = stockroom.shop.lots
    names = sorted(name for name, one in lots.items() if one.panel is not None and (ended or not one.ended))
    return await asyncio.to_thread(documents_of, stockroom, names)


@router.get("/panels/{panel}")
async def one_panel(request: Request, panel: PanelId) -> LotDocument:
    """One panel, also one that was delivered."""
    stockroom = Rooms.of(request).stockroom
    lot = stockroom.shop.lots.get(panel)
    if lot is None or lot.panel is None:
        known = sorted(name for name, one in stockroom.shop.lots.items() if one.panel is not None)
        found = repr(panel) if lot is None else f"{panel!r}, a lot that is no panel"
        raise Problem(404, "No such panel", "panel", found, ", ".join(known[:5]) or "a panel that was glued")
    return (await asyncio.to_thread(documents_of, stockroom, [panel]))[0]
