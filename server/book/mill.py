"""What does it do to this board to take so much off either face now?"""

from __future__ import annotations

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import MODEL_SOURCE, WidthRequest, cover_said, found_across, moving, piece_of, settling
from server.book.emc import FLAGGED, fit_flags
from server.wood.milling import Milled, mill
from server.wood.movement import Across
from server.wood.settle import Piece
from server.words import Sentence

CAUTION = Sentence("book-caution-cup")
EVEN, STICKERS, BOTH, AS_PLANNED = "even-faces", "stickers", "even-faces-and-stickers", "as-planned"
WORTH_MM = 0.1
"""A plan that saves less than this is no advice."""
_LEAST_LEFT_MM = 0.3


class MillRequest(WidthRequest):
    """A board that stood in this air for a while, what comes off each face, and how it lies afterwards."""

    take_top_mm: float = Field(ge=0, le=100, description="what comes off the top, 0 to 100 mm")
    take_bottom_mm: float = Field(ge=0, le=100, description="what comes off the bottom, 0 to 100 mm")
    stood_days: float = Field(
        7.0,
        ge=0,
        le=3650,
        description="how long it stood on stickers in this air before, 0 to 3,650 days; 7 if not given",
    )


class MillQuestion:
    """Milling evenly or not, and how the piece lies afterwards."""

    name = "mill"
    summary = "what a board does when its faces are milled before it has settled"
    request: type[Request] = MillRequest

    def answer(self, request: MillRequest, /) -> Answer:
        """``cup_at_once_mm``, ``peak_mm`` (positive: the top goes hollow), ``peak_day``, ``thickness_mm``, and
        ``advice``: as-planned, even-faces, stickers or even-faces-and-stickers, with its ``advice_peak_mm``."""
        off = request.take_top_mm + request.take_bottom_mm
        if request.thickness_mm - off < _LEAST_LEFT_MM:
            right = f"less than the board's {request.thickness_mm:g} mm together"
            raise BadRequest((Mistake("take_top_mm", f"{off:g} mm in all", right),))
        piece, source = piece_of(request)
        across, flags = (
            found_across(request, request.species, request.cut),
            fit_flags(request.temperature_c, request.humidity_pct / 100),
        )
        planned = _milled(request, piece, across)
        advice, best = _advice(request, piece, across, planned)
        figures = {
            "cup_at_once_mm": planned.at_once_mm,
            "peak_mm": planned.peak_mm,
            "peak_day": planned.peak_day,
            "thickness_mm": 1000 * planned.thickness_m,
            "advice": advice,
            "advice_peak_mm": best,
        }
        said = (*_said(request, planned, advice, best), *cover_said(request.cover), *((FLAGGED,) if flags else ()))
        rests_on = (*settling(request), *moving(request, request.species))
        return Answer(figures, said, f"{MODEL_SOURCE} {source}. Movement: {across.source}.", CAUTION, flags, rests_on)


def _milled(
    request: MillRequest, piece: Piece, across: Across, *, evenly: bool = False, stickered: bool | None = None
) -> Milled:
    top, bottom = request.take_top_mm / 1000, request.take_bottom_mm / 1000
    if evenly:
        top = bottom = 0.5 * (top + bottom)
    both = piece.both_faces if stickered is None else stickered
    lying = Piece(piece.thickness_m, piece.specific_gravity, piece.volumetric_shrinkage, both, piece.cover_m2_s_pa_kg)
    return mill(
        lying, request.from_pct, request.temperature_c, request.humidity_pct / 100, stood_days=request.stood_days,
        top_m=top, bottom_m=bottom, coefficient=across.coefficient, width_m=request.width_mm / 1000,
    )  # fmt: skip


def _advice(request: MillRequest, piece: Piece, across: Across, planned: Milled) -> tuple[str, float]:
    """The least change of the plan that saves what is worth it, and its peak."""
    plans = (
        (EVEN, _milled(request, piece, across, evenly=True)),
        (STICKERS, _milled(request, piece, across, stickered=True)),
        (BOTH, _milled(request, piece, across, evenly=True, stickered=True)),
    )
    word, best = AS_PLANNED, planned.peak_mm
    for name, plan in plans:
        if abs(plan.peak_mm) < abs(best) - WORTH_MM:
            word, best = name, plan.peak_mm
    return word, best


def _said(request: MillRequest, planned: Milled, advice: str, best_mm: float) -> tuple[Sentence, ...]:
    hollow = "top" if planned.peak_mm > 0 else "bottom"
    values: dict[str, float | int | str] = {
        "width_mm": request.width_mm,
        "face": hollow,
        "peak_mm": abs(planned.peak_mm),
        "days": planned.peak_day,
    }
    cup = Sentence("book-mill-cup", {**values, "at_once_mm": abs(planned.at_once_mm), "stood_days": request.stood_days})
    return cup, Sentence("book-mill-advice", {"advice": advice, "peak_mm": abs(best_mm)})
