"""What would bring a lot to be good to mill sooner, and what it costs to mill it before it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from server.advice.base import Held, LotView, ends
from server.advice.halves import told
from server.advice.schedule import Good, Goods, Work, earliest, goods
from server.shop.acts import Halve, Lie
from server.shop.lying import behind
from server.wood.believed import settle_believed
from server.wood.ensemble import Spread, spread_of
from server.wood.milling import Cut
from server.wood.movement import Across, change
from server.wood.outcome import SEASON_DAYS, Outcome
from server.wood.pieces import doubted, going

KERF_MM = 3.0
LEAST_RESAWN_MM = 20.0
"""Thinner stock has no halves worth the saw. Common practice, no source."""
WORTH_DAYS = 0.5
MOST_WAYS = 3
_ROWS_DAYS = (1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 14.0, 21.0, 28.0, 42.0, 56.0)
How = Literal["stickered", "resawn", "zone"]


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that can be done, and the delivery it makes possible, days from now; ``zone`` by id where that is
    another one."""

    how: How
    zone: str
    deliver: Spread
    saves: float

    def figures(self, at_ms: int) -> dict[str, Any]:
        """As a line holds them; ``saves_days`` is None where without it there is no date at all."""
        return {
            "how": self.how, "zone": self.zone, **ends("deliver_days", self.deliver),
            "deliver_ms": at_ms + round(float(self.deliver.middle[0]) * 86_400_000),
            "saves_days": self.saves if np.isfinite(self.saves) else None,
        }  # fmt: skip


def deliveries(both: Goods, work: Work) -> Spread:
    """The soonest delivery, days from now; nan where there is none."""
    days = [earliest(good, work).deliver for good in (both.middle, both.early, both.late)]
    return Spread(*(np.array([day if np.isfinite(day) else np.nan]) for day in days))


def ways(view: LotView, held: Held, work: Work, now: float) -> tuple[Way, ...]:
    """What brings the delivery nearer than ``now`` days by half a day or more, the best first, three at most."""
    found = []
    for how, zone, outcome in _tried(view, held):
        deliver = deliveries(goods(outcome), work)
        saves = now - float(deliver.middle[0])
        if saves >= WORTH_DAYS:
            found.append(Way(how, zone, deliver, saves))
    return tuple(sorted(found, key=lambda way: float(way.deliver.middle[0]))[:MOST_WAYS])


def _tried(view: LotView, held: Held) -> Iterator[tuple[How, str, Outcome]]:
    lot, aim = view.lot, (view.aim.dry_limit_pct, view.aim.damp_limit_pct)
    open_air = Lie(held.wood.zone, *behind("stickered", lot.top_finish, lot.bottom_finish))
    if lot.lying in ("dead-stacked", "wrapped", "one-face"):
        wood = told(held.wood, open_air)
        yield "stickered", "", settle_believed(wood.stock, wood.belief, held.air, aim_pct=aim)
    if lot.thickness_mm >= LEAST_RESAWN_MM and lot.prongs not in ("pinch", "open"):
        wood = told(held.wood, Halve(KERF_MM / 1000), Lie(held.wood.zone, *behind("stickered", lot.top_finish)))
        yield "resawn", "", settle_believed(wood.stock, wood.belief, held.air, aim_pct=aim)
    for zone, air in view.elsewhere().items():
        yield "zone", zone, settle_believed(held.wood.stock, held.wood.belief, air, aim_pct=aim)


@dataclass(frozen=True, slots=True)
class AtRisk:
    """How far the width of a piece still moves, mm, when it is milled so many days before it is good to mill; with what
    is in doubt of it."""

    rows: tuple[tuple[float, Spread], ...]

    @property
    def each_day(self) -> Spread | None:
        """Of the last day before, or what there is of it made a whole one."""
        if not self.rows:
            return None
        days, mm = self.rows[0]
        return Spread(mm.middle / days, mm.low / days, mm.high / days)

    @property
    def milled_now(self) -> Spread | None:
        """Of all the days from now on."""
        return self.rows[-1][1] if self.rows else None

    def figures(self) -> list[dict[str, float | None]]:
        """As a line holds them."""
        return [{"days_saved": days, **ends("moves_mm", mm)} for days, mm in self.rows]


def at_risk(view: LotView, held: Held, across: Across, good: Good) -> AtRisk:
    """Nothing where it is good to mill already, or not this season: then there is no such day."""
    first = good.first
    if not 0.0 < first <= SEASON_DAYS:
        return AtRisk(())
    saved = [*(days for days in _ROWS_DAYS if days < first), first]
    stock = held.wood.stock
    whole = Cut(0.0, float(stock.thickness_m[0]), float(stock.top_film[0]), float(stock.bottom_film[0]))
    course = going(
        doubted(stock, held.wood.belief, held.air), [whole], coefficient=across.coefficient,
        width_m=view.lot.width_mm / 1000, days=first, marks=[first - days for days in saved],
    )  # fmt: skip
    mean = course.mean_pct[:, :, 0]
    then = mean[-1]
    rows = []
    for days in saved:
        at = mean[int(np.abs(course.day - (first - days)).argmin())]
        mm = change(across, view.lot.width_mm, np.maximum(at, 0.0), np.maximum(then, 0.0))
        side = -1.0 if mm[0] < 0 else 1.0
        spread = spread_of(np.asarray(side * mm)[:, None])
        rows.append((days, Spread(spread.middle, np.maximum(spread.low, 0.0), spread.high)))
    return AtRisk(tuple(rows))
