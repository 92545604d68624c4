"""Every way of taking a lot's faces down and of laying it afterwards, and what comes of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from server.advice.base import NOTHING, Held, ends
from server.book.mill import ADVICE, AS_GIVEN, AS_PLANNED, BENCH, FLAT_MM, STICKERS, WORTH_MM, WRAPPED
from server.shop.deed import Lying
from server.shop.lot import Lot
from server.shop.lying import behind
from server.wood.air import Floats
from server.wood.boards import film_through
from server.wood.cup import Rings
from server.wood.ensemble import Spread, spread_of, spread_of_times
from server.wood.milling import Cut
from server.wood.oversize import crossing
from server.wood.pieces import doubted, going

PASS_MM = 1.0
"""A last pass. Common practice, no source."""
_TRIES = 5
"""Extra thicknesses tried, from none to all that is to come off; straight between, to a hundredth of a millimetre."""
_NEVER = 1e9
LYING: dict[str, Lying] = {STICKERS: "stickered", WRAPPED: "wrapped", BENCH: "one-face"}
EVEN, TOP, BOTTOM = "even", "top-alone", "bottom-alone"
Way = tuple[str, str]
"""Which faces, and how it lies afterwards."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to come off and be left, mm, how it lies afterwards, and whether nobody said what."""

    top_mm: float
    bottom_mm: float
    final_mm: float
    lying: Lying
    usual: bool

    @property
    def off_mm(self) -> float:
        return self.top_mm + self.bottom_mm

    @property
    def even(self) -> bool:
        """Whether the same comes off both faces."""
        return abs(self.top_mm - self.bottom_mm) < 1e-6

    def share(self, faces: str) -> float:
        """Of what comes off, how much comes off the top."""
        planned = self.top_mm / self.off_mm if self.off_mm > 0 else 0.5
        return {AS_PLANNED: planned, EVEN: 0.5, TOP: 1.0, BOTTOM: 0.0}[faces]


@dataclass(frozen=True, slots=True)
class Found:
    """What comes of one way: departures from flat, mm, at once, at the worst and once it is even inside, the day of the
    worst, what to leave at first, mm, how long to rest, and what its rings make of that at the last: positive where the
    top is hollow, to either side where nobody knows the bark's."""

    at_once: Spread
    peak: Spread
    settled: Spread
    day: Spread
    extra: Spread = NOTHING
    rest: Spread = NOTHING
    ring_mm: float = 0.0

    def figures(self, prefix: str = "") -> dict[str, float | None]:
        named = (("peak_mm", self.peak), ("extra_mm", self.extra), ("rest_days", self.rest))
        return {key: value for name, spread in named for key, value in ends(prefix + name, spread).items()}


def found_ways(
    lot: Lot, held: Held, plan: Plan, per_pct: float, *, allow_mm: float, rings: Rings | None
) -> dict[Way, Found]:  # fmt: skip
    """Each way, all in one batch. ``per_pct`` is the change of width per 1 % MC, a fraction; ``allow_mm`` is left over
    and above; ``rings`` cup it too."""
    extras = np.linspace(0.0, plan.off_mm, _TRIES) if plan.off_mm > 0 else np.zeros(1)
    where: dict[Way, slice] = {}
    cuts: list[Cut] = []
    for way in _ways(plan):
        tried = extras if way[0] in {AS_PLANNED, EVEN} else extras[:1]
        where[way] = slice(len(cuts), len(cuts) + tried.size)
        cuts += [_cut(lot, plan, way, float(extra)) for extra in tried]
    course = going(
        doubted(held.wood.stock, held.wood.belief, held.air), cuts, coefficient=per_pct, width_m=lot.width_mm / 1000,
        rings=rings,
    )  # fmt: skip
    (peak, day), rest, needed = course.peak(), course.rest_days(), np.abs(course.cup_mm).max(axis=0) + allow_mm
    least = PASS_MM if lot.prongs == "pinch" else 0.0
    out = {}
    for way, at in where.items():
        first = slice(at.start, at.start + 1)
        flat = abs(peak[0, at.start]) < FLAT_MM
        when = NOTHING if flat else spread_of_times(day[:, first])
        at_once, worst, settled = (spread_of(a[:, first]) for a in (course.cup_mm[0], peak, course.settled_mm))
        gained = float(course.mean_pct[-1, 0, at.start] - course.mean_pct[0, 0, at.start])
        one = Found(at_once, worst, settled, when, ring_mm=0.0 if rings is None else rings.mm_per_pct * gained)
        if way[0] in {AS_PLANNED, EVEN}:
            extra, rested = _left_on(extras, needed[:, at], rest[:, at], least)
            one = replace(one, extra=extra, rest=rested)
        out[way] = one
    return out


def _ways(plan: Plan) -> Iterator[Way]:
    for faces in (AS_PLANNED,) if plan.even else (AS_PLANNED, EVEN):
        for lying in (AS_GIVEN, *LYING):
            yield faces, lying
    if plan.off_mm > 0:
        yield TOP, AS_GIVEN
        yield BOTTOM, AS_GIVEN


def _cut(lot: Lot, plan: Plan, way: Way, extra_mm: float) -> Cut:
    off, share = plan.off_mm - extra_mm, plan.share(way[0])
    top, bottom = share * off, (1.0 - share) * off
    finishes = ("bare" if took > 0 else was for took, was in ((top, lot.top_finish), (bottom, lot.bottom_finish)))
    lying = plan.lying if way[1] == AS_GIVEN else LYING[way[1]]
    films = (float(film_through(r)) for r in behind(lying, *finishes))
    return Cut(top / 1000, (plan.final_mm + extra_mm) / 1000, *films)


def _left_on(extras: Floats, needed_mm: Floats, rest: Floats, least_mm: float) -> tuple[Spread, Spread]:
    """What to leave at first, mm, at least ``least_mm``, and the rest after it, days; ``needed_mm`` and ``rest`` are
    (k, extras)."""
    found = [crossing(extras, row) for row in needed_mm]
    if found[0] is None:
        return NOTHING, NOTHING
    left = np.array([extras[-1] if x is None else min(max(x, least_mm), extras[-1]) for x in found])
    wide = spread_of(left[:, None])
    high = np.full(1, np.nan) if None in found else wide.high
    late = np.where(np.isinf(rest), _NEVER, rest)
    days = np.array([np.interp(x, extras, row) for x, row in zip(left, late, strict=True)])
    rested = spread_of_times(np.where(days > 1e-3 * _NEVER, np.inf, days)[:, None])
    return Spread(wide.middle, np.maximum(wide.low, 0.0), high), rested


def advised(plan: Plan, found: dict[Way, Found], *, pinched: bool) -> tuple[str, Way]:
    """The least change of the plan that saves what is worth it; stock whose fork test pinched is taken evenly."""
    evenly = AS_PLANNED if plan.even else EVEN
    forced = pinched and not plan.even
    word, best = ("even-faces", (evenly, AS_GIVEN)) if forced else (AS_PLANNED, (AS_PLANNED, AS_GIVEN))
    for (even, lying), name in ADVICE.items():
        way = (evenly if even else AS_PLANNED, lying)
        if (plan.even and even) or (forced and not even):
            continue
        if abs(found[way].peak.middle[0]) < abs(found[best].peak.middle[0]) - WORTH_MM:
            word, best = name, way
    return word, best
