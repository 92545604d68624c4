"""What a pin meter's reading means for this species at this temperature.

A meter measures resistance and shows the moisture that Douglas-fir at 27 °C would have at it. Colder wood resists more,
so first the temperature: about 0.5 % MC for each 5.6 °C, added where the wood is colder (Wood Handbook ch. 13, read).
Then the species: the resistance that Douglas-fir has at that reading, and the moisture at which this species has it,
from James's table (FPL-GTR-6, 1988, Table 1; recalled, as its provenance column says), straight in ln R between rows.

Pins say nothing below 7 %, where resistance outgrows the instrument, and little above fibre saturation. Bare pins read
the wettest wood they touch: a wet skin makes the whole board read wet. Driven a fifth to a quarter of the thickness
deep, they read about the mean of a drying board: of a parabola between its faces the mean stands (1 - 1/sqrt 3) / 2 =
0.21 of the thickness deep.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType

import numpy as np

from server.wood.air import Floats
from server.wood.ranges import within

REFERENCE_KEY = "douglas_fir_coast"
TABLE_PCT = (7.0, 25.0)
READING_PCT = (0.0, 60.0)
WOOD_C = (-20.0, 60.0)
CALIBRATED_AT_C = 27.0
PER_DEGREE_PCT = 0.5 / 5.6
MEAN_DEPTH = 0.5 * (1.0 - 3.0**-0.5)
"""Of the thickness: where a parabolic profile has its mean."""
SPREAD_PCT, DOUBTFUL_SPREAD_PCT = 1.0, 2.0
"""Half the central 80 %: corrected readings lie within 1 % MC of the true mean, used properly (Wood Handbook ch. 13,
read). Twice that for a doubtful row: common practice, no source."""
LEAST_PCT, MOST_PCT = 7.0, 25.0
SOURCE = "Temperature: Wood Handbook FPL-GTR-190 chapter 13. Species: James 1988, FPL-GTR-6 Table 1 (from memory)."


class NoCurve(ValueError):
    """No resistance is published for a species. ``known`` holds the keys there are."""

    def __init__(self, found: str, known: tuple[str, ...]) -> None:
        self.found, self.known = found, known
        near = get_close_matches(found, known, n=3, cutoff=0.4) or known
        super().__init__(f"species: found {found!r}; would be right: one of {', '.join(near)}")


@dataclass(frozen=True, slots=True)
class Curve:
    """One species' table: MC in %, and ln of the resistance in megohms at 27 °C, falling."""

    key: str
    mc_pct: Floats
    ln_megohm: Floats
    doubtful: bool


@dataclass(frozen=True, slots=True)
class Corrected:
    """A reading put right. ``bound`` says where it is no point: "at most" below what pins tell, "at least" above."""

    mc_pct: float
    spread_pct: float
    bound: str | None


def curves() -> Mapping[str, Curve]:
    """Every species with a published resistance."""
    return _curves()


def find(*keys: str) -> Curve:
    """The first of ``keys`` that has a curve: a species' own, then its group's. Raises :class:`NoCurve`."""
    known = _curves()
    for key in keys:
        if key in known:
            return known[key]
    raise NoCurve(keys[0], tuple(known))


def for_temperature(reading_pct: float, wood_c: float) -> float:
    """The reading the meter would show were the wood at 27 °C."""
    colder = CALIBRATED_AT_C - float(within("wood_temperature_c", wood_c, *WOOD_C, "°C"))
    return reading_pct + PER_DEGREE_PCT * colder


def for_species(reading_pct: float, curve: Curve) -> float:
    """MC, %, of a species whose resistance a meter shows as ``reading_pct`` of Douglas-fir; held at both ends."""
    reference = find(REFERENCE_KEY)
    ln_megohm = np.interp(reading_pct, reference.mc_pct, reference.ln_megohm)
    return float(np.interp(-ln_megohm, -curve.ln_megohm, curve.mc_pct))


def corrected(reading_pct: float, wood_c: float, curve: Curve, *, already: bool = False) -> Corrected:
    """A reading for temperature and species; ``already`` where the meter is set to both, so that nothing is done twice.

    Raises ValueError for a reading outside 0..60 % or wood outside -20..60 °C.
    """
    value = float(within("reading_pct", reading_pct, *READING_PCT, "% MC"))
    float(within("wood_temperature_c", wood_c, *WOOD_C, "°C"))
    shown = value if already else for_temperature(value, wood_c)
    mc = shown if already else for_species(shown, curve)
    spread = DOUBTFUL_SPREAD_PCT if curve.doubtful and not already else SPREAD_PCT
    if min(shown, mc) <= LEAST_PCT:
        return Corrected(LEAST_PCT, spread, "at most")
    if max(shown, mc) >= MOST_PCT:
        return Corrected(MOST_PCT, spread, "at least")
    return Corrected(mc, spread, None)


@cache
def _curves() -> Mapping[str, Curve]:
    rows: dict[str, list[dict[str, str]]] = {}
    text = (files(__package__) / "resistance.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        rows.setdefault(row["key"], []).append(row)
    return MappingProxyType({key: _curve(key, found) for key, found in rows.items()})


def _curve(key: str, rows: list[dict[str, str]]) -> Curve:
    rows = sorted(rows, key=lambda row: float(row["mc_pct"]))
    mc = np.array([float(row["mc_pct"]) for row in rows])
    ln_megohm = np.log([float(row["resistance_megohm"]) for row in rows])
    return Curve(key, mc, ln_megohm, any("DOUBTFUL" in row["note"] for row in rows))
