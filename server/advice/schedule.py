"""From when to when a lot may be milled and glued, and the days that follow from it, forwards and back.

All times are days from now. A lot is good from ``first`` until ``until``, and from ``again`` on: an even board is good
until its shells run ahead, and again when its core has followed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from server.wood.outcome import Outcome

INF = math.inf


@dataclass(frozen=True, slots=True)
class Work:
    """What else takes time, days: the rest between the first and the last pass, then in clamps and curing, assembly,
    finishing."""

    rest: float
    cure: float
    assemble: float
    finish: float

    @property
    def after_glue(self) -> float:
        """From the glue-up to the delivery."""
        return self.cure + self.assemble + self.finish


@dataclass(frozen=True, slots=True)
class Days:
    """First pass, glue-up on the day of the last pass, delivery."""

    mill: float
    glue: float
    deliver: float


@dataclass(frozen=True, slots=True)
class Good:
    """When it is good to mill and glue; inf where it never is, or stays so."""

    first: float
    until: float = INF
    again: float = INF

    def soonest(self, day: float) -> float:
        """The first good moment from ``day`` on; inf where there is none."""
        if day <= self.until and self.first < INF:
            return max(day, self.first)
        return max(day, self.again)

    def latest(self, day: float) -> float | None:
        """The last good moment up to ``day``; None where there is none."""
        if day >= self.again:
            return day
        return min(day, self.until) if day >= self.first else None


@dataclass(frozen=True, slots=True)
class Goods:
    """The middle, and both ends of what is in doubt."""

    middle: Good
    early: Good
    late: Good


def goods(found: Outcome) -> Goods:
    """Of one lot's outcome."""

    def one(first: str, until: str, again: str) -> Good:
        given = (getattr(found.good, first), getattr(found.good_until, until), getattr(found.good_again, again))
        start, end, more = (INF if np.isnan(days[0]) else float(days[0]) for days in given)
        return Good(start, max(start, end), max(start, more))  # what comes late also stays late

    return Goods(one("middle", "middle", "middle"), one("low", "high", "low"), one("high", "low", "high"))


def earliest(good: Good, work: Work) -> Days:
    """The soonest there is; inf where it is never good. That milling makes it thinner, and so sooner even, is left out:
    it is on the safe side."""
    mill = good.soonest(0.0)
    glue = good.soonest(mill + work.rest)
    return Days(mill, glue, glue + work.after_glue)


def back_from(good: Good, work: Work, deliver: float) -> Days | None:
    """The latest days that still do for a delivery; None where none do."""
    glue = good.latest(deliver - work.after_glue)
    mill = None if glue is None else good.latest(glue - work.rest)
    return None if glue is None or mill is None or mill < 0.0 else Days(mill, glue, deliver)
