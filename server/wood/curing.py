"""How far an adhesive has come in the clamps and after: its time counted by the temperature the wood really had.

An adhesive that needs n hours at a temperature gets 1/n of its way there in an hour; the parts add up (the rule of
Miner, of Palmgren before him, put to time: common for cures that go by temperature, no source for wood glue). Where
nothing is published below some temperature, the least it has come is nothing and the most as in warm wood.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from server.wood.adhesive import Family, Why
from server.wood.ranges import rising

What = Literal["clamp", "cure"]
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Come:
    """How far it has come, 0 and more, at the least and at the most, 1 is there; ``why`` a figure is missing, "" where
    none is; ``too_cold_h`` for how long the wood was below the lowest temperature."""

    least: float
    most: float
    why: Why
    too_cold_h: float

    @property
    def sure(self) -> bool:
        """Whether it is there even at the least."""
        return self.least >= 1.0


def come(family: Family, what: What, times_s: ArrayLike, wood_c: ArrayLike) -> Come:
    """From the first of ``times_s`` (k + 1), rising, to the last, in wood of ``wood_c`` (k + 1) °C, straight between.

    Raises ValueError for unequal lengths, times that do not rise, temperatures outside -50..100 °C.
    """
    t, c = rising("times_s", times_s), np.asarray(wood_c, np.float64)
    if c.shape != t.shape:
        raise ValueError(f"wood_c: found {c.size} values; would be right: {t.size}, one for each time")
    least = most = too_cold = 0.0
    missing: Why = ""
    for hours, warm in zip(np.diff(t) / HOUR_S, 0.5 * (c[1:] + c[:-1]), strict=True):
        needed = family.needs(what, float(warm))
        if needed.low_h is not None and needed.high_h is not None:
            least, most = least + hours / needed.high_h, most + hours / needed.low_h
            continue
        missing = needed.why
        if needed.why == "too-cold":
            too_cold += hours
        elif needed.why == "longer" and (low := family.limits[what].low) is not None:
            most += hours / low
    return Come(float(least), float(most), missing, float(too_cold))


def left_h(family: Family, what: What, so_far: Come, wood_c: float) -> tuple[float, float] | None:
    """Hours that are left if the wood stays at that temperature, at the least and at the most; None where no time is
    known for it."""
    needed = family.needs(what, wood_c)
    if needed.low_h is None or needed.high_h is None:
        return None
    return max(0.0, 1.0 - so_far.most) * needed.low_h, max(0.0, 1.0 - so_far.least) * needed.high_h
