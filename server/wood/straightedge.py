"""Cup measured with a straightedge: what the hollow of a face tells of the moisture behind it.

A lot's shape is known from when its faces were last cut flat, or from the last time a straightedge lay on it; cup
counts from there, so what creep and the species' coefficient do to a reading is not believed again with the next one.
With b the bend of a profile, the slope of the straight gradient that bends the board as much,

    b = (12 / h²) ∫ M(z) (z - h/2) dz   (% MC from face to face, positive where the top is the drier),

C the coefficient of the width, m the mean and c the curvature of the rings, the board's curvature is

    k = k0 + C (b - b0) / h + 2 d c (m - m0),     its hollow over a width w is k w² / 8,

b0, m0 and k0 being those of that moment (:mod:`server.wood.cup`, :mod:`server.wood.milling`: faces are cut flat while
the board stands as its profile before the cut bends it, so b0 is that profile's; m0 is the mean of what is left). The
last term is what its rings do where all of it dries. A line of a board whose rings stand at an angle v to its face,
under the exact map of :func:`server.wood.cup.ring_curvature_per_m`, moves across itself by e_R p - (e_T - e_R) x atan(x
/ p), p its distance from the pith and x along it from the foot of p; twice differentiated at x = p tan v, that is 2
(e_T - e_R) cos³ v / r. So d = (C_T - C_R) cos³ v: all of it flatsawn, a third of it rift, none quartersawn.

Cups are upper bounds: wood creeps, and what growth and kiln left in a board no moisture shows. So a hollow is believed
as far as :meth:`Straightedge.sigma` says, and one that stands beyond all that came of something else than moisture: the
board's shape is then taken anew from it, and it teaches nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from server.wood.air import Floats
from server.wood.belief import MEMBERS, Belief, boards_of, sigma_of
from server.wood.boards import Boards
from server.wood.cup import curvature_per_m
from server.wood.ranges import PER_PCT, PER_PCT_UNIT, WIDTH_M, WIDTH_UNIT, within
from server.wood.stock import Stock
from server.wood.witness import GATE, Found, Reason

FLATNESS_MM = 0.1
"""One standard deviation of how flat a face comes off a planer and of a straightedge laid on it by hand. Common
practice, no source."""
CUP_CV = 0.3
"""Of what moisture bends: a board's own shrinkage stands off its species' by about 15 % (Wood Handbook ch. 4,
recalled), and creep takes a quarter of a cup or so away (common practice, no source)."""
RINGS_PER_M = 1.0 / 0.15
"""Where nobody looked at the end grain: rings of 150 mm, bark up or down (common practice, no source)."""
RINGS_LIMIT_PER_M = 1.0 / 0.02


@dataclass(frozen=True, slots=True)
class Straightedge:
    """A hollow of ``hollow_mm``, positive on the top, over ``width_m``, read in steps of ``resolution_mm``.

    ``per_pct`` is the change of width per 1 % MC, a fraction, ``rings_per_pct`` the d of the module's head, and
    ``rings_per_m`` one over the radius of the rings, positive where the top looks towards the pith; None where nobody
    looked. What several pieces of a lot show is one reading, their mean. Raises ValueError out of range.
    """

    hollow_mm: float
    width_m: float
    per_pct: float
    rings_per_pct: float = 0.0
    rings_per_m: float | None = None
    resolution_mm: float = 0.1

    def __post_init__(self) -> None:
        within("hollow_mm", self.hollow_mm, -100, 100, "mm")
        within("width_m", self.width_m, *WIDTH_M, WIDTH_UNIT)
        within("per_pct", self.per_pct, *PER_PCT, PER_PCT_UNIT)
        within("rings_per_pct", self.rings_per_pct, -PER_PCT[1], PER_PCT[1], PER_PCT_UNIT)
        within("resolution_mm", self.resolution_mm, 0, 10, "mm", open_below=True)
        if self.rings_per_m is not None:
            within("rings_per_m", self.rings_per_m, -RINGS_LIMIT_PER_M, RINGS_LIMIT_PER_M, "1/m (a radius of 20 mm up)")

    @property
    def value(self) -> float:
        return self.hollow_mm

    def sigma(self, boards: Boards, one: Belief) -> float:
        """Two roundings, each a rectangle of one step, the faces' flatness, a share of what moisture bends, and the
        rings where nobody looked; the last two by the mean square of what is held, spread and all."""
        strain, dried = self._since(boards, one)
        rings = 2.0 * self.rings_per_pct * RINGS_PER_M if self.rings_per_m is None else 0.0
        bent = (CUP_CV**2 * _mean_square(strain) + rings**2 * _mean_square(dried)) * self._mm**2
        return float(np.sqrt(self.resolution_mm**2 / 6.0 + FLATNESS_MM**2 + np.nan_to_num(bent)))

    def expected(self, boards: Boards, one: Belief) -> Floats:
        strain, dried = self._since(boards, one)
        rings = 2.0 * self.rings_per_pct * dried * (self.rings_per_m or 0.0)
        return np.asarray((one.shape_per_m[0] + strain + rings) * self._mm)

    def apart(self, found: Found) -> tuple[Belief, Reason] | None:
        """The first straightedge on a lot of no known shape says from where later ones count, and so does one that no
        moisture explains."""
        first = bool(np.isnan(found.one.shape_per_m[0]))
        if not first and abs(found.off) <= GATE * found.sigma:
            return None
        return self.from_here(found.stock, found.one), "first-straightedge" if first else "shape-anew"

    def from_here(self, stock: Stock, one: Belief) -> Belief:
        """The one lot, whose shape is what this says while it holds what it holds."""
        boards = boards_of(stock, one)
        return shaped(one, bend_pct(boards, one), means_pct(boards, one), self.hollow_mm / self._mm)

    @property
    def _mm(self) -> float:
        """Of hollow for a curvature of 1/m."""
        return self.width_m**2 / 8.0 * 1000.0

    def _since(self, boards: Boards, one: Belief) -> tuple[Floats, Floats]:
        """Curvature by each member's bend, and the change of its mean, since the shape was known."""
        bent = bend_pct(boards, one) - one.shape_bend_pct[0]
        return self.per_pct * bent / boards.thickness_m, means_pct(boards, one) - one.shape_pct[0]


def cup_now_mm(stock: Stock, one: Belief, per_pct: float, width_m: float) -> Floats:
    """How hollow each member of the one lot is over ``width_m``, mm, positive on the top: (MEMBERS,); ``per_pct`` is
    the change of width per 1 % MC, a fraction. What its rings add is not in it.

    Counted from its known shape; where none is known, a board that is even from face to face counts as flat. An upper
    bound, as all cups here. Raises ValueError for a width outside 1 to 3,000 mm.
    """
    boards = boards_of(stock, one)
    width = float(within("width_m", width_m, *WIDTH_M, WIDTH_UNIT))
    bent = (bend_pct(boards, one) - np.nan_to_num(one.shape_bend_pct[0])) / boards.thickness_m
    return np.asarray((per_pct * bent + float(np.nan_to_num(one.shape_per_m[0]))) * width**2 / 8.0 * 1000.0)


def _mean_square(members: Floats) -> float:
    return float(members[0] ** 2 + sigma_of(members) ** 2)


def bend_pct(boards: Boards, one: Belief) -> Floats:
    """The bend of each member of the one lot, (MEMBERS,)."""
    return np.asarray(curvature_per_m(boards, one.held_pct()[0], 1.0) * boards.thickness_m)


def means_pct(boards: Boards, one: Belief) -> Floats:
    """The mean of each member of the one lot, (MEMBERS,)."""
    return boards.mean_pct(one.held_pct()[0])


def shaped(one: Belief, bend: Floats, mean: Floats, per_m: float) -> Belief:
    """The one lot, whose members have this bend and mean while its curvature is ``per_m``."""
    return replace(one, shape_bend_pct=bend[None], shape_pct=mean[None], shape_per_m=np.array([per_m]))


def unshaped(one: Belief) -> Belief:
    """The one lot, of no known shape."""
    none = np.full((1, MEMBERS), np.nan)
    return replace(one, shape_bend_pct=none, shape_pct=none, shape_per_m=np.full(1, np.nan))


def shape_of_all(every: Sequence[Belief], shares: Floats) -> tuple[Floats, Floats, Floats]:
    """Bend, mean and curvature of the shape of several lots as one, by their share: the cup is linear in all three, so
    their mean is what the pieces show in the mean. Nan where one has none."""
    arrays = ([getattr(b, name) for b in every] for name in ("shape_bend_pct", "shape_pct", "shape_per_m"))
    bend, mean, per_m = (np.asarray(np.tensordot(shares, np.array(a), 1)) for a in arrays)
    return bend, mean, per_m
