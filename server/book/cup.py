"""How far does this board cup in this air, and when is it worst?"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from server.book.base import Answer, Request
from server.book.board_request import MODEL_SOURCE, BoardRequest, cover_said, found_across, piece_of
from server.book.emc import FLAGGED, fit_flags
from server.wood.cup import CupCourse, cup_course
from server.words import Sentence

CAUTION = Sentence("book-caution-cup")
_FLAT_MM = 0.05
"""Less is below what a straightedge shows."""


class CupRequest(BoardRequest):
    """A board and its air; lying on a bench unless said otherwise."""

    width_mm: float = Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")
    faces: Literal["both", "one"] = Field(
        "one", description="one (flat on a bench, the top open) or both (on stickers)"
    )
    days: int = Field(0, ge=0, le=3650, description="how many days the series runs, 0 to 3,650")


class CupQuestion:
    """Cup across the width, over time."""

    name = "cup"
    summary = "how far a board cups when its faces settle at different speeds"
    request: type[Request] = CupRequest

    def answer(self, request: CupRequest, /) -> Answer:
        """``peak_mm`` (positive: the top goes hollow), ``peak_day``, ``series``."""
        piece, source = piece_of(request)
        across, rh = found_across(request.species, request.cut), request.humidity_pct / 100
        course = cup_course(
            piece, request.from_pct, request.temperature_c, rh,
            coefficient=across.coefficient, width_m=request.width_mm / 1000, days=request.days,
        )  # fmt: skip
        figures = {
            "peak_mm": course.peak_mm,
            "peak_day": course.peak_day,
            "series": [{"day": day, "cup_mm": cup} for day, cup in course.series],
        }
        flags = fit_flags(request.temperature_c, rh)
        said = (_cup(request, course), *cover_said(request.cover), *((FLAGGED,) if flags else ()))
        return Answer(figures, said, f"{MODEL_SOURCE} {source}. Movement: {across.source}.", CAUTION, flags)


def _cup(request: CupRequest, course: CupCourse) -> Sentence:
    if abs(course.peak_mm) < _FLAT_MM:
        return Sentence("book-cup-flat", {"width_mm": request.width_mm})
    values = {"cup_mm": abs(course.peak_mm), "width_mm": request.width_mm, "days": course.peak_day}
    return Sentence("book-cup-hollow" if course.peak_mm > 0 else "book-cup-round", values)
