"""Which way of leaving a lot keeps it flat: what the rules that look at cup share."""

from __future__ import annotations

from typing import Literal

from server.rules.lot_view import LotView

NO_MORE_MM = 0.02
"""Less is no growing."""
WORTH_MM = 0.05
"""A way that saves less is not worth the trouble."""

Way = Literal["turned", "stickered", "wrapped", "none"]
_LEAST_TROUBLE: tuple[Literal["turned", "stickered", "wrapped"], ...] = ("turned", "stickered", "wrapped")


def best_way(lot: LotView, until_ms: int) -> tuple[Way, bool]:
    """The way with the least trouble that keeps it within its tolerance, or from growing, until then; else the one that
    does best, if any is worth it. And whether it keeps it."""
    as_it_lies = lot.course("as-it-lies")
    if as_it_lies is None or lot.cup_mm is None:
        return "none", False
    worst, most = as_it_lies.worst_cup(until_ms).middle, max(lot.tolerance_mm, lot.cup_mm.middle + NO_MORE_MM)
    found: list[tuple[float, Way]] = []
    for way in _LEAST_TROUBLE:
        course = lot.course(way)
        if course is not None and way != lot.lying:
            mm = course.worst_cup(until_ms).middle
            if mm <= most and worst - mm >= WORTH_MM:
                return way, True
            found.append((mm, way))
    best = min(found, default=(worst, "none"))
    return (best[1], False) if worst - best[0] >= WORTH_MM else ("none", False)
