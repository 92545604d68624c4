"""A sheet with something laid on its faces, between two humidities: its plies, how they bend it, and within what.

The core is a product of ``sheet_goods.csv``, taken as alike along and across (of plywood nothing else is published
here); on its faces lie veneers or solid wood with the grain along the sheet or across it, each face behind covers. The
sheet is flat at the damp end and goes to the dry one. Veneer is taken as half flatsawn, half quartersawn, and its ends
are the two. Each of what is not known is moved to both its ends in turn, and what that does is added by squares.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from server.wood.air import Floats, saturation_pressure_pa
from server.wood.boards import AIR_FILM_KG_M2_S_PA, film_through
from server.wood.emc import emc_pct, humidity_for_emc
from server.wood.ensemble import FILM_FACTOR
from server.wood.layers import ALONG_PER_PCT, Layer
from server.wood.movement import across_width, change
from server.wood.plies import Bend, Ply, Uptake, bend, uptake
from server.wood.ranges import within
from server.wood.sheet_goods import TABLE_C, Product, emc_of_product_pct
from server.wood.species import Species
from server.wood.strength import modulus_across_mpa, modulus_along_mpa

AIR_KG_M_S_PA = 1.95e-10
"""Still air's permeability to vapour at 23 °C (ISO 12572, from memory)."""
TIMBER_FACTOR = {500: (20.0, 50.0), 700: (50.0, 200.0)}
"""Vapour resistance factor of timber, damp and dry, of 500 and of 700 kg/m³ (ISO 10456:2007 Table 3, from memory)."""
TIMBER_SOURCE = "ISO 10456:2007 Table 3, timber of 500 and 700 kg/m3 (memory)"
_BETWEEN_KG_M3 = 600.0
STIFF_WITHIN = 0.28
"""Central 80 % of the modulus of clear wood: its coefficient of variation is 22 % (Wood Handbook ch. 5, recalled)."""
PER_RH_WITHIN = 0.3
"""By how much a change of length that one maker states is taken to be off. Common practice, no source."""
POISSON_LT = (0.3, 0.5)
"""Of wood pulled along its grain, narrowing across it (Wood Handbook Table 5-2, from memory)."""
_SIGNED = 2
"""The first figures, of what has settled, have a sign; the others are how hollow a face gets."""
_VARIED = (
    "core_modulus",
    "core_movement",
    "veneer_cut",
    "veneer_modulus",
    "vapour",
    "core_poisson",
    "veneer_poisson",
    "top_cover",
    "bottom_cover",
    "film",
)


@dataclass(frozen=True, slots=True)
class Wooden:
    """Veneer or solid wood on a face: its species, thickness, m, and which way its grain runs on the sheet."""

    species: Species = field(hash=False)
    thickness_m: float
    grain: Literal["along", "across"]


@dataclass(frozen=True, slots=True)
class Ends:
    """A figure and the ends of its central 80 %."""

    middle: float
    low: float
    high: float


NO_COVER = Ends(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class FacedSheet:
    """A core of ``core_m`` with what is laid on its top and bottom face, each from the core outward, and the resistance
    of what covers them, m² s Pa/kg (inf: passes nothing, as a bench)."""

    core: Product
    core_m: float
    top: tuple[Wooden, ...] = ()
    bottom: tuple[Wooden, ...] = ()
    top_cover: Ends = NO_COVER
    bottom_cover: Ends = NO_COVER


@dataclass(frozen=True, slots=True)
class Way:
    """Along the sheet or across it, 1/m: the curvature it settles at, positive where the top is hollow; and how hollow
    its top and its bottom face get at the most on the way there (0 or more), and after how many days."""

    settled: Ends
    top: Ends
    bottom: Ends
    top_days: float
    bottom_days: float

    @property
    def worst(self) -> tuple[Literal["top", "bottom"], Ends, float]:
        """The face that gets more hollow, how hollow, and after how many days."""
        if self.top.middle >= self.bottom.middle:
            return "top", self.top, self.top_days
        return "bottom", self.bottom, self.bottom_days


@dataclass(frozen=True, slots=True)
class Bent:
    """From ``damp_rh`` down to ``dry_rh`` (0..1), along and across. From dry to damp it is the same of the other
    face."""

    damp_rh: float
    dry_rh: float
    along: Way
    across: Way


@dataclass(frozen=True, slots=True)
class _At:
    """Where each of what is not known stands: -1, 0 or 1."""

    core_modulus: int = 0
    core_movement: int = 0
    veneer_cut: int = 0
    veneer_modulus: int = 0
    vapour: int = 0
    core_poisson: int = 0
    veneer_poisson: int = 0
    top_cover: int = 0
    bottom_cover: int = 0
    film: int = 0


def humidities(core: Product, dry_pct: float, damp_pct: float) -> tuple[float, float] | None:
    """The humidities (0..1) that draw solid wood to ``dry_pct`` and ``damp_pct`` at 21.1 °C, as far as the core's table
    reaches; None where nothing of that lies within it."""
    least, most = core.rh_pct[0] / 100, core.rh_pct[-1] / 100
    dry, damp = (float(np.clip(humidity_for_emc(TABLE_C, pct), least, most)) for pct in (dry_pct, damp_pct))
    return (dry, damp) if dry < damp else None


def has_figures(core: Product) -> bool:
    """Whether what a bend asks of a core is published."""
    moves = core.length_per_pct_mc is not None or core.length_per_10_pct_rh is not None
    return moves and core.density_kg_m3 is not None and core.vapour_factor is not None


@lru_cache(maxsize=256)
def bent(sheet: FacedSheet, damp_rh: float, dry_rh: float) -> Bent:
    """How it bends by then; the last ones asked for are kept, as lots ask again each half hour.

    Raises ValueError for a core without figures, humidities that do not fall or lie outside its table, and no
    thickness; :class:`~server.wood.species.NotPublished` for a veneer without them.

    Medium-density fibreboard of 18 mm with 0.6 mm of black cherry on top alone, 60 down to 40 %: hollow on top across
    the grain, on the bottom along it.
    """
    if not has_figures(sheet.core):
        raise ValueError(f"core: found {sheet.core.key!r}; would be right: a product whose movement is published")
    within("core_m", sheet.core_m, 0.0003, 0.3, "m (0.3 to 300 mm)")
    if not sheet.core.rh_pct[0] - 1e-9 <= 100 * dry_rh < 100 * damp_rh <= sheet.core.rh_pct[-1] + 1e-9:
        right = f"{sheet.core.rh_pct[0]:g} to {sheet.core.rh_pct[-1]:g} % as fractions, the damp one above the dry one"
        raise ValueError(f"damp_rh, dry_rh: found {damp_rh:g} and {dry_rh:g}; would be right: {right}")
    step_pa = float(saturation_pressure_pa(TABLE_C)) * (damp_rh - dry_rh)
    known: dict[tuple[float, ...], Uptake] = {}

    def at(one: _At) -> Bend:
        plies, films = _plies(sheet, damp_rh, dry_rh, one), _films(sheet, one)
        if (one.vapour, *films) not in known:  # the water's way is the same of whatever moves and stiffens
            known[one.vapour, *films] = uptake(plies, *films, step_pa)
        return bend(plies, known[one.vapour, *films])

    middle = at(_At())
    varied = [[_figures(at(replace(_At(), **{name: to}))) for to in (-1, 1)] for name in _VARIED]
    ends = list(_with_ends(_figures(middle), np.array(varied)))
    settled, top, bottom = ends[:2], ends[2:4], ends[4:]
    days = [[s / 86_400.0 for s in pair] for pair in (middle.most_s, middle.least_s)]
    along, across = (Way(settled[i], top[i], bottom[i], days[0][i], days[1][i]) for i in (0, 1))
    return Bent(damp_rh, dry_rh, along, across)


def _figures(one: Bend) -> tuple[float, ...]:
    return (*one.settled_per_m, *one.most_per_m, *(-least for least in one.least_per_m))


def _with_ends(middle: Sequence[float], varied: Floats) -> Iterator[Ends]:
    """``varied``: what is not known, its ends, the figures."""
    for i, value in enumerate(middle):
        off = varied[:, :, i] - value
        below, above = np.minimum(off.min(axis=1), 0.0), np.maximum(off.max(axis=1), 0.0)
        low = value - float(np.hypot.reduce(below))
        yield Ends(value, low if i < _SIGNED else max(0.0, low), value + float(np.hypot.reduce(above)))


def _films(sheet: FacedSheet, at: _At) -> tuple[float, float]:
    air = AIR_FILM_KG_M2_S_PA * FILM_FACTOR**at.film
    covers = ((sheet.top_cover, at.top_cover), (sheet.bottom_cover, at.bottom_cover))
    top, bottom = (float(film_through((one.low, one.middle, one.high)[to + 1], air_film=air)) for one, to in covers)
    return top, bottom


def _plies(sheet: FacedSheet, damp_rh: float, dry_rh: float, at: _At) -> list[Ply]:
    top, bottom = ([_veneer(one, damp_rh, dry_rh, at) for one in face] for face in (sheet.top, sheet.bottom))
    return [*reversed(top), _core(sheet, damp_rh, dry_rh, at), *bottom]


def _core(sheet: FacedSheet, damp_rh: float, dry_rh: float, at: _At) -> Ply:
    core, thick = sheet.core, sheet.core_m
    drawn = [emc_of_product_pct(core.key, TABLE_C, rh) for rh in (damp_rh, dry_rh)]
    damp_pct, dry_pct = (0.5 * ((one.low_pct or 0.0) + (one.high_pct or 0.0)) for one in drawn)
    if core.length_per_pct_mc is not None:
        strain = _mean(core.length_per_pct_mc, at.core_movement) * (dry_pct - damp_pct)
    else:
        per_rh = (core.length_per_10_pct_rh or 0.0) * (1.0 + PER_RH_WITHIN * at.core_movement)
        strain = per_rh * 10.0 * (dry_rh - damp_rh)
    layer = Layer(thick, _mean(core.modulus_mpa, at.core_modulus), strain)
    factor = _between(core.vapour_factor or (1.0, 1.0), at.vapour)
    water = (core.density_kg_m3 or 0.0) * thick * (damp_pct - dry_pct) / 100.0
    return Ply(layer, layer, factor * thick / AIR_KG_M_S_PA, water, _mean(core.poisson, at.core_poisson))


def _veneer(one: Wooden, damp_rh: float, dry_rh: float, at: _At) -> Ply:
    angle = 45.0 + 45.0 * at.veneer_cut
    damp_pct, dry_pct = (float(emc_pct(TABLE_C, rh)) for rh in (damp_rh, dry_rh))
    stiff = 1.0 + STIFF_WITHIN * at.veneer_modulus
    with_grain = Layer(
        one.thickness_m, stiff * modulus_along_mpa(one.species).value, ALONG_PER_PCT * (dry_pct - damp_pct)
    )
    shrinks = float(change(across_width(one.species, angle), 1.0, damp_pct, dry_pct))
    over_grain = Layer(one.thickness_m, stiff * modulus_across_mpa(one.species, angle).value, shrinks)
    gravity = one.species.gravity()
    factors = TIMBER_FACTOR[500 if 1000.0 * gravity < _BETWEEN_KG_M3 else 700]
    resistance = _between(factors, at.vapour) * one.thickness_m / AIR_KG_M_S_PA
    water = 1000.0 * gravity * one.thickness_m * (damp_pct - dry_pct) / 100.0
    ratio = _mean(POISSON_LT, at.veneer_poisson)
    if one.grain == "along":
        return Ply(with_grain, over_grain, resistance, water, ratio)
    return Ply(over_grain, with_grain, resistance, water, ratio * over_grain.modulus_mpa / with_grain.modulus_mpa)


def _mean(ends: tuple[float, float], at: int) -> float:
    return (ends[0], 0.5 * (ends[0] + ends[1]), ends[1])[at + 1]


def _between(ends: tuple[float, float], at: int) -> float:
    """The one end, the other, or what is as many times the one as the other is times it."""
    return (ends[0], float(np.sqrt(ends[0] * ends[1])), ends[1])[at + 1]
