"""What to do with a lot if work stops now, and how long it may lie open.

Stock that is milled has flat faces to lose, and shell and core near each other; rough stock is on its way to its aim
and is to be left to it, so only its cup is looked at. No way of lying is blamed for what is out already: one keeps a
lot where neither grows beyond what is tolerated, or beyond what it is now. A cup is harm and is held to its far end,
shell and core are not and are held to their middle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np
from pydantic import Field

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    PRACTICE,
    Decision,
    Held,
    Inputs,
    Limit,
    Line,
    LotView,
    ends,
)
from server.advice.time_words import counted
from server.book.mill import FLAT_MM, face
from server.reading import Word
from server.shop.deed import Lying
from server.shop.lot import Lot
from server.shop.lying import behind
from server.wood.air import Floats
from server.wood.boards import film_through
from server.wood.ensemble import Spread, spread_of, spread_of_times
from server.wood.milling import Cut
from server.wood.movement import Across, change
from server.wood.outcome import EVEN_WITHIN_PCT, SEASON_DAYS
from server.wood.pieces import Going, Pieces, doubted, going_of_each
from server.words import Sentence

NIGHT_H, DAY_H = 16.0, 24.0
FLAT_ENOUGH_MM = 0.3
"""Of a face that is to be glued, over its width. Common practice, no source."""
AS_IT_LIES, INNER = "as-it-lies", "dead-stacked-inner"
LEAVE = "leave"
TO_CHOOSE = (AS_IT_LIES, "stickered", "wrapped")
EVERY_WAY = (*TO_CHOOSE, "one-face", INNER)
LAID_ON = ("one-face", "dead-stacked")
AT_ONCE = 12
"""So many lots are followed together: more take more memory and no less time."""
_NO_MORE_MM, _NO_MORE_PCT = 0.02, 0.05
"""Less is no growing."""


class StopInputs(Inputs):
    """How long nobody works on it, and what it may depart by meanwhile."""

    away_hours: float = Field(
        NIGHT_H, ge=0.5, le=4800, description="until work goes on, 0.5 to 4,800 h; 16 if not given, until tomorrow"
    )
    tolerance_mm: float = Field(
        FLAT_ENOUGH_MM, gt=0, le=10, description="how far out of flat it may be over its width, above 0 to 10 mm"
    )
    apart_pct: float = Field(
        EVEN_WITHIN_PCT, gt=0, le=10, description="how far shell and core of milled stock may be apart, above 0 to 10 %"
    )


@dataclass(frozen=True, slots=True)
class Left:
    """What comes of one way of leaving it until work goes on: the worst cup, mm, the greatest distance between shell
    and core, % MC, and how far its width moves, mm."""

    cup: Spread
    apart: Spread
    move: Spread

    @property
    def most_mm(self) -> float:
        """The far end of the cup."""
        return float(max(abs(self.cup.low[0]), abs(self.cup.high[0])))

    @property
    def cup_mm(self) -> float:
        """The middle of the cup, without its sign."""
        return float(abs(self.cup.middle[0]))

    def figures(self, prefix: str = "") -> dict[str, float | None]:
        named = (("cup_mm", self.cup), ("apart_pct", self.apart), ("move_mm", self.move))
        return {key: value for name, spread in named for key, value in ends(prefix + name, spread).items()}


@dataclass(frozen=True, slots=True)
class Now:
    """Of the lot as it is: cup, mm, and the distance between shell and core, % MC; ``open`` is how long it may lie so,
    days."""

    cup: Spread
    apart: Spread
    open: Spread

    @property
    def cup_mm(self) -> float:
        """The middle of the cup."""
        return float(self.cup.middle[0])

    @property
    def apart_pct(self) -> float:
        """The middle of the distance."""
        return float(self.apart.middle[0])


class StopNow:
    """Leaving the lot from now on."""

    name = "stop-now"
    summary = "whether to leave, sticker or wrap it when work stops now, and how long it may lie open"
    decides = True
    inputs: type[Inputs] = StopInputs

    def decisions(self, views: Sequence[LotView]) -> list[Decision | None]:
        """What its answers to all of these would decide; only those of which it can decide anything are worked out,
        a few at once."""
        decided: list[Decision | None] = [None] * len(views)
        given = StopInputs()
        some = [(i, view, view.across()) for i, view in enumerate(views) if _may_decide(view)]
        for _, group in groupby(some, key=lambda one: id(one[1].held and one[1].held.air)):
            those = [(i, view, view.held, across) for i, view, across in group if view.held and across]
            for first in range(0, len(those), AT_ONCE):
                few = those[first : first + AT_ONCE]
                courses = _courses([_pieces(view, held, across, TO_CHOOSE) for _, view, held, across in few], given)
                for (i, view, _held, across), course in zip(few, courses, strict=True):
                    found, now = _found(view, across, course, TO_CHOOSE, given)
                    advice, _ = _advice(view.lot, found, now, given)
                    word = _word(view.lot, found, now, given, advice)
                    if word is not None:
                        decided[i] = word, _title(word, advice), _lies_said(view, found[AS_IT_LIES])
        return decided

    def answer(self, view: LotView, given: StopInputs, /) -> Line | None:
        """As it lies, until work goes on: ``cup_mm`` at the worst (positive: the top is hollow), ``apart_pct`` between
        shell and core, ``move_mm`` of its width (negative: it shrinks); ``open_hours`` until it passes the tolerance
        (None past this season), each with its ends; ``advice``; ``ways``, the same of every way of leaving it."""
        across = view.across()
        if view.held is None or across is None or view.finished:
            return None
        lot = view.lot
        (course,) = _courses([_pieces(view, view.held, across, EVERY_WAY)], given)
        found, now = _found(view, across, course, EVERY_WAY, given)
        advice, sure = _advice(lot, found, now, given)
        word = _word(lot, found, now, given, advice)
        title = None if word is None else _title(word, advice)
        figures: dict[str, Any] = {
            **found[AS_IT_LIES].figures(), **ends("open_hours", _hours(now.open)), **ends("cup_now_mm", now.cup),
            **ends("apart_now_pct", now.apart), "away_hours": given.away_hours, "width_mm": lot.width_mm,
            "advice": advice,
            "ways": [{"lying": lying, **one.figures()} for lying, one in found.items()],
        }  # fmt: skip
        limits = {"tolerance_mm": given.tolerance_mm, "apart_limit_pct": given.apart_pct}
        limit = Limit(Sentence("lot-stop-limit", {**limits, "width_mm": lot.width_mm}), PRACTICE, limits)
        chosen = found[AS_IT_LIES if advice == LEAVE else advice]
        values: dict[str, Any] = {"advice": advice, "cup_mm": chosen.cup_mm, "most_mm": chosen.most_mm}
        lies = _lies_said(view, found[AS_IT_LIES])
        do = Sentence("lot-stop-advice" if sure else "lot-stop-best", values)
        said = (lies, _open_said(now, given), do, *_more_said(found))
        return Line(
            self.name, word, Sentence("lot-stop-asked", {"away_hours": given.away_hours}), said, figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}."), Sentence("lot-caution-stop"),
            entries=_entries(lot), title=title,
        )  # fmt: skip


def _may_decide(view: LotView) -> bool:
    """Whether :func:`_word` can say anything: only of milled faces, and of a face that lies on something."""
    opened = view.lot.milled_ms is not None or view.lot.lying in LAID_ON
    return view.held is not None and opened and not view.finished


def _pieces(view: LotView, held: Held, across: Across, ways: Sequence[str]) -> Pieces:
    """The lot, left in each of these ways. Of a dead stack the outermost piece stands as on the bench."""
    lot, whole, cuts = view.lot, float(held.wood.stock.thickness_m[0]), []
    outermost: Lying = "one-face" if lot.lying == "dead-stacked" else lot.lying
    lies: dict[str, Lying] = {
        AS_IT_LIES: outermost, "stickered": "stickered", "wrapped": "wrapped", "one-face": "one-face",
        INNER: "dead-stacked",
    }  # fmt: skip
    for way in ways:
        top, bottom = (float(film_through(r)) for r in behind(lies[way], lot.top_finish, lot.bottom_finish))
        cuts.append(Cut(0.0, whole, top, bottom))
    doubts = doubted(held.wood.stock, held.wood.belief, held.air)
    return Pieces(doubts, cuts, across.coefficient, lot.width_mm / 1000)


def _courses(every: Sequence[Pieces], given: StopInputs) -> list[Going]:
    away = given.away_hours / DAY_H
    return going_of_each(every, days=max(away, SEASON_DAYS), marks=(away,))


def _found(
    view: LotView, across: Across, course: Going, ways: Sequence[str], given: StopInputs
) -> tuple[dict[str, Left], Now]:
    """What comes of each way, and of the lot as it is."""
    lot, away = view.lot, given.away_hours / DAY_H
    pause = course.until(away)
    peak, _ = pause.peak()
    apart, move = pause.apart_pct.max(axis=0), _moves(lot, across, pause)
    found = {}
    for i, way in enumerate(ways):
        cup, between, moved = (spread_of(values[:, i : i + 1]) for values in (peak, apart, move))
        found[way] = Left(cup, Spread(between.middle, np.maximum(between.low, 0.0), between.high), moved)
    beyond = spread_of_times(course.first_beyond(given.tolerance_mm)[:, :1])
    cup, between = (spread_of(values[0, :, :1]) for values in (course.cup_mm, course.apart_pct))
    return found, Now(cup, Spread(between.middle, np.maximum(between.low, 0.0), between.high), beyond)


def _moves(lot: Lot, across: Across, pause: Going) -> Floats:
    before, after = (np.clip(pause.mean_pct[i], 0.0, None) for i in (0, -1))
    return np.asarray(change(across, lot.width_mm, before, after))


def _advice(lot: Lot, found: dict[str, Left], now: Now, given: StopInputs) -> tuple[str, bool]:
    """The least trouble that is sure to keep it, else in the middle of the spread, else what does best; whether it is
    sure."""
    ways = {AS_IT_LIES: found[AS_IT_LIES], **{way: found[way] for way in ("stickered", "wrapped") if way != lot.lying}}
    most_mm = max(given.tolerance_mm, abs(now.cup_mm) + _NO_MORE_MM)
    most_pct = max(given.apart_pct, now.apart_pct + _NO_MORE_PCT) if lot.milled_ms is not None else np.inf
    for sure in (True, False):
        for way, one in ways.items():
            if (one.most_mm if sure else one.cup_mm) <= most_mm and one.apart.middle[0] <= most_pct:
                return LEAVE if way == AS_IT_LIES else way, sure
    best = min(ways, key=lambda way: ways[way].most_mm)
    return LEAVE if best == AS_IT_LIES else best, False


def _word(lot: Lot, found: dict[str, Left], now: Now, given: StopInputs, advice: str) -> Word | None:
    """``act`` only where milled faces will be out within a day as they lie, or are out and get as much worse again
    until work goes on, and the deed prevents it."""
    away, tolerance = min(given.away_hours, DAY_H), given.tolerance_mm
    opened, soonest = (float(a[0]) * DAY_H for a in (now.open.middle, now.open.low))
    passes = 0.0 < opened <= away
    worsens = found[AS_IT_LIES].cup_mm > abs(now.cup_mm) + tolerance
    if advice != LEAVE and (passes or worsens) and lot.milled_ms is not None and lot.lying != "dead-stacked":
        kept = found[advice].cup_mm <= max(tolerance, abs(now.cup_mm) + _NO_MORE_MM)
        return "act" if kept else "look"
    if advice == LEAVE:
        return None
    if opened == 0.0 or passes:
        return "look" if lot.lying in LAID_ON else None
    may = soonest <= away or found[AS_IT_LIES].most_mm > tolerance
    return "look" if may and lot.milled_ms is not None else None


def _title(word: Word, advice: str) -> Sentence:
    return Sentence(f"lot-stop-{word}-title", {"advice": advice})


def _hours(days: Spread) -> Spread:
    return Spread(*(DAY_H * end for end in (days.middle, days.low, days.high)))


def _lies_said(view: LotView, one: Left) -> Sentence:
    values: dict[str, Any] = {
        "name": view.lot.name, "lying": view.lot.lying, "most_mm": one.most_mm, "width_mm": view.lot.width_mm,
    }  # fmt: skip
    if one.cup_mm < FLAT_MM:
        return Sentence("lot-stop-flat", values)
    return Sentence("lot-stop-cup", {**values, "cup_mm": one.cup_mm, "face": face(float(one.cup.middle[0]))})


def _open_said(now: Now, given: StopInputs) -> Sentence:
    middle = float(now.open.middle[0])
    if np.isnan(middle):
        return Sentence("lot-stop-open-season", {"sure": "yes" if np.isnan(now.open.low[0]) else "no"})
    if middle == 0.0:
        return Sentence("lot-stop-past", {"tolerance_mm": given.tolerance_mm})
    return Sentence("lot-stop-open", {"tolerance_mm": given.tolerance_mm, **counted(now.open, lasting=True)})


def _more_said(found: dict[str, Left]) -> Iterator[Sentence]:
    keys = (("stickered_mm", "stickered"), ("wrapped_mm", "wrapped"), ("bench_mm", "one-face"), ("inner_mm", INNER))
    yield Sentence("lot-stop-compare", {name: found[way].cup_mm for name, way in keys})
    lies = found[AS_IT_LIES]
    move = float(lies.move.middle[0])
    values: dict[str, Any] = {"way": "shrinks" if move < 0 else "swells", "move_mm": abs(move)}
    yield Sentence("lot-stop-moves", {**values, "apart_pct": float(lies.apart.middle[0])})


def _entries(lot: Lot) -> tuple[str, ...]:
    """What says how it lies, what is on its faces, and that they are cut."""
    laid = ("stickered", "unwrapped") if lot.lying == "stickered" else (lot.lying,)
    kinds = ("milled", "resawn", "finished", "moved", *laid)
    return tuple(lot.entry_of[kind] for kind in kinds if kind in lot.entry_of) or (lot.entry_of["received"],)
