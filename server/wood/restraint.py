"""Wood that is held across its grain: how far its moisture would stretch or squeeze it, against published limits.

The strain is what it would move by if it were free. Elastic and without creep, so it ranks danger and says no more:
wood that is held for months gives way, and what gave way in a damp time is missing in the next dry one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from server.wood.movement import Across, change
from server.wood.species import NotPublished, Species
from server.wood.strength import modulus_across_mpa, tension_perpendicular_mpa

YIELDS, BREAKS = 0.004, 0.009
"""Strains in tension across the grain, 35 to 65 % RH: from the first on wood yields, from the second on it fails."""
CRUSHES = 0.005
"""Strain in compression across the grain from which on it keeps a set; 0.5 to 1 % according to species."""
SOURCE = "The Structural Conservation of Panel Paintings (Getty, 1998): yield 0.4 %, failure 0.9 % and more, \
compression set 0.5 to 1 % (read; issuhub.com/view/index/5505?pageIndex=545 and 38)"
Rank = Literal["within", "yields", "fails"]


@dataclass(frozen=True, slots=True)
class Held:
    """Fractions of the width, 0 or more: ``stretched`` in the driest time, ``squeezed`` in the dampest. ``rank`` sets
    the stretch against :data:`YIELDS` and :data:`BREAKS`; ``tension_index`` is the elastic stress over the strength of
    clear wood, None where none is known."""

    stretched: float
    squeezed: float
    rank: Rank
    keeps_set: bool
    tension_index: float | None
    strength_source: str


def held(
    species: Species, across: Across, ring_angle_deg: float, made_pct: float, *, low_pct: float, high_pct: float
) -> Held:
    """A width glued or nailed fast at ``made_pct`` whose mean goes from ``low_pct`` to ``high_pct``, % MC. Raises
    ValueError outside 0..200 %."""
    stretched = max(0.0, -float(change(across, 1.0, made_pct, low_pct)))
    squeezed = max(0.0, float(change(across, 1.0, made_pct, high_pct)))
    rank: Rank = "within" if stretched < YIELDS else "yields" if stretched < BREAKS else "fails"
    try:
        modulus, strength = modulus_across_mpa(species, ring_angle_deg), tension_perpendicular_mpa(species)
    except NotPublished:
        return Held(stretched, squeezed, rank, squeezed >= CRUSHES, None, "")
    index = modulus.value * stretched / strength.value
    source = f"Tension strength: {strength.source}. Modulus across: {modulus.source}."
    return Held(stretched, squeezed, rank, squeezed >= CRUSHES, index, source)
