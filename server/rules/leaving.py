"""Which way of leaving a lot keeps it flat, and what may be done to it: what the rules that name a deed share."""

from __future__ import annotations

from typing import Literal

from server.rules.base import RuleView
from server.rules.lot_view import LotView
from server.rules.spans import joined

NO_MORE_MM = 0.02
"""Less is no growing."""
WORTH_MM = 0.05
"""A way that saves less is not worth the trouble."""
NEARLY = 1.2
"""A way that keeps a lot within so many times its tolerance does not take back that it keeps it: figures waver."""
MOULDS_PCT = 20.0
"""Wood from so much on moulds in a wrap, % MC: fungi need more than that (Wood Handbook chapter 14, from memory)."""

Way = Literal["turned", "stickered", "wrapped", "none"]
_LEAST_TROUBLE: tuple[Literal["turned", "stickered", "wrapped"], ...] = ("turned", "stickered", "wrapped")


def best_way(lot: LotView, until_ms: int, within: float = 1.0) -> tuple[Way, bool]:
    """The way with the least trouble that keeps it ``within`` so many times its tolerance, or from growing, until then;
    else the one that does best, if any is worth it. And whether it keeps it."""
    as_it_lies = lot.course("as-it-lies")
    if as_it_lies is None or lot.cup_mm is None:
        return "none", False
    worst, most = as_it_lies.worst_cup(until_ms).middle, within * max(lot.tolerance_mm, lot.cup_mm.middle + NO_MORE_MM)
    found: list[tuple[float, Way]] = []
    for way in _LEAST_TROUBLE:
        course = lot.course(way)
        if course is not None and way != lot.lying and (way != "wrapped" or may_be_wrapped(lot)):
            mm = course.worst_cup(until_ms).middle
            if mm <= most and worst - mm >= WORTH_MM:
                return way, True
            found.append((mm, way))
    best = min(found, default=(worst, "none"))
    return (best[1], False) if worst - best[0] >= WORTH_MM else ("none", False)


def may_be_wrapped(lot: LotView) -> bool:
    """Whether it is dry enough for film."""
    return lot.mean_pct is None or lot.mean_pct.middle < MOULDS_PCT


def curing(view: RuleView) -> frozenset[str]:
    """The panels whose glue has not cured: what their air does to them is said of that, not of a lot."""
    return frozenset(one.id for one in view.panels if one.cure is not None and not one.cure.cured)


def held(view: RuleView) -> frozenset[str]:
    """The panels that are in their clamps, or should be, and those that were fitted or crated: what they are held by
    keeps them flat, and nobody turns them over or puts them on stickers."""
    found = {one.id for one in view.panels if one.fitted or one.crated}
    for one in view.panels:
        if one.cure is not None and not one.cure.cured:
            needs_ms = one.cure.off_ms if one.cure.ready_ms is None else one.cure.ready_ms[0]
            found |= {one.id} if view.now_ms < max(one.cure.off_ms, needs_ms) else set()
    return frozenset(found)


def wrapped_by_ms(view: RuleView) -> int | None:
    """When the time away begins of which an alert says what to wrap before; None where none says so."""
    coming = (from_ms for from_ms, _ in joined(view.away) if from_ms > view.now_ms)
    stages = ("eve", "day")
    return next((t for t in coming if any(("away", f"{t}-{stage}") in view.standing for stage in stages)), None)
