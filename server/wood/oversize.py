"""How much thicker to leave a board at first, so that what is left after it has moved can be planed flat to size.

A board of even thickness that is cupped by c holds a flat one that is thinner by c: the ends of the hollow face and the
middle of the round one come off. So the least extra thickness x is the least at which a board left at final + x departs
from flat by no more than x, at its worst, with what is allowed for twist and bow on top. The more is left, the less is
taken at first and the stiffer is the piece, so x is the one crossing of a falling and a rising line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from server.wood.air import Floats
from server.wood.cup import curvature_per_m
from server.wood.milling import Cut, Milled, Stood, after, middle_of, settling
from server.wood.settle import boards_of

_TRIES = 7
"""Extra thicknesses tried, from none to all that is to come off, in one batch; straight between."""


@dataclass(frozen=True, slots=True)
class Way:
    """How a plan is carried out: the same off both faces or as planned; what the faces pass afterwards."""

    evenly: bool
    top_film: float
    bottom_film: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What comes of it: all taken ``now``; the least ``extra_m`` to leave at first (None where the board is too thin
    for it), the piece left so, ``first``, and the greatest departure, ``left_mm``, once the extra is taken evenly after
    ``first.rest_days`` (None where that never comes)."""

    now: Milled
    extra_m: float | None
    first: Milled | None
    left_mm: float | None


def plans(
    stood: Stood, ways: Sequence[Way], *, top_m: float, bottom_m: float, coefficient: float, width_m: float,
    allowance_m: float = 0.0,
) -> tuple[Plan, ...]:  # fmt: skip
    """``top_m`` and ``bottom_m`` are to come off in the end, in each of ``ways``; ``allowance_m`` is for twist and bow.

    Raises ValueError for an allowance below 0 and as :func:`~server.wood.milling.after` does.
    """
    if not allowance_m >= 0:
        raise ValueError(f"allowance_m: found {allowance_m:g}; would be right: 0 m or more")
    off = top_m + bottom_m
    extras = np.linspace(0.0, off, _TRIES) if off > 0 else np.zeros(1)
    final = float(stood.boards.thickness_m[0]) - off
    share = top_m / off if off > 0 else 0.5

    def cut(way: Way, extra: float) -> Cut:
        top = (off - extra) * (0.5 if way.evenly else share)
        return Cut(top, final + extra, way.top_film, way.bottom_film)

    tried = after(stood, [cut(way, x) for way in ways for x in extras], coefficient=coefficient, width_m=width_m)
    rows = [tried[i : i + extras.size] for i in range(0, len(tried), extras.size)]
    least = [crossing(extras, np.array([abs(m.peak_mm) / 1000 for m in row]) + allowance_m) for row in rows]
    can = [i for i, x in enumerate(least) if x is not None]
    cuts = [cut(ways[i], least[i] or 0.0) for i in can]
    done = dict(zip(can, _finished(stood, cuts, final, coefficient=coefficient, width_m=width_m), strict=True))
    return tuple(Plan(row[0], least[i], *done.get(i, (None, None))) for i, row in enumerate(rows))


def crossing(extras: Floats, needed: Floats) -> float | None:
    """The least of ``extras``, which rise, that is what is ``needed`` when so much is left; straight between, None if
    none is."""
    short = needed - extras
    enough = np.flatnonzero(short <= 1e-9)
    if not enough.size:
        return None
    i = int(enough[0])
    if i == 0:
        return 0.0
    share = short[i - 1] / (short[i - 1] - short[i])
    return float(extras[i - 1] + share * (extras[i] - extras[i - 1]))


def _finished(
    stood: Stood, cuts: Sequence[Cut], final_m: float, *, coefficient: float, width_m: float
) -> list[tuple[Milled, float | None]]:
    """The pieces left so, and how far each departs from flat in the end when it is planed to size after its rest."""
    if not cuts:
        return []
    thickness, top, tops, bottoms = (
        np.array([getattr(cut, name) for cut in cuts]) for name in ("thickness_m", "top_m", "top_film", "bottom_film")
    )
    rough, count = stood.boards.take(np.zeros(len(cuts), np.intp)), len(cuts)
    profile = np.repeat(stood.state.profile_pct, count, axis=0)
    left = boards_of(stood.piece, thickness, tops, bottoms)
    course = settling(left, middle_of(rough, profile, left, top), stood.temperature_c, stood.rh)
    first = course.milled(curvature_per_m(rough, profile, coefficient), coefficient=coefficient, width_m=width_m)
    rest = course.rest()
    rested = course.profile_pct[np.minimum(rest, course.day.size - 1), np.arange(count)]
    sized = boards_of(stood.piece, final_m, tops, bottoms)
    again = settling(sized, middle_of(left, rested, sized, 0.5 * (thickness - final_m)), stood.temperature_c, stood.rh)
    ends = again.milled(curvature_per_m(left, rested, coefficient), coefficient=coefficient, width_m=width_m)
    return [(m, abs(e.peak_mm) if m.rest_days is not None else None) for m, e in zip(first, ends, strict=True)]
