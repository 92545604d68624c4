"""Colours and sizes. Pure figures: no Kivy, so that contrast and touch targets are tested without a window."""

from __future__ import annotations

import math
from dataclasses import dataclass

Colour = tuple[float, float, float, float]

CAP_HEIGHT = (
    0.70  # Barlow Semi Condensed: capital height, ascent and descent as shares of the font size (its OS/2, hhea)
)
ASCENT = 1.00
DESCENT = 0.20
MM_PER_INCH = 25.4
SMALL_PANEL_INCH = 8.0


def colour(hexadecimal: str) -> Colour:
    """``#rrggbb`` as four numbers 0..1."""
    red, green, blue = (int(hexadecimal[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return red, green, blue, 1.0


GROUND = colour("#1d1a17")
PANEL = colour("#282420")
RAISED = colour("#332d27")
SUNK = colour("#171411")
RULE = colour("#4a433b")
EDGE = colour("#8a7f70")
TEXT = colour("#f4eee2")
QUIET = colour("#cfc5b5")
AMBER = colour("#ffb526")
READY = colour("#9fd08a")
WAIT = colour("#a3c8e8")
LOOK = colour("#e8d38a")
AIM_BAND = colour("#3d3429")
SPREAD = colour("#62553f")
WORDS: dict[str, Colour] = {"ready": READY, "wait": WAIT, "look": LOOK, "act": AMBER}

BROWN = colour("#b07434")
STRAW = colour("#ead7a4")
TEAL = colour("#007f70")
BROWN_BELOW_PCT = 2.0  # this far past a limit of the aim the scale is wholly brown, or wholly blue-green
TEAL_ABOVE_PCT = 3.0


def mixed(one: Colour, other: Colour, share: float) -> Colour:
    """``one`` at share 0, ``other`` at share 1; shares outside are held at the ends."""
    s = min(1.0, max(0.0, share))
    red, green, blue, alpha = (a + (b - a) * s for a, b in zip(one, other, strict=True))
    return red, green, blue, alpha


def moisture_colour(pct: float, dry_limit_pct: float, damp_limit_pct: float) -> Colour:
    """Brown when dry, straw inside the aim, blue-green when damp; ``pct`` is % MC against that aim."""
    if pct < dry_limit_pct:
        return mixed(STRAW, BROWN, (dry_limit_pct - pct) / BROWN_BELOW_PCT)
    return mixed(STRAW, TEAL, (pct - damp_limit_pct) / TEAL_ABOVE_PCT)


def luminance(value: Colour) -> float:
    """Relative luminance 0..1 as WCAG 2.2 defines it."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in value[:3]]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio 1..21 as WCAG 2.2 defines it."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def guessed_dpi(width_px: int, height_px: int) -> float:
    """Density of a panel nobody measured: 800x480 and 1024x600 panels are mostly 7 inch, the others 10.1 (common
    practice, no source). ``--dpi`` is the true figure."""
    inch = 7.0 if min(width_px, height_px) <= 600 else 10.1
    return math.hypot(width_px, height_px) / inch


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every length the screens use, in pixels, for one window."""

    upright: bool
    scale: float
    small: float
    body: float
    heading: float
    title: float
    floor: float
    gap: float
    pad: float
    corner: float
    band: float
    bar: float
    zone_row: float
    px_per_mm: float
    target: float
    deed_gap: float
    far_text: float


def sizes(width_px: int, height_px: int, dpi: float) -> Sizes:
    """Lengths for a window of that many pixels and true density (dots per inch).

    A touch target is 15 mm (10 mm under 8 inches across); between a deed and its neighbour lie 12 mm; capitals of the
    far view are at least 9 mm. Raises ValueError for a window under 320x320 or a density outside 30..1000.
    """
    if min(width_px, height_px) < 320:
        raise ValueError(f"size: found {width_px}x{height_px}; would be right: at least 320x320")
    if not 30 <= dpi <= 1000:
        raise ValueError(f"dpi: found {dpi}; would be right: 30 to 1000")
    upright = height_px > width_px
    s = min(width_px / 760, height_px / 1280) if upright else min(width_px / 1280, height_px / 800)
    t = max(s, 0.72)  # letters shrink less than the room around them
    px_per_mm = dpi / MM_PER_INCH
    target = math.ceil((10 if math.hypot(width_px, height_px) / dpi < SMALL_PANEL_INCH else 15) * px_per_mm)
    return Sizes(
        upright=upright,
        scale=s,
        small=round(22 * t),
        body=round(26 * t),
        heading=round(28 * t),
        title=round(40 * t),
        floor=round(22 * t),
        gap=round(20 * s * (0.7 if upright or s < 0.7 else 1)),
        pad=round(24 * s * (0.75 if s < 0.7 else 1)),
        corner=round(8 * s),
        band=max(target, round((165 if upright else 121) * t)),
        bar=max(target, round(84 * s)),
        zone_row=max(target, round((124 if upright else 112) * s), round(84 * t)),
        px_per_mm=px_per_mm,
        target=target,
        deed_gap=math.ceil(12 * px_per_mm),
        far_text=math.ceil(9 * px_per_mm / CAP_HEIGHT),
    )
