"""How far wood moves across the grain when its moisture changes.

Between 6 and 14 % a dimension D changes by D·C·(M2 - M1), C from the handbook's table (Wood Handbook FPL-GTR-190 ch.
13, eq. 13-2). Further out its shrinkage formula holds: D (M2 - M1) / (30·100/S - 30 + M1), both at most 30 % (13-3).
Taken by turns the two contradict each other: where C and S are of different data (a group's coefficient, the species'
own shrinkage) wood would move less to 14.5 % than to 14 %. So one strain stands for both, the integral of a slope:

    g(M) = ∫ c dM from 10 % on,   c = C between 6 and 14 %, K below and above,   change = D (g(M2) - g(M1)) / N(M1).

K is what C leaves of the shrinkage from green to oven-dry, which was measured: (g(30) - g(0)) / (1 + g(30)) = S / 100.
N is what D is measured against. Eq. 13-2 takes C of the dimension wherever it is measured in its range, so N = 1 there.
Eq. 13-3 is a straight line in M, whose dimension stands at 1 + g beside that at 10 %, where C is made from S; so
N = 1 + g from as far beyond the range as 10 % lies within it (below 2, above 18 %), straight between.

Hence: eq. 13-2 to the letter inside its range; S from 30 % to 0; elsewhere eq. 13-3 as nearly as C and S are printed;
continuous and strictly monotone in both moistures. All widths of a history are reckoned from the one that was measured,
so they depend on no path. Ways of several steps, each measured anew, close exactly from 18 % up and from 2 % down, and
inside to the square of a change, since eq. 13-2 itself does not close there.
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
MOVEMENT_CV = 0.15
"""Scatter of shrinkage within a species: Wood Handbook ch. 4 gives a coefficient of variation of about 15 % (recalled).
"""
WIDTH_RANGE_MM = (1.0, 3000.0)
Cut = Literal["flat", "rift", "quarter"]
Method = Literal["coefficient", "shrinkage", "both"]
RING_ANGLE_DEG = {"flat": 0.0, "rift": 45.0, "quarter": 90.0}
"""Of the growth rings to the face."""
_SAME = 0.03
"""So near a coefficient and a shrinkage are of the same data."""
_LEAST = 0.6
"""A shrinkage that makes less than this of a group's coefficient contradicts it: beyond 6 to 14 % little or nothing
would be left to move by. Of the published species none makes less than 0.8."""
_MIDDLE_PCT = 10.0
_STRAIN_AT_PCT = np.array([0.0, *COEFFICIENT_RANGE_PCT, FIBRE_SATURATION_PCT])
_BESIDE_AT_PCT = np.array([0.0, 2.0, *COEFFICIENT_RANGE_PCT, 18.0, FIBRE_SATURATION_PCT])


@dataclass(frozen=True, slots=True)
class Across:
    """A dimension across the grain: its coefficient, fraction per 1 % MC, and its green-to-oven-dry shrinkage, %."""

    coefficient: float
    shrinkage_pct: float
    how: str
    source: str
    published: bool = True
    """False where no coefficient is known: the shrinkage formula has to do, whose slope at 10 % ``coefficient`` is."""


def across_width(species: Species, ring_angle_deg: float) -> Across:
    """The width of a board whose rings stand at ``ring_angle_deg`` (0 flatsawn .. 90 quartersawn) to its face:
    C = C_T cos² + C_R sin². Raises ValueError outside 0..90, NotPublished."""
    share = float(np.cos(np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees"))) ** 2)
    c = coefficients(species)
    coefficient = c.ct * share + c.cr * (1.0 - share)
    return Across(coefficient, _shrinkage_pct(species, share, coefficient), c.how, c.source, c.published)


def across_thickness(species: Species, ring_angle_deg: float) -> Across:
    """Its thickness: C = C_R cos² + C_T sin²."""
    return across_width(species, 90.0 - ring_angle_deg)


def _shrinkage_pct(species: Species, share: float, coefficient: float) -> float:
    """Published, unless the species' own coefficient says otherwise (cedars and imports: their coefficients rest on
    another fibre saturation or other data, and they are the ones to trust) or it contradicts its group's; else what
    makes the coefficient at 10 %."""
    radial, tangential = species.shrinkage_radial_pct, species.shrinkage_tangential_pct
    if radial is not None and tangential is not None:
        published = tangential * share + radial * (1.0 - share)
        made = per_pct(published) / coefficient
        if abs(made - 1.0) < _SAME or (species.ct is None and made > _LEAST):
            return published
    return 100.0 * FIBRE_SATURATION_PCT / (1.0 / coefficient + FIBRE_SATURATION_PCT - 10.0)


def change(across: Across, dimension: ArrayLike, from_pct: ArrayLike, to_pct: ArrayLike) -> Floats:
    """Signed change of ``dimension`` (any unit), which is measured at ``from_pct``. Shapes broadcast.

    Continuous and strictly monotone in both moistures up to 30 %, above which wood does not move; see the head of this
    file. Where no coefficient is known eq. 13-3 has to do all the way. Raises ValueError outside 0..200 %.
    """
    size = within("dimension", dimension, 0, 1e6, "in any unit of length")
    a, b = (np.minimum(within("moisture", m, 0, 200, "% MC"), FIBRE_SATURATION_PCT) for m in (from_pct, to_pct))
    if not across.published:
        from_green = 100.0 * FIBRE_SATURATION_PCT / across.shrinkage_pct - FIBRE_SATURATION_PCT
        return np.asarray(size * (b - a) / (from_green + a))
    strain_at = _strain_at(across)
    beside_at = 1.0 + np.interp(_BESIDE_AT_PCT, _STRAIN_AT_PCT, strain_at)
    beside_at[2:4] = 1.0
    strain = np.interp(b, _STRAIN_AT_PCT, strain_at) - np.interp(a, _STRAIN_AT_PCT, strain_at)
    return np.asarray(size * strain / np.interp(a, _BESIDE_AT_PCT, beside_at))


def _strain_at(across: Across) -> Floats:
    """g of the head of this file at 0, 6, 14 and 30 %, straight between."""
    least, most = COEFFICIENT_RANGE_PCT
    above = FIBRE_SATURATION_PCT - most
    dry, damp = (across.coefficient * (m - _MIDDLE_PCT) for m in (least, most))
    total = across.shrinkage_pct / 100.0
    k = (total * (1.0 + damp) - (damp - dry)) / (least + above * (1.0 - total))
    return np.array([dry - least * k, dry, damp, damp + above * k])


def method(from_pct: float, to_pct: float) -> Method:
    """By what a change between two moistures comes: "coefficient" where both lie in 6..14 %, "shrinkage" where the way
    leads through none of that range, else "both"."""
    low, high = sorted((from_pct, to_pct))
    least, most = COEFFICIENT_RANGE_PCT
    if least <= low and high <= most:
        return "coefficient"
    return "shrinkage" if high <= least or low >= most else "both"


def width_history(across: Across, width: ArrayLike, at_pct: ArrayLike, history_pct: ArrayLike) -> Floats:
    """Widths (any unit) through a history of mean moisture, % MC, of boards that measure ``width`` at ``at_pct``.

    Shapes broadcast: one board and times (t,), or n boards (n,) and a history (t, n). Each width comes from the one
    that was measured, so no error adds up and equal moistures give equal widths. Raises ValueError outside 0..200 %.
    """
    measured = np.asarray(width, np.float64)
    return np.asarray(measured + change(across, measured, at_pct, history_pct))


def diamond_rad(species: Species, ring_angle_deg: float, from_pct: float, to_pct: float) -> float:
    """By how much a rift square leaves the right angle, radians: 2 (e_T - e_R) sin cos, e from the same change."""
    angle = float(np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees")))
    tangential, radial = (float(change(across_width(species, a), 1.0, from_pct, to_pct)) for a in (0.0, 90.0))
    return 2.0 * (tangential - radial) * float(np.sin(angle) * np.cos(angle))


def slot_mm(
    across: Across, width_mm: float, now_pct: float, *, low_pct: float, high_pct: float, screw_mm: float
) -> float:
    """A slot's length: travel both ways from today and the screw. All the width moves past the slot.

    Raises ValueError for a width outside 1..3,000 mm."""
    within("width_mm", width_mm, *WIDTH_RANGE_MM, "mm")
    dry, damp = (float(change(across, width_mm, now_pct, m)) for m in (low_pct, high_pct))
    return max(damp, 0.0) + max(-dry, 0.0) + screw_mm
