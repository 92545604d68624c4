"""How far do the pieces of this lot still move, and for how long?"""

from __future__ import annotations

import numpy as np

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    NOTHING,
    Inputs,
    Limit,
    Line,
    LotView,
    beyond,
    ends,
    held_now,
)
from server.advice.good_to_mill import AT_ONCE_DAYS
from server.advice.time_words import counted
from server.wood.ensemble import Spread
from server.wood.movement import change
from server.wood.outcome import SEASON_DAYS, WITHIN_PCT, Outcome
from server.words import Sentence

SETTLED = Limit(
    Sentence("lot-moves-limit"),
    "Settled, and no count of days past sixty: this shop's definition.",
    {"within_pct": WITHIN_PCT, "season_days": SEASON_DAYS},
)


SEEN_MM = 0.05
"""Less does not show in tenths."""


class MovementLeft:
    """In mm first, in days second; no days past sixty."""

    name = "movement-left"
    summary = "how far the width of a piece still moves, and how long that takes"
    decides = False
    inputs = Inputs

    def answer(self, view: LotView, _: Inputs, /) -> Line | None:
        """``movement_left_mm`` across a piece (negative: it shrinks; None where no movement is published), and
        ``half_days``, ``settled_days``, ``target_pct``, ``mean_pct``, each with its ends; ``width_mm``. With less than
        1 % to go it has settled before it is half way: half of the way is counted from now, settled from the target.
        ``air_beyond`` as in good-to-mill."""
        if view.held is None:
            return None
        found, now, across = view.held.outcome, view.held.mean_pct, view.across()
        sources = [EMC_SOURCE, DIFFUSION_SOURCE]
        way = ends("movement_left_mm", NOTHING)
        if across is not None:
            left = found.left_pct
            then = (np.maximum(0.0, now + pct) for pct in (left.middle, left.low, left.high))
            way = ends("movement_left_mm", Spread(*(change(across, view.lot.width_mm, now, pct) for pct in then)))
            sources.append(f"Movement: {across.source}.")
        named, taken = beyond(view, view.held)
        figures = {
            **way, **ends("half_days", found.half), **ends("settled_days", found.settled),
            **ends("target_pct", found.target_pct),
            **held_now(view, view.held, "mean_pct"), "width_mm": view.lot.width_mm, **named,
        }  # fmt: skip
        said = (*_way(view, way), _wait(found), _target(now, float(found.target_pct.middle[0])), *taken)
        return Line(self.name, None, Sentence("lot-moves-asked"), said, figures, SETTLED, tuple(sources))


def _way(view: LotView, way: dict[str, float | None]) -> tuple[Sentence, ...]:
    mm, low, high = way.values()
    if mm is None or low is None or high is None:
        return ()
    most, other = (low, high) if mm < 0 else (high, low)
    sure = "no" if mm * other < 0 and abs(other) >= SEEN_MM else "yes"
    values: dict[str, float | str] = {
        "left_mm": abs(mm), "most_mm": abs(most), "width_mm": view.lot.width_mm, "sure": sure, "other_mm": abs(other),
    }  # fmt: skip
    return (Sentence("lot-moves-shrinks" if mm < 0 else "lot-moves-swells", values),)


def _wait(found: Outcome) -> Sentence:
    if found.settled.middle[0] == 0.0:
        return Sentence("lot-moves-settled", {"sure": "yes" if found.settled.high[0] <= AT_ONCE_DAYS else "no"})
    if found.not_this_season[0]:
        return Sentence("lot-moves-not-this-season")
    return Sentence("lot-moves-days", counted(found.settled))


def _target(mean_pct: float, target_pct: float) -> Sentence:
    return Sentence("lot-moves-target", {"mean_pct": mean_pct, "target_pct": target_pct})
