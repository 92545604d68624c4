"""How far an adhesive has come in the clamps and after: its time counted by the temperature the wood really had.

An adhesive that needs n hours at a temperature gets 1/n of its way there in an hour; the parts add up (the rule of
Miner, of Palmgren before him, put to time: common for cures that go by temperature, no source for wood glue). Where
nothing is published below some temperature, the least it has come is nothing and the most as in warm wood.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.adhesive import Family, Why
from server.wood.air import Floats
from server.wood.ranges import rising, within

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
    hours, warm = np.diff(t) / HOUR_S, 0.5 * (c[1:] + c[:-1])
    within("wood_c", warm, -50, 100, "°C")
    low, high, why = _needs(family, what, warm)
    known = why == ""
    least, most = float((hours[known] / high[known]).sum()), float((hours[known] / low[known]).sum())
    longer, in_warm = why == "longer", family.limits[what].low
    if in_warm is not None:
        most += float(hours[longer].sum()) / in_warm
    missing = why[~known]
    return Come(least, most, missing[-1] if missing.size else "", float(hours[why == "too-cold"].sum()))


def _needs(family: Family, what: What, wood_c: Floats) -> tuple[Floats, Floats, NDArray[np.object_]]:
    """As :meth:`~server.wood.adhesive.Family.needs`, of many temperatures at once (k,): the ends in hours, and why
    there are none."""
    limit, coldest = family.limits[what], family.limits["lowest-temperature"]
    low, high = np.full(wood_c.size, np.nan), np.full(wood_c.size, np.nan)
    why: NDArray[np.object_] = np.full(wood_c.size, "", object)
    if limit.points:
        at, hours = (np.array(each) for each in zip(*limit.points, strict=True))
        low = high = np.exp(np.interp(wood_c, at, np.log(hours)))
        why[wood_c < at[0]] = "sheet-silent"
    elif limit.low is None or limit.high is None or limit.at_c is None:
        why[:] = "not-found"
    else:
        colder = np.maximum(limit.at_c - wood_c, 0.0)
        times = 2.0 ** (colder / limit.doubles_per_c) if limit.doubles_per_c else np.ones(wood_c.size)
        low, high = limit.low * times, limit.high * times
        if limit.doubles_per_c is None:
            why[colder > 0.0] = "longer"
    if coldest.hard and coldest.low is not None:
        why[wood_c < coldest.low] = "too-cold"
    return low, high, why


def left_h(family: Family, what: What, so_far: Come, wood_c: float) -> tuple[float, float] | None:
    """Hours that are left if the wood stays at that temperature, at the least and at the most; None where no time is
    known for it."""
    needed = family.needs(what, wood_c)
    if needed.low_h is None or needed.high_h is None:
        return None
    return max(0.0, 1.0 - so_far.most) * needed.low_h, max(0.0, 1.0 - so_far.least) * needed.high_h
