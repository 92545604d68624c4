"""A number being typed on the pad, in the unit that is chosen: what stands there, and what it is in SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from kiosk.blocks import Button

MM_PER_INCH = 25.4
UNITS = {
    "mm": ("mm", "in"),
    "c": ("c", "f"),
    "pct": ("pct",),
    "kg": ("kg", "lb"),
    "h": ("h",),
    "days": ("days",),
    "m3": ("m3", "ft3"),
    "m3h": ("m3h", "cfm"),
    "": ("",),
    "quarters": ("quarters",),
}
"""What a quantity may be entered in; the first is what is told."""
KG_PER_LB = 0.45359237
"""International pound, exactly."""
M3_PER_FT3 = 0.3048**3
"""International foot, exactly; a cubic foot a minute is sixty of it an hour."""
SIXTEENTHS = tuple(Fraction(n, 16) for n in range(1, 16))
MOST_SIGNS = 8


@dataclass(frozen=True, slots=True)
class Entering:
    """``typed`` as it stands, with a point; ``part`` a fraction of an inch beside it."""

    quantity: str = ""
    unit: str = ""
    typed: str = ""
    part: Fraction = Fraction(0)

    @classmethod
    def of(cls, quantity: str, units: str, value: float | None = None) -> Entering:
        """Beginning empty, or with what stood there (told units), in the units of the wall."""
        options = UNITS[quantity]
        unit = options[-1] if units == "imperial" else options[0]
        made = cls(quantity, unit)
        return made if value is None else made.standing(value)

    def standing(self, value: float) -> Entering:
        """With a value of the told unit."""
        shown = from_told(value, self.unit)
        return replace(self, typed=f"{shown:.3f}".rstrip("0").rstrip("."), part=Fraction(0))

    def pressed(self, key: str) -> Entering:
        """After a key of the pad."""
        if key == "back":
            if self.part:
                return replace(self, part=Fraction(0))
            return replace(self, typed=self.typed[:-1])
        if len(self.typed) >= MOST_SIGNS or (key == "." and ("." in self.typed or self.part)):
            return self
        typed = "0." if key == "." and not self.typed else self.typed + key
        return replace(self, typed=typed.lstrip("0") if typed.lstrip("0")[:1].isdigit() else typed)

    def with_part(self, part: Fraction) -> Entering:
        """With a fraction of an inch beside the whole ones."""
        return replace(self, typed=self.typed.partition(".")[0], part=part)

    def in_unit(self, unit: str) -> Entering:
        """The same length in another unit."""
        value = self.value
        other = replace(self, unit=unit, typed="", part=Fraction(0))
        return other if value is None else other.standing(value)

    @property
    def value(self) -> float | None:
        """In the told unit; None where nothing was entered."""
        if not self.typed and not self.part:
            return None
        entered = float(self.typed or 0) + float(self.part)
        told = to_told(entered, self.unit)
        return told if math.isfinite(told) else None

    def shown(self, point: str) -> str:
        """As it is read on the pad."""
        part = f"{self.part.numerator}/{self.part.denominator}" if self.part else ""
        return " ".join(text for text in (self.typed.replace(".", point), part) if text)

    def quick(self) -> tuple[Button, ...]:
        """Eighths of an inch; sixteenths are between them."""
        if self.unit != "in":
            return ()
        eighths = [part for part in SIXTEENTHS if part.denominator <= 8]
        return tuple(
            Button(f"part:{p.numerator}/{p.denominator}", f"{p.numerator}/{p.denominator}", chosen=p == self.part)
            for p in eighths
        )


_ONE = {"in": MM_PER_INCH, "lb": KG_PER_LB, "ft3": M3_PER_FT3, "cfm": 60 * M3_PER_FT3}
"""What one of a unit is in the told one."""


def to_told(value: float, unit: str) -> float:
    """From what was entered."""
    return (value - 32) / 1.8 if unit == "f" else value * _ONE.get(unit, 1.0)


def from_told(value: float, unit: str) -> float:
    """To what is entered."""
    return value * 1.8 + 32 if unit == "f" else value / _ONE.get(unit, 1.0)
