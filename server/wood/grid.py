"""The cells of a board: fine at both faces, where the air's noise dies out, and coarse in the middle."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats

CELLS = 32
FACE_CELL_M = 5e-5
"""A daily swing reaches about 1 mm deep, half an hour's 0.15 mm."""
MOST_KEPT = 8192
"""The cells of so many thicknesses are kept: lots are gridded again at every act."""
_made: dict[tuple[float, int, float], Floats] = {}


def half_widths_m(thickness_m: ArrayLike, cells: int = CELLS, face_cell_m: float = FACE_CELL_M) -> Floats:
    """Widths of half a board's cells, m, shape (cells / 2, boards), from a face to the middle, growing by a constant
    ratio.

    The first is ``face_cell_m``; in boards so thin that this would be more than an equal share, all are equal. Together
    they are half of ``thickness_m`` to the last bit or two. Raises ValueError for an odd number of cells.
    """
    if cells % 2 or cells < 4:
        raise ValueError(f"cells: found {cells}; would be right: an even number from 4 on, half to each face")
    thicknesses, which = np.unique(np.atleast_1d(np.asarray(thickness_m, np.float64)), return_inverse=True)
    wanted = [(thickness, cells, face_cell_m) for thickness in thicknesses.tolist()]
    found = [_made.get(key) for key in wanted]
    unknown = [i for i, column in enumerate(found) if column is None]
    if unknown:
        if len(_made) > MOST_KEPT:
            _made.clear()
        for i, column in zip(unknown, _graded(thicknesses[unknown], cells // 2, face_cell_m), strict=True):
            found[i] = _made[wanted[i]] = column
    return np.ascontiguousarray(np.array(found)[which].T)


def _graded(thickness_m: Floats, count: int, face_cell_m: float) -> Floats:
    """Of boards of different thickness, (boards, count). Two or more are added up row by row, one alone would be in
    another order: it is taken twice, so that it comes to the same bits."""
    half = 0.5 * np.append(thickness_m, thickness_m[-1])
    first = np.minimum(face_cell_m, half / count)
    powers = np.arange(count)[:, None]
    low, high = np.ones(half.size), np.full(half.size, 8.0)
    for _ in range(54):
        ratio = 0.5 * (low + high)
        too_long = (first * ratio**powers).sum(axis=0) > half
        low, high = np.where(too_long, low, ratio), np.where(too_long, ratio, high)
    widths = first * (0.5 * (low + high)) ** powers
    return np.ascontiguousarray((widths * (half / widths.sum(axis=0))).T[:-1])


def whole(halves: Floats) -> Floats:
    """Widths from the top face to the bottom one, shape (boards, cells), of :func:`half_widths_m`'s."""
    return np.ascontiguousarray(np.concatenate([halves, halves[::-1]]).T)


def share_within(widths_m: Floats, low: float, high: float) -> Floats:
    """The length, m, of each cell that lies between two depths, which are fractions of the thickness; like
    ``widths_m``.

    ``widths_m`` has shape (boards, cells). Of it, with the profile, any mean over a part of a board is made.
    """
    ends = np.cumsum(widths_m, axis=1)
    thickness = ends[:, -1:]
    begins = ends - widths_m
    return np.asarray(np.clip(np.minimum(ends, high * thickness) - np.maximum(begins, low * thickness), 0.0, None))
