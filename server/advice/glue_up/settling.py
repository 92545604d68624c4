"""What becomes of boards that lie in several zones, in one batch: this season, which is as far as a glue-up counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from server.reading import Aim
from server.wood.air_series import beside
from server.wood.astray import Astray
from server.wood.belief import Belief
from server.wood.believed import settle_believed
from server.wood.expected_air import ExpectedAir, growing_edges_s
from server.wood.outcome import DAY_S, SEASON_DAYS, STEP_S, Outcome
from server.wood.stock import Stock


def settled(
    stock: Stock, belief: Belief, zones: Sequence[str], airs: Mapping[str, ExpectedAir], aim: Aim, *,
    off: Sequence[Astray | None],
) -> Outcome:  # fmt: skip
    """Of n lots, each in its zone's air; ``off`` is how far each may be off for lying otherwise up to now."""
    there = sorted(set(zones))
    air, place, none = (
        _side_by_side([airs[zone] for zone in there]),
        {z: i for i, z in enumerate(there)},
        Astray.none(1),
    )
    return settle_believed(
        stock, belief, air, np.array([place[zone] for zone in zones], np.intp),
        aim_pct=(aim.dry_limit_pct, aim.damp_limit_pct), step_s=None,
        astray=Astray.joined([one or none for one in off]) if any(off) else None,
    )  # fmt: skip


def _side_by_side(airs: Sequence[ExpectedAir]) -> ExpectedAir:
    """The airs of several zones as one of as many zones, averaged as an outcome averages them."""
    first = airs[0].middle
    begin, end = float(first.edges_s[0]), float(first.edges_s[-1])
    edges = growing_edges_s(begin, min(end, begin + (SEASON_DAYS + 1.0) * DAY_S), STEP_S)
    middle, low, high = (
        beside(*((getattr(air, end) or air.middle).averaged(edges) for air in airs))
        for end in ("middle", "low", "high")
    )
    return ExpectedAir(middle, low, high) if any(air.in_doubt for air in airs) else ExpectedAir(middle)
