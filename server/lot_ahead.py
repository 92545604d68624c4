"""How a lot stands now and in the hours to come, in each way it may be left: what rules about lots are told.

Only lots that may do something are followed: those with milled faces, those that lie on something, those that are out
of flat or whose shell runs ahead, and all that are open before a time away. Of any other one, which has even faces and
rests, the cup stays and the shell is that of its own outlook.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from server.advice.base import Held, LotView
from server.advice.stop_now import AT_ONCE, LAID_ON
from server.rules.lot_view import Band, Course, Leaving, Point
from server.shop.deed import Lying
from server.shop.lying import behind
from server.wood.air import Floats
from server.wood.belief import boards_of, sigma_of
from server.wood.boards import film_through
from server.wood.ensemble import END_OF_80, spread_of
from server.wood.milling import Cut
from server.wood.movement import RING_ANGLE_DEG, Across
from server.wood.outcome import SEASON_DAYS
from server.wood.pieces import Going, Pieces, doubted, going_of_each
from server.wood.shell import drier_shell_pct, index_per_pct
from server.wood.species import NotPublished, Species
from server.wood.straightedge import cup_now_mm
from server.wood.strength import modulus_across_mpa, tension_perpendicular_mpa

MARKS_H = (1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0, 36.0, 48.0, 72.0)
FOLLOWED_FROM, FOLLOWED_SHARE = 1.0, 0.5
"""The danger of checks, and the share of its tolerance out of flat, from which a lot is followed."""
ROUGH_MM, FLAT_MM = 1.5, 0.3
"""How far out of flat a lot may be over its width: rough stock half of the 3 mm that usually come off, milled faces
what is to be glued. Common practice, no source."""
_HOUR_MS, _HOURS_A_DAY = 3_600_000, 24.0


@dataclass(frozen=True, slots=True)
class Now:
    """As it stands: ``cup_mm`` with its sign (positive: the top is hollow), and the danger of checks, None without
    published strength; ``per_pct`` is what a shell 1 % below the mean makes of that."""

    cup_mm: Band
    danger: Band | None
    per_pct: float | None


def tolerance_mm(view: LotView) -> float:
    """How far out of flat it may be over its width."""
    return ROUGH_MM if view.lot.milled_ms is None else FLAT_MM


def now_of(view: LotView, held: Held, across: Across) -> Now:
    """From what is held of it, each thing in doubt as far as it is."""
    stock, belief = held.wood.stock, held.wood.belief
    boards, profile = boards_of(stock, belief), belief.moisture.profile_pct
    cup = cup_now_mm(stock, belief, across.coefficient, view.lot.width_mm / 1000)
    ahead = boards.mean_pct(profile) - drier_shell_pct(boards, profile)
    per_pct = None if view.species is None else danger_per_pct(view.species, view.lot.received.cut, across.coefficient)
    danger = None if per_pct is None else _positive(_believed(ahead * per_pct))
    return Now(_believed(cup), danger, per_pct)


def danger_per_pct(species: Species, cut: str, coefficient: float) -> float | None:
    """What a shell 1 % below the mean makes of the danger index; None without published strength."""
    try:
        across = modulus_across_mpa(species, RING_ANGLE_DEG[cut]).value
        return float(index_per_pct(coefficient, across, tension_perpendicular_mpa(species).value))
    except NotPublished:
        return None


def courses_of(
    views: Sequence[LotView], now: Mapping[str, Now], away: tuple[int, int] | None
) -> dict[str, tuple[Course, ...]]:
    """What comes of each way of leaving each of the lots of which something is held now, by id; ``away`` is the next
    time away, if it is near."""
    found: dict[str, tuple[Course, ...]] = {}
    some = [(view, view.held, view.across()) for view in views if view.lot.id in now]
    followed: list[tuple[LotView, Held, Across]] = []
    for view, held, across in some:
        if held is None or across is None:
            continue
        if _followed(view, held, now[view.lot.id], away):
            followed.append((view, held, across))
        else:
            found[view.lot.id] = (_resting(view, held, now[view.lot.id]),)
    for _, group in groupby(followed, key=lambda one: id(one[1].air)):
        those = list(group)
        for first in range(0, len(those), AT_ONCE):
            few = those[first : first + AT_ONCE]
            found.update(_few(few, now, away))
    return found


def _followed(view: LotView, held: Held, now: Now, away: tuple[int, int] | None) -> bool:
    lot, cup = view.lot, now.cup_mm
    if lot.milled_ms is not None or lot.lying in LAID_ON or (away is not None and lot.lying != "wrapped"):
        return True
    if max(abs(cup.low), abs(cup.high)) >= FOLLOWED_SHARE * tolerance_mm(view):
        return True
    danger = 0.0 if now.danger is None else now.danger.high
    return max(danger, *(d for _, d, _ in _outlook(held, now))) >= FOLLOWED_FROM


def _outlook(held: Held, now: Now) -> list[tuple[float, float, float]]:
    """Hours, danger and mean by its own outlook: both shells together, in the middle of what is held."""
    course = held.outcome.course
    hours = (course.times_s - course.times_s[0]) / 3600.0
    marks = np.array([0.0, *MARKS_H])
    mean, shell = (np.interp(marks, hours, a[:, 0]) for a in (course.mean_pct, course.shell_pct))
    danger = np.maximum(mean - shell, 0.0) * (now.per_pct or 0.0)
    return list(zip(marks.tolist(), danger.tolist(), mean.tolist(), strict=True))


def _resting(view: LotView, held: Held, now: Now) -> Course:
    cup, points = _size(now.cup_mm), []
    for hours, pulls, mean in _outlook(held, now):
        danger = None if now.danger is None else Band(pulls, pulls, pulls)
        points.append(Point(view.at_ms + round(hours * _HOUR_MS), cup, danger, Band(mean, mean, mean)))
    return Course.of("as-it-lies", points)


def _few(
    few: Sequence[tuple[LotView, Held, Across]], now: Mapping[str, Now], away: tuple[int, int] | None
) -> Iterator[tuple[str, tuple[Course, ...]]]:
    ways = [_ways(view) for view, _, _ in few]
    marks = _marks_h(few[0][0].at_ms, away)
    pieces = [_pieces(*one, those) for one, those in zip(few, ways, strict=True)]
    days = [h / _HOURS_A_DAY for h in marks]
    for (view, _, _), those, going in zip(few, ways, going_of_each(pieces, days=days[-1], marks=days), strict=True):
        per_pct = now[view.lot.id].per_pct
        at = np.searchsorted(going.day, np.array([0.0, *days]) - 1e-9).tolist()
        yield view.lot.id, tuple(_course(leaving, going, i, at, view.at_ms, per_pct) for i, leaving in enumerate(those))


def _marks_h(at_ms: int, away: tuple[int, int] | None) -> list[float]:
    told = [] if away is None else [(t_ms - at_ms) / _HOUR_MS for t_ms in away]
    return sorted({*MARKS_H, *(min(h, _HOURS_A_DAY * SEASON_DAYS) for h in told if h > 0.0)})


def _ways(view: LotView) -> dict[Leaving, tuple[Lying, bool]]:
    """Each way it may be left in: how it lies then, and whether its faces change places. Of a dead stack the outermost
    piece stands as on the bench."""
    lot = view.lot
    outermost: Lying = "one-face" if lot.lying == "dead-stacked" else lot.lying
    found: dict[Leaving, tuple[Lying, bool]] = {"as-it-lies": (outermost, False)}
    if lot.lying == "one-face":
        found["turned"] = outermost, True
    if lot.lying in LAID_ON:
        found["stickered"] = "stickered", False
    if lot.lying != "wrapped":
        found["wrapped"] = "wrapped", False
    return found


def _pieces(view: LotView, held: Held, across: Across, ways: Mapping[Leaving, tuple[Lying, bool]]) -> Pieces:
    lot, whole, cuts = view.lot, float(held.wood.stock.thickness_m[0]), []
    for lying, turned in ways.values():
        top, bottom = (float(film_through(r)) for r in behind(lying, lot.top_finish, lot.bottom_finish))
        if turned:  # its covered face looks up now; the hollow is still told by the faces as they lay
            top, bottom = bottom, top
        cuts.append(Cut(0.0, whole, top, bottom))
    doubts = doubted(held.wood.stock, held.wood.belief, held.air)
    return Pieces(doubts, cuts, across.coefficient, lot.width_mm / 1000)


def _course(  # noqa: PLR0917 - one way of a lot out of what a batch found
    leaving: Leaving, going: Going, i: int, at: Sequence[int], at_ms: int, per_pct: float | None
) -> Course:  # fmt: skip
    cup, ahead, points = np.abs(going.cup_mm[:, :, i]), np.maximum(going.ahead_pct[:, :, i], 0.0), []
    for t in at:
        danger = None if per_pct is None else _positive(_told(ahead[t] * per_pct))
        t_ms = at_ms + round(float(going.day[t]) * _HOURS_A_DAY * _HOUR_MS)
        points.append(Point(t_ms, _positive(_told(cup[t])), danger, _told(going.mean_pct[t, :, i])))
    return Course.of(leaving, points)


def _told(values: Floats) -> Band:
    """Of the middle and each doubt's two ends, (k,)."""
    spread = spread_of(values[:, None])
    return Band(*(float(end[0]) for end in (spread.middle, spread.low, spread.high)))


def _believed(members: Floats) -> Band:
    """Of what each member of a belief says."""
    middle, half = float(members[0]), END_OF_80 * float(sigma_of(members))
    return Band(middle, middle - half, middle + half)


def _positive(band: Band) -> Band:
    return Band(max(band.middle, 0.0), max(band.low, 0.0), max(band.high, 0.0))


def _size(band: Band) -> Band:
    """Without its sign."""
    ends = abs(band.low), abs(band.high)
    low = 0.0 if band.low < 0.0 < band.high else min(ends)
    return Band(abs(band.middle), low, max(ends))
