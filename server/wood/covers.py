"""What lies between a face and the air: the resistances of covers.csv.

A film's or a paint's stands as it was published. A finish of which only the moisture-excluding effectiveness is known
(Wood Handbook Table 16-3: a percentage of a fixed test in damp air) has the one that makes it in that test, simulated
(tests/wood/fit_covers.py); its spread is what the test's days say apart. Coats hold back less the damper they are (NT
Build 331, 1987; Bauphysik 37, 2015, 186-195: abstracts, read), so in dry air expect its upper end or more.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, cast


class UnknownCover(ValueError):
    """No such cover. ``known`` holds those there are, ``near`` those whose names are like it, or the first ones."""

    def __init__(self, found: str, known: tuple[str, ...]) -> None:
        self.found, self.known = found, known
        wanted = found.strip().lower().replace(" ", "-").replace("_", "-")
        stems = [key for key in known if wanted and key.startswith(wanted)][:8]
        self.near = tuple(stems or get_close_matches(wanted, known, n=4, cutoff=0.5) or known[:3])
        super().__init__(f"cover: found {found!r}; would be right: one of {', '.join(self.near)}")


@dataclass(frozen=True, slots=True)
class Cover:
    """One cover: water vapour's way through it, m² s Pa/kg, in series with the air's film, and its spread (the same
    twice where none is known). ``fitted`` says that it was made from an effectiveness; ``misfit_pct`` is by how much
    its own is then above the published one after 1, 7 and 14 days."""

    key: str
    name: str
    kind: Literal["none", "film", "finish"]
    resistance_m2_s_pa_kg: float
    low_m2_s_pa_kg: float
    high_m2_s_pa_kg: float
    misfit_pct: tuple[float | None, float | None, float | None]
    note: str
    source: str

    @property
    def fitted(self) -> bool:
        """Whether the resistance was fitted to an effectiveness."""
        return self.misfit_pct != (None, None, None)


def find(key: str) -> Cover:
    """The cover of that key. Raises :class:`UnknownCover`."""
    known = all_covers()
    if key in known:
        return known[key]
    raise UnknownCover(key, tuple(known))


@cache
def all_covers() -> Mapping[str, Cover]:
    """Every cover of the table, by key."""
    text = (files(__package__) / "covers.csv").read_text(encoding="utf-8")
    return MappingProxyType({row["key"]: _cover(row) for row in csv.DictReader(text.splitlines())})


def _cover(row: Mapping[str, str]) -> Cover:
    def number(name: str) -> float | None:
        return float(row[name]) if row[name] else None

    resistance = float(row["resistance_m2spa_per_kg"])
    low, high = (number(f"resistance_{end}_m2spa_per_kg") for end in ("low", "high"))
    one, seven, fourteen = (number(f"misfit_{day}_pct") for day in (1, 7, 14))
    return Cover(
        row["key"],
        row["name"],
        cast(Literal["none", "film", "finish"], row["kind"]),
        resistance,
        resistance if low is None else low,
        resistance if high is None else high,
        (one, seven, fourteen),
        row["note"],
        f"{row['source']} ({row['provenance']})",
    )
