"""The humidity over saturated salts: published values, and between them a straight line.

A closed jar with wet salt and undissolved grains holds air of a humidity that depends on the salt and the temperature
alone. The table beside this file holds L. Greenspan's values (J. Res. NBS 81A, 1977, pp. 89-96, Table 2) every five
degrees with their stated uncertainty; which rows were read and which recalled, its provenance column says.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

import numpy as np


class UnknownSalt(ValueError):
    """No such salt in the table. ``known`` holds the formulas there are."""

    def __init__(self, found: str, known: Sequence[str]) -> None:
        self.found, self.known = found, tuple(known)
        super().__init__(f"salt: found {found!r}; would be right: one of {', '.join(self.known)}")


class OutsideTable(ValueError):
    """A temperature for which nothing is published. ``low_c`` and ``high_c`` are the ends."""

    def __init__(self, found_c: float, low_c: float, high_c: float) -> None:
        self.found_c, self.low_c, self.high_c = found_c, low_c, high_c
        super().__init__(f"temperature_c: found {found_c:g}; would be right: {low_c:g} to {high_c:g} °C")


@dataclass(frozen=True, slots=True)
class SaltAir:
    """Air over a salt: % RH, its uncertainty (± % RH), and how it changes with temperature (% RH per K)."""

    humidity_pct: float
    uncertainty_pct: float
    slope_pct_per_c: float
    provenance: str
    source: str
    between_c: tuple[float, float] | None = None
    """The two rows it lies between; None where it is a row as printed."""


@dataclass(frozen=True, slots=True)
class Salt:
    """One salt's rows in order of temperature."""

    formula: str
    name: str
    temperatures_c: tuple[float, ...]
    humidities_pct: tuple[float, ...]
    uncertainties_pct: tuple[float, ...]
    provenances: tuple[str, ...]
    source: str

    def air(self, temperature_c: float) -> SaltAir:
        """The air over it at a temperature within the table, 0..40 °C for most salts.

        A row is given as printed. Between two rows the humidity lies on a straight line and the uncertainty is the
        larger of theirs plus what a curve may leave that line by: an eighth of its bend (the largest second derivative
        of the table) times the distance of the rows squared. Sodium chloride at 22 °C: 75.40 %. Raises
        :class:`OutsideTable`.
        """
        t, rh = np.array(self.temperatures_c), np.array(self.humidities_pct)
        if not t[0] <= temperature_c <= t[-1]:
            raise OutsideTable(temperature_c, float(t[0]), float(t[-1]))
        after = min(max(int(np.searchsorted(t, temperature_c)), 1), len(t) - 1)
        gap, slope = float(t[after] - t[after - 1]), float((rh[after] - rh[after - 1]) / (t[after] - t[after - 1]))
        printed = np.flatnonzero(t == temperature_c)
        if printed.size:
            at = int(printed[0])
            return SaltAir(float(rh[at]), self.uncertainties_pct[at], slope, self.provenances[at], self.source)
        slopes = np.diff(rh) / np.diff(t)
        bend = float(np.max(np.abs(2.0 * np.diff(slopes) / (t[2:] - t[:-2]))))
        either = slice(after - 1, after + 1)
        provenance = "; ".join(dict.fromkeys(self.provenances[either]))
        unsure = max(self.uncertainties_pct[either]) + bend * gap**2 / 8.0
        value = float(np.interp(temperature_c, t, rh))
        low_c, high_c = (float(c) for c in t[either])
        between = f"between the rows for {low_c:g} and {high_c:g} °C ({provenance})"
        return SaltAir(value, unsure, slope, between, self.source, (low_c, high_c))


@cache
def salts() -> MappingProxyType[str, Salt]:
    """Every salt by its formula, in the table's order: driest first."""
    text = files("server.wood").joinpath("salts.csv").read_text(encoding="utf-8")
    rows: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(text.splitlines()):
        rows.setdefault(row["salt_formula"], []).append(row)
    return MappingProxyType({formula: _salt(formula, some) for formula, some in rows.items()})


def salt(formula: str) -> Salt:
    """The salt of that formula, written as in the table but in any case of letters. Raises :class:`UnknownSalt`."""
    for known, found in salts().items():
        if known.lower() == formula.strip().lower():
            return found
    raise UnknownSalt(formula, tuple(salts()))


def _salt(formula: str, rows: list[dict[str, str]]) -> Salt:
    rows = sorted(rows, key=lambda row: float(row["temperature_c"]))

    def column(key: str) -> tuple[float, ...]:
        return tuple(float(row[key]) for row in rows)

    return Salt(
        formula,
        rows[0]["salt_name"],
        column("temperature_c"),
        column("rh_pct"),
        column("uncertainty_rh_pct"),
        tuple(row["provenance"] for row in rows),
        rows[0]["source"],
    )
