"""The species a shop may ask for: the published ones and its own, which are marked as its own."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from server.config import OwnSpecies
from server.wood.species import YOURS, Figures, Species, Table, with_own

WHERE = "your own figures, [[species]] in stillstack.toml"


@cache
def species_table(own: tuple[OwnSpecies, ...]) -> Table:
    """By key. ``own`` are rows of a configuration without mistakes, so that none takes a published key."""
    return with_own(_species(row) for row in own)


def _species(row: OwnSpecies) -> Species:
    figures = Figures(YOURS, f"{WHERE}: {row.source}" if row.source else WHERE)
    groups = "specific_gravity", "shrinkage", "coefficient", "side_hardness", "decay"
    return Species(
        row.key, row.common_name, row.botanical_name, "own", row.specific_gravity,
        row.shrinkage_radial_pct, row.shrinkage_tangential_pct, row.shrinkage_volumetric_pct,
        row.cr_fraction_per_pct_mc, row.ct_fraction_per_pct_mc, row.coefficient_from,
        row.side_hardness_n, row.decay_class, "", MappingProxyType(dict.fromkeys(groups, figures)), own=True,
    )  # fmt: skip
