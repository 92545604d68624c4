"""What a pin meter's reading means for this species at this temperature.

A meter measures resistance and shows the moisture that Douglas-fir at 27 °C would have at it. Colder wood resists more,
so first the temperature: about 0.5 % MC for each 5.6 °C, added where the wood is colder (Wood Handbook ch. 13, read).
Then the species: the resistance that Douglas-fir has at that reading, and the moisture at which this species has it,
from James's table (FPL-GTR-6, 1988, Table 1; recalled, as its provenance column says), straight in ln R between rows.
A species without a row takes its group's, or that of one of its genus; the table says for whom a row stands, and why.

What neither pins nor table can tell is a bound, in the species' own moisture: below 7 %, where resistance outgrows the
instrument, or what the table's first row is worth in it; below a reading of 6 %, where the meter's own range begins
(ch. 13, read), however cold the wood; from what 25 % on the meter is worth in it. A meter that is set to species and
temperature needs no table: 7 % is its bound below, fibre saturation above.

How sure it is: corrected readings lie within 1 % MC of the true mean, used properly (ch. 13, read), here half the
central 80 %. Squared and added to it: as much again where the table is in doubt; what the rows of one genus differ by
where another's row stands in; and the temperature's share, a quarter of its correction or, where that is more, what
another rule makes of it (:func:`temperature_spread_pct`).

Bare pins read the wettest wood they touch: a wet skin makes the whole board read wet. Driven a fifth to a quarter of
the thickness deep, they read about the mean of a drying board: of a parabola between its faces the mean stands
(1 - 1/sqrt 3) / 2 = 0.21 of the thickness deep.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from server.wood.air import Floats
from server.wood.ranges import within
from server.wood.species import FIBRE_SATURATION_PCT

Flags = NDArray[np.bool_]

REFERENCE_KEY = "douglas_fir_coast"
READING_PCT = (0.0, 60.0)
WOOD_C = (-20.0, 60.0)
CALIBRATED_AT_C = 27.0
PER_DEGREE_PCT = 0.5 / 5.6
MEAN_DEPTH = 0.5 * (1.0 - 3.0**-0.5)
"""Of the thickness: where a parabolic profile has its mean."""
SPREAD_PCT, DOUBTFUL_SPREAD_PCT = 1.0, 2.0
"""Half the central 80 %: corrected readings lie within 1 % MC of the true mean, used properly (Wood Handbook ch. 13,
read). Twice that where the table is in doubt: common practice, no source."""
GENUS_SPREAD_PCT = 0.73
"""Half the central 80 % of the difference between two species of one genus at one reading: 1.28·sqrt 2·0.40 % MC, the
standard deviation within the genera of which the table has several rows (pines, firs, oaks), 8 to 22 %."""
TEMPERATURE_SHARE = 0.25
"""Of the temperature's correction. Between readings of 8 and 14 % two other rules, both recalled, lie 0.15 and 0.26 of
it off, root mean square: Pfaff and Garrahan's, and that resistance halves for each 10 °C."""
LEAST_PCT, MOST_PCT = 7.0, 25.0
"""Below and above, pins tell nothing: the species' own MC; a reading on the meter's own scale."""
METER_LEAST_PCT = 6.0
"""Where the range of such meters begins (Wood Handbook ch. 13, read)."""
SOURCE = (
    "Temperature and spread: Wood Handbook FPL-GTR-190 chapter 13, the spread widened by what other rules and rows "
    "differ by. Species: James 1988, FPL-GTR-6 Table 1 (from memory)"
)
SET_SOURCE = "As the meter shows it. Spread and range: Wood Handbook FPL-GTR-190 chapter 13."
Stands = Literal["own", "group", "genus"]
OWN: Stands = "own"


class NoCurve(ValueError):
    """No resistance is published for a species. ``known`` holds the keys there are."""

    def __init__(self, found: str, known: tuple[str, ...]) -> None:
        self.found, self.known = found, known
        super().__init__(found, known)

    def __str__(self) -> str:
        """Made when it is read: who takes such a reading as it is asks for every one, and looks for no likeness."""
        near = get_close_matches(self.found, self.known, n=3, cutoff=0.4) or self.known
        return f"species: found {self.found!r}; would be right: one of {', '.join(near)}"


@dataclass(frozen=True, slots=True)
class Curve:
    """One row of the table: MC in %, ln of the resistance in megohms at 27 °C, falling, and where that is in doubt.

    ``stands`` says for whom: the species' own row, its group's, or one of its genus.
    """

    key: str
    name: str
    mc_pct: Floats
    ln_megohm: Floats
    doubts: Flags
    stands: Stands = OWN

    def doubtful(self, mc_pct: float) -> bool:
        """Whether that moisture lies in or beside a cell in doubt."""
        first = int(np.searchsorted(self.mc_pct, mc_pct, side="right")) - 1
        last = int(np.searchsorted(self.mc_pct, mc_pct, side="left"))
        return bool(self.doubts[max(first, 0) : last + 1].any())


@dataclass(frozen=True, slots=True)
class Corrected:
    """A reading put right, and half its central 80 %. ``bound`` says where ``mc_pct`` is no point: "at most" below what
    pins tell, "at least" above."""

    mc_pct: float
    spread_pct: float
    bound: str | None


def curves() -> Mapping[str, Curve]:
    """Every row of the table, by key."""
    return _table()[0]


def find(*keys: str) -> Curve:
    """The row for the first of ``keys`` that has one, its own or one that stands in; the others are groups it is in.

    Raises :class:`NoCurve`.
    """
    known, stand_ins = _table()
    for key in keys:
        row, stands = (key, OWN) if key in known else stand_ins.get(key, ("", OWN))
        if row:
            return replace(known[row], stands="group" if stands == OWN and key != keys[0] else stands)
    raise NoCurve(keys[0], tuple(known))


def for_temperature(reading_pct: float, wood_c: float) -> float:
    """The reading the meter would show were the wood at 27 °C."""
    colder = CALIBRATED_AT_C - float(within("wood_temperature_c", wood_c, *WOOD_C, "°C"))
    return reading_pct + PER_DEGREE_PCT * colder


def temperature_spread_pct(reading_pct: float, wood_c: float) -> float:
    """What the temperature adds to the spread, % MC: a quarter of its correction, at least what the rule of Pfaff and
    Garrahan (Forest Prod. J. 36, 1986; recalled) makes it differ by.

    That rule is M = (R + 0.567 - 0.0260 T + 0.000051 T²) / (0.881·1.0056^T) for a reading R at T °C; here the reading
    at 27 °C of equal M. It corrects wet wood more than dry, where the handbook's one figure is a middle.
    """
    shown = for_temperature(reading_pct, wood_c)
    tilt, at_27 = math.pow(1.0056, CALIBRATED_AT_C - wood_c), _shift(CALIBRATED_AT_C)
    other = (reading_pct + _shift(wood_c)) * tilt - at_27
    return max(TEMPERATURE_SHARE * abs(shown - reading_pct), abs(other - shown))


def _shift(wood_c: float) -> float:
    return 0.567 - 0.0260 * wood_c + 0.000051 * wood_c * wood_c


def for_species(reading_pct: float, curve: Curve) -> float:
    """MC, %, of a species whose resistance a meter shows as ``reading_pct`` of Douglas-fir; held at both ends."""
    reference = curves()[REFERENCE_KEY]
    ln_megohm = np.interp(reading_pct, reference.mc_pct, reference.ln_megohm)
    return float(np.interp(-ln_megohm, -curve.ln_megohm, curve.mc_pct))


def corrected(reading_pct: float, wood_c: float, curve: Curve | None, *, already: bool = False) -> Corrected:
    """A reading for temperature and species; ``already`` where the meter is set to both: then nothing is done twice and
    ``curve`` is not asked.

    A higher reading never gives less. Raises ValueError for a reading outside 0..60 % or wood outside -20..60 °C.
    """
    value = float(within("reading_pct", reading_pct, *READING_PCT, "% MC"))
    float(within("wood_temperature_c", wood_c, *WOOD_C, "°C"))
    if already or curve is None:
        return _bounded(value, LEAST_PCT, FIBRE_SATURATION_PCT, SPREAD_PCT)
    begins = max(LEAST_PCT, for_temperature(METER_LEAST_PCT, wood_c))
    least, most = max(LEAST_PCT, for_species(begins, curve)), for_species(MOST_PCT, curve)
    mc = min(max(for_species(for_temperature(value, wood_c), curve), least), most)
    spread = math.hypot(
        DOUBTFUL_SPREAD_PCT if curve.doubtful(mc) else SPREAD_PCT,
        temperature_spread_pct(value, wood_c),
        GENUS_SPREAD_PCT if curve.stands == "genus" else 0.0,
    )
    return _bounded(mc, least, most, spread)


def _bounded(mc_pct: float, least_pct: float, most_pct: float, spread_pct: float) -> Corrected:
    if mc_pct <= least_pct:
        return Corrected(least_pct, spread_pct, "at most")
    if mc_pct >= most_pct:
        return Corrected(most_pct, spread_pct, "at least")
    return Corrected(mc_pct, spread_pct, None)


@cache
def _table() -> tuple[Mapping[str, Curve], Mapping[str, tuple[str, Stands]]]:
    """The rows, and for each species without one the row that stands in and as what."""
    rows: dict[str, list[dict[str, str]]] = {}
    stand_ins: dict[str, tuple[str, Stands]] = {}
    columns: tuple[tuple[str, Stands], ...] = (("group_members", "group"), ("genus_mates", "genus"))
    text = (files(__package__) / "resistance.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        rows.setdefault(row["key"], []).append(row)
        for column, stands in columns:
            stand_ins |= dict.fromkeys(row[column].split(), (row["key"], stands))
    return MappingProxyType({key: _curve(key, found) for key, found in rows.items()}), MappingProxyType(stand_ins)


def _curve(key: str, rows: list[dict[str, str]]) -> Curve:
    rows = sorted(rows, key=lambda row: float(row["mc_pct"]))
    mc = np.array([float(row["mc_pct"]) for row in rows])
    ln_megohm = np.log([float(row["resistance_megohm"]) for row in rows])
    return Curve(key, rows[0]["common_name"], mc, ln_megohm, np.array(["DOUBTFUL" in row["note"] for row in rows]))
