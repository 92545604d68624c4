"""Generic families of wood adhesive: when wood is dry and warm enough for one, how long it needs, how long to rest.

``adhesives.csv`` holds each family's limits with provenance and source. A make differs from its family, so its
maker's sheet comes first: what is typed in from it (:class:`Sheet`) takes the place of any limit. A limit is *hard*
only where a sheet or a source that was read sets it; one recalled, doubtful or without a source forbids nothing.
"""

from __future__ import annotations

import csv
import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from itertools import pairwise
from types import MappingProxyType
from typing import Literal

from server.wood.maker_sheet import SHEET, Points, Sheet

Verdict = Literal["inside", "outside", "doubtful", "unknown"]
Why = Literal["", "too-cold", "sheet-silent", "longer", "not-found"]
"""Why a time is None: wood below the lowest temperature; colder than the sheet speaks of; longer than the figure for
warm wood, by nobody says how much; or no figure was found."""


class UnknownFamily(ValueError):
    """No such family. ``near`` are the keys that resemble it, or all."""

    def __init__(self, found: str, known: Sequence[str]) -> None:
        self.found = found
        self.near = tuple(difflib.get_close_matches(found.lower(), known, n=3, cutoff=0.5)) or tuple(known)
        super().__init__(f"adhesive: found {found!r}; would be right: one of {', '.join(self.near)}")


@dataclass(frozen=True, slots=True)
class Limit:
    """One row: its ends (None: open, or not found), its unit in the table's words, and what it means.

    Times are for wood at ``at_c`` and double for every ``doubles_per_c`` below it, None where that is not published.
    ``points`` are a sheet's own.
    """

    low: float | None
    high: float | None
    unit: str
    at_c: float | None
    doubles_per_c: float | None
    meaning: str
    provenance: str
    source: str
    points: Points = ()

    @property
    def hard(self) -> bool:
        """Whether it may forbid anything: set by a sheet, or by a source that was read, and not doubtful."""
        if self.low is None and self.high is None and not self.points:
            return False
        return self.source == SHEET or (self.provenance.startswith("read") and "DOUBTFUL" not in self.provenance)


@dataclass(frozen=True, slots=True)
class Needed:
    """Hours an adhesive needs: the ends, or None, ``why``, and the temperature below which that is so, °C."""

    low_h: float | None
    high_h: float | None
    provenance: str
    source: str
    why: Why = ""
    below_c: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One question put to a glue-up: what was found, its limit, whether it holds; only a hard limit says outside."""

    limit: str
    found: float
    low: float | None
    high: float | None
    verdict: Verdict
    provenance: str
    source: str


@dataclass(frozen=True, slots=True)
class Family:
    """One family with its limits by name: mc, mc-apart, lowest-temperature, clamp, cure, rest, shelf, spread and
    solids."""

    key: str
    name: str
    limits: Mapping[str, Limit]

    def by(self, sheet: Sheet) -> Family:
        """The same with every limit the sheet states in place of the table's."""
        typed = {
            "mc": _typed("% MC", *(sheet.mc_pct or (None, None))),
            "lowest-temperature": _typed("C", sheet.lowest_c, sheet.lowest_c),
            "clamp": replace(_typed("h"), points=sheet.clamp_h),
            "cure": replace(_typed("h"), points=sheet.cure_h),
            "rest": _typed("d", sheet.rest_days, sheet.rest_days),
        }
        told = {name: limit for name, limit in typed.items() if limit.hard}
        return replace(self, limits=MappingProxyType({**self.limits, **told}))

    @property
    def gels(self) -> bool:
        """Whether it is used hot and gels as it cools (Wood Handbook Table 10-3, as in its row): wood and air have to
        be warm until the clamps are on, and cold does it no harm after."""
        return self.key == "hide"

    @property
    def lowest_in_clamps(self) -> Limit:
        """The lowest temperature once the clamps are on: open for one that gels as it cools."""
        lowest = self.limits["lowest-temperature"]
        return replace(lowest, low=None, high=None) if self.gels else lowest

    @property
    def rest_days(self) -> tuple[float, float] | None:
        """Least and most days from the clamps to flattening a panel, or None where no figure was found.

        A glue line swells with the glue's water; planed before it has dried out it sinks later.
        """
        rest = self.limits["rest"]
        return None if rest.low is None or rest.high is None else (rest.low, rest.high)

    @property
    def water_kg_m2(self) -> tuple[float, float, float] | None:
        """What a line of it brings into the wood, kg to each m² of line: the middle and the ends of its central 80 %,
        spread and solids each at both of theirs by squares; None for one that brings none of its own."""
        spread, solids = self.limits["spread"], self.limits["solids"]
        if spread.low is None or spread.high is None or solids.low is None or solids.high is None:
            return None
        pairs = (spread.low / 1000.0, spread.high / 1000.0), (1.0 - solids.high / 100.0, 1.0 - solids.low / 100.0)
        middle = math.prod(math.sqrt(low * high) for low, high in pairs)
        half = math.hypot(*(0.5 * math.log(high / low) for low, high in pairs))
        return middle, middle * math.exp(-half), middle * math.exp(half)

    def needs(self, what: Literal["clamp", "cure"], wood_temperature_c: float) -> Needed:
        """Hours in clamps, or to full strength, for wood of that temperature, °C; None and why where unknown.

        A sheet's points are joined by straight lines in log time; above the warmest its time stands, below the coldest
        nothing is said. The table's time stands from ``at_c`` up; below it doubles where that is published. PVA at
        12.77 °C: 2 h in clamps. Raises ValueError outside -50..100 °C.
        """
        _check("wood_temperature_c", wood_temperature_c, -50, 100, "°C")
        limit, coldest = self.limits[what], self.limits["lowest-temperature"]
        if coldest.hard and coldest.low is not None and wood_temperature_c < coldest.low:
            return _unknown(coldest, "too-cold", coldest.low)
        if limit.points:
            return _from_points(limit, wood_temperature_c)
        if limit.low is None or limit.high is None or limit.at_c is None:
            return _unknown(limit, "not-found")
        colder_c = max(limit.at_c - wood_temperature_c, 0.0)
        if colder_c and limit.doubles_per_c is None:
            return _unknown(limit, "longer", limit.at_c)
        times = 2.0 ** (colder_c / limit.doubles_per_c) if limit.doubles_per_c else 1.0
        return Needed(limit.low * times, limit.high * times, limit.provenance, limit.source)

    def judge(
        self, mean_pct: float, wood_temperature_c: float, *, apart_pct: float | None = None
    ) -> tuple[Finding, ...]:
        """Whether wood of that mean moisture (0..200 % MC) and temperature (°C) suits it, one finding a limit.

        ``apart_pct`` is how far apart the pieces lie. Raises ValueError for figures outside those ranges or not finite.
        """
        _check("mean_pct", mean_pct, 0, 200, "% MC")
        _check("wood_temperature_c", wood_temperature_c, -50, 100, "°C")
        if apart_pct is not None:
            _check("apart_pct", apart_pct, 0, 200, "% MC")
        lowest = self.limits["lowest-temperature"]
        found = [
            _find("mc", mean_pct, self.limits["mc"]),
            _find("lowest-temperature", wood_temperature_c, replace(lowest, high=None), unsure_to=lowest.high),
        ]
        if apart_pct is not None:
            found.append(_find("mc-apart", apart_pct, self.limits["mc-apart"]))
        return tuple(found)


@cache
def families() -> MappingProxyType[str, Family]:
    """Every family by its key, in the table's order."""
    rows: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(files("server.wood").joinpath("adhesives.csv").read_text(encoding="utf-8").splitlines()):
        rows.setdefault(row["family"], []).append(row)
    return MappingProxyType({key: _family(key, some) for key, some in rows.items()})


def family(key: str) -> Family:
    """The family of that key, in any case of letters. Raises :class:`UnknownFamily`."""
    found = families().get(key.strip().lower())
    if found is None:
        raise UnknownFamily(key, tuple(families()))
    return found


def by_sheet() -> Family:
    """A family of which nothing is known: what an adhesive's maker says of it comes on top (:meth:`Family.by`)."""
    units = {name: limit.unit for name, limit in next(iter(families().values())).limits.items()}
    unknown = {
        name: Limit(None, None, unit, None, None, "", "not found", "no family named") for name, unit in units.items()
    }
    return Family("", "adhesive by its maker's sheet", MappingProxyType(unknown))


def _check(name: str, found: float, low: float, high: float, unit: str) -> None:
    if not low <= found <= high:
        raise ValueError(f"{name}: found {found:g}; would be right: {low:g} to {high:g} {unit}")


def _find(name: str, found: float, limit: Limit, *, unsure_to: float | None = None) -> Finding:
    low, high = limit.low, limit.high
    verdict: Verdict
    if low is None and high is None:
        verdict = "unknown"
    elif (low is None or found >= low) and (high is None or found <= high):
        verdict = "doubtful" if unsure_to is not None and found < unsure_to else "inside"
    else:
        verdict = "outside" if limit.hard else "doubtful"
    return Finding(name, found, low, high, verdict, limit.provenance, limit.source)


def _from_points(limit: Limit, wood_temperature_c: float) -> Needed:
    coldest, warmest = limit.points[0], limit.points[-1]
    if wood_temperature_c < coldest[0]:
        return _unknown(limit, "sheet-silent", coldest[0])
    hours = warmest[1]
    for (cold_c, slow_h), (warm_c, fast_h) in pairwise(limit.points):
        if cold_c <= wood_temperature_c < warm_c:
            part = (wood_temperature_c - cold_c) / (warm_c - cold_c)
            hours = math.exp((1 - part) * math.log(slow_h) + part * math.log(fast_h))
    return Needed(hours, hours, limit.provenance, limit.source)


def _unknown(limit: Limit, why: Why, below_c: float | None = None) -> Needed:
    return Needed(None, None, limit.provenance, limit.source, why, below_c)


def _typed(unit: str, low: float | None = None, high: float | None = None) -> Limit:
    return Limit(low, high, unit, None, None, "", "typed in", SHEET)


def _number(text: str) -> float | None:
    return float(text) if text else None


def _family(key: str, rows: list[dict[str, str]]) -> Family:
    limits = {
        row["limit"]: Limit(
            _number(row["low"]),
            _number(row["high"]),
            row["unit"],
            _number(row["at_c"]),
            _number(row["doubles_per_c"]),
            row["meaning"],
            row["provenance"],
            row["source"],
        )
        for row in rows
    }
    return Family(key, limits.pop("name").meaning, MappingProxyType(limits))
