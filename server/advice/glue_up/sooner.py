"""What would bring a glue-up soonest: ways that can really be gone, each run for these boards and set beside the rest.

Another adhesive's limits, or another aim, are no advice. A way whose air draws boards out of their aim is none either,
but where they only pass through it for the day of the glue-up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from server.advice.glue_up.air_ahead import air_in
from server.advice.glue_up.base import Board, GlueView
from server.advice.glue_up.settling import settled
from server.advice.glue_up.warm import warm_in
from server.advice.glue_up.when import ways_days
from server.advice.time_words import counted
from server.shop.lying import behind
from server.wood.belief import Belief
from server.wood.boards import film_through
from server.wood.ensemble import Spread
from server.wood.outcome import SEASON_DAYS, Outcome
from server.wood.stock import Stock
from server.words import Sentence

WORTH_DAYS, WORTH_SHARE = 1 / 24, 0.2
"""A way is worth a word that saves an hour, and a fifth of the wait. Common practice, no source."""
MOST_WAYS, MOST_ZONES = 3, 4
_PASSES_DAYS = 1.0
How = Literal["zone", "stickered", "wrapped"]


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that can be done with all the boards, and from when on they can be glued then; ``zone`` by id where
    they are brought to another one and glued there. ``saves_days`` is inf where without it there is no date."""

    how: How
    zone: str
    days: Spread
    saves_days: float

    def said(self, view: GlueView) -> Sentence:
        where = {"zone": view.name(self.zone)} if self.how == "zone" else {}
        return Sentence(f"glue-sooner-{self.how}", {**counted(self.days), **where})


def ways(view: GlueView, now: Spread) -> tuple[Way, ...]:
    """What brings the glue-up nearer than ``now``, the soonest first, three at most."""
    wait = float(np.nan_to_num(now.middle[0], nan=np.inf))
    if wait <= 0.0:
        return ()
    tried = list(_tried(view))
    found = []
    for (how, zone, _), outcomes in zip(tried, _outcomes(view, tried), strict=True):
        room = view.room if how != "zone" else view.air_of(zone)
        days = ways_days(view, outcomes, warm_in(view, room), air_in(view, room))
        middle = float(days.middle[0])
        if not middle <= SEASON_DAYS or wait - middle < max(WORTH_DAYS, WORTH_SHARE * min(wait, SEASON_DAYS)):
            continue
        if middle > _PASSES_DAYS and not _inside(view, outcomes):
            continue
        found.append(Way(how, zone, days, wait - middle))
    return tuple(sorted(found, key=lambda way: float(way.days.middle[0]))[:MOST_WAYS])


def _inside(view: GlueView, outcomes: Sequence[Outcome]) -> bool:
    low, high = view.aim.dry_limit_pct, view.aim.damp_limit_pct
    return all(low <= float(one.target_pct.middle[0]) <= high for one in outcomes)


_Tried = tuple[How, str, tuple[tuple[str, Stock], ...]]
"""How, to which zone, and of each board the zone it lies in then and its stock as its faces are then."""


def _tried(view: GlueView) -> Iterator[_Tried]:
    held = [board.held.wood for board in view.boards]
    lots = [board.view.lot for board in view.boards]
    if any(lot.lying not in {"stickered", "on-edge"} for lot in lots):
        yield "stickered", "", tuple(_laid(board, "stickered") for board in view.boards)
    if any(lot.lying != "wrapped" for lot in lots):
        yield "wrapped", "", tuple(_laid(board, "wrapped") for board in view.boards)
    there = {view.room.zone: view.room, **view.others()}
    for zone in list(there)[:MOST_ZONES]:
        if zone != view.room.zone or any(h.zone != zone for h in held):
            yield "zone", zone, tuple((zone, h.stock) for h in held)


def _laid(board: Board, lying: Literal["stickered", "wrapped"]) -> tuple[str, Stock]:
    lot, wood = board.view.lot, board.held.wood
    top, bottom = (np.atleast_1d(film_through(r)) for r in behind(lying, lot.top_finish, lot.bottom_finish))
    return wood.zone, replace(wood.stock, top_film=top, bottom_film=bottom)


def _outcomes(view: GlueView, tried: Sequence[_Tried]) -> list[list[Outcome]]:
    """Of each way that of each board, all run in one batch."""
    if not tried:
        return []
    held = [board.held for board in view.boards]
    found = settled(
        Stock.joined([stock for _, _, each in tried for _, stock in each]),
        Belief.joined([one.wood.belief for _ in tried for one in held]),
        zones := [zone for _, _, each in tried for zone, _ in each],
        {zone: view.air_of(zone).ahead for zone in set(zones)}, view.aim,
        off=[one.astray for _ in tried for one in held],
    )  # fmt: skip
    n = len(held)
    return [[found.one(n * k + i) for i in range(n)] for k in range(len(tried))]
