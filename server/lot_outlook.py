"""What becomes of a lot in the air it lies in: how far it still moves, when it rests, when it is good to mill.

The air ahead is the zone's outlook where there is one, at the temperature of the last half hour; after it the season
that its own record shows (:mod:`server.wood.season`), where it has a year of record; else the mean of its last week,
which nobody vouches for and which strays accordingly. The answer names which of them it took.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict

from server.bins import BIN_MS
from server.model.air import ShopAir
from server.model.woods import Wood
from server.reading import Aim, OutlookPoint
from server.shop.journal import FindSpecies
from server.shop.lot import Lot
from server.wood.air import saturation_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.astray import Astray
from server.wood.believed import settle_believed
from server.wood.emc import emc_pct
from server.wood.ensemble import Spread
from server.wood.expected_air import Beyond, ExpectedAir
from server.wood.movement import RING_ANGLE_DEG, Across, across_width, change
from server.wood.outcome import Outcome
from server.wood.season import DAY_S, Season, air_drawing
from server.wood.species import NotPublished

LOOKED_DAYS = 200.0
"""Past two hundred days nothing here is counted."""
_DAY_MS = 86_400_000


class Ends(BaseModel):
    """A figure and the ends of its central 80 %; None where there is none."""

    model_config = ConfigDict(extra="forbid")
    middle: float | None
    low: float | None
    high: float | None


class LotOutlookDocument(BaseModel):
    """Of one lot from ``at_ms`` on. ``target_pct`` is the mean its air draws it to over its own lag, ``way_left_mm``
    how far a piece's width moves until then (negative: it shrinks; None without a published movement). Days are from
    ``at_ms`` on, None past what is looked at; ``not_this_season`` where no days are to be counted. ``series``: a row a
    day. ``air_beyond``: from ``air_beyond_from_ms`` on the air is the ``season`` by the zone's own record, or the mean
    of the last ``week``; that rests on ``air_beyond_heard_days`` of daily means. Estimates for dry lumber, good to a
    factor of two between boards, which is why they come with their ends."""

    model_config = ConfigDict(extra="forbid")
    lot: str
    at_ms: int
    aim_low_pct: float
    aim_high_pct: float
    target_pct: Ends
    way_left_mm: Ends | None
    half_days: Ends
    settled_days: Ends
    not_this_season: bool
    good_to_mill_days: Ends
    good_to_mill_until_days: Ends
    good_to_mill_again_days: Ends
    series: list[dict[str, float]]
    air_beyond: Literal["season", "week"] | None
    air_beyond_from_ms: int | None
    air_beyond_heard_days: int | None
    source: str


SOURCE = (
    "EMC: Wood Handbook FPL-GTR-282, equation 4-5. Diffusion: Siau, Transport Processes in Wood (1984), from memory. "
    "Movement: Wood Handbook FPL-GTR-190 chapter 13."
)


def expected_air(
    recorded: ShopAir, zone: str, points: Sequence[OutlookPoint], season: Season | None = None
) -> ExpectedAir:  # fmt: skip
    """The air from the end of ``recorded`` on, s from there, for :data:`LOOKED_DAYS`. ``recorded`` are the last days of
    the zone's half hours; the ``season`` counts its days from 1970 UTC on."""
    i = recorded.zones.index(zone)
    c, pa, known = recorded.temperature_c[1:, i], recorded.pressure_pa[1:, i], recorded.known[1:, i]
    emc = emc_pct(c, np.minimum(pa / saturation_pressure_pa(c), 1.0))
    ahead = [p for p in points if p.t_ms > recorded.to_ms]
    edges = np.array([0.0, *((p.t_ms - recorded.to_ms) / 1000.0 for p in ahead)])
    begin_s, end_s = float(edges[-1]), LOOKED_DAYS * DAY_S
    if season is None:
        mean_c, mean_pa = (np.full((1, 1), np.mean(a)) for a in (c, pa))
        until, unknown = np.array([begin_s, end_s]), np.zeros((1, 1), np.bool_)
        heard = Beyond("week", begin_s, round(float(known.sum()) * BIN_MS / _DAY_MS))
        rest = ExpectedAir(AirSeries(until, mean_c, mean_c, mean_pa, mean_pa, unknown), beyond=heard)
    else:
        daily = np.append(np.arange(begin_s, end_s - 0.5 * DAY_S, DAY_S), end_s)
        week = (float(np.mean(a[known])) if known.any() else np.nan for a in (c, emc))
        rest = season.air(recorded.to_ms / _DAY_MS, daily, *week)
    if not ahead:
        return rest
    three = (
        [float(emc[-1]), *(getattr(p, name) for p in ahead)] for name in ("emc_pct", "emc_low_pct", "emc_high_pct")
    )
    middle, low, high = (air_drawing(edges, float(c[-1]), np.array(each)) for each in three)
    return ExpectedAir(middle, low, high).continued(end_s, rest)


def beyond_figures(at_ms: int, air: ExpectedAir) -> dict[str, Any]:
    """What the air is taken from where no outlook reaches, as answers name it; ``at_ms`` is where ``air`` begins."""
    beyond = air.beyond
    return {
        "air_beyond": None if beyond is None else beyond.basis,
        "air_beyond_from_ms": None if beyond is None else at_ms + round(1000.0 * beyond.from_s),
        "air_beyond_heard_days": None if beyond is None else beyond.heard_days,
    }


def lot_outlook(
    lot: Lot, wood: Wood, air: ExpectedAir, aim: Aim, *, at_ms: int, find: FindSpecies, astray: Astray | None = None
) -> LotOutlookDocument:
    """The document of a lot that the model carries; ``astray`` is how far off it may be for lying otherwise."""
    limits = aim.dry_limit_pct, aim.damp_limit_pct
    found = settle_believed(wood.stock, wood.belief, air, aim_pct=limits, astray=astray)
    return LotOutlookDocument(
        lot=lot.id, at_ms=at_ms, aim_low_pct=aim.dry_limit_pct, aim_high_pct=aim.damp_limit_pct,
        target_pct=_ends(found.target_pct), way_left_mm=_way_left(lot, found, find), half_days=_ends(found.half),
        settled_days=_ends(found.settled), not_this_season=bool(found.not_this_season[0]),
        good_to_mill_days=_ends(found.good), good_to_mill_until_days=_ends(found.good_until),
        good_to_mill_again_days=_ends(found.good_again), series=_series(found), source=SOURCE,
        **beyond_figures(at_ms, air),
    )  # fmt: skip


def _way_left(lot: Lot, found: Outcome, find: FindSpecies) -> Ends | None:
    try:
        across: Across = across_width(find(lot.species or ""), RING_ANGLE_DEG[lot.received.cut])
    except NotPublished:
        return None
    now = float(found.course.mean_pct[0, 0])
    ways = (float(change(across, lot.width_mm, now, max(0.0, now + float(s[0])))) for s in (
        found.left_pct.middle, found.left_pct.low, found.left_pct.high))  # fmt: skip
    return Ends(**dict(zip(("middle", "low", "high"), ways, strict=True)))


def _ends(spread: Spread) -> Ends:
    values = (float(end[0]) for end in (spread.middle, spread.low, spread.high))
    return Ends(**{
        name: None if np.isnan(value) else value for name, value in zip(("middle", "low", "high"), values, strict=True)
    })  # fmt: skip


def _series(found: Outcome) -> list[dict[str, float]]:
    course = found.course
    day = (course.times_s - course.times_s[0]) / DAY_S
    columns = {"mean_pct": course.mean_pct, "shell_pct": course.shell_pct, "core_pct": course.core_pct,
               "target_pct": course.target_pct}  # fmt: skip
    return [
        {"day": float(d), **{name: float(np.interp(d, day, values[:, 0])) for name, values in columns.items()}}
        for d in range(int(day[-1]) + 1)
    ]
