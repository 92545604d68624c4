"""What is published about each species: how dense, how much it shrinks and moves, how hard, how durable.

The table beside this file is drawn from the Wood Handbook (Tables 4-3, 4-4 and 13-5 for movement, 5-3 and 5-5 for
density and hardness); each group of figures has its own provenance and source. ``read`` was seen in a copy, ``memory``
was recalled from the publication named, DOUBTFUL is not to be relied on alone. Hardness is at 12 % MC unless its source
says otherwise. A user's own species stand beside the published ones
in a table that is handed on (:func:`with_own`); they never replace one.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from server.wood.names import nearest_keys

FIBRE_SATURATION_PCT = 30.0
_MIDDLE_PCT = 10.0
SHRINKAGE_PER_GRAVITY = 0.27
"""Volumetric shrinkage, a fraction, over basic specific gravity, where none is published: 27 to 28 % per unit, as the
cell wall holds about that much water (Stamm, Wood and Cellulose Science, 1964; recalled)."""
RANGES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "specific_gravity": (0.1, 1.0), "shrinkage_radial_pct": (1.0, 12.0), "shrinkage_tangential_pct": (2.0, 16.0),
        "shrinkage_volumetric_pct": (4.0, 25.0), "cr_fraction_per_pct_mc": (0.0005, 0.004),
        "ct_fraction_per_pct_mc": (0.0009, 0.006), "side_hardness_n": (300.0, 20000.0),
    }
)  # fmt: skip
"""Where a figure of any species lies; beyond is a slip of the pen or another unit. By column of the table."""
DECAY_CLASSES = ("resistant or very resistant", "moderately resistant", "slightly or not resistant")
YOURS = "yours"
"""The provenance of a user's own figures."""


class UnknownSpecies(ValueError):
    """No such species. ``nearest`` are the keys most like it."""

    def __init__(self, found: str, nearest: Sequence[str]) -> None:
        self.found, self.nearest = found, tuple(nearest)
        right = f"one of {', '.join(nearest)}" if nearest else "a key of server/wood/species.csv, or of your own"
        super().__init__(f"species: found {found!r}; would be right: {right}")


class NotPublished(ValueError):
    """A figure this species lacks. ``found`` and ``right`` say what is missing and how to go on."""

    def __init__(self, figure: str, found: str, right: str) -> None:
        self.figure, self.found, self.right = figure, found, right
        super().__init__(f"{figure}: found {found}; would be right: {right}")


@dataclass(frozen=True, slots=True)
class Figures:
    """Where a group of figures comes from."""

    provenance: str
    source: str

    @property
    def doubtful(self) -> bool:
        """Not to be relied on alone."""
        return "DOUBTFUL" in self.provenance

    def __str__(self) -> str:
        return f"{self.source} ({self.provenance})" if self.provenance else self.source


@dataclass(frozen=True, slots=True)
class Species:
    """One species. Shrinkage is green to oven-dry, % of the green dimension; ``cr`` and ``ct`` are the fraction by
    which the radial and tangential dimension changes per 1 % MC; specific gravity is oven-dry mass over green volume.
    None is what nobody published. ``coefficient_from`` is the key of the published row that stands in where the
    handbook groups species. ``own`` is a user's, whose figures nobody else has checked."""

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
    trade_names: tuple[str, ...] = ()

    def gravity(self) -> float:
        """The basic specific gravity. Raises :class:`NotPublished`."""
        if self.specific_gravity is None:
            right = "one you measured or trust, 0.1 to 1.0"
            raise NotPublished("specific_gravity", f"none {self.said_by} {self.key}", right)
        return self.specific_gravity

    def volumetric_shrinkage(self) -> float:
        """As a fraction: published, else from the specific gravity (:data:`SHRINKAGE_PER_GRAVITY`)."""
        if self.shrinkage_volumetric_pct is not None:
            return self.shrinkage_volumetric_pct / 100.0
        return SHRINKAGE_PER_GRAVITY * self.gravity()

    @property
    def said_by(self) -> str:
        """Who would have given a figure that is missing."""
        return "given in your [[species]]" if self.own else "published for"


Table = Mapping[str, Species]
"""Species by key: the published ones, or those and a user's own."""


@dataclass(frozen=True, slots=True)
class Coefficients:
    """``cr`` and ``ct``, fractions per 1 % MC, for 6 to 14 %; ``how`` says whose they are: the species' own, a group's
    row (its key), or none at all: then they are the slope of its shrinkage formula at 10 %."""

    cr: float
    ct: float
    how: str
    source: str

    @property
    def published(self) -> bool:
        """False where there is only shrinkage, so that the shrinkage formula has to do."""
        return self.how != "shrinkage"


def coefficients(species: Species) -> Coefficients:
    """The dimensional change coefficients of a species: its own row, else the row of its group. Without either they are
    not made up: what comes back is the slope of the shrinkage formula (Wood Handbook ch. 13 eq. 13-3) at 10 %, for what
    needs a slope, and ``published`` is False. Where both are published that slope lies between 12 % below and 7 % above
    the coefficient, but for cedars and redwood 27 % below, for imports between 41 % below and 26 % above it. Raises
    :class:`NotPublished`."""
    if species.cr is not None and species.ct is not None:
        return Coefficients(species.cr, species.ct, "own", str(species.sources["coefficient"]))
    if species.coefficient_from:
        group = find(species.coefficient_from)
        found = coefficients(group)
        return Coefficients(found.cr, found.ct, group.key, f"{found.source}, row {group.key}")
    radial, tangential = species.shrinkage_radial_pct, species.shrinkage_tangential_pct
    if radial is None or tangential is None:
        right = "another species, or one of your own with both shrinkages or both coefficients"
        raise NotPublished("species", f"no movement {species.said_by} {species.key}", right)
    cr, ct = (per_pct(s) for s in (radial, tangential))
    return Coefficients(cr, ct, "shrinkage", f"{species.sources['shrinkage']}, by the shrinkage formula")


def per_pct(shrinkage_pct: float) -> float:
    """What a green-to-oven-dry shrinkage, %, moves per 1 % MC near 10 %: Wood Handbook eq. 13-3 there."""
    return 1.0 / (100.0 * FIBRE_SATURATION_PCT / shrinkage_pct - FIBRE_SATURATION_PCT + _MIDDLE_PCT)


def doubtful(species: Species, figure: str) -> bool:
    """Whether the source itself is in doubt about a group of figures (a key of ``sources``) of this species."""
    if figure == "coefficient" and species.cr is None and species.coefficient_from:
        return doubtful(find(species.coefficient_from), figure)
    return species.sources[figure].doubtful


def find(key: str, known: Table | None = None) -> Species:
    """The species of that key, among ``known`` or the published ones. Raises :class:`UnknownSpecies` with the nearest
    keys."""
    table = all_species() if known is None else known
    if key in table:
        return table[key]
    raise UnknownSpecies(key, nearest(key, table))


def nearest(found: str, known: Table) -> list[str]:
    """Up to five keys like ``found``: by words in any order and spelling, by the trade's and the botanical name."""
    return nearest_keys(found, {s.key: (s.common_name, s.botanical_name, *s.trade_names) for s in known.values()})


def with_own(own: Iterable[Species]) -> Table:
    """The published species and a user's own. Raises ValueError for a key that is taken."""
    table = dict(all_species())
    for one in own:
        if one.key in table:
            raise ValueError(f"key: found {one.key!r}, which is taken; would be right: a key no other species has")
        table[one.key] = one
    return MappingProxyType(table)


@cache
def all_species() -> Table:
    """Every species of the table, by key."""
    text = (files(__package__) / "species.csv").read_text(encoding="utf-8")
    rows = [_species(row) for row in csv.DictReader(text.splitlines())]
    return MappingProxyType({one.key: one for one in rows})


def _species(row: Mapping[str, str]) -> Species:
    def number(name: str) -> float | None:
        return float(row[name]) if row[name] else None

    shrinkage = Figures(row["shrinkage_provenance"], row["shrinkage_source"])
    sources = {
        "specific_gravity": Figures(row["specific_gravity_provenance"], row["specific_gravity_source"]),
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
        trade_names=tuple(filter(None, row["trade_names"].split("; "))),
    )  # fmt: skip
