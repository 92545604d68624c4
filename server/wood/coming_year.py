"""A panel from the day on which it is made: its first year, and the year like which every later one is.

:func:`server.wood.panel.panel_year` asks for a panel that may be made at any time; here the day is known, so its first
year is itself the first of those by which it comes into step, and two of them are enough for most. In steps of a week
that is a fifth of the work.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from server.wood.air import Floats
from server.wood.emc import CURVE_SIGMA_PCT
from server.wood.ensemble import END_OF_80
from server.wood.moisture import Moisture
from server.wood.panel import IN_STEP, Ends, Panel, ends_of, ensemble_of, later, mean_response, returning, turn_of
from server.wood.ranges import within
from server.wood.transport import follow
from server.wood.year import DAY_S, YEAR_DAYS, Year

WEEKS = 52
"""Steps of a year. Means are within 0.03 % MC of those in steps of two and a half days."""


@dataclass(frozen=True, slots=True)
class ComingYear:
    """``first_lowest_pct`` and ``first_highest_pct``: of its mean moisture in the year that begins on the day it is
    made, % MC. ``lowest_pct``, ``highest_pct`` and ``swing_pct``: of a year in step with its place, which turns on
    ``lowest_day`` and ``highest_day`` of the year, ``lag_days`` after its air. ``days`` (k,) from now on have its
    ``first_pct`` (k,). ``wave_swing_pct``: of the damped wave."""

    first_lowest_pct: Ends
    first_highest_pct: Ends
    lowest_pct: Ends
    highest_pct: Ends
    swing_pct: Ends
    lowest_day: float
    highest_day: float
    lag_days: float
    days: Floats
    first_pct: Floats
    wave_swing_pct: float


def coming_year(panel: Panel, year: Year, made_pct: float, day: float, steps: int = WEEKS) -> ComingYear:
    """Of ``panel``, made on ``day`` of the year (0..365) at ``made_pct`` % MC through and through.

    Raises ValueError as :func:`~server.wood.panel.panel_year` does, ArithmeticError where no year comes to be like the
    one before.
    """
    within("day", day, 0.0, YEAR_DAYS, "(day of the year)")
    boards, air = ensemble_of(panel), year.air(day, steps)
    begin = Moisture.even(boards, made_pct, air.start_c[0, 0])
    after, first = follow(boards, begin, air, longest_step_s=YEAR_DAYS * DAY_S / steps)
    low, high = year.ends_pct()
    _, later_on = returning(boards, air, after, IN_STEP * max(high - low, 1.0))
    means, every = boards.mean_pct(first.profile_pct)[:, :-1], boards.mean_pct(later_on.profile_pct)[:-1, :-1]
    lowest_day, highest_day = ((turn_of(sign * every[:, 0]) + day) % YEAR_DAYS for sign in (-1.0, 1.0))
    curve_pct = END_OF_80 * CURVE_SIGMA_PCT
    lag = 0.5 * (later(lowest_day, year.driest_day) + later(highest_day, year.dampest_day))
    return ComingYear(
        ends_of(means.min(axis=0), curve_pct), ends_of(means.max(axis=0), curve_pct),
        ends_of(every.min(axis=0), curve_pct), ends_of(every.max(axis=0), curve_pct), ends_of(np.ptp(every, axis=0)),
        lowest_day, highest_day, lag, first.times_s / DAY_S, means[:, 0],
        abs(mean_response(boards.take([0]), year)) * (high - low),
    )  # fmt: skip
