"""What lies between a face and the air: the resistances of covers.csv, where one is published."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType


class UnknownCover(ValueError):
    """No such cover, or none with a published resistance. ``known`` holds those there are."""

    def __init__(self, found: str, known: tuple[str, ...], reason: str = "") -> None:
        self.found, self.known = found, known
        near = get_close_matches(found, known, n=3, cutoff=0.5) or known
        super().__init__(f"cover: found {found!r}{reason}; would be right: one of {', '.join(near)}")


@dataclass(frozen=True, slots=True)
class Cover:
    """One cover: water vapour's way through it, m² s Pa/kg, in series with the air's film."""

    key: str
    name: str
    resistance_m2_s_pa_kg: float
    note: str
    source: str


def find(key: str) -> Cover:
    """The cover of that key. Raises :class:`UnknownCover`: also where only its effectiveness in a test is published."""
    covers, others = _table()
    if key in covers:
        return covers[key]
    reason = ", of which no resistance is published" if key in others else ""
    raise UnknownCover(key, tuple(covers), reason)


@cache
def _table() -> tuple[Mapping[str, Cover], frozenset[str]]:
    text = (files(__package__) / "covers.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    column = "resistance_m2spa_per_kg"
    covers = {
        r["key"]: Cover(r["key"], r["name"], float(r[column]), r["note"], f"{r['source']} ({r['provenance']})")
        for r in rows
        if r[column]
    }
    return MappingProxyType(covers), frozenset(r["key"] for r in rows) - covers.keys()
