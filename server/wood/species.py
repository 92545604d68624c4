"""What is published about each species: how dense, how much it shrinks and moves, how hard, how durable.

The table beside this file is the union of two reference tables (Wood Handbook FPL-GTR-190, Tables 4-3, 4-4, 5-3a and
13-5); each group of figures has its own provenance and source. ``read`` was seen in a copy, ``memory`` was recalled
from the publication named, DOUBTFUL stands in a row's note.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType

FIBRE_SATURATION_PCT = 30.0
_MIDDLE_PCT = 10.0
SHRINKAGE_PER_GRAVITY = 0.27
"""Volumetric shrinkage, a fraction, over basic specific gravity, where none is published: 27 to 28 % per unit, as the
cell wall holds about that much water (Stamm, Wood and Cellulose Science, 1964; recalled)."""


class UnknownSpecies(ValueError):
    """No such species. ``nearest`` are the keys most like it."""

    def __init__(self, found: str, nearest: Sequence[str]) -> None:
        self.found, self.nearest = found, tuple(nearest)
        right = f"one of {', '.join(nearest)}" if nearest else "a key of server/wood/species.csv"
        super().__init__(f"species: found {found!r}; would be right: {right}")


class NotPublished(ValueError):
    """A figure this species lacks, and how to go on without the table."""


@dataclass(frozen=True, slots=True)
class Figures:
    """Where a group of figures comes from."""

    provenance: str
    source: str

    def __str__(self) -> str:
        return f"{self.source} ({self.provenance})" if self.provenance else self.source


@dataclass(frozen=True, slots=True)
class Species:
    """One species. Shrinkage is green to oven-dry, % of the green dimension; ``cr`` and ``ct`` are the fraction by
    which the radial and tangential dimension changes per 1 % MC; specific gravity is oven-dry mass over green volume.
    None is what nobody published. ``coefficient_from`` is the key of the row that stands in where the handbook groups
    species."""

    key: str
    common_name: str
    botanical_name: str
    group: str
    specific_gravity: float | None
    shrinkage_radial_pct: float | None
    shrinkage_tangential_pct: float | None
    shrinkage_volumetric_pct: float | None
    cr: float | None
    ct: float | None
    coefficient_from: str
    side_hardness_n: float | None
    decay_class: str
    note: str
    sources: Mapping[str, Figures]
    own: bool = False

    def gravity(self) -> float:
        """The basic specific gravity. Raises :class:`NotPublished`."""
        if self.specific_gravity is None:
            right = "one you measured or trust, 0.1 to 1.0"
            raise NotPublished(f"specific_gravity: found none published for {self.key}; would be right: {right}")
        return self.specific_gravity

    def volumetric_shrinkage(self) -> float:
        """As a fraction: published, else from the specific gravity (:data:`SHRINKAGE_PER_GRAVITY`)."""
        if self.shrinkage_volumetric_pct is not None:
            return self.shrinkage_volumetric_pct / 100.0
        return SHRINKAGE_PER_GRAVITY * self.gravity()


@dataclass(frozen=True, slots=True)
class Coefficients:
    """``cr`` and ``ct``, fractions per 1 % MC, for 6 to 14 %; ``how`` says whose they are: the species' own, a group's
    row, or derived from shrinkage."""

    cr: float
    ct: float
    how: str
    source: str


def coefficients(species: Species) -> Coefficients:
    """The dimensional change coefficients of a species: its own row, else the row of its group, else from its shrinkage
    by C = S / (3000 - 20 S), the handbook's formula at 10 % (ch. 13 eq. 13-3; the published table is made so for most
    species). Cedars, redwood and imports with a row never are derived. Raises :class:`NotPublished`."""
    if species.cr is not None and species.ct is not None:
        return Coefficients(species.cr, species.ct, "own", str(species.sources["coefficient"]))
    if species.coefficient_from:
        group = find(species.coefficient_from)
        found = coefficients(group)
        return Coefficients(found.cr, found.ct, group.key, found.source)
    radial, tangential = species.shrinkage_radial_pct, species.shrinkage_tangential_pct
    if radial is None or tangential is None:
        raise NotPublished(f"species: found no movement published for {species.key}; would be right: another species")
    cr, ct = (per_pct(s) for s in (radial, tangential))
    return Coefficients(cr, ct, "shrinkage", str(species.sources["shrinkage"]))


def per_pct(shrinkage_pct: float) -> float:
    """The coefficient near 10 % MC that a green-to-oven-dry shrinkage, %, makes: Wood Handbook eq. 13-3 there."""
    return 1.0 / (100.0 * FIBRE_SATURATION_PCT / shrinkage_pct - FIBRE_SATURATION_PCT + _MIDDLE_PCT)


def find(key: str) -> Species:
    """The species of that key. Raises :class:`UnknownSpecies` with the nearest keys."""
    known = all_species()
    if key in known:
        return known[key]
    raise UnknownSpecies(key, nearest(key, known))


def nearest(found: str, known: Mapping[str, Species]) -> list[str]:
    """Up to five keys like ``found``: by spelling, by words in any order, by the trade's name."""
    wanted = found.strip().lower().replace(" ", "_").replace("-", "_")
    words = set(wanted.split("_"))
    by_words = [key for key in known if words <= set(key.split("_"))]
    by_name = [s.key for s in known.values() if wanted.replace("_", " ") in s.common_name.lower()]
    spelt = get_close_matches(wanted, known, n=5, cutoff=0.6)
    turned = get_close_matches("_".join(reversed(wanted.split("_"))), known, n=5, cutoff=0.6)
    each = {word for key in known for word in key.split("_")}
    alike = {near for word in words for near in get_close_matches(word, each, n=2, cutoff=0.75)}
    by_likeness = [key for key in known if len(alike & set(key.split("_"))) >= len(words)]
    return list(dict.fromkeys([*by_words, *turned, *spelt, *by_likeness, *by_name]))[:5]


@cache
def all_species() -> Mapping[str, Species]:
    """Every species of the table, by key."""
    text = (files(__package__) / "species.csv").read_text(encoding="utf-8")
    rows = [_species(row) for row in csv.DictReader(text.splitlines())]
    return MappingProxyType({one.key: one for one in rows})


def _species(row: Mapping[str, str]) -> Species:
    def number(name: str) -> float | None:
        return float(row[name]) if row[name] else None

    shrinkage = Figures(row["shrinkage_provenance"], row["shrinkage_source"])
    sources = {
        "specific_gravity": Figures(row["specific_gravity_provenance"], row["shrinkage_source"]),
        "shrinkage": shrinkage,
        "coefficient": Figures(row["coefficient_provenance"], row["coefficient_source"]),
        "side_hardness": Figures(row["side_hardness_provenance"], row["side_hardness_source"]),
        "decay": Figures(row["decay_provenance"], row["decay_source"]),
    }
    return Species(
        row["key"], row["common_name"], row["botanical_name"], row["group"], number("specific_gravity"),
        number("shrinkage_radial_pct"), number("shrinkage_tangential_pct"), number("shrinkage_volumetric_pct"),
        number("cr_fraction_per_pct_mc"), number("ct_fraction_per_pct_mc"), row["coefficient_from"],
        number("side_hardness_n"), row["decay_class"], row["note"], MappingProxyType(sources),
    )  # fmt: skip
