"""From when on boards may be glued: all of them where they belong and even, alike, warm, and the room warm long enough.

Days from now, with the central 80 %; nan where none is to be counted.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from server.advice.glue_up.air_ahead import air_days
from server.advice.glue_up.base import Board, GlueView
from server.advice.glue_up.warm import warm_days
from server.advice.schedule import INF, Good, goods
from server.wood.air import Floats
from server.wood.ensemble import Spread
from server.wood.outcome import DAY_S, Outcome

MOST_APART_PCT = 2.0
"""Where the family's row gives none: general laminating practice, recalled."""


def board_days(boards: Sequence[Board]) -> Spread:
    """Until all boards lie inside the aim and are even, as they lie."""
    return together([board.held.outcome for board in boards])


def together(found: Sequence[Outcome]) -> Spread:
    """The first moment at which all of them are good at once."""
    each = [goods(one) for one in found]
    return spread(*(_all_good([getattr(one, end) for one in each]) for end in ("middle", "early", "late")))


def spread(middle: float, low: float, high: float) -> Spread:
    """Days as a spread; what is never is nan."""
    return Spread(*(np.array([day if np.isfinite(day) else np.nan]) for day in (middle, low, high)))


def _all_good(each: Sequence[Good]) -> float:
    day = 0.0
    for _ in range(2 * len(each) + 1):  # each of them is good twice at the most
        later = max(good.soonest(day) for good in each)
        if later in (day, INF):
            return later
        day = later
    return INF


def most_apart_pct(view: GlueView) -> float:
    """The limit of the family's row, or of the trade's practice."""
    high = view.family.limits["mc-apart"].high
    return MOST_APART_PCT if high is None else high


def alike_days(view: GlueView) -> Spread:
    """Until the boards' means are no further apart than that, as they lie; the ends go by how fast their wood is."""
    return alike_in([board.held.outcome for board in view.boards], most_apart_pct(view), _slow(view))


def alike_in(found: Sequence[Outcome], most_pct: float, slow: float) -> Spread:
    """The same of boards on any way; ``slow`` is what times are multiplied and divided by."""
    day = (found[0].course.times_s - found[0].course.times_s[0]) / DAY_S
    means = np.stack([_on(day, one) for one in found])
    near = np.ptp(means, axis=0) <= most_pct
    if near[0]:
        return spread(0.0, 0.0, 0.0)
    if not near.any():
        return spread(INF, INF, INF)
    first = float(day[int(near.argmax())])
    return spread(first, first / slow, first * slow)


def _on(day: Floats, one: Outcome) -> Floats:
    own = (one.course.times_s - one.course.times_s[0]) / DAY_S
    return np.interp(day, own, one.course.mean_pct[:, 0])


def _slow(view: GlueView) -> float:
    return max(board.slow for board in view.boards)


def ready_days(view: GlueView) -> Spread:
    """Until nothing that passes by itself stands against it: boards, wood and room. 0 where that is now."""
    return latest(boards_days(view), warm_days(view), air_days(view))


def boards_days(view: GlueView) -> Spread:
    """Until the boards themselves are good and alike."""
    return latest(board_days(view.boards), alike_days(view))


def latest(*days: Spread) -> Spread:
    """Of what is to come, all of it; nan where one of it never comes."""
    ends = ([float(getattr(one, end)[0]) for one in days] for end in ("middle", "low", "high"))
    return spread(*(float(np.max(values)) for values in ends))  # nan stays nan


def ways_days(view: GlueView, found: Sequence[Outcome], warm: Spread, air: Spread) -> Spread:
    """The same for boards on another way, ``found``, where wood and room are warm after so long."""
    return latest(together(found), alike_in(found, most_apart_pct(view), _slow(view)), warm, air)
