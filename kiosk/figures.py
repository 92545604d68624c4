"""Figures and times as they are read: rounded, signed, in a language and in the units chosen. SI comes in, texts go
out; what a person types comes back through ``*_from``.

Exact by definition: an inch is 25.4 mm (International Yard and Pound Agreement, 1959; NIST SP 811 appendix B), °F =
1.8 °C + 32 (NIST SP 811 B.8), a US gallon is 231 cubic inches (NIST Handbook 44 appendix C), 3.785411784 l.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import gcd
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

MINUS = "\N{MINUS SIGN}"
DASH = "—"
DECIMAL_MARKS = {"en": ".", "de": ","}
"""As the Unicode CLDR has them for each language; its own minus sign is U+2212 in ours for both."""
INCH_MM = 25.4
GALLON_L = 231 * 2.54**3 / 1000

UNITS = ("metric", "imperial")
System = Literal["metric", "imperial"]
Fractions = Literal[0, 16, 32]


@dataclass(frozen=True, slots=True)
class Units:
    """What a person chose. ``system`` is what the server is asked in, too; ``inch_fractions`` is the finest part of an
    inch that a length is read to (16 or 32), 0 for inches with decimals; ``quarters`` says whether a thickness that was
    told in quarters is read so."""

    system: System = "metric"
    inch_fractions: Fractions = 16
    quarters: bool = True

    def __post_init__(self) -> None:
        for field, found, right in (
            ("system", self.system, UNITS),
            ("inch_fractions", self.inch_fractions, (0, 16, 32)),
            ("quarters", self.quarters, (True, False)),
        ):
            if found not in right:
                raise ValueError(f"{field}: found {found!r}; would be right: one of {', '.join(map(str, right))}")

    @property
    def imperial(self) -> bool:
        return self.system == "imperial"


METRIC = Units()


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures in one language and one choice of units. Raises ValueError for a language without a decimal mark here."""

    language: str = "en"
    units: Units = METRIC

    def __post_init__(self) -> None:
        if self.language not in DECIMAL_MARKS:
            known = ", ".join(DECIMAL_MARKS)
            raise ValueError(f"language: found {self.language!r}; would be right: one of {known}")

    def number(self, value: float, places: int = 1) -> str:
        """``value`` with that many places, a true minus sign, and never a minus before zero."""
        text = f"{value:.{places}f}"
        if float(text) == 0:
            text = text.lstrip("-")
        return text.replace("-", MINUS).replace(".", DECIMAL_MARKS[self.language])

    def given(self, value: float, places: int = 2) -> str:
        """A number somebody gave, as they would say it: no noughts behind the mark, and no mark without a digit."""
        text = f"{value:.{places}f}"
        return self.number(value, len(text.rstrip("0").partition(".")[2]))

    def number_from(self, text: str) -> float:
        """What was typed on a number pad in this language. Raises ValueError naming what was found."""
        plain = text.strip().replace(MINUS, "-").replace(DECIMAL_MARKS[self.language], ".")
        try:
            return float(plain)
        except ValueError:
            such = self.number(12.5)
            raise ValueError(f"number: found {text!r}; would be right: a number such as {such}") from None

    def pct(self, value: float, places: int = 1) -> str:
        """``6.3 %``: SI and DIN 5008 set a space before the sign, in both languages."""
        return f"{self.number(value, places)} %"

    def spread(self, low: float, high: float) -> str:
        """Half of the distance between the ends, at least the smallest step shown."""
        return f"± {self.number(max(0.1, (high - low) / 2))}"

    def temperature(self, celsius: float | None, places: int = 1) -> str:
        """One place, or a dash where there is none: air without vapour has no dew point."""
        if celsius is None:
            return DASH
        return f"{self.number(self.degrees(celsius), places)} {self.degree_unit}"

    def degrees(self, celsius: float) -> float:
        """The figure of a temperature in the units chosen."""
        return celsius * 1.8 + 32.0 if self.units.imperial else celsius

    def celsius_from(self, degrees: float) -> float:
        return (degrees - 32.0) / 1.8 if self.units.imperial else degrees

    @property
    def degree_unit(self) -> str:
        return "°F" if self.units.imperial else "°C"

    def length(self, mm: float, places: int = 1) -> str:
        """A length in mm, or in inches as the units say: ``146.1 mm``, ``5 3/4 in``, ``5.75 in``."""
        if not self.units.imperial:
            return f"{self.given(mm, places)} mm"
        parts = self.units.inch_fractions
        return f"{self._fraction(mm / INCH_MM, parts) if parts else self.given(mm / INCH_MM, places + 2)} in"

    def small_length(self, mm: float) -> str:
        """A length that wood moves by, where a sixteenth of an inch is too coarse: ``0.35 mm``, ``0.014 in``."""
        return f"{self.number(mm / INCH_MM, 3)} in" if self.units.imperial else f"{self.number(mm, 2)} mm"

    def thickness(self, mm: float, quarters: int | None = None) -> str:
        """As it was told where it was told in quarters (``8/4``) and that is how it is to be read; else a length."""
        return f"{quarters}/4" if quarters and self.units.quarters else self.length(mm)

    def lengths(self, mm: float) -> float:
        """The figure of a length in the units chosen, for a number pad."""
        return mm / INCH_MM if self.units.imperial else mm

    def mm_from(self, length: float) -> float:
        """mm of what was typed, in inches or mm."""
        return length * INCH_MM if self.units.imperial else length

    @property
    def length_unit(self) -> str:
        return "in" if self.units.imperial else "mm"

    def _fraction(self, inches: float, parts: int) -> str:
        """To the nearest part, halves away from nought, in lowest terms: ``5 3/4``, ``−1/16``, ``0``."""
        whole, rest = divmod(int(abs(inches) * parts + 0.5), parts)
        sign = MINUS if inches < 0 and (whole or rest) else ""
        if not rest:
            return f"{sign}{whole}"
        shared = gcd(rest, parts)
        fraction = f"{rest // shared}/{parts // shared}"
        return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"

    def volume(self, litres: float, places: int = 1) -> str:
        """Water for the air: litres, or US gallons."""
        if self.units.imperial:
            return f"{self.number(litres / GALLON_L, places)} gal"
        return f"{self.number(litres, places)} l"

    def litres_from(self, volume: float) -> float:
        return volume * GALLON_L if self.units.imperial else volume

    def clock(self, t_ms: int, timezone: str) -> str:
        """Hours and minutes as the server writes them: ``7:42``."""
        then = local(t_ms, timezone)
        return f"{then.hour}:{then.minute:02d}"

    def stamp(self, t_ms: int, timezone: str, words: Callable[..., str]) -> str:
        """A moment with its day, as the server's clock says it: ``Tue 12 Jan · 7:42``, ``Di 12. Jan · 7:42``."""
        then = local(t_ms, timezone)
        return words(
            "stamp",
            weekday=words("weekday-short", day=then.isoweekday()),
            date=self.date(t_ms, timezone, words),
            clock=self.clock(t_ms, timezone),
        )

    def date(self, t_ms: int, timezone: str, words: Callable[..., str]) -> str:
        """``12 Jan``, ``12. Jan``."""
        then = local(t_ms, timezone)
        return words("date", day_of_month=str(then.day), month=words("month-short", month=then.month))


def zone_of(name: str) -> ZoneInfo:
    """The shop's time zone; UTC when this machine does not know the name (the labels' days may then shift)."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return ZoneInfo("UTC")


def local(t_ms: int, timezone: str) -> datetime:
    """That moment in the shop's time zone."""
    return datetime.fromtimestamp(t_ms / 1000, UTC).astimezone(zone_of(timezone))


def midnights(from_ms: int, to_ms: int, timezone: str) -> list[tuple[int, int]]:
    """(t_ms, weekday 0..6 from Monday) of every local midnight inside; 23 and 25 hour days come out right."""
    day = local(from_ms, timezone).replace(hour=0, minute=0, second=0, microsecond=0)
    found: list[tuple[int, int]] = []
    while True:
        day = (day.replace(tzinfo=None) + timedelta(days=1)).replace(tzinfo=day.tzinfo)
        t_ms = round(day.timestamp() * 1000)
        if t_ms > to_ms:
            return found
        if t_ms > from_ms:
            found.append((t_ms, day.weekday()))
