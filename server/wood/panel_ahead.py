"""What a panel's width does in the year ahead, from the moisture it has now, in the air of where it will live.

The panel is followed as it is held, and for each thing that is not known of it twice more (:mod:`server.wood.pieces`),
so a width's spread is what is still in doubt after its readings, and the scatter of movement within a species. That it
was even when it was made is not supposed: its own profile is where the year begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from server.wood.air import Floats
from server.wood.belief import Belief
from server.wood.ensemble import END_OF_80, Spread, spread_of
from server.wood.expected_air import ExpectedAir
from server.wood.milling import Cut
from server.wood.movement import MOVEMENT_CV, Across, change
from server.wood.pieces import doubted, going
from server.wood.stock import Stock

STEP_DAYS = 2.5
"""As the solver of a whole year (:mod:`server.wood.panel`)."""
Films = tuple[float, float]
"""What the top and the bottom face pass, kg/(m² s Pa)."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """At ``day`` (t,) from now: the mean, % MC, and the departure from flat, mm (positive: the top is hollow), of the
    panel and of each doubt's two ends, (t, k, n), lying in n ways; and how its width moves."""

    day: Floats
    mean_pct: Floats
    cup_mm: Floats
    across: Across
    width_mm: float

    def mean(self, way: int = 0) -> Spread:
        """Its mean at each day, % MC."""
        return _between(self.mean_pct[:, :, way])

    def moved(self, way: int = 0) -> Spread:
        """By how much it is wider than now at each day, mm."""
        now = np.clip(self.mean_pct[0, :, way], 0.0, 200.0)
        found = change(self.across, self.width_mm, now, np.clip(self.mean_pct[:, :, way], 0.0, 200.0))
        one = _between(np.asarray(found))
        own = END_OF_80 * MOVEMENT_CV * np.abs(one.middle)
        down, up = (np.hypot(a, own) for a in (one.middle - one.low, one.high - one.middle))
        return Spread(one.middle, one.middle - down, one.middle + up)

    def widest(self, way: int = 0) -> tuple[Spread, float]:
        """The most it is wider than now, 0 or more, mm, and the day of it."""
        return _extreme(self.moved(way), self.day, np.argmax)

    def narrowest(self, way: int = 0) -> tuple[Spread, float]:
        """The most it is narrower than now, 0 or less, mm, and the day of it."""
        return _extreme(self.moved(way), self.day, np.argmin)

    def worst_cup(self, way: int = 0) -> tuple[Spread, float]:
        """Its greatest departure from flat, mm, to the side on which that is greatest, and the day of it."""
        cup = self.cup_mm[:, :, way]
        at = int(np.abs(cup[:, 0]).argmax())
        side = -1.0 if cup[at, 0] < 0 else 1.0
        peaks = side * (side * cup).max(axis=0)
        return spread_of(peaks[:, None]), float(self.day[at])


def year_ahead(  # noqa: PLR0917 - one question
    stock: Stock, belief: Belief, air: ExpectedAir, ways: Sequence[Films], across: Across, width_mm: float,
    days: float = 365.0,
) -> Ahead:  # fmt: skip
    """Of the one panel of ``stock`` and ``belief``, ``width_mm`` wide now, in ``air``, which reaches ``days``. Raises
    ValueError as :func:`server.wood.pieces.going`."""
    thickness = float(stock.thickness_m[0])
    cuts = [Cut(0.0, thickness, *films) for films in ways]
    marks = np.arange(STEP_DAYS, days, STEP_DAYS)
    found = going(
        doubted(stock, belief, air), cuts, coefficient=across.coefficient, width_m=width_mm / 1000.0, days=days,
        marks=marks.tolist(),
    )  # fmt: skip
    return Ahead(found.day, found.mean_pct, found.cup_mm, across, width_mm)


def _between(values: Floats) -> Spread:
    """Of (t, k)."""
    return spread_of(values.T)


def _extreme(moved: Spread, day: Floats, which: object) -> tuple[Spread, float]:
    at = int(which(moved.middle))  # type: ignore[operator]
    low, high = (float(getattr(end, "min" if which is np.argmin else "max")()) for end in (moved.low, moved.high))
    return Spread(*(np.full(1, value) for value in (moved.middle[at], low, high))), float(day[at])
