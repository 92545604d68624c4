"""A panel's year ahead, as its questions ask for it."""

from __future__ import annotations

from dataclasses import replace

from server.advice.base import LotView
from server.advice.kept import Kept
from server.advice.panel.living import Living
from server.model.woods import Wood
from server.shop.lying import behind
from server.wood.boards import film_through
from server.wood.movement import RING_ANGLE_DEG, Across, across_width
from server.wood.panel_ahead import Ahead, Films, year_ahead
from server.wood.species import NotPublished

_YEARS: Kept[Ahead] = Kept(64)
"""Several questions of one panel ask for the same year, and so does whoever looks at it before the next half hour."""


def films(top: str, bottom: str) -> Films:
    """What both faces pass, standing free, with those finishes."""
    above, below = (float(film_through(r)) for r in behind("stickered", top, bottom))
    return above, below


def panel_across(view: LotView) -> Across | None:
    """How its width moves: its boards' by their share, however each was cut; None where nothing is published."""
    panel = view.lot.panel
    if view.species is None or panel is None:
        return None
    try:
        each = [(board.share, across_width(view.species, RING_ANGLE_DEG[board.cut])) for board in panel.boards]
    except NotPublished:
        return None
    coefficient, shrinkage = (
        sum(share * getattr(one, name) for share, one in each) for name in ("coefficient", "shrinkage_pct")
    )
    return replace(each[0][1], coefficient=coefficient, shrinkage_pct=shrinkage)


def ahead_of(view: LotView, wood: Wood, place: Living, across: Across, *ways: Films) -> Ahead:
    """From what ``wood`` holds on; with its own finish where no ``ways`` are given."""
    lot = view.lot
    each = ways or (films(lot.top_finish, lot.bottom_finish),)
    rests_on = (wood.stock, wood.belief, place.air, each, across, lot.width_mm)
    return _YEARS.of(rests_on, lambda: year_ahead(*rests_on))
