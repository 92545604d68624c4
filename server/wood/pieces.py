"""What pieces do that are cut out of a lot as it is held, or laid otherwise: cup, shell against core, mean, by time.

Every piece is followed once as the lot is held, and for each thing that is not known of the lot twice more: with that
one at both ends of its central 80 %, and in the dry and the damp air that are still to be expected. So a figure's
spread is of what is still in doubt after the lot's readings (:mod:`server.wood.ensemble` adds it up). Faces are cut
flat while the board stands as its profile bends it, so cup counts from there (:mod:`server.wood.milling`); that of a
board that is not cut from when its shape was last known (:mod:`server.wood.straightedge`), else from when it is even.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from server.wood.air import Floats
from server.wood.belief import MEMBERS, Belief
from server.wood.boards import Boards
from server.wood.carry import caught_up
from server.wood.cup import Rings, curvature_per_m
from server.wood.ensemble import END_OF_80
from server.wood.expected_air import ExpectedAir
from server.wood.grid import share_within
from server.wood.milling import LEAST_LEFT_M, Cut, middle_of
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture
from server.wood.outcome import DAY_S, EVEN_WITHIN_PCT
from server.wood.ranges import PER_PCT, PER_PCT_UNIT, WIDTH_M, WIDTH_UNIT, within
from server.wood.stock import Stock
from server.wood.transport import follow

NOTHING_MM = 0.01
"""A piece that goes no farther stays flat."""
_FIRST_S, _GROWTH = 300.0, 0.1
"""Steps are a tenth of the time gone by: finer ones change no cup by a hundredth of a millimetre."""


@dataclass(frozen=True, slots=True)
class Doubted:
    """One lot, (k,) of it: the middle, then each doubt's two ends. ``whole`` are the boards it lies in, ``profile_pct``
    (k, cells) what the solver holds of them, ``curve_pct`` what comes on top; ``zone`` the air of each in ``airs``;
    ``shape`` what curvature for a movement of 1 per 1 % MC and 1/m it had when its shape was last known; ``then_pct``
    its mean at that time, nan where it never was."""

    whole: Boards
    profile_pct: Floats
    curve_pct: Floats
    ln_rate: Floats
    ln_film: Floats
    temperature_c: float
    zone: NDArray[np.intp]
    air: ExpectedAir
    stock: Stock
    shape: tuple[Floats, float]
    then_pct: Floats


@dataclass(frozen=True, slots=True)
class Going:
    """Pieces on their way, each array (t, k, n): at ``day`` (t,) the departure from flat over the width, mm, positive
    where the top is hollow; how far shell and core are apart, the face that is farther; the mean, and how far the drier
    shell is below it, all % MC; and the departure that stays once they are even inside, rings left out, (k, n)."""

    day: Floats
    cup_mm: Floats
    apart_pct: Floats
    mean_pct: Floats
    ahead_pct: Floats
    settled_mm: Floats

    def until(self, days: float) -> Going:
        """The same up to ``days``, which are among its own."""
        t = int(np.searchsorted(self.day, days + 1e-9))
        day, cup, apart, mean, ahead = (
            each[:t] for each in (self.day, self.cup_mm, self.apart_pct, self.mean_pct, self.ahead_pct)
        )
        return Going(day, cup, apart, mean, ahead, self.settled_mm)

    def peak(self) -> tuple[Floats, Floats]:
        """The greatest departure to the side on which the middle's is greatest, and its day, (k, n); to either side
        where the middle stays flat."""
        middle = self.cup_mm[:, 0]
        at = np.abs(middle).argmax(axis=0)
        most = np.take_along_axis(middle, at[None], 0)[0]
        to_it = np.where(most < 0, -1.0, 1.0) * self.cup_mm
        at = np.where(np.abs(most) < NOTHING_MM, np.abs(self.cup_mm), to_it).argmax(axis=0)
        return np.take_along_axis(self.cup_mm, at[None], 0)[0], self.day[at]

    def first_beyond(self, limit_mm: float) -> Floats:
        """When the departure first passes ``limit_mm``, days, (k, n); inf where it does not."""
        return _first_above(self.day, np.abs(self.cup_mm), limit_mm)

    def rest_days(self) -> Floats:
        """From when on shell and core are within 1 % to the end, (k, n); inf where they never are."""
        back = _first_above(-self.day[::-1], self.apart_pct[::-1], EVEN_WITHIN_PCT)
        rest = np.where(np.isinf(back), 0.0, -back)
        return np.where(self.apart_pct[-1] > EVEN_WITHIN_PCT, np.inf, rest)


def doubted(stock: Stock, belief: Belief, air: ExpectedAir, zone: int = 0) -> Doubted:
    """The one lot of ``stock`` and ``belief``, lying in ``zone`` of ``air``, with all that is in doubt of it."""
    belief = caught_up(stock, belief)
    members = (
        belief.moisture.profile_pct, belief.curve_pct[0], belief.ln_rate[0], belief.ln_film[0],
        np.nan_to_num(belief.shape_bend_pct[0]), np.nan_to_num(belief.shape_pct[0]),
    )  # fmt: skip
    profile, curve, rate, film, bend, mean = _both_ends(members, 2 if air.in_doubt else 0)
    zones = np.full(len(rate), zone, np.intp)
    if air.in_doubt:
        zones[-2:] += air.middle.zones * np.arange(1, 3)
    whole = _boards(stock, stock.thickness_m, stock.top_film, stock.bottom_film, rate, film)
    profile = np.clip(profile, *MOISTURE_RANGE_PCT)
    shape = (bend / whole.thickness_m, float(np.nan_to_num(belief.shape_per_m[0])))
    then = mean if np.isfinite(belief.shape_per_m[0]) else np.full(mean.shape, np.nan)
    c = float(belief.moisture.temperature_c[0])
    return Doubted(whole, profile, curve, rate, film, c, zones, air, stock, shape, then)


def going(
    lot: Doubted, cuts: Sequence[Cut], *, coefficient: float, width_m: float, days: float | None = None,
    marks: Sequence[float] = (), rings: Rings | None = None,
) -> Going:  # fmt: skip
    """What n ``cuts`` out of the lot do for ``days``, else as far as its air is looked at; also at ``marks``, days. A
    cut that takes nothing is the board as it is, laid as the cut's films say.

    ``coefficient`` is the change of width per 1 % MC, a fraction; ``rings`` what they cup by on top.
    Raises ValueError where a cut does not lie in the board or leaves less than 0.3 mm, out of range, and beyond the air
    that is looked at.
    """
    return going_of_each([Pieces(lot, cuts, coefficient, width_m, rings)], days=days, marks=marks)[0]


@dataclass(frozen=True, slots=True)
class Pieces:
    """What :func:`going` takes of one lot."""

    lot: Doubted
    cuts: Sequence[Cut]
    coefficient: float
    width_m: float
    rings: Rings | None = None

    def __post_init__(self) -> None:
        """Raises ValueError out of range."""
        within("width_m", self.width_m, *WIDTH_M, WIDTH_UNIT)
        within("coefficient", self.coefficient, *PER_PCT, PER_PCT_UNIT)

    def went(self, day: Floats, found: Floats) -> Going:
        """Of what makes curvature, mean, core and shells at each day, (5, t, k n)."""
        bent, mean, core, top, bottom = found.reshape(5, len(day), len(self.lot.zone), len(self.cuts))
        flat = _flat_per_m(self.lot, self._is_cut(), self.coefficient)
        mm = self.width_m**2 / 8.0 * 1000.0
        apart = np.maximum(np.abs(top - core), np.abs(bottom - core))
        cup, ahead = (self.coefficient * bent - flat) * mm, mean - np.minimum(top, bottom)
        went = Going(day, cup, apart, mean + self.lot.curve_pct[:, None], ahead, -flat * mm)
        return went if self.rings is None else self._ringed(went, self.rings)

    def _ringed(self, one: Going, rings: Rings) -> Going:
        """With what its rings do on top, since each piece was cut flat, its shape was known, or else since now."""
        now, then = one.mean_pct[0], self.lot.then_pct[:, None]
        by_mm = rings.mm_per_pct * (one.mean_pct - np.where(self._is_cut() | np.isnan(then), now, then))
        if rings.known:
            return replace(one, cup_mm=one.cup_mm + by_mm)
        either = np.array([1.0, -1.0])[:, None] * by_mm[:, :1]  # (t, 2, n)
        same = 0.0 * either
        cup, apart, mean, ahead = (
            np.concatenate([a, a[:, :1] + more], axis=1)
            for a, more in ((one.cup_mm, either), (one.apart_pct, same), (one.mean_pct, same), (one.ahead_pct, same))
        )
        settled = np.concatenate([one.settled_mm, np.repeat(one.settled_mm[:1], 2, axis=0)])
        return Going(one.day, cup, apart, mean, ahead, settled)

    def _is_cut(self) -> NDArray[np.bool_]:
        whole = float(self.lot.whole.thickness_m[0])
        return np.array([c.thickness_m < whole - 1e-9 for c in self.cuts])


def going_of_each(every: Sequence[Pieces], *, days: float | None = None, marks: Sequence[float] = ()) -> list[Going]:
    """:func:`going` of several lots that lie in one air, in one batch; each goes as if it were alone. Raises
    ValueError as that does, and where their airs are not the same one."""
    air = every[0].lot.air
    if any(one.lot.air is not air for one in every):
        raise ValueError("air: found several; would be right: lots of one zone, with the same expected air")
    boards, profile = _cut(every)
    airs, _ = air.sides()
    first_s, last_s = (float(airs.edges_s[i]) for i in (0, -1))
    airs = airs.averaged(_edges_s(first_s, (last_s - first_s) / DAY_S if days is None else days, marks))
    warm, zone = _of_each(every, lambda one: (np.full(len(one.zone), one.temperature_c), one.zone))
    start = Moisture.of_profile(boards, profile, warm)
    _, track = follow(boards, start, airs, None, zone, longest_step_s=np.inf)
    found = np.matmul(track.profile_pct.transpose(1, 0, 2), _weights(boards)).transpose(2, 1, 0)
    day, ends = (airs.edges_s - airs.edges_s[0]) / DAY_S, np.cumsum([len(p.lot.zone) * len(p.cuts) for p in every])
    return [one.went(day, part) for one, part in zip(every, np.split(found, ends[:-1], axis=2), strict=True)]


def _both_ends(members: Sequence[Floats], more: int) -> list[Floats]:
    """Of each (MEMBERS, …): its middle, both ends of every cause that moves any of them, and ``more`` middles."""
    away = [END_OF_80 * (a[1:] - a[0]) for a in members]
    moves = np.logical_or.reduce([a.reshape(MEMBERS - 1, -1).any(axis=1) for a in away])
    out = []
    for middle, apart in zip((a[0] for a in members), (a[moves] for a in away), strict=True):
        pairs = np.stack([middle + apart, middle - apart], axis=1).reshape(-1, *np.shape(middle))
        out.append(np.concatenate([middle[None], pairs, np.repeat(middle[None], more, axis=0)]))
    return out


def _of_each(every: Sequence[Pieces], values: Callable[[Doubted], Sequence[NDArray[Any]]]) -> list[NDArray[Any]]:
    """Values of each of the lots' boards (k,), once for each of its cuts."""
    each = [[np.repeat(a, len(one.cuts)) for a in values(one.lot)] for one in every]
    return [np.concatenate(column) for column in zip(*each, strict=True)]


def _cut(every: Sequence[Pieces]) -> tuple[Boards, Floats]:
    """Every cut out of every one of each lot's boards, (k n) of them for each lot, and their profiles."""
    cuts = [np.array([[c.thickness_m, c.top_m, c.top_film, c.bottom_film] for c in one.cuts]).T for one in every]
    for one, (thickness, top, *_) in zip(every, cuts, strict=True):
        _fitting(float(one.lot.whole.thickness_m[0]), thickness, top)
    thick, above, tops, bottoms = np.concatenate(
        [np.tile(values, len(one.lot.zone)) for one, values in zip(every, cuts, strict=True)], axis=1
    )
    gravity, shrinkage, rate, film = _of_each(every, lambda lot: (
        lot.whole.specific_gravity, lot.whole.volumetric_shrinkage, lot.ln_rate, lot.ln_film,
    ))  # fmt: skip
    top_film, bottom_film = (np.minimum(passes * np.exp(film), 1.0) for passes in (tops, bottoms))
    boards = Boards.of(
        thickness_m=thick, specific_gravity=gravity, volumetric_shrinkage=shrinkage, top_film=top_film,
        bottom_film=bottom_film, rate_factor=np.exp(rate),
    )  # fmt: skip
    profiles = [np.repeat(one.lot.profile_pct, len(one.cuts), axis=0) for one in every]
    first = 0
    for one, profile in zip(every, profiles, strict=True):
        mine, whole = slice(first, first + len(profile)), float(one.lot.whole.thickness_m[0])
        taken = np.flatnonzero((thick[mine] != whole) | (above[mine] != 0.0))
        if taken.size:
            rough, cut_to = one.lot.whole.take(taken // len(one.cuts)), boards.take(first + taken)
            profile[taken] = middle_of(rough, profile[taken], cut_to, above[first + taken])
        first += len(profile)
    return boards, np.concatenate(profiles)


def _fitting(whole: float, thickness: Floats, top: Floats) -> None:
    """Raises ValueError where a cut does not lie in the board, or leaves too little."""
    wrong = (thickness < LEAST_LEFT_M - 1e-12) | (top < 0) | (top + thickness > whole + 1e-9)
    if wrong.any():
        over, left = (1000 * float(a[wrong][0]) for a in (top, thickness))
        found = f"{over:g} and {1000 * whole - over - left:g} mm off {1000 * whole:g} mm"
        raise ValueError(f"take: found {found}; would be right: 0 or more each, with 0.3 mm or more left")


def _flat_per_m(lot: Doubted, cut: NDArray[np.bool_], coefficient: float) -> Floats:
    """The curvature by its profile at which each piece is flat, (k, n)."""
    bend, per_m = lot.shape
    before = curvature_per_m(lot.whole, lot.profile_pct, coefficient)
    return np.where(cut, before[:, None], (coefficient * bend - per_m)[:, None])


def _boards(  # noqa: PLR0917 - a board's own values
    stock: Stock, thickness_m: Floats, top_film: Floats, bottom_film: Floats, ln_rate: Floats, ln_film: Floats
) -> Boards:
    top, bottom = (np.minimum(film * np.exp(ln_film), 1.0) for film in (top_film, bottom_film))
    return Boards.of(
        thickness_m=np.broadcast_to(thickness_m, ln_rate.shape), specific_gravity=stock.specific_gravity,
        volumetric_shrinkage=stock.volumetric_shrinkage, top_film=top, bottom_film=bottom, rate_factor=np.exp(ln_rate),
    )  # fmt: skip


def _weights(boards: Boards) -> Floats:
    """What makes curvature for a movement of 1 per 1 % MC, mean, core, top and bottom shell of a profile, (boards,
    cells, 5)."""
    widths, thickness = boards.widths_m, boards.thickness_m[:, None]
    middle = np.cumsum(widths, axis=1) - 0.5 * widths - 0.5 * thickness
    parts = [share_within(widths, a / 6, b / 6) for a, b in ((0, 6), (2, 4), (0, 1), (5, 6))]
    parts = [part / part.sum(axis=1, keepdims=True) for part in parts]
    return np.stack([12.0 / thickness**3 * middle * widths, *parts], axis=-1)


def _edges_s(first_s: float, days: float, marks: Sequence[float]) -> Floats:
    last_s = days * DAY_S
    edges = [0.0]
    while edges[-1] < last_s:
        edges.append(edges[-1] + max(_FIRST_S, _GROWTH * edges[-1]))
    every = np.unique(np.concatenate([edges[:-1], [last_s], DAY_S * np.asarray(marks, np.float64)]))
    return np.asarray(first_s + every[every <= last_s])


def _first_above(day: Floats, values: Floats, limit: float) -> Floats:
    """When each of ``values`` (t, k, n) first passes ``limit``, straight between; inf if it never does."""
    beyond = values > limit
    i = beyond.argmax(axis=0)[None]
    last = np.maximum(i - 1, 0)
    before, after = (np.take_along_axis(values, at, 0)[0] for at in (last, i))
    share = np.divide(limit - before, after - before, out=np.ones(before.shape), where=(i[0] > 0) & (after > before))
    found = day[last[0]] + np.clip(share, 0.0, 1.0) * (day[i[0]] - day[last[0]])
    return np.where(beyond.any(axis=0), found, np.inf)
