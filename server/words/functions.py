"""What sentences ask for beyond figures: an article before a name, a temperature in the units asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

Units = Literal["metric", "imperial"]
Language = Literal["en", "de"]
"""Those that may be asked for; a sentence that one of them does not have is said in English."""
MINUS = "−"
DECIMAL_MARKS = {"en": ".", "de": ","}
"""As the Unicode CLDR has them (symbols-numberSystem-latn, decimal); NUMBER() takes the same from Babel."""


def figure_text(value: float, decimals: int = 1, language: str = "en") -> str:
    """A figure with that many decimals, with a true minus sign and without a negative nought: ``6.3``, ``−0.5``."""
    text = f"{value:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", MINUS).replace(".", DECIMAL_MARKS[language])


def given_text(value: float, language: str = "en") -> str:
    """A figure somebody gave, as they would say it: one decimal, or none where that is a nought: ``150``, ``20.6``."""
    return figure_text(value, 0 if figure_text(value).endswith(".0") else 1, language)


def length_text(mm: float, language: str = "en") -> str:
    """A length that was reckoned: to a tenth of a millimetre, more than wood keeps to. ``1.4``, ``< 0.1`` where it is
    there but does not show so, ``0`` below a hundredth of one."""
    if abs(mm) < 0.005:
        return "0"
    return f"< {figure_text(0.1, 1, language)}" if abs(mm) < 0.05 else figure_text(mm, 1, language)


def fine_text(mm: float, language: str = "en") -> str:
    """A small length that was reckoned, to a hundredth of a millimetre below one: ``0.12``, ``< 0.01`` for what does
    not show so, ``1.4`` from one on."""
    if abs(mm) < 0.005:
        return f"< {figure_text(0.01, 2, language)}"
    return figure_text(mm, 2, language).rstrip("0") if abs(mm) < 0.995 else figure_text(mm, 1, language)


def within_text(mm: float, language: str = "en") -> str:
    """How flat something stays, to a tenth of a millimetre and no closer: ``0.1`` for all below."""
    return figure_text(max(0.1, abs(mm)), 1, language)


def temperature_text(temperature_c: float, units: Units = "metric", language: str = "en") -> str:
    """A temperature as read on the wall: ``20.4 °C``, or ``69 °F`` (NIST SP 811 B.8: °F = 1.8 °C + 32)."""
    if units == "imperial":
        return f"{figure_text(temperature_c * 1.8 + 32.0, 0)} °F"
    return f"{figure_text(temperature_c, 1, language)} °C"


def plain(name: str) -> str:
    """A name inside a sentence: a small first letter, unless the first word is somebody's or written its own way."""
    return name[:1].lower() + name[1:] if _is_common(name) else name


def the(name: object, at: object = "") -> str:
    """``Bench room`` -> ``the bench room``, at the start of a sentence ``The bench room``; ``Marta's loft``, ``CNC 2``
    and ``The loft`` keep to themselves."""
    text = str(name)
    if not _is_common(text):
        return text
    inside = plain(text)
    if not inside.startswith("the "):
        inside = f"the {inside}"
    return inside[:1].upper() + inside[1:] if at == "start" else inside


def _is_common(name: str) -> bool:
    first = name.split(" ", 1)[0]
    return len(first) > 1 and first.isalpha() and first[1:].islower()


def span_text(seconds: float) -> str:
    """A time that something lasted, in its two greatest units: ``3 d 4 h``, ``6 h 20 min``, ``12 min``, ``40 s``."""
    whole = max(0, round(seconds))
    for least_s, unit, rest_s, rest in ((86_400, "d", 3600, "h"), (3600, "h", 60, "min")):
        if whole >= least_s:
            more = whole % least_s // rest_s
            return f"{whole // least_s} {unit}" + (f" {more} {rest}" if more else "")
    return f"{whole // 60} min" if whole >= 60 else f"{whole} s"


def functions(units: Units, language: str = "en") -> Mapping[str, Callable[..., str | int]]:
    """By the name a sentence calls them. An article and a small first letter are English: elsewhere a name keeps to
    itself."""
    english = language == "en"
    return {
        "THE": the if english else lambda name, at="": str(name),  # noqa: ARG005 - called as the English one is
        "PLAIN": lambda name: plain(str(name)) if english else str(name),
        "FIGURE": lambda value: figure_text(float(value), 1, language),
        "GIVEN": lambda value: given_text(float(value), language),
        "MM": lambda mm: length_text(float(mm), language),
        "FINE": lambda mm: fine_text(float(mm), language),
        "WITHIN": lambda mm: within_text(float(mm), language),
        "SPAN": lambda seconds: span_text(float(seconds)),
        "WHOLE": lambda value: round(float(value)),
        "TEMPERATURE": lambda temperature_c: temperature_text(float(temperature_c), units, language),
    }
