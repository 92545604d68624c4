"""How strong and how stiff wood is across the grain: what a shell under tension, a restrained panel or a laminate asks.

``strength.csv`` beside this file holds, for clear straight wood at 12 % (two imports at 15 %, and their source says
so), never green, the tension strength perpendicular to grain, the modulus of elasticity along it from bending (Wood
Handbook Tables 5-3 and 5-5, read) and the elastic ratios E_T / E_L and E_R / E_L (Table 5-1, six rows read, the others
from memory), each with provenance and source. Where a species has none of its own, a strength or modulus is what its
specific gravity gives by the handbook's relations, else that of the species that stands in for it (same genus); a ratio
is that of the stand-in, else the mean of its group. ``how`` says which. Where there is nothing to go by it is refused.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, cast

import numpy as np

from server.wood.diffusivity import specific_gravity_at
from server.wood.ranges import within
from server.wood.species import NotPublished, Species, all_species, find

OWN, BY_GRAVITY = "own", "gravity"
SHEAR_IN_BENDING = 1.1
"""E_L over the modulus from bending, which holds some shear: Wood Handbook Table 5-1, footnote, and the footnote of
Table 5-3 on its beams, raise it by 10 % (both read as transcribed)."""
BY_GRAVITY_SOURCE = "Wood Handbook FPL-GTR-190 Table 5-11a, from specific gravity (memory)"
_TENSION = {"hardwood": (10.1, 1.3), "softwood": (6.0, 1.11)}
_MODULUS = {"hardwood": (16_500.0, 0.7), "softwood": (20_500.0, 0.84)}
"""MPa at 12 %: a G^b, with G oven-dry mass over volume at 12 %. Against the table's own rows of woods grown in the
United States the relation's mean is right within 2 %, and nine in ten lie between 0.7 and 1.3 of it. Imported woods are
a tenth stiffer than it says, the heaviest by half; of their strength across the grain nothing is published."""
_CONIFERS = frozenset({
    "baldcypress", "cedar", "douglas", "fir", "hemlock", "larch", "ocote", "parana", "pine", "redwood", "spruce",
    "tamarack",
})  # fmt: skip
_AT_PCT = 12.0


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure, how it was come by ("own", "gravity", or the key of the row it is taken from), and its source."""

    value: float
    how: str
    source: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table; None is what nobody published or could be recalled."""

    tension: Figure | None
    modulus: Figure | None
    et_over_el: Figure | None
    er_over_el: Figure | None
    stands_in: str
    note: str


def tension_perpendicular_mpa(species: Species) -> Figure:
    """Tension strength perpendicular to grain at 12 %, MPa, the mean of clear pieces and of both directions across the
    grain. Black cherry: 3.9.

    Raises :class:`~server.wood.species.NotPublished`, with the nearest species that have one.
    """
    return _figure(species, "tension", _TENSION, "tension strength perpendicular to grain")


def modulus_along_mpa(species: Species) -> Figure:
    """E_L at 12 %, MPa: the modulus from bending, raised by a tenth. Black cherry: 11,330. Raises NotPublished."""
    found = _figure(species, "modulus", _MODULUS, "modulus of elasticity")
    return replace(found, value=SHEAR_IN_BENDING * found.value)


def modulus_across_mpa(species: Species, ring_angle_deg: float = 0.0) -> Figure:
    """The modulus of elasticity across the width of a board whose rings stand at ``ring_angle_deg`` to its face: E_T
    flatsawn (0), E_R quartersawn (90), in between E_T cos² + E_R sin². Each is its ratio times E_L, all at 12 %.
    Flatsawn black cherry: 0.086 x 1.1 x 10,300 = 974 MPa.

    In between it is too high, by up to four times in softwoods, whose rings slip past each other (rolling shear is
    left out, as few species have its figure): a stress by it is an upper bound. Raises NotPublished.
    """
    share = float(np.cos(np.radians(within("ring_angle_deg", ring_angle_deg, 0, 90, "degrees"))) ** 2)
    along, (tangential, radial) = modulus_along_mpa(species), elastic_ratios(species)
    value = along.value * (tangential.value * share + radial.value * (1.0 - share))
    how = tangential.how if along.how == OWN else along.how
    return Figure(value, how, f"{along.source}; elastic ratio: {tangential.source}")


def elastic_ratios(species: Species) -> tuple[Figure, Figure]:
    """E_T / E_L and E_R / E_L at about 12 %: the species' own, its stand-in's, or the mean of its group."""
    key = species.key
    while True:
        row = table().get(key)
        if row is not None and row.et_over_el is not None and row.er_over_el is not None:
            return _taken(row.et_over_el, species.key, key), _taken(row.er_over_el, species.key, key)
        key = row.stands_in if row is not None and row.stands_in else group_of(species)


def group_of(species: Species) -> str:
    """hardwood or softwood; imported and ungrouped species by the first word of their key."""
    if species.group in _TENSION:
        return species.group
    return "softwood" if species.key.split("_")[0] in _CONIFERS else "hardwood"


@cache
def table() -> Mapping[str, Row]:
    """The rows of strength.csv by key; the last two are the groups'."""
    text = (files(__package__) / "strength.csv").read_text(encoding="utf-8")
    return MappingProxyType({row["key"]: _row(row) for row in csv.DictReader(text.splitlines())})


def _row(row: Mapping[str, str]) -> Row:
    def figure(name: str, of: str) -> Figure | None:
        source = f"{row[f'{of}_source']} ({row[f'{of}_provenance']})"
        return Figure(float(row[name]), OWN, source) if row[name] else None

    return Row(
        figure("tension_perpendicular_mpa", "tension"), figure("modulus_mpa", "modulus"),
        figure("et_over_el", "ratio"), figure("er_over_el", "ratio"), row["stands_in"], row["note"],
    )  # fmt: skip


def _figure(
    species: Species, name: Literal["tension", "modulus"], relation: Mapping[str, tuple[float, float]], what: str
) -> Figure:
    row = table().get(species.key)
    own = getattr(row, name, None)
    if own is not None:
        return cast(Figure, own)
    if species.specific_gravity is not None:
        factor, power = relation[group_of(species)]
        gravity = specific_gravity_at(_AT_PCT, species.specific_gravity, species.volumetric_shrinkage())
        return Figure(float(factor * gravity**power), BY_GRAVITY, BY_GRAVITY_SOURCE)
    if row is not None and row.stands_in:
        return _taken(_figure(find(row.stands_in), name, relation, what), species.key, row.stands_in)
    raise NotPublished("species", f"no {what} {species.said_by} {species.key}", _right(species, name))


def _right(species: Species, name: str) -> str:
    with_one = {key: one for key, one in all_species().items() if getattr(table().get(key), name, None) is not None}
    genus = [key for key in with_one if key.split("_")[0] == species.key.split("_")[0]]
    return "a specific gravity to reckon it from" + (f", or the figure of {' or '.join(genus[:3])}" if genus else "")


def _taken(figure: Figure, wanted: str, key: str) -> Figure:
    return figure if key == wanted else Figure(figure.value, key, f"{figure.source}, of {key}")
