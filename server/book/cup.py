"""How far does this board cup in this air, when is it worst, and how hard is its shell stretched?"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import (
    MODEL_SOURCES,
    WidthRequest,
    after,
    cover_said,
    found_across,
    found_species,
    moving,
    piece_of,
    settling,
)
from server.book.emc import FLAGGED, fit_flags
from server.wood.cup import CupCourse, ShellStrength, cup_course, ring_cup_mm
from server.wood.emc import emc_pct
from server.wood.movement import RING_ANGLE_DEG, across_width, change
from server.wood.strength import modulus_across_mpa, tension_perpendicular_mpa
from server.words import Sentence

CAUTION = Sentence("book-caution-cup")
_FLAT_MM = 0.05
"""Less is below what a straightedge shows."""
_SLACK = 0.02
"""A smaller index is a shell under no tension to speak of."""


class CupRequest(WidthRequest):
    """A board and its air; with the radius of its rings, what they do to it too."""

    ring_radius_mm: float | None = Field(
        None, ge=5, le=2000, description="how far from the pith a flatsawn board was cut, 5 to 2,000 mm"
    )
    ends: Literal["sealed", "open", "unknown"] = Field("unknown", description="the end grain: sealed, open or unknown")


class CupQuestion:
    """Cup across the width, over time, and the tension that the shell is under meanwhile."""

    name = "cup"
    summary = "how far a board cups when its faces settle at different speeds, and how its shell is stretched"
    request: type[Request] = CupRequest

    def answer(self, request: CupRequest, /) -> Answer:
        """``peak_mm`` (positive: the top goes hollow), ``peak_day``; ``tension_index`` at its greatest and
        ``tension_peak_day``; ``ring_cup_mm`` (positive: the side towards the pith goes hollow; None without a
        radius); ``series``."""
        piece, source = piece_of(request)
        across, rh = found_across(request, request.species, request.cut), request.humidity_pct / 100
        strength, of_strength = _strength(request)
        course = cup_course(
            piece, request.from_pct, request.temperature_c, rh,
            coefficient=across.coefficient, width_m=request.width_mm / 1000, days=request.days, strength=strength,
        )  # fmt: skip
        ring = _ring_mm(request)
        figures = {
            "peak_mm": course.peak_mm,
            "peak_day": course.peak_day,
            "tension_index": course.tension_index,
            "tension_peak_day": course.tension_peak_day,
            "ring_cup_mm": ring,
            "series": [{"day": d, "cup_mm": cup, "tension_index": index} for d, cup, index in course.series],
        }
        flags = fit_flags(request.temperature_c, rh)
        said = (
            _cup(request, course),
            *_rings(request, ring),
            *_tension(request, course),
            *cover_said(request.cover),
            *((FLAGGED,) if flags else ()),
        )
        sources = (*MODEL_SOURCES, f"{source}.", f"Movement: {across.source}.", *of_strength)
        rests_on = (*settling(request), *moving(request, request.species))
        return Answer(figures, said, sources, CAUTION, flags, rests_on)


def _strength(request: CupRequest) -> tuple[ShellStrength, tuple[str, str]]:
    # A board has a specific gravity by now, and with one there is a strength for every species.
    known = found_species(request, request.species)
    if known.specific_gravity is None:
        known = replace(known, specific_gravity=request.specific_gravity)
    tension = tension_perpendicular_mpa(known)
    stiffness = modulus_across_mpa(known, RING_ANGLE_DEG[request.cut])
    return ShellStrength(stiffness.value, tension.value), (
        f"Strength: {tension.source}.",
        f"Modulus: {stiffness.source}.",
    )


def _ring_mm(request: CupRequest) -> float | None:
    if request.ring_radius_mm is None:
        return None
    if request.cut != "flat":
        right = "left out: only a flatsawn board cups with its rings"
        raise BadRequest((Mistake("ring_radius_mm", f"{request.ring_radius_mm:g} with cut {request.cut}", right),))
    known = found_species(request, request.species)
    target = float(emc_pct(request.temperature_c, request.humidity_pct / 100))
    tangential, radial = (change(across_width(known, a), 1.0, request.from_pct, target) for a in (0.0, 90.0))
    return float(ring_cup_mm(tangential, radial, request.ring_radius_mm / 1000, request.width_mm / 1000))


def _cup(request: CupRequest, course: CupCourse) -> Sentence:
    if abs(course.peak_mm) < _FLAT_MM:
        return Sentence("book-cup-flat", {"width_mm": request.width_mm})
    values = {"cup_mm": abs(course.peak_mm), "width_mm": request.width_mm, **after(course.peak_day or 0.0)}
    return Sentence("book-cup-hollow" if course.peak_mm > 0 else "book-cup-round", values)


def _rings(request: CupRequest, ring_mm: float | None) -> tuple[Sentence, ...]:
    if ring_mm is None:
        return ()
    side = "none" if abs(ring_mm) < _FLAT_MM else "pith" if ring_mm > 0 else "bark"
    return (Sentence("book-cup-ring", {"side": side, "cup_mm": abs(ring_mm), "width_mm": request.width_mm}),)


def _tension(request: CupRequest, course: CupCourse) -> tuple[Sentence, ...]:
    index, day = course.tension_index or 0.0, course.tension_peak_day or 0.0
    if index < _SLACK:
        return (Sentence("book-cup-tension-none"),)
    worst = Sentence("book-cup-tension", {"index": index, **after(day)})
    return (worst,) if request.ends == "sealed" else (worst, Sentence("book-cup-ends", {"ends": request.ends}))
