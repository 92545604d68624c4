"""What becomes of lots of which something is held: :mod:`server.wood.outcome` of their middle, as unsure as they are.

How far a lot's wood rests from the handbook's curve moves what it holds and what its air draws it to alike, so it is
left out of the way and added to both ends of it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.astray import Astray
from server.wood.belief import MEMBERS, Belief, boards_of, sigma_of
from server.wood.ensemble import END_OF_80, Doubts, Spread
from server.wood.expected_air import ExpectedAir
from server.wood.outcome import STEP_S, Outcome, settle_in
from server.wood.stock import Stock


def settle_believed(
    stock: Stock, belief: Belief, air: ExpectedAir, zone: ArrayLike = 0, *,
    aim_pct: tuple[ArrayLike, ArrayLike] | None = None, astray: Astray | None = None, step_s: float | None = STEP_S,
) -> Outcome:  # fmt: skip
    """The outcome of n lots, each lying in its ``zone`` of ``air``; ``aim_pct`` is where their means belong, ``astray``
    how far off they may be for lying otherwise up to now (from now on they are taken to lie as is known). ``step_s`` is
    that of :func:`settle_in`.

    The spread is of what is still not known after the lots' readings: a rate that was learned counts as learned, and
    density with it. Raises ValueError as :func:`settle_in`.
    """
    middle = np.arange(len(belief)) * MEMBERS
    every = boards_of(stock, belief)
    state = belief.moisture.take(middle)
    means = every.mean_pct(belief.moisture.profile_pct).reshape(len(belief), MEMBERS)
    boards = every.take(middle)
    doubts = Doubts(
        ln_rate_sigma=sigma_of(belief.ln_rate), gravity_cv=0.0,
        film_factor=np.exp(END_OF_80 * sigma_of(belief.ln_film)), start_half_pct=END_OF_80 * sigma_of(means),
        astray_pct=None if astray is None else astray.shifts_pct(boards),
    )  # fmt: skip
    curve = belief.curve_pct[:, 0]
    aim = None if aim_pct is None else (np.asarray(aim_pct[0]) - curve, np.asarray(aim_pct[1]) - curve)
    known = replace(state, unknown_s=np.zeros(len(belief)))  # what such air can have done is among the members
    found = settle_in(boards, known, air, zone, doubts=doubts, aim_pct=aim, step_s=step_s)
    course = replace(
        found.course, mean_pct=found.course.mean_pct + curve, shell_pct=found.course.shell_pct + curve,
        core_pct=found.course.core_pct + curve, target_pct=found.course.target_pct + curve,
    )  # fmt: skip
    return replace(found, target_pct=_moved(found.target_pct, curve), course=course)


def _moved(spread: Spread, by: Floats) -> Spread:
    return Spread(spread.middle + by, spread.low + by, spread.high + by)
