"""Does this panel of glued layers stay flat when its moisture changes, and how far does it move?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request, RestsOn
from server.book.board_request import found_species
from server.wood import sheet_goods
from server.wood.layers import ALONG_PER_PCT, Laminate, Layer, laminate
from server.wood.movement import RING_ANGLE_DEG, across_width, change
from server.wood.ranges import within
from server.wood.species import NotPublished, Species
from server.wood.strength import modulus_across_mpa, modulus_along_mpa, tension_perpendicular_mpa
from server.words import Sentence

CAUTION = Sentence("book-caution-layers")
SOURCE = "Moments of glued layers: Timoshenko, J. Opt. Soc. Am. 11 (1925) p. 233, for two; the same sums for many."
FORM = (
    "what,thickness-mm,lies,from-pct,to-pct, from the top down: a species key, mdf, particleboard or modulus:movement "
    "(MPa, and a fraction per 1 % MC); 0.05 to 300 mm; flat, rift, quarter, along (grain with the width) or any; "
    "0 to 30 % MC"
)
_FLAT_MM = 0.05
"""Less is below what a straightedge shows."""
_STILL_MM = 0.005
_SLACK = 0.1
"""A smaller tension index is not worth a word."""
_LYING = (*RING_ANGLE_DEG, "along")


class LayersRequest(Request):
    """The layers from the top down and the width to look at."""

    layer: tuple[str, ...] = Field(min_length=1, max_length=30, description=f"once or more, each {FORM}")
    width_mm: float = Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")


@dataclass(frozen=True, slots=True)
class _Read:
    """A layer as it was meant: for the sums, and what it rests on."""

    what: str
    layer: Layer
    source: str
    rests_on: tuple[RestsOn, ...] = ()
    strength_mpa: float | None = None

    def index(self, stress_mpa: float) -> float | None:
        """The stress over the tension strength across the grain; None where that is not known or not what pulls."""
        return None if self.strength_mpa is None else max(stress_mpa, 0.0) / self.strength_mpa


class LayersQuestion:
    """Cup and movement of a veneered board, a core, a panel with one face veneered."""

    name = "layers"
    summary = "whether a panel of glued layers stays flat when its moisture changes, and how far it moves"
    request: type[Request] = LayersRequest

    def answer(self, request: LayersRequest, /) -> Answer:
        """``cup_mm`` (positive: the top goes hollow), ``width_change_mm`` (signed), ``thickness_mm``, ``balanced`` (no
        cup to see), ``layers``: each one's ``free_change_mm`` by itself, mean ``stress_mpa`` (tension positive) and
        ``tension_index``, that over the strength across the grain (None where it is not known)."""
        read = [_read(request, text) for text in request.layer]
        panel = laminate([one.layer for one in read])
        cup = panel.cup_mm(request.width_mm / 1000)
        figures: dict[str, Any] = {
            "cup_mm": cup,
            "width_change_mm": panel.strain * request.width_mm,
            "thickness_mm": 1000 * panel.thickness_m,
            "balanced": abs(cup) < _FLAT_MM,
            "layers": [
                {
                    "what": one.what,
                    "thickness_mm": 1000 * one.layer.thickness_m,
                    "modulus_mpa": one.layer.modulus_mpa,
                    "free_change_mm": one.layer.free_strain * request.width_mm,
                    "stress_mpa": stress,
                    "tension_index": one.index(stress),
                }
                for one, stress in zip(read, panel.stress_mpa, strict=True)
            ],
        }
        sources = (SOURCE, *dict.fromkeys(one.source for one in read))
        rests_on = tuple(on for one in read for on in one.rests_on)
        said = (*_said(request, panel, cup), *_stretched(read, panel))
        return Answer(figures, said, sources, CAUTION, (), rests_on)


def _read(request: LayersRequest, text: str) -> _Read:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 5:
        raise _wrong(text, FORM)
    what, lies = parts[0], parts[2]
    thickness, start, end = (_number(text, part) for part in (parts[1], parts[3], parts[4]))
    try:
        within("from_pct", start, 0, 30, "% MC")
        within("to_pct", end, 0, 30, "% MC")
        if ":" in what:
            return _own(text, what, thickness, end - start)
        if what.lower() in sheet_goods.products():
            return _product(text, what.lower(), thickness, end - start)
        return _wood(_known(request, text, what), text, thickness, (start, end), lies=lies)
    except NotPublished as missing:
        raise _wrong(text, f"{missing.right}, or modulus:movement in place of {what}") from None
    except ValueError as wrong:
        raise _wrong(text, str(wrong).rpartition("would be right: ")[2]) from None


def _known(request: LayersRequest, text: str, what: str) -> Species:
    try:
        return found_species(request, what)
    except BadRequest as unknown:
        right = f"{unknown.mistakes[0].would_be_right}; or mdf, particleboard, or modulus:movement"
        raise _wrong(text, right) from None


def _wood(known: Species, text: str, thickness_mm: float, moved: tuple[float, float], *, lies: str) -> _Read:
    if lies not in _LYING:
        raise _wrong(text, f"one of {', '.join(_LYING)} for how wood lies")
    rests_on = ((known, "shrinkage"), (known, "coefficient"))
    if lies == "along":
        stiff, strain, source = _along(known, moved)
        return _Read(known.key, Layer(thickness_mm / 1000, stiff, strain), f"{known.key}: {source}.", rests_on)
    stiff, strain, source = _across(known, moved, lies)
    layer = Layer(thickness_mm / 1000, stiff, strain)
    try:
        strength = tension_perpendicular_mpa(known)
    except NotPublished:
        return _Read(known.key, layer, f"{known.key}: {source}.", rests_on)
    return _Read(known.key, layer, f"{known.key}: {source}; strength {strength.source}.", rests_on, strength.value)


def _across(known: Species, moved: tuple[float, float], lies: str) -> tuple[float, float, str]:
    across = across_width(known, RING_ANGLE_DEG[lies])
    stiff = modulus_across_mpa(known, RING_ANGLE_DEG[lies])
    return stiff.value, float(change(across, 1.0, *moved)), f"movement {across.source}; modulus {stiff.source}"


def _along(known: Species, moved: tuple[float, float]) -> tuple[float, float, str]:
    stiff = modulus_along_mpa(known)
    strain = ALONG_PER_PCT * (moved[1] - moved[0])
    return stiff.value, strain, f"movement along the grain Wood Handbook ch. 4 (memory); modulus {stiff.source}"


def _product(text: str, key: str, thickness_mm: float, change_pct: float) -> _Read:
    one = sheet_goods.product(key)
    if one.length_per_pct_mc is None:
        raise _wrong(text, f"its veneers one by one, or modulus:movement: no movement of {key} per 1 % MC is published")
    stiff, per_pct = (0.5 * sum(ends) for ends in (one.modulus_mpa, one.length_per_pct_mc))
    layer = Layer(thickness_mm / 1000, stiff, per_pct * change_pct)
    return _Read(key, layer, f"{key}: movement {one.source} ({one.provenance}); modulus {one.modulus_source}.")


def _own(text: str, what: str, thickness_mm: float, change_pct: float) -> _Read:
    stiff, per_pct = (_number(text, part) for part in (what.partition(":")[0], what.partition(":")[2]))
    within("movement", per_pct, -0.005, 0.005, "(a fraction per 1 % MC, not per cent)")
    return _Read(what, Layer(thickness_mm / 1000, stiff, per_pct * change_pct), f"{what}: as given.")


def _number(text: str, part: str) -> float:
    try:
        return float(part)
    except ValueError:
        raise _wrong(text, FORM) from None


def _wrong(text: str, right: str) -> BadRequest:
    return BadRequest((Mistake("layer", repr(text), right),))


def _said(request: LayersRequest, panel: Laminate, cup_mm: float) -> tuple[Sentence, ...]:
    moved = panel.strain * request.width_mm
    way = "shrinks" if moved < 0 else "swells"
    width = Sentence("book-layers-width", {"way": way, "change_mm": abs(moved), "width_mm": request.width_mm})
    moves = () if abs(moved) < _STILL_MM else (width,)
    if abs(cup_mm) < _FLAT_MM:
        return Sentence("book-layers-flat", {"width_mm": request.width_mm}), *moves
    face = "top" if cup_mm > 0 else "bottom"
    cup = Sentence("book-layers-cup", {"cup_mm": abs(cup_mm), "width_mm": request.width_mm, "face": face})
    return cup, *moves, Sentence("book-layers-balance")


def _stretched(read: list[_Read], panel: Laminate) -> tuple[Sentence, ...]:
    indices = [(one.index(stress) or 0.0, one.what) for one, stress in zip(read, panel.stress_mpa, strict=True)]
    index, what = max(indices)
    return () if index < _SLACK else (Sentence("book-layers-stretched", {"what": what, "index": index}),)
