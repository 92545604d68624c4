"""One board, or a pile, in an air that stays: how long it takes to come to rest, when it is good to mill, and how sure
that is. What the words mean is said in :mod:`server.wood.outcome`, which answers for many boards in any air.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import LIMITS, SEALED, Boards, film_through
from server.wood.emc import emc_pct
from server.wood.ends import ALONG_GRAIN, AT_SHARE, reach_m
from server.wood.ensemble import Doubts, Spread
from server.wood.expected_air import ExpectedAir
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture
from server.wood.outcome import DAY_S, Course, settle_in
from server.wood.ranges import within

LONGEST_DAYS = 3652.5
"""Ten years; what takes longer has no figure."""
_CELLS, _FACE_CELL_M = 56, 5e-5
"""Twice as fine as lots are stepped on: a third of a per cent of the way is one of the time."""
_GROWTH = 1.02
_FIRST_S = 60.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A board as a person knows it: thickness, m; basic specific gravity; volumetric shrinkage, a fraction; one face
    open or both; a cover's resistance, m² s Pa/kg, and the ends of its spread (none of its own if they are None)."""

    thickness_m: float
    specific_gravity: float
    volumetric_shrinkage: float
    both_faces: bool = True
    cover_m2_s_pa_kg: float = 0.0
    cover_ends_m2_s_pa_kg: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Raises ValueError as :class:`Boards` does: the ends of the spread are held in range, the board is not."""
        for name in ("thickness_m", "specific_gravity", "volumetric_shrinkage"):
            low, high, right = LIMITS[name]
            if not low <= (found := getattr(self, name)) <= high:
                raise ValueError(f"{name}: found {found:g}; would be right: {right}")
        within("cover_m2_s_pa_kg", self.cover_m2_s_pa_kg, 0, np.inf, "m² s Pa/kg")


@dataclass(frozen=True, slots=True)
class Days:
    """A time with its spread, days; None where it does not come within ten years, or there is nothing to wait for."""

    days: float | None
    low: float | None
    high: float | None


NO_DAYS = Days(None, None, None)


@dataclass(frozen=True, slots=True)
class Settling:
    """Of one board in air that stays: ``target_pct`` is the air's EMC. ``series`` has one row a day asked for: day,
    mean, shell, core. ``good_again`` is from when it is good to mill once more. ``ends_m`` and ``edges_m`` are how far
    from unsealed ends and open long edges it runs ahead of this at the most until it has settled
    (:mod:`server.wood.ends`). Of a pile it is the board that settles last; ``outer`` is then one that lies open."""

    target_pct: float
    half: Days
    ninety: Days
    settled: Days
    series: tuple[tuple[float, float, float, float], ...]
    good: Days = NO_DAYS
    good_until: Days = NO_DAYS
    good_again: Days = NO_DAYS
    ends_m: float = 0.0
    edges_m: float = 0.0
    outer: Settling | None = None


def settle(
    piece: Piece, from_pct: float, temperature_c: float, rh: float, *, days: int = 0, start_half_pct: float = 0.0,
    aim_pct: tuple[float, float] | None = None, pile: int = 1,
) -> Settling:  # fmt: skip
    """How ``piece``, even at ``from_pct``, settles in air of ``temperature_c`` and ``rh`` 0..1, and its first ``days``.

    ``start_half_pct`` is half the central 80 % of the start, ``aim_pct`` where its mean belongs to be good to mill.
    ``pile`` boards lie dead-stacked, one on another: nothing passes between them that differs from what passes inside
    one, so they are one board as thick as all of them. Raises ValueError as :class:`Boards` and :class:`Moisture` do.
    """
    within("from_pct", from_pct, *MOISTURE_RANGE_PCT, "% MC (dry lumber)")
    within("temperature_c", temperature_c, -50, 100, "°C")
    within("start_half_pct", start_half_pct, *MOISTURE_RANGE_PCT, "% MC")
    last = pile // 2 if piece.both_faces else pile - 1
    boards = one_board(replace(piece, thickness_m=pile * piece.thickness_m))
    edges = growing_edges(days)
    air = ExpectedAir(AirSeries.constant(edges, temperature_c, 100.0 * rh))
    start = Moisture.even(boards, from_pct, temperature_c)
    least, most = piece.cover_ends_m2_s_pa_kg or (1.0, 1.0)
    cover = piece.cover_m2_s_pa_kg if piece.cover_ends_m2_s_pa_kg and piece.cover_m2_s_pa_kg > 0 else 1.0
    doubts = Doubts(start_half_pct=start_half_pct, cover_factors=(least / cover, most / cover))
    found, target = [], float(emc_pct(temperature_c, rh))
    for which in sorted({last, 0}, reverse=True):
        part = (which / pile, (which + 1) / pile)
        out = settle_in(boards, start, air, doubts=doubts, aim_pct=aim_pct, part=part, step_s=None)
        half, ninety, settled = _days(out.half), _days(out.ninety), _days(out.settled)
        good = (_days(out.good), _days(out.good_until), _days(out.good_again))
        edge = _edges_m(boards, out.course, temperature_c)
        end = edge * ALONG_GRAIN**0.5
        found.append(Settling(target, half, ninety, settled, _series(out.course, days), *good, end, edge))
    return found[0] if len(found) == 1 else replace(found[0], outer=found[1])


def one_board(piece: Piece) -> Boards:
    """The board alone, as finely as its questions ask for."""
    film = float(film_through(piece.cover_m2_s_pa_kg))
    return Boards.of(
        thickness_m=piece.thickness_m, specific_gravity=piece.specific_gravity, top_film=film,
        volumetric_shrinkage=piece.volumetric_shrinkage, bottom_film=film if piece.both_faces else SEALED,
        cells=_CELLS, face_cell_m=_FACE_CELL_M,
    )  # fmt: skip


def boards_of(piece: Piece, thickness_m: ArrayLike, top_film: ArrayLike, bottom_film: ArrayLike) -> Boards:
    """Boards of that wood, as fine as :func:`one_board`, of other thicknesses and lying otherwise."""
    return Boards.of(
        thickness_m=thickness_m, specific_gravity=piece.specific_gravity, top_film=top_film, bottom_film=bottom_film,
        volumetric_shrinkage=piece.volumetric_shrinkage, cells=_CELLS, face_cell_m=_FACE_CELL_M,
    )  # fmt: skip


def growing_edges(days: int) -> Floats:
    """Steps that grow by a fiftieth of the time gone by, and every day that is asked for. Raises ValueError beyond ten
    years."""
    within("days", days, 0, LONGEST_DAYS, "days (ten years)")
    count = int(np.ceil(np.log(LONGEST_DAYS * DAY_S / _FIRST_S) / np.log(_GROWTH)))
    grown = np.minimum(_FIRST_S * _GROWTH ** np.arange(count + 1), LONGEST_DAYS * DAY_S)
    small = _FIRST_S * np.arange(1, 50) / 50
    return np.unique(np.concatenate([[0.0], small, grown, DAY_S * np.arange(days + 1)]))


def _days(found: Spread) -> Days:
    figures = (float(a[0]) for a in (found.middle, found.low, found.high))
    return Days(*(None if np.isnan(a) else a for a in figures))


def _series(course: Course, days: int) -> tuple[tuple[float, float, float, float], ...]:
    rows = np.searchsorted(course.times_s / DAY_S, np.arange(days + 1) - 1e-9)
    columns = (course.mean_pct[:, 0], course.shell_pct[:, 0], course.core_pct[:, 0])
    return tuple((float(d), *(float(c[i]) for c in columns)) for d, i in enumerate(rows))  # type: ignore[misc]


def _edges_m(boards: Boards, course: Course, temperature_c: float) -> float:
    """The farthest reach of an open edge, while shell or core still have half a per cent to go."""
    left = course.core_pct[:, 0] - course.target_pct[:, 0]
    about = (1.0 - AT_SHARE) * course.mean_pct[0, 0] + AT_SHARE * course.target_pct[0, 0]
    d = float(boards.diffusivity.at(about, temperature_c)[0])
    return float(reach_m(course.times_s - course.times_s[0], left, d).max())
