"""What milling does to a board that is not even inside: it takes the faces' moisture away with them.

The middle of the profile stays. The faces are cut flat while the board stands as its profile bends it, curvature k0;
the piece that is left would stand at k1, so at once it departs from flat by k1 - k0, as it settles by k(t) - k0, and
once it is even inside by -k0. A saw does the same twice: each half of a resawn board is a piece that is left of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import SEALED, Boards, film_through
from server.wood.cup import curvature_per_m
from server.wood.ensemble import END_OF_80
from server.wood.moisture import Moisture
from server.wood.outcome import DAY_S, EVEN_WITHIN_PCT
from server.wood.ranges import PER_PCT, PER_PCT_UNIT, WIDTH_M, WIDTH_UNIT, within
from server.wood.settle import LONGEST_DAYS, Piece, boards_of, growing_edges
from server.wood.transport import advance, follow

LEAST_LEFT_M = 0.3e-3
T_OF_80 = {1: 3.078, 2: 1.886}
"""Student's t at 0.9, by degrees of freedom (memory; held against SciPy in the tests)."""
STRIPS, STRAIGHT_MM = 3, 0.5
"""So many strips so straight release a lot from its rip allowance. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Cut:
    """What is left of a board: from ``top_m`` below its top, ``thickness_m`` thick; and what its faces pass as it then
    lies, kg/(m² s Pa)."""

    top_m: float
    thickness_m: float
    top_film: float
    bottom_film: float


@dataclass(frozen=True, slots=True)
class Stood:
    """A board after its time in an air that stays: what it is made of, itself, its state, the air."""

    piece: Piece
    boards: Boards
    state: Moisture
    temperature_c: float
    rh: float


@dataclass(frozen=True, slots=True)
class Milled:
    """Departure from flat over a width, mm, positive where the top is hollow: at once, at its greatest and when, and
    once it is even inside. ``rest_days``: from then on shell and core are within 1 % on both faces; None if that takes
    more than ten years."""

    at_once_mm: float
    peak_mm: float
    peak_day: float
    settled_mm: float
    rest_days: float | None
    thickness_m: float


def middle_of(before: Boards, profile_pct: Floats, after: Boards, top_m: Floats) -> Floats:
    """The profile (n, cells) of ``after``, which begins ``top_m`` (n,) below the top of ``before``.

    Each new cell has the mean of what the old ones held there, so the water in what is left is the same. Raises
    ValueError where it does not fit.
    """
    beyond = top_m + after.thickness_m - before.thickness_m
    if np.any(top_m < 0) or np.any(beyond > 1e-9):
        found = f"{np.max(top_m):g} of {before.thickness_m.min():g} m"
        raise ValueError(f"top_m: found {found}; would be right: what leaves the new board")
    out = np.empty((len(after), after.cells))
    for i, profile in enumerate(profile_pct):
        edges = np.concatenate([[0.0], np.cumsum(before.widths_m[i])])
        held = np.concatenate([[0.0], np.cumsum(profile * before.widths_m[i])])
        wanted = top_m[i] + np.concatenate([[0.0], np.cumsum(after.widths_m[i])])
        means = np.diff(np.interp(wanted, edges, held)) / after.widths_m[i]
        out[i] = np.clip(means, profile.min(), profile.max())  # rounding alone would leave 30 %
    return out


def films_of(both_faces: bool, cover_m2_s_pa_kg: float = 0.0) -> tuple[float, float]:
    """What top and bottom face pass: both open or the top alone, bare or covered."""
    film = float(film_through(cover_m2_s_pa_kg))
    return film, film if both_faces else SEALED


def stand(
    piece: Piece, from_pct: float, temperature_c: float, rh: float, days: float, *, both_faces: bool = True
) -> Stood:
    """A board, even at ``from_pct``, after ``days`` bare in this air, on stickers unless its top alone was open; how
    ``piece`` lies is for later.

    Raises ValueError as Boards and Moisture do.
    """
    within("days", days, 0, LONGEST_DAYS, "days (ten years)")
    rough = boards_of(piece, piece.thickness_m, *films_of(both_faces))
    state = Moisture.even(rough, from_pct, temperature_c)
    if days > 0:
        edges = np.unique(np.append(growing_edges(0), days * DAY_S))
        air = AirSeries.constant(edges[edges <= days * DAY_S], temperature_c, 100.0 * rh)
        state = advance(rough, state, air, longest_step_s=np.inf)
    return Stood(piece, rough, state, temperature_c, rh)


def after(stood: Stood, cuts: Sequence[Cut], *, coefficient: float, width_m: float) -> tuple[Milled, ...]:
    """What becomes of each of ``cuts`` out of that board in the same air, all in one batch.

    ``coefficient`` is the change of width per 1 % MC, a fraction. Raises ValueError where a cut does not lie in the
    board or leaves less than 0.3 mm.
    """
    within("width_m", width_m, *WIDTH_M, WIDTH_UNIT)
    within("coefficient", coefficient, *PER_PCT, PER_PCT_UNIT)
    thickness, top, tops, bottoms = (
        np.array([getattr(cut, name) for cut in cuts]) for name in ("thickness_m", "top_m", "top_film", "bottom_film")
    )
    whole = float(stood.boards.thickness_m[0])
    wrong = (thickness < LEAST_LEFT_M - 1e-12) | (top < 0) | (top + thickness > whole + 1e-9)
    if wrong.any():
        over, left = (1000 * float(a[wrong][0]) for a in (top, thickness))
        found = f"{over:g} and {1000 * whole - over - left:g} mm off {1000 * whole:g} mm"
        raise ValueError(f"take: found {found}; would be right: 0 or more each, with 0.3 mm or more left")
    planed = boards_of(stood.piece, thickness, tops, bottoms)
    rough = stood.boards.take(np.zeros(len(cuts), np.intp))
    profile = middle_of(rough, np.repeat(stood.state.profile_pct, len(cuts), axis=0), planed, top)
    bent = curvature_per_m(rough, np.repeat(stood.state.profile_pct, len(cuts), axis=0), coefficient)
    course = settling(planed, profile, stood.temperature_c, stood.rh)
    return course.milled(bent, coefficient=coefficient, width_m=width_m)


@dataclass(frozen=True, slots=True)
class Course:
    """Boards on their way to rest: ``day`` (k,), ``profile_pct`` (k, n, cells)."""

    boards: Boards
    day: Floats
    profile_pct: Floats

    def milled(self, bent_per_m: Floats, *, coefficient: float, width_m: float) -> tuple[Milled, ...]:
        """Departures from flat of boards that were cut flat while they stood bent by ``bent_per_m`` (n,)."""
        depth = width_m**2 / 8.0 * 1000.0
        cup = (curvature_per_m(self.boards, self.profile_pct, coefficient) - bent_per_m) * depth
        peak = np.abs(cup).argmax(axis=0)
        rest = self.rest()
        return tuple(
            Milled(
                float(cup[0, i]), float(cup[peak[i], i]), float(self.day[peak[i]]), float(-bent_per_m[i] * depth),
                float(self.day[rest[i]]) if rest[i] < self.day.size else None, float(thickness),
            )
            for i, thickness in enumerate(self.boards.thickness_m)
        )  # fmt: skip

    def rest(self) -> NDArray[np.intp]:
        """For each board the row from which on shell and core are within 1 % on both faces: a slope through the board
        counts, too. One past the last where they never are."""
        core = self.boards.core_pct(self.profile_pct)
        shells = (self.boards.mean_between(self.profile_pct, *ends) for ends in ((0.0, 1 / 6), (5 / 6, 1.0)))
        apart = np.maximum(*(np.abs(shell - core) for shell in shells)) > EVEN_WITHIN_PCT
        return np.asarray(np.where(apart.any(axis=0), self.day.size - apart[::-1].argmax(axis=0), 0))


def settling(boards: Boards, profile_pct: Floats, temperature_c: float, rh: float) -> Course:
    """``boards`` from ``profile_pct`` (n, cells) on through ten years of an air that stays."""
    edges = growing_edges(0)
    air = AirSeries.constant(edges, temperature_c, 100.0 * rh)
    start = Moisture.of_profile(boards, profile_pct, temperature_c)
    _, track = follow(boards, start, air, longest_step_s=np.inf)
    return Course(boards, edges / DAY_S, track.profile_pct)


def mill(
    piece: Piece, from_pct: float, temperature_c: float, rh: float, *, stood_days: float, top_m: float, bottom_m: float,
    coefficient: float, width_m: float,
) -> Milled:  # fmt: skip
    """A board, even at ``from_pct``, stands on stickers in this air for ``stood_days``; then ``top_m`` and ``bottom_m``
    come off, and it lies in the same air as ``piece`` says (one face open or both).

    Raises ValueError where nothing would be left, and as Boards and Moisture do.
    """
    stood = stand(piece, from_pct, temperature_c, rh, stood_days)
    films = films_of(piece.both_faces, piece.cover_m2_s_pa_kg)
    left = piece.thickness_m - top_m - bottom_m
    return after(stood, [Cut(top_m, left, *films)], coefficient=coefficient, width_m=width_m)[0]


def rip_crook_mm(test_crook_mm: float, test_length_m: float, length_m: float) -> float:
    """What a rip will crook by over ``length_m``, from a test strip of the same width without a knot: an even curvature
    grows with the square of the length. Raises ValueError for lengths up to 0 or above 100 m, a crook
    outside 0..1,000 mm."""
    for name, value in (("test_length_m", test_length_m), ("length_m", length_m)):
        within(name, value, 0, 100, "m", open_below=True)
    within("test_crook_mm", test_crook_mm, 0, 1000, "mm")
    return test_crook_mm * (length_m / test_length_m) ** 2


def rip_crook_ends_mm(crooks_mm: Sequence[float], read_mm: Sequence[float]) -> tuple[float, float]:
    """Between what the next strip of a lot will crook, central 80 %, going by the last three ``crooks_mm`` over its
    length; ``read_mm`` is one standard deviation of how well each was read.

    Of two or three by their own scatter, as strips of one normal spread: the mean and Student's t times s sqrt(1 + 1/n)
    (derived).
    One strip says nothing of that: half of it to twice (common practice, no source). Never below 0. Raises ValueError
    for none, for another number of ``read_mm``, and outside 0..1,000 mm.
    """
    last = np.asarray(within("crooks_mm", crooks_mm, 0, 1000, "mm"))[-STRIPS:]
    read = np.asarray(within("read_mm", read_mm, 0, 1000, "mm"))[-STRIPS:]
    if not last.size or len(crooks_mm) != len(read_mm):
        found = f"{len(crooks_mm)} strips and {len(read_mm)} readings"
        raise ValueError(f"crooks_mm: found {found}; would be right: one strip or more, and a reading of each")
    by_reading = float(np.sqrt(np.mean(read**2)))
    if last.size == 1:
        half, middle = END_OF_80 * by_reading, float(last[0])
        return max(0.0, middle - float(np.hypot(0.5 * middle, half))), middle + float(np.hypot(middle, half))
    middle, n = float(last.mean()), last.size
    half = T_OF_80[n - 1] * float(np.hypot(last.std(ddof=1), by_reading)) * float(np.sqrt(1.0 + 1.0 / n))
    return max(0.0, middle - half), middle + half


def rip_oversize_mm(crook_mm: float, pass_mm: float = 1.0) -> float:
    """What to leave on a strip's width: a pass and twice the crook on each edge, since the second cut frees more
    (common practice, no source). Raises ValueError below 0 and above 1,000 mm."""
    for name, value in (("crook_mm", crook_mm), ("pass_mm", pass_mm)):
        within(name, value, 0, 1000, "mm")
    return 2.0 * (2.0 * crook_mm + pass_mm)


def released(crooks_mm: Sequence[float]) -> bool:
    """Whether the last three strips, each over its whole length, came off straight within 0.5 mm: then the lot needs
    no such allowance (common practice, no source). Raises ValueError outside 0..1,000 mm."""
    within("crooks_mm", crooks_mm, 0, 1000, "mm")
    return len(crooks_mm) >= STRIPS and max(crooks_mm[-STRIPS:]) <= STRAIGHT_MM
