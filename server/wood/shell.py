"""What strains the shell of a board that dries ahead of its core: an index that ranks dangers, and promises nothing.

A layer that would shrink by a (M - M_ref) and is held to the width of the whole board is stretched by a (mean - M). As
wood that gives way only elastically it then bears that times E across the grain, and

    index = a (mean - shell) E_perp / tension strength perpendicular to grain,

with the shell the outer sixth on the drier face. It is above what happens: wood creeps, most of all while its moisture
changes, and a board that may cup relieves its shell by cupping. So 1 is no line: the index sets one way of drying
beside another. Ends, where moisture leaves ten to fifteen times as fast, check first and are not in it.

Modulus and strength are those at 12 %. Drier wood is stiffer and stronger, wetter wood weaker, both ways alike: at 6 %
the index would be about 7 % higher, at 20 % about 4 % lower (Wood Handbook ch. 5, effect of moisture: 20 and 12 %, -23
and -20 %; from memory). The strength is the mean of the radial and the tangential one, of which the radial is
mostly the greater (from memory), while the modulus is that of the cut: so a quartersawn board's index is too high
beside a flatsawn one's, and it compares no cuts.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.boards import Boards

SHELL = 1 / 6
"""Of the thickness, on each face: the vocabulary's shell."""


def drier_shell_pct(boards: Boards, profile_pct: Floats) -> Floats:
    """The mean of the outer sixth of whichever face is drier, % MC, of profiles (…, n, cells)."""
    top, bottom = (boards.mean_between(profile_pct, *ends) for ends in ((0.0, SHELL), (1.0 - SHELL, 1.0)))
    return np.minimum(top, bottom)


def tension_index(
    boards: Boards, profile_pct: Floats, *, coefficient: ArrayLike, across_mpa: ArrayLike, strength_mpa: ArrayLike
) -> Floats:
    """The index of profiles (…, n, cells), positive where the shell is stretched, 0 where the board is even.

    ``coefficient`` is the change of width per 1 % MC, a fraction; ``across_mpa`` the modulus of elasticity across the
    width and ``strength_mpa`` the tension strength perpendicular to grain (:mod:`server.wood.strength`), one or n each.
    Flatsawn black cherry, shell 1 % below the mean: 0.62. Raises ValueError for a strength or modulus that is not
    positive. Source: Hooke's law on a restrained strain; strengths as their table says.
    """
    for name, given in (("across_mpa", across_mpa), ("strength_mpa", strength_mpa)):
        values = np.asarray(given, np.float64)
        if np.any(~(values > 0)):
            raise ValueError(f"{name}: found {values[~(values > 0)].flat[0]:g}; would be right: above 0 MPa")
    ahead = boards.mean_pct(profile_pct) - drier_shell_pct(boards, profile_pct)
    return np.asarray(ahead * index_per_pct(coefficient, across_mpa, strength_mpa))


def index_per_pct(coefficient: ArrayLike, across_mpa: ArrayLike, strength_mpa: ArrayLike) -> Floats:
    """The index of a shell that is 1 % MC below the mean."""
    per_pct = np.asarray(coefficient, np.float64) * np.asarray(across_mpa, np.float64)
    return np.asarray(per_pct / np.asarray(strength_mpa, np.float64))
