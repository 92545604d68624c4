"""How far wood moves across the grain when its moisture changes.

Between 6 and 14 % a dimension D changes by D·C·(M2 - M1), C from the handbook's table (Wood Handbook FPL-GTR-190 ch.
13, eq. 13-2). Outside, its shrinkage formula holds: D (M2 - M1) / (30·100/S - 30 + M1), both at most 30 % (eq. 13-3).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.ranges import within
from server.wood.species import FIBRE_SATURATION_PCT, Species, coefficients, per_pct

COEFFICIENT_RANGE_PCT = (6.0, 14.0)
WIDTH_RANGE_MM = (1.0, 3000.0)
Cut = Literal["flat", "rift", "quarter"]
RING_ANGLE_DEG = {"flat": 0.0, "rift": 45.0, "quarter": 90.0}
"""Of the growth rings to the face."""
_SAME = 0.03
"""So near a coefficient and a shrinkage are of the same data."""


@dataclass(frozen=True, slots=True)
class Across:
    """A dimension across the grain: its coefficient, fraction per 1 % MC, and its green-to-oven-dry shrinkage, %."""

    coefficient: float
    shrinkage_pct: float
    how: str
    source: str


def across_width(species: Species, ring_angle_deg: float) -> Across:
    """The width of a board whose rings stand at ``ring_angle_deg`` (0 flatsawn .. 90 quartersawn) to its face:
    C = C_T cos² + C_R sin². Raises ValueError outside 0..90, NotPublished."""
    share = float(np.cos(np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees"))) ** 2)
    c = coefficients(species)
    coefficient = c.ct * share + c.cr * (1.0 - share)
    return Across(coefficient, _shrinkage_pct(species, share, coefficient), c.how, c.source)


def across_thickness(species: Species, ring_angle_deg: float) -> Across:
    """Its thickness: C = C_R cos² + C_T sin²."""
    return across_width(species, 90.0 - ring_angle_deg)


def _shrinkage_pct(species: Species, share: float, coefficient: float) -> float:
    """Published, unless the species' own coefficient says otherwise (cedars and imports: their coefficients rest on
    another fibre saturation or other data, and they are the ones to trust); else what makes the coefficient at 10 %."""
    radial, tangential = species.shrinkage_radial_pct, species.shrinkage_tangential_pct
    if radial is not None and tangential is not None:
        published = tangential * share + radial * (1.0 - share)
        if species.ct is None or abs(per_pct(published) / coefficient - 1.0) < _SAME:
            return published
    return 100.0 * FIBRE_SATURATION_PCT / (1.0 / coefficient + FIBRE_SATURATION_PCT - 10.0)


def change(across: Across, dimension: ArrayLike, from_pct: ArrayLike, to_pct: ArrayLike) -> Floats:
    """Signed change of ``dimension`` (any unit), which is measured at ``from_pct``. Shapes broadcast.

    The coefficient where both moistures lie in 6..14 %, else the shrinkage formula for the whole span; above 30 % wood
    does not move. Where they meet the two differ by a twentieth; by up to a quarter for a species that has its own
    shrinkage and its group's coefficient.
    Raises ValueError outside 0..200 %.
    """
    a, b = (np.minimum(within("moisture", m, 0, 200, "% MC"), FIBRE_SATURATION_PCT) for m in (from_pct, to_pct))
    inside = used(a, b)
    by_shrinkage = (b - a) / (100.0 * FIBRE_SATURATION_PCT / across.shrinkage_pct - FIBRE_SATURATION_PCT + a)
    return np.asarray(np.asarray(dimension, np.float64) * np.where(inside, across.coefficient * (b - a), by_shrinkage))


def used(from_pct: ArrayLike, to_pct: ArrayLike) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """True where the coefficient is used, False where the shrinkage formula is."""
    low, high = COEFFICIENT_RANGE_PCT
    both = [np.asarray(m, np.float64) for m in (from_pct, to_pct)]
    return np.asarray((np.minimum(*both) >= low) & (np.maximum(*both) <= high))


def width_history(across: Across, width: float, at_pct: float, history_pct: ArrayLike) -> Floats:
    """Widths through a moisture history, of a board that measures ``width`` at ``at_pct``."""
    return width + change(across, width, at_pct, history_pct)


def diamond_rad(species: Species, ring_angle_deg: float, from_pct: float, to_pct: float) -> float:
    """By how much a rift square leaves the right angle, radians: 2 (e_T - e_R) sin cos, e from the same change."""
    angle = float(np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees")))
    tangential, radial = (float(change(across_width(species, a), 1.0, from_pct, to_pct)) for a in (0.0, 90.0))
    return 2.0 * (tangential - radial) * float(np.sin(angle) * np.cos(angle))


def slot_mm(
    across: Across, width_mm: float, now_pct: float, *, low_pct: float, high_pct: float, screw_mm: float
) -> float:
    """A slot's length: travel both ways from today and the screw. All the width moves past the slot."""
    dry, damp = (float(change(across, width_mm, now_pct, m)) for m in (low_pct, high_pct))
    return max(damp, 0.0) + max(-dry, 0.0) + screw_mm
