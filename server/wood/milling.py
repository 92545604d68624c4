"""What milling does to a board that is not even inside: it takes the faces' moisture away with them.

The middle of the profile stays. The faces are cut flat while the board stands as its profile bends it, curvature k0;
the piece that is left would stand at k1, so at once it departs from flat by k1 - k0, and as it settles by k(t) - k0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import Boards
from server.wood.cup import curvature_per_m
from server.wood.moisture import Moisture
from server.wood.settle import DAY_S, Piece, growing_edges, one_board
from server.wood.transport import advance, follow


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
        out[i] = np.diff(np.interp(wanted, edges, held)) / after.widths_m[i]
    return out


@dataclass(frozen=True, slots=True)
class Milled:
    """Departure from flat over a width, mm, positive where the top is hollow: at once, at its greatest, and when."""

    at_once_mm: float
    peak_mm: float
    peak_day: float
    thickness_m: float


def mill(
    piece: Piece, from_pct: float, temperature_c: float, rh: float, *, stood_days: float, top_m: float, bottom_m: float,
    coefficient: float, width_m: float,
) -> Milled:  # fmt: skip
    """A board, even at ``from_pct``, stands on stickers in this air for ``stood_days``; then ``top_m`` and ``bottom_m``
    come off, and it lies in the same air as ``piece`` says (one face open or both).

    Raises ValueError where nothing would be left, and as Boards and Moisture do.
    """
    left = piece.thickness_m - top_m - bottom_m
    if left < 0.3e-3 or min(top_m, bottom_m) < 0:
        found = f"{1000 * top_m:g} and {1000 * bottom_m:g} mm off {1000 * piece.thickness_m:g} mm"
        raise ValueError(f"take: found {found}; would be right: 0 or more each, with 0.3 mm or more left")
    rough = one_board(Piece(piece.thickness_m, piece.specific_gravity, piece.volumetric_shrinkage))
    state = Moisture.even(rough, from_pct, temperature_c)
    if stood_days > 0:
        edges = np.unique(np.append(growing_edges(0), stood_days * DAY_S))
        stood = AirSeries.constant(edges[edges <= stood_days * DAY_S], temperature_c, 100.0 * rh)
        state = advance(rough, state, stood, longest_step_s=np.inf)
    planed = one_board(
        Piece(left, piece.specific_gravity, piece.volumetric_shrinkage, piece.both_faces, piece.cover_m2_s_pa_kg)
    )
    profile = middle_of(rough, state.profile_pct, planed, np.array([top_m]))
    bent = float(curvature_per_m(rough, state.profile_pct, coefficient)[0])
    edges = growing_edges(0)
    air = AirSeries.constant(edges, temperature_c, 100.0 * rh)
    start = Moisture.of_profile(planed, profile, temperature_c)
    _, track = follow(planed, start, air, longest_step_s=np.inf)
    cup = (curvature_per_m(planed, track.profile_pct, coefficient)[:, 0] - bent) * width_m**2 / 8.0 * 1000.0
    peak = int(np.argmax(np.abs(cup)))
    return Milled(float(cup[0]), float(cup[peak]), float(edges[peak] / DAY_S), left)


def rip_crook_mm(test_crook_mm: float, test_length_m: float, length_m: float) -> float:
    """What a rip will crook by over ``length_m``, from a test strip of the same width without a knot: an even curvature
    grows with the square of the length. Raises ValueError for lengths that are not positive, a crook below 0."""
    for name, value in (("test_length_m", test_length_m), ("length_m", length_m)):
        if not value > 0:
            raise ValueError(f"{name}: found {value:g}; would be right: above 0 m")
    if not test_crook_mm >= 0:
        raise ValueError(f"test_crook_mm: found {test_crook_mm:g}; would be right: 0 mm or more")
    return test_crook_mm * (length_m / test_length_m) ** 2


def rip_oversize_mm(crook_mm: float, pass_mm: float = 1.0) -> float:
    """What to leave on a strip's width: a pass and twice the crook on each edge, since the second cut frees more
    (common practice, no source)."""
    return 2.0 * (2.0 * crook_mm + pass_mm)
