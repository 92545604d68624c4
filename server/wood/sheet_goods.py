"""Panel products: what air draws them to, which is less than it draws solid wood to, and how much they lengthen.

``sheet_goods_emc.csv`` holds what is published at some humidities, as a pair of ends where the source gives a range;
``sheet_goods.csv`` the change of length. A product differs from maker to maker more than these ends say. Where no
figure could be found the answer is None with the reason, and never solid wood's.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

import numpy as np

from server.wood.emc import emc_pct
from server.wood.ranges import within

ROOM_C = (10.0, 30.0)
"""Where the tables, made near 21 °C, are used; solid wood's own change with temperature widens the ends there."""
TABLE_C = 21.1
"""70 °F, at which the tables of sheet goods are given; a row that states none is taken to be of room temperature."""


class UnknownProduct(ValueError):
    """No such product. ``near`` are the keys that resemble it, or all."""

    def __init__(self, found: str, known: Sequence[str]) -> None:
        self.found = found
        self.near = tuple(difflib.get_close_matches(found.lower(), known, n=3, cutoff=0.5)) or tuple(known)
        super().__init__(f"product: found {found!r}; would be right: one of {', '.join(self.near)}")


@dataclass(frozen=True, slots=True)
class Drawn:
    """What air draws a product to, % MC: the ends, or None and what lies outside the published ``between``."""

    low_pct: float | None
    high_pct: float | None
    provenance: str
    source: str
    why: Literal["", "humidity", "temperature"] = ""
    between: tuple[float, float] | None = None
    """% RH or °C, whichever ``why`` says."""


@dataclass(frozen=True, slots=True)
class Product:
    """One product. Changes of length are fractions per 1 % MC (two ends) or per 10 % RH; None where none was found. The
    modulus of elasticity, MPa, is from bending, the two ends of what is published."""

    key: str
    name: str
    length_per_pct_mc: tuple[float, float] | None
    length_per_10_pct_rh: float | None
    provenance: str
    source: str
    rh_pct: tuple[float, ...]
    low_pct: tuple[float, ...]
    high_pct: tuple[float, ...]
    emc_provenance: str
    emc_source: str
    modulus_mpa: tuple[float, float]
    modulus_source: str
    density_kg_m3: float | None
    vapour_factor: tuple[float, float] | None
    """How many times more than still air it resists water vapour, in damp air and in dry."""
    vapour_source: str
    poisson: tuple[float, float]
    poisson_source: str


@cache
def products() -> MappingProxyType[str, Product]:
    """Every product by its key, in the table's order."""
    drawn: dict[str, list[dict[str, str]]] = {}
    for row in _rows("sheet_goods_emc.csv"):
        drawn.setdefault(row["key"], []).append(row)
    return MappingProxyType({row["key"]: _product(row, drawn[row["key"]]) for row in _rows("sheet_goods.csv")})


def product(key: str) -> Product:
    """The product of that key, in any case of letters. Raises :class:`UnknownProduct`."""
    found = products().get(key.strip().lower())
    if found is None:
        raise UnknownProduct(key, tuple(products()))
    return found


def emc_of_product_pct(key: str, temperature_c: float, rh: float) -> Drawn:
    """What air of ``temperature_c`` and ``rh`` (0..1) draws a product to, % MC, between the published humidities.

    On a straight line between two rows. Away from 21.1 °C both ends give way by as much as solid wood's EMC changes,
    the only figure there is for it. MDF at 21.1 °C and 0.45: 7 to 9 %. None outside the rows and outside 10..30 °C.
    Raises UnknownProduct, and ValueError for ``rh`` outside 0..1.
    """
    one = product(key)
    within("temperature_c", temperature_c, -50, 100, "°C")
    if not 0 <= rh <= 1:
        raise ValueError(f"rh: found {rh:g}; would be right: 0..1 (a fraction, not per cent)")
    least, most = one.rh_pct[0], one.rh_pct[-1]
    if not least <= 100 * rh <= most:
        return Drawn(None, None, one.emc_provenance, one.emc_source, "humidity", (least, most))
    if not ROOM_C[0] <= temperature_c <= ROOM_C[1]:
        return Drawn(None, None, one.emc_provenance, one.emc_source, "temperature", ROOM_C)
    give = abs(float(emc_pct(temperature_c, rh) - emc_pct(TABLE_C, rh)))
    low, high = (float(np.interp(100 * rh, one.rh_pct, ends)) for ends in (one.low_pct, one.high_pct))
    return Drawn(max(low - give, 0.0), high + give, one.emc_provenance, one.emc_source)


def length_change_mm(key: str, length_mm: float, from_pct: float, to_pct: float) -> tuple[float, float] | None:
    """The least and the most a product's length or width changes between two moisture contents, mm, with its sign.

    None where no figure per 1 % MC was found. MDF, 1,000 mm, 9 to 12 %: 0.75 to 0.99 mm. Raises UnknownProduct, and
    ValueError for a length up to 0 or from 10 m on and for moisture outside 0..30 %.
    """
    one = product(key)
    if not 0 < length_mm < 10_000:
        raise ValueError(f"length_mm: found {length_mm:g}; would be right: above 0, below 10,000 mm")
    for name, pct in (("from_pct", from_pct), ("to_pct", to_pct)):
        if not 0 <= pct <= 30:
            raise ValueError(f"{name}: found {pct:g}; would be right: 0 to 30 % MC")
    if one.length_per_pct_mc is None:
        return None
    least, most = one.length_per_pct_mc
    return length_mm * least * (to_pct - from_pct), length_mm * most * (to_pct - from_pct)


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(files("server.wood").joinpath(name).read_text(encoding="utf-8").splitlines()))


def _product(row: dict[str, str], drawn: list[dict[str, str]]) -> Product:
    per_mc, per_rh = row["length_per_pct_mc_low"], row["length_per_10_pct_rh"]
    drawn = sorted(drawn, key=lambda r: float(r["rh_pct"]))

    def column(key: str) -> tuple[float, ...]:
        return tuple(float(r[key]) for r in drawn)

    return Product(
        row["key"],
        row["name"],
        (float(per_mc), float(row["length_per_pct_mc_high"])) if per_mc else None,
        float(per_rh) if per_rh else None,
        row["provenance"],
        row["source"],
        column("rh_pct"),
        column("emc_low_pct"),
        column("emc_high_pct"),
        "; ".join(dict.fromkeys(r["provenance"] for r in drawn)),
        "; ".join(dict.fromkeys(r["source"] for r in drawn)),
        (float(row["modulus_mpa_low"]), float(row["modulus_mpa_high"])),
        f"{row['modulus_source']} ({row['modulus_provenance']})",
        float(row["density_kg_m3"]) if row["density_kg_m3"] else None,
        (float(row["vapour_factor_wet"]), float(row["vapour_factor_dry"])) if row["vapour_factor_wet"] else None,
        f"{row['vapour_source']} ({row['vapour_provenance']})",
        (float(row["poisson_low"]), float(row["poisson_high"])),
        f"{row['poisson_source']} ({row['poisson_provenance']})",
    )
