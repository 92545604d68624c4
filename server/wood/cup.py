"""How a board cups: over its thickness where one face is drier, and with its rings where all of it dries.

A free strip across the grain bends so that plane sections stay plane and no moment is left. With the strain each layer
would take by itself, e(z) = a (M(z) - M_ref), z from the top face and h the thickness, that is a curvature of

    k = (12 / h³) ∫ e(z) (z - h/2) dz,

whatever M_ref. A drier top has e below that of the bottom where z - h/2 is negative: k is positive and the top goes
hollow. Over a width w the hollow is k w² / 8 deep. These are upper bounds: wood creeps, a bench passes some vapour, and
what kiln, growth and knots have left in a board cannot be seen from the air.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import Boards
from server.wood.moisture import Moisture
from server.wood.outcome import DAY_S
from server.wood.ranges import WIDTH_M, WIDTH_UNIT, within
from server.wood.settle import Piece, growing_edges, one_board
from server.wood.shell import tension_index
from server.wood.transport import follow


def curvature_per_m(boards: Boards, profile_pct: Floats, coefficient: ArrayLike) -> Floats:
    """Curvature, 1/m, of profiles (…, n, cells) in % MC, positive where the top is hollow.

    ``coefficient`` is the change of width per 1 % MC, a fraction, one or n. Cells are even inside, so the integral is
    exact for them. Source: bending of a free strip by a given strain (Timoshenko, J. Opt. Soc. Am. 11, 1925, for two
    layers; the same sum for many).
    """
    widths = boards.widths_m
    ends = np.cumsum(widths, axis=1)
    middle = ends - 0.5 * widths - 0.5 * boards.thickness_m[:, None]
    moment = (profile_pct * middle * widths).sum(axis=-1)
    return np.asarray(12.0 / boards.thickness_m**3 * np.asarray(coefficient, np.float64) * moment)


def cup_mm(boards: Boards, profile_pct: Floats, coefficient: ArrayLike, width_m: ArrayLike) -> Floats:
    """Depth of the hollow over ``width_m``, mm; positive where the top is hollow. Shapes as :func:`curvature_per_m`."""
    width = within("width_m", width_m, *WIDTH_M, WIDTH_UNIT)
    return curvature_per_m(boards, profile_pct, coefficient) * width**2 / 8.0 * 1000.0


def ring_curvature_per_m(tangential_strain: ArrayLike, radial_strain: ArrayLike, ring_radius_m: ArrayLike) -> Floats:
    """Curvature, 1/m, that an even change gives a flatsawn board near the middle of its width, with its rings' radius.

    Stress-free: u_r = e_R r, u_theta = (e_T - e_R) r theta maps every ring to a ring, and a flat face to a curve of
    2 (e_T - e_R) / r. Positive where the face towards the pith is hollow; drying (e_T < e_R < 0) hollows the bark side.
    Raises ValueError for a radius that is not positive.
    """
    r = np.asarray(ring_radius_m, np.float64)
    if np.any(~(r > 0)):
        raise ValueError(f"ring_radius_m: found {r.min():g}; would be right: above 0 m")
    return np.asarray(2.0 * (np.asarray(tangential_strain) - np.asarray(radial_strain)) / r)


def ring_cup_mm(
    tangential_strain: ArrayLike, radial_strain: ArrayLike, ring_radius_m: ArrayLike, width_m: ArrayLike
) -> Floats:
    """Depth of the hollow over ``width_m`` by that same map, mm, for any width: (w / 2) atan(w / 2r) (e_T - e_R).

    A point of the flat face at x stands at the angle atan(x / r) and is turned by (e_T - e_R) times it. Where w is
    small beside r this is k w² / 8. Positive where the face towards the pith is hollow. Raises as
    :func:`ring_curvature_per_m`.
    """
    half = 0.5 * within("width_m", width_m, *WIDTH_M, WIDTH_UNIT)
    r = np.asarray(ring_radius_m, np.float64)
    return ring_curvature_per_m(tangential_strain, radial_strain, r) * 0.5 * r * half * np.arctan(half / r) * 1000.0


def ring_cup_per_pct_mm(
    ct: float, cr: float, ring_angle_deg: float, ring_radius_m: float, width_m: float
) -> float:  # fmt: skip
    """What :func:`ring_cup_mm` makes of each 1 % MC that the mean gains, mm over ``width_m``, positive where the face
    towards the pith goes hollow; ``ct`` and ``cr`` are the species' changes per 1 % MC, fractions.

    Of rings that stand at an angle to the face its third power of the cosine (:mod:`server.wood.straightedge`): none
    quartersawn. Raises as :func:`ring_cup_mm`, and ValueError for an angle beyond 0 to 90 degrees.
    """
    leaning = float(np.cos(np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees"))) ** 3)
    return leaning * float(ring_cup_mm(ct, cr, ring_radius_m, width_m))


@dataclass(frozen=True, slots=True)
class Rings:
    """What a piece's rings hollow its top by over its width, mm per 1 % MC that its mean gains
    (:func:`ring_cup_per_pct_mm`). Where it is not ``known`` which face looks to the bark they may do as
    much either way: the middle stays, and the ends part."""

    mm_per_pct: float
    known: bool


@dataclass(frozen=True, slots=True)
class ShellStrength:
    """What the shell's tension index asks of a species and cut: modulus across the width, strength, MPa."""

    across_mpa: float
    tension_mpa: float


@dataclass(frozen=True, slots=True)
class CupCourse:
    """The cup over time, mm, its greatest depth and when; the shell's tension index at its greatest and when, None
    where no strength is given; ``series`` one row a day asked for: day, cup, index."""

    peak_mm: float
    peak_day: float
    tension_index: float | None
    tension_peak_day: float | None
    series: tuple[tuple[float, float, float | None], ...]


def cup_course(
    piece: Piece, from_pct: float, temperature_c: float, rh: float, *, coefficient: float, width_m: float,
    days: int = 0, strength: ShellStrength | None = None,
) -> CupCourse:  # fmt: skip
    """How a board that is even at ``from_pct`` cups in air that stays. Raises ValueError as Boards and Moisture do."""
    boards = one_board(piece)
    edges = growing_edges(days)
    start = Moisture.even(boards, from_pct, temperature_c)
    air = AirSeries.constant(edges, temperature_c, 100.0 * rh)
    _, track = follow(boards, start, air, longest_step_s=np.inf)
    cup = cup_mm(boards, track.profile_pct, coefficient, width_m)[:, 0]
    day, peak = edges / DAY_S, int(np.argmax(np.abs(cup)))
    rows = np.searchsorted(day, np.arange(days + 1) - 1e-9)
    if strength is None:
        series = tuple((float(d), float(cup[i]), None) for d, i in enumerate(rows))
        return CupCourse(float(cup[peak]), float(day[peak]), None, None, series)
    index = tension_index(
        boards, track.profile_pct, coefficient=coefficient, across_mpa=strength.across_mpa,
        strength_mpa=strength.tension_mpa,
    )[:, 0]  # fmt: skip
    worst = int(np.argmax(index))
    both = tuple((float(d), float(cup[i]), float(index[i])) for d, i in enumerate(rows))
    return CupCourse(float(cup[peak]), float(day[peak]), float(index[worst]), float(day[worst]), both)
