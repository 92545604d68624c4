"""What the halves of a lot do that is resawn as it is held: cup, rest, and when they are good to mill."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from server.advice.base import NOTHING, Held, LotView, ends
from server.model.woods import Wood, after_act, of_each
from server.shop.acts import Act, Lie, Mill
from server.shop.deed import Lying
from server.shop.lying import BENCH, behind
from server.wood.air import Floats
from server.wood.belief import Belief
from server.wood.believed import settle_believed
from server.wood.boards import film_through
from server.wood.ensemble import Spread, spread_of, spread_of_times
from server.wood.milling import Cut
from server.wood.pieces import Going, doubted, going
from server.wood.stock import Stock

_ANY_PER_PCT, _ANY_WIDTH_M = 0.002, 0.1
"""Where no movement is published: what they bend is not told then, and nothing else follows from it."""


@dataclass(frozen=True, slots=True)
class Half:
    """One of the two: departures from flat, mm, positive where its sawn face is hollow: at once, at the worst, once it
    is even inside; the day of the worst; the flat thickness that is in it then, mm."""

    which: str
    thickness_mm: float
    at_once: Spread
    peak: Spread
    settled: Spread
    flat: Spread
    peak_day: float

    def cups(self) -> tuple[float, ...]:
        """The middles of its departures."""
        return tuple(float(s.middle[0]) for s in (self.at_once, self.peak, self.settled))

    def figures(self) -> dict[str, Any]:
        """As a line holds them."""
        return {
            "half": self.which, "thickness_mm": self.thickness_mm, **ends("cup_at_once_mm", self.at_once),
            **ends("peak_mm", self.peak), "peak_day": self.peak_day, **ends("settled_mm", self.settled),
            **ends("flat_mm", self.flat),
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Halves:
    """Both halves, and days of the one that takes longer: until shell and core stay within 1 % of each other, as they
    lie, stickered and wrapped; until they are good to mill, and settled, as they lie."""

    halves: tuple[Half, Half]
    rest: Spread
    rest_stickers: Spread
    rest_wrapped: Spread
    good: Spread
    settled: Spread


def halves_of(view: LotView, held: Held, top_mm: float, kerf_mm: float, lying: Lying) -> Halves:
    """The halves of the lot, resawn now below ``top_mm``, ``kerf_mm`` taken out, in the air its zone is to have."""
    lot, across = view.lot, view.across()
    whole = float(held.wood.stock.thickness_m[0])
    top, bottom = top_mm / 1000, whole - (top_mm + kerf_mm) / 1000
    ways: list[Lying] = list(dict.fromkeys((lying, "stickered", "wrapped")))
    cuts: list[Cut] = []
    for way in ways:
        sawn, outer_top, outer_bottom = _films(view, way)
        cuts += [Cut(0.0, top, outer_top, sawn), Cut(whole - bottom, bottom, sawn, outer_bottom)]
    found = going(
        doubted(held.wood.stock, held.wood.belief, held.air), cuts,
        coefficient=_ANY_PER_PCT if across is None else across.coefficient,
        width_m=_ANY_WIDTH_M if across is None else lot.width_mm / 1000,
    )  # fmt: skip
    rest = found.rest_days()
    rests = {way: spread_of_times(rest[:, 2 * i : 2 * i + 2].max(axis=1, keepdims=True)) for i, way in enumerate(ways)}
    good, settled = _outcomes(view, held, (top, bottom), lying)
    halves = _half(found, 0, "top", 1000 * top), _half(found, 1, "bottom", 1000 * bottom)
    return Halves(halves, rests[lying], rests["stickered"], rests["wrapped"], good, settled)


def _films(view: LotView, lying: Lying) -> tuple[float, float, float]:
    """What the sawn face of either half, the outer face of the top one and that of the bottom one pass; one face on
    the bench means that the sawn ones look up."""
    lot = view.lot
    over = [lot.top_finish, lot.bottom_finish]
    if lying == "one-face":
        sawn, outer = 0.0, [BENCH, BENCH]
    else:
        sawn = behind(lying)[0]
        outer = [behind(lying, finish)[0] for finish in over]
    films = [float(film_through(resistance)) for resistance in (sawn, *outer)]
    return films[0], films[1], films[2]


def _half(found: Going, i: int, which: str, thick_mm: float) -> Half:
    side = -1.0 if which == "top" else 1.0
    peak, day = found.peak()
    at_once, worst, settled = (side * a[:, i : i + 1] for a in (found.cup_mm[0], peak, found.settled_mm))
    flat = spread_of(np.maximum(thick_mm - np.abs(worst), 0.0))
    return Half(
        which, thick_mm, spread_of(at_once), spread_of(worst), spread_of(settled), flat, float(day[0, i])
    )  # fmt: skip


def _outcomes(view: LotView, held: Held, halves_m: tuple[float, float], lying: Lying) -> tuple[Spread, Spread]:
    """Good to mill and settled, of the half that takes longer, as the record would have them once they are told."""
    lot, whole = view.lot, float(held.wood.stock.thickness_m[0])
    top, bottom = halves_m
    top_face, bottom_face = behind(lying, lot.top_finish)[0], behind(lying, lot.bottom_finish)[0]
    sawn = behind(lying)[0]
    if lying == "one-face":
        top_face = bottom_face = BENCH
    zone = held.wood.zone
    each = (
        told(held.wood, Mill(0.0, whole - top), Lie(zone, top_face, sawn)),
        told(held.wood, Mill(whole - bottom, 0.0), Lie(zone, sawn, bottom_face)),
    )
    stock = Stock.joined([wood.stock for wood in each])
    belief = Belief.joined([wood.belief for wood in each])
    found = settle_believed(stock, belief, held.air, aim_pct=(view.aim.dry_limit_pct, view.aim.damp_limit_pct))
    return _later(found.good), _later(found.settled)


def told(wood: Wood, *acts: Act) -> Wood:
    """The wood of a lot after acts that nobody has done yet."""
    woods = of_each({"it": wood})
    for act in acts:
        woods, _ = after_act(woods, "it", act)
    return replace(woods.one("it"), zone=wood.zone)


def _later(days: Spread) -> Spread:
    """Of the one that comes later; none where one never comes."""
    if np.isnan(days.middle).any():
        return NOTHING
    i = int(np.argmax(days.middle))
    one: list[Floats] = [end[i : i + 1] for end in (days.middle, days.low, days.high)]
    return Spread(*one)
