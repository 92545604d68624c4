"""When is this lot good to mill, and for how long does it stay so?"""

from __future__ import annotations

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, Inputs, Limit, Line, LotView, beyond, ends, held_now
from server.advice.time_words import Said, after, counted
from server.reading import Word
from server.shop.lot import Lot
from server.wood.outcome import DAY_S, EVEN_WITHIN_PCT, SEASON_DAYS, Outcome
from server.words import Sentence

AT_ONCE_DAYS = 1 / 24
_METERS = ("metered", "wrap-read", "weighed")


class GoodToMill:
    """Shell and core within 1 % of each other, and the mean inside the lot's aim."""

    name = "good-to-mill"
    summary = "when shell and core lie within 1 % of each other and the mean inside its aim, and for how long"
    decides = True
    inputs = Inputs

    def answer(self, view: LotView, _: Inputs, /) -> Line | None:
        """``good_to_mill_days``, ``good_to_mill_until_days``, ``good_to_mill_again_days`` with their ends (None past
        what is looked at), what is held now: ``mean_pct``, ``shell_pct``, ``core_pct`` with theirs; and from when on
        the air is taken from what, ``air_beyond_from_ms``, ``air_beyond``, resting on ``air_beyond_heard_days``."""
        if view.held is None:
            return None
        found = view.held.outcome
        now = {name: float(getattr(found.course, name)[0, 0]) for name in ("mean_pct", "shell_pct", "core_pct")}
        named, taken = beyond(view, view.held)
        figures = {
            **ends("good_to_mill_days", found.good), **ends("good_to_mill_until_days", found.good_until),
            **ends("good_to_mill_again_days", found.good_again), **held_now(view, view.held), **named,
        }  # fmt: skip
        word, title, said = _verdict(view, found)
        held, until = Sentence("lot-mill-held", {"name": view.lot.name, **now}), counted(found.good_until, lasting=True)
        more = (*said, held)
        if word == "ready":
            more = (*more, *_until(Sentence("lot-mill-until", until), found))
        elif word == "wait":
            passes = Sentence("lot-mill-passes", {**until, "why": _ends_by(view, found)})
            more = (*said, *_until(passes, found), held)
        more = (*more, *taken)
        low, high = view.aim.dry_limit_pct, view.aim.damp_limit_pct
        limit = Limit(
            Sentence("lot-mill-limit", {"low_pct": low, "high_pct": high}),
            f"Within 1 % of each other: this shop's definition. Aim: {view.aim.source}.",
            {"apart_pct": EVEN_WITHIN_PCT, "aim_low_pct": low, "aim_high_pct": high},
        )
        return Line(
            self.name, word, Sentence("lot-mill-asked"), more, figures, limit, (EMC_SOURCE, DIFFUSION_SOURCE),
            Sentence("lot-caution-mill"), title=title,
        )  # fmt: skip


def mill_word(view: LotView) -> Word | None:
    """Its word alone; None where nothing is held."""
    return None if view.held is None else _verdict(view, view.held.outcome)[0]


def _verdict(view: LotView, found: Outcome) -> tuple[Word, Sentence, tuple[Sentence, ...]]:
    days, late, target = (float(a[0]) for a in (found.good.middle, found.good.high, found.target_pct.middle))
    low, high = view.aim.dry_limit_pct, view.aim.damp_limit_pct
    if not days <= SEASON_DAYS:
        if np.isnan(days) and not low <= target <= high:
            values: Said = {"target_pct": target, "low_pct": low, "high_pct": high}
            return "look", Sentence("lot-mill-not-here-title"), (Sentence("lot-mill-not-here", values),)
        return "look", Sentence("lot-mill-season-title"), (Sentence("lot-mill-season", _why(view, found)),)
    if days > 0.0:
        return "wait", Sentence("lot-mill-wait-title", after(days)), (Sentence("lot-mill-wait", counted(found.good)),)
    if not late <= AT_ONCE_DAYS:
        return "look", Sentence("lot-mill-unsure-title"), (Sentence("lot-mill-unsure", after(late)),)
    return "ready", Sentence("lot-mill-now-title"), (Sentence("lot-mill-now", {"measured": _measured(view.lot)}),)


def _measured(lot: Lot) -> str:
    """Whether anything but air ever told of its moisture."""
    told = lot.received.start.kind == "metered" or any(kind in lot.entry_of for kind in _METERS)
    return "yes" if told else "no"


def _why(view: LotView, found: Outcome) -> Said:
    """What is wanting at the end of the season, in the middle of the spread."""
    course = found.course
    at = int(np.argmin(np.abs(course.times_s - course.times_s[0] - SEASON_DAYS * DAY_S)))
    mean, shell, core = (float(a[at, 0]) for a in (course.mean_pct, course.shell_pct, course.core_pct))
    apart = abs(shell - core) > EVEN_WITHIN_PCT
    outside = not view.aim.dry_limit_pct <= mean <= view.aim.damp_limit_pct
    why = "both" if apart == outside else "apart" if apart else "aim"
    return {"why": why, "lying": "stickered" if view.lot.lying == "stickered" else "other"}


def _ends_by(view: LotView, found: Outcome) -> str:
    """By what it ceases to be good to mill, in the middle of the spread."""
    course, until = found.course, float(found.good_until.middle[0])
    later = course.times_s - course.times_s[0] > until * DAY_S
    if not later.any():
        return "apart"
    mean = float(course.mean_pct[int(np.argmax(later)), 0])
    return "apart" if view.aim.dry_limit_pct <= mean <= view.aim.damp_limit_pct else "aim"


def _until(said: Sentence, found: Outcome) -> tuple[Sentence, ...]:
    """Of what ends this season, and of what is so again."""
    if not found.good_until.middle[0] <= SEASON_DAYS:
        return ()
    again = found.good_again
    return (said, Sentence("lot-mill-again", counted(again))) if again.middle[0] <= SEASON_DAYS else (said,)
