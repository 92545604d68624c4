"""What the bench book asks for, field by field: usual answers, so that few touches are needed. No Kivy."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kiosk.pages.base import Seen
from kiosk.pages.form import Field, Options, Values
from kiosk.pages.forms import COVERS, constant, said, species, zones
from kiosk.words import Words

TYPED = "typed"
"""The air of no zone: as it was entered."""
SALTS = (
    "LiCl", "CH3COOK", "MgCl2", "K2CO3", "Mg(NO3)2", "NaBr", "KI", "NaNO3", "NaCl", "(NH4)2SO4", "KCl", "KNO3", "K2SO4",
)  # fmt: skip
"""By their formulas, the driest air first."""
BOARDS = "mdf", "particleboard"
MOISTURES = (6.0, 7.0, 8.0, 9.0, 10.0, 12.0)
THICKNESSES = (20.0, 25.4, 27.0, 34.0, 41.0, 52.0)
WIDTHS = (100.0, 150.0, 200.0, 250.0, 300.0, 450.0)
LOOKS: dict[str, Callable[[Words, str], str]] = {
    "book-fit": lambda words, value: words(f"book-fit-{value}"),
    "book-lies": lambda words, value: words(f"book-lies-{value}"),
    "book-scale": lambda words, value: words(f"book-scale-{value}"),
    "book-ends": lambda words, value: words(f"book-ends-{value}"),
    "book-glass": lambda words, value: words(f"book-glass-{value}"),
    "book-core": lambda words, value: words(f"book-core-{value}"),
}
"""Families of words, written out so that every key can be found."""


def told(family: str, *values: str) -> Options:
    """Choices whose texts are the book's words."""
    return lambda seen, _: tuple((value, LOOKS[family](seen.words, value)) for value in values)


def airs(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """Of each zone, and one that is entered."""
    return (*zones(seen, values), (TYPED, seen.words("book-other-air")))


def covers(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """Nothing, the wrap, or a finish."""
    bare = tuple((value, seen.words(f"book-cover-{value}")) for value in ("bare", "wrapped"))
    return (*bare, *said("cover", *COVERS)(seen, values))


def salts(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """Formulas, which every label of a jar has."""
    return tuple((salt, salt) for salt in SALTS)


def cores(seen: Seen, values: Values) -> tuple[tuple[Any, str], ...]:
    """What lies in the middle of a panel: a board product, or the wood itself."""
    return told("book-core", *BOARDS, "wood")(seen, values)


def air_of(seen: Seen, zone: str) -> dict[str, float]:
    """A zone's air in whole degrees and per cent, which is as good as it is known; nothing of one that is silent."""
    for one in seen.snapshot["zones"] if seen.snapshot else ():
        air = one.get("air")
        if str(one["id"]) == zone and air is not None:
            return {
                "temperature_c": float(round(air["temperature_c"])),
                "humidity_pct": float(round(air["humidity_pct"])),
            }
    return {}


def first_zone(seen: Seen) -> str:
    """The one that the wall stands for: the first."""
    every = seen.snapshot["zones"] if seen.snapshot else ()
    return next((str(zone["id"]) for zone in every if zone.get("air") is not None), TYPED)


def aim_end(end: str) -> Callable[[Seen, Values], float | None]:
    """The usual answer: an end of the aim of the work in the zone whose air was chosen, or in the first."""

    def found(seen: Seen, values: Values) -> float | None:
        zone = values.get("air", first_zone(seen))
        every = seen.snapshot["zones"] if seen.snapshot else ()
        aims = [one["aim"] for one in every if str(one["id"]) in {zone, first_zone(seen)} and one.get("aim")]
        value = aims[0].get(f"{end}_limit_pct") if aims else None
        return None if value is None else float(value)

    return found


def number(name: str, quantity: str, *quick: float, usual: float | None = None, optional: bool = False) -> Field:
    """A number with usual ones to touch."""
    return Field(
        name, quantity=quantity, quick=quick, optional=optional, usual=None if usual is None else constant(usual)
    )  # fmt: skip


def choice(name: str, family: str, *values: str) -> Field:
    """A choice whose first is usual."""
    return Field(name, options=told(family, *values), usual=constant(values[0]))


SPECIES = Field("species", options=species, letters=True)
THICK = number("thickness_mm", "mm", *THICKNESSES)
WIDE = number("width_mm", "mm", *WIDTHS)
NOW = number("from_pct", "pct", *MOISTURES)
CUT = Field("cut", options=said("cut", "flat", "rift", "quarter"), usual=constant("flat"))
WARM = number("temperature_c", "c", 10, 15, 18, 20, 22, 25)
HUMID = number("humidity_pct", "pct", 25, 35, 45, 55, 65, 75)
AIR = (Field("air", options=airs), WARM, HUMID)
COVER = Field("book_cover", options=covers, usual=constant("bare"))
GRAVITY = number("specific_gravity", "", 0.4, 0.5, 0.6, 0.7, optional=True)
AIM_LOW = Field("aim_low_pct", quantity="pct", usual=aim_end("dry"), quick=(4, 5, 6, 7, 8, 9))
AIM_HIGH = Field("aim_high_pct", quantity="pct", usual=aim_end("damp"), quick=(8, 9, 10, 11, 12, 13))
