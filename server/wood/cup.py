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
from server.wood.settle import DAY_S, Piece, growing_edges, one_board
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
    return curvature_per_m(boards, profile_pct, coefficient) * np.asarray(width_m, np.float64) ** 2 / 8.0 * 1000.0


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


@dataclass(frozen=True, slots=True)
class CupCourse:
    """The cup over time: days and mm, its greatest depth and when; ``series`` one row a day asked for."""

    peak_mm: float
    peak_day: float
    series: tuple[tuple[float, float], ...]


def cup_course(
    piece: Piece, from_pct: float, temperature_c: float, rh: float, *, coefficient: float, width_m: float, days: int = 0
) -> CupCourse:
    """How a board that is even at ``from_pct`` cups in air that stays. Raises ValueError as Boards and Moisture do."""
    boards = one_board(piece)
    edges = growing_edges(days)
    start = Moisture.even(boards, from_pct, temperature_c)
    air = AirSeries.constant(edges, temperature_c, 100.0 * rh)
    _, track = follow(boards, start, air, longest_step_s=np.inf)
    cup = cup_mm(boards, track.profile_pct, coefficient, width_m)[:, 0]
    day, peak = edges / DAY_S, int(np.argmax(np.abs(cup)))
    rows = np.searchsorted(day, np.arange(days + 1) - 1e-9)
    return CupCourse(float(cup[peak]), float(day[peak]), tuple((float(d), float(cup[i])) for d, i in enumerate(rows)))
