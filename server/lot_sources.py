"""Where the figures of a lot come from: its species' row, how its start was taken, its covers, the equations."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from server.documents import Document
from server.lot_readings import LEARNING_SOURCE
from server.shop.receiving import Received, Start
from server.shop.starts import level_and_sigma, starts
from server.wood.air_series import UNKNOWN_AIR_SIGMA_PCT
from server.wood.belief import BEND_PER_LEVEL
from server.wood.boards import AIR_FILM_KG_M2_S_PA, HEAT_FILM_W_M2_K, HEAT_J_KG_K
from server.wood.covers import find as find_cover
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import CURVE_SIGMA_PCT
from server.wood.ensemble import END_OF_80, FILM_FACTOR
from server.wood.movement import RING_ANGLE_DEG, across_thickness, across_width
from server.wood.species import SHRINKAGE_PER_GRAVITY, NotPublished, Species

PRACTICE = "common practice, no source"


class FigureDocument(Document):
    """A figure that was used: its name ends in its unit. ``low`` and ``high`` are the ends of what its source leaves
    open, None where that says nothing."""

    name: str
    value: float
    low: float | None = None
    high: float | None = None
    provenance: str
    source: str


class EquationDocument(Document):
    """A rule of the model and where it comes from."""

    what: str
    source: str
    provenance: str


EQUATIONS = tuple(
    EquationDocument(what=what, source=source, provenance=provenance)
    for what, source, provenance in (
        ("what air draws wood to", "Wood Handbook FPL-GTR-282, equation 4-5", "read"),
        ("water vapour at saturation", "ASHRAE Handbook Fundamentals (2017) ch. 1, eqs. 5 and 6", "memory"),
        ("how fast water moves across the grain", "Siau, Transport Processes in Wood (1984)", "memory"),
        ("moisture through the thickness", "Fick's second law, in finite volumes; Crank, The Mathematics of Diffusion "
         "(1975), for what it is held against", "derived"),
        ("what a reading teaches", LEARNING_SOURCE, "derived"),
        ("how unsure a lot is, carried along", "Verlaan and Heemink, Stoch. Hydrol. Hydraul. 11, 1997", "memory"),
        ("half hours that nobody recorded", "bridged for six hours by the last air, then less and less sure", PRACTICE),
    )
)  # fmt: skip


def constants() -> list[FigureDocument]:
    """The figures every lot rests on."""
    rows = (
        ("air_film_kg_per_m2_s_pa", AIR_FILM_KG_M2_S_PA, "memory", "order of magnitude, from the analogy of heat and "
         "mass transfer"),
        ("air_film_factor_of_80_pct", FILM_FACTOR, PRACTICE, ""),
        ("ln_rate_sigma", LN_RATE_SIGMA, PRACTICE, "published formulas are called good to a factor of two"),
        ("curve_sigma_pct", CURVE_SIGMA_PCT, "memory", "drying and taking up lie 1 to 2 % MC apart, half of that "
         "either way is two of these"),
        ("start_bend_per_level", BEND_PER_LEVEL, PRACTICE, ""),
        ("unknown_air_sigma_pct", UNKNOWN_AIR_SIGMA_PCT, PRACTICE, ""),
        ("heat_film_w_per_m2_k", HEAT_FILM_W_M2_K, "memory", "ISO 6946"),
        ("heat_j_per_kg_k", HEAT_J_KG_K, "memory", "Wood Handbook ch. 4, eqs. 4-16 to 4-18"),
    )  # fmt: skip
    return [FigureDocument(name=n, value=v, provenance=p, source=s) for n, v, p, s in rows]


def of_start(start: Start, of: str = "") -> FigureDocument:
    """How damp a lot was taken to be, with the ends of its central 80 %; ``of`` stands before what it says."""
    level, sigma = level_and_sigma(start)
    row = starts()[start.kind]
    told = "" if start.mc_pct is None else "told on receiving, its spread "
    return FigureDocument(
        name="start_pct", value=level, low=level - END_OF_80 * sigma, high=level + END_OF_80 * sigma,
        provenance=told + row.provenance, source=f"{of}{row.meaning}: {row.source}",
    )  # fmt: skip


def of_species(species: Species, received: Received) -> list[FigureDocument]:
    """What the model and the answers about a lot use of its species."""
    return [*_density(species, received), *_movement(species, received)]


def _density(species: Species, received: Received) -> Iterator[FigureDocument]:
    own = received.specific_gravity
    gravity = own if own is not None else species.specific_gravity
    if gravity is None:
        return
    came = species.sources["specific_gravity"]
    provenance, source = ("told on receiving", "") if own is not None else (came.provenance, came.source)
    yield FigureDocument(name="specific_gravity_basic", value=gravity, provenance=provenance, source=source)
    if species.shrinkage_volumetric_pct is not None:
        value, came = species.shrinkage_volumetric_pct, species.sources["shrinkage"]
        provenance, source = came.provenance, came.source
    else:
        value = 100.0 * SHRINKAGE_PER_GRAVITY * gravity
        provenance, source = "computed", "27 % per unit of specific gravity (Stamm, 1964, from memory)"
    yield FigureDocument(name="shrinkage_volumetric_pct", value=value, provenance=provenance, source=source)


def _movement(species: Species, received: Received) -> Iterator[FigureDocument]:
    angle = RING_ANGLE_DEG[received.cut]
    try:
        ways = across_width(species, angle), across_thickness(species, angle)
    except NotPublished:
        return
    shrinkage = species.sources["shrinkage"]
    known = {"own": "its own row", "shrinkage": "computed by the shrinkage formula"}
    for name, way in zip(("width", "thickness"), ways, strict=True):
        how = f"{known.get(way.how, f'the row {way.how}')}, {received.cut} sawn"
        yield FigureDocument(
            name=f"{name}_fraction_per_pct_mc", value=way.coefficient, provenance=how, source=way.source
        )  # fmt: skip
        yield FigureDocument(
            name=f"{name}_shrinkage_pct", value=way.shrinkage_pct, provenance=shrinkage.provenance,
            source=shrinkage.source,
        )  # fmt: skip


def of_covers(keys: Collection[str]) -> list[FigureDocument]:
    """What lay or lies between its faces and the air."""
    return list(_covers(sorted(keys)))


def _covers(keys: Iterable[str]) -> Iterator[FigureDocument]:
    for key in keys:
        cover = find_cover(key)
        source, _, provenance = cover.source.removesuffix(")").rpartition(" (")
        yield FigureDocument(
            name=f"{key}_m2_s_pa_per_kg", value=cover.resistance_m2_s_pa_kg, low=cover.low_m2_s_pa_kg,
            high=cover.high_m2_s_pa_kg, provenance=provenance, source="; ".join(filter(None, (source, cover.note))),
        )  # fmt: skip
