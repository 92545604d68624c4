"""Where a piece will live, as the band of moisture content it must live in.

Three regions are printed in the Wood Handbook, Table 13-2, for woodwork indoors; `interior_recommended_mc.csv` holds
them with their provenance. Anywhere else is two numbers, typed in.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from server.reading import Aim

LEAST_PCT, MOST_PCT = 2.0, 25.0
"""Dry joinery lives between these; a limit beyond them is a slip of the finger."""


@dataclass(frozen=True, slots=True)
class Region:
    """One printed row: moisture content at installation, % dry basis, average of a lot and range of its pieces."""

    key: str
    name: str
    average_pct: float
    low_pct: float
    high_pct: float
    provenance: str
    source: str


class UnknownRegion(ValueError):
    """No such region; the text names the nearest keys."""


@cache
def regions() -> MappingProxyType[str, Region]:
    """The printed regions by key, in the table's order."""
    text = files("server.shop").joinpath("interior_recommended_mc.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return MappingProxyType({row["key"]: _region(row) for row in rows})


def region_aim(key: str, destination: str = "") -> Aim:
    """The aim of a printed region: its ends are the least and the most that table allows a single piece.

    ``destination`` is what the shop calls it, else the region's key. ``most-areas`` gives 6..10 %. Raises
    UnknownRegion with the nearest keys.
    """
    region = regions().get(key)
    if region is None:
        near = get_close_matches(key.lower(), regions(), n=2, cutoff=0.4) or list(regions())
        raise UnknownRegion(f"region: found {key!r}; would be right: {' or '.join(near)}")
    return Aim(region.low_pct, region.high_pct, destination or key, region.source)


def numbers_aim(dry_limit_pct: float, damp_limit_pct: float, destination: str = "") -> Aim:
    """An aim of two numbers, % MC, dry limit first. Raises ValueError unless 2 <= dry < damp <= 25."""
    if not LEAST_PCT <= dry_limit_pct < damp_limit_pct <= MOST_PCT:
        found = f"{dry_limit_pct:g}..{damp_limit_pct:g} %"
        raise ValueError(
            f"aim: found {found}; would be right: a dry limit below its damp limit, both {LEAST_PCT:g}..{MOST_PCT:g} %"
        )
    return Aim(dry_limit_pct, damp_limit_pct, destination or "two numbers", "typed in by the shop")


def _region(row: dict[str, str]) -> Region:
    average, low, high = (
        float(row[f"mc_{column}_pct"]) for column in ("average", "individual_min", "individual_max")
    )  # fmt: skip
    return Region(row["key"], row["region"], average, low, high, row["provenance"], row["source"])
