"""How a panel of glued layers moves and cups when they change moisture: the moments of its layers, as of one board's.

Plane sections stay plane. With the strain e each layer would take by itself, its modulus E and z from the middle of the
whole thickness downwards, the strain is s + k z where no force and no moment is left:

    [ΣE t    ΣE t z              ] [s]   [ΣE t e  ]
    [ΣE t z  ΣE t (z² + t²/12)   ] [k] = [ΣE t z e]

(the composite beam; the classical laminate theory of one direction, Poisson's effect left out). k is positive where the
top is hollow, as in :mod:`server.wood.cup`. A construction that is the same from both sides has no moment and stays
flat; its mirror image cups the other way. Glue lines are taken to hold at once, to weigh nothing and to bring no water;
wood is taken never to give way: what is really seen is less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from server.wood.ranges import WIDTH_M, WIDTH_UNIT, within

THICKNESS_M = (0.05e-3, 0.3)
MODULUS_MPA = (1.0, 100_000.0)
STRAIN = (-0.2, 0.2)
ALONG_PER_PCT = 0.0015 / 30.0
"""Movement of normal wood along the grain, a fraction per 1 % MC: 0.1 to 0.2 % from green to oven-dry over 30 % (Wood
Handbook ch. 4; recalled). Reaction and juvenile wood move up to ten times as much."""


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer, from the top down: thickness, m; its modulus of elasticity along the measured width, MPa; the strain
    it would take by itself, a fraction, negative where it shrinks."""

    thickness_m: float
    modulus_mpa: float
    free_strain: float

    def __post_init__(self) -> None:
        """Raises ValueError for a layer up to 0.05 mm or above 300 mm, a modulus of no solid, a strain above 20 %."""
        within("thickness_m", self.thickness_m, *THICKNESS_M, "m (0.05 to 300 mm)")
        within("modulus_mpa", self.modulus_mpa, *MODULUS_MPA, "MPa")
        within("free_strain", self.free_strain, *STRAIN, "(a fraction, not per cent)")


@dataclass(frozen=True, slots=True)
class Laminate:
    """What the layers do together: ``strain`` of the middle of the thickness, ``curvature_per_m`` (positive: the top is
    hollow) and each layer's mean stress, MPa, tension positive."""

    thickness_m: float
    strain: float
    curvature_per_m: float
    stress_mpa: tuple[float, ...]

    def cup_mm(self, width_m: float) -> float:
        """Depth of the hollow over ``width_m``, mm; positive where the top is hollow."""
        within("width_m", width_m, *WIDTH_M, WIDTH_UNIT)
        return self.curvature_per_m * width_m**2 / 8.0 * 1000.0


def laminate(layers: Sequence[Layer]) -> Laminate:
    """The layers, top first, glued to each other. Two equal ones of one stiffness, strains apart by d: curvature 3 d /
    (2 h), h both together.

    Raises ValueError for none. Source: Timoshenko, J. Opt. Soc. Am. 11 (1925) p. 233, for two layers; the same sums for
    many (Jones, Mechanics of Composite Materials, ch. 4, recalled).
    """
    if not layers:
        raise ValueError("layers: found none; would be right: one or more")
    t, e, free = (
        np.array([getattr(layer, n) for layer in layers]) for n in ("thickness_m", "modulus_mpa", "free_strain")
    )
    whole = float(t.sum())
    z = np.cumsum(t) - 0.5 * t - 0.5 * whole
    pull, turn = float((e * t).sum()), float((e * t * z).sum())
    stiffness = np.array([[pull, turn], [turn, float((e * t * (z**2 + t**2 / 12.0)).sum())]])
    strain, curvature = np.linalg.solve(stiffness, [(e * t * free).sum(), (e * t * z * free).sum()])
    stress = e * (strain + curvature * z - free)
    return Laminate(whole, float(strain), float(curvature), tuple(float(s) for s in stress))
