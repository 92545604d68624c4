"""What do the halves of a resawn board do, at once and as they settle, and how long must they rest?"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import (
    MODEL_SOURCES,
    BoardRequest,
    after,
    cover_said,
    found_across,
    found_cover,
    moving,
    piece_of,
    settling,
)
from server.book.emc import FLAGGED, fit_flags
from server.book.mill import FLAT_MM, WRAPPED
from server.wood.milling import films_of, stand
from server.wood.movement import Across
from server.wood.outcome import SEASON_DAYS
from server.wood.resaw import Half, resaw
from server.wood.settle import Piece
from server.words import Sentence

CAUTION = Sentence("book-caution-resaw")
_LEAST_LEFT_MM = 0.3
_AT_ONCE_DAYS = 0.5
_Values = dict[str, float | int | str]


class ResawRequest(BoardRequest):
    """A board that stood in this air for a while, the kerf, and how the halves lie afterwards."""

    width_mm: float = Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")
    kerf_mm: float = Field(ge=0, le=20, description="what the blade takes, 0 to 20 mm")
    top_half_mm: float | None = Field(
        None, ge=0.3, le=300, description="how thick the top half comes off, 0.3 to 300 mm; the middle if not given"
    )
    stood_days: float = Field(
        7.0, ge=0, le=3650, description="how long it stood in this air before, 0 to 3,650 days; 7 if not given"
    )
    stood_faces: Literal["both", "one"] = Field(
        "both", description="how it stood: both (on stickers) or one (flat on a bench)"
    )
    faces: Literal["both", "one"] = Field(
        "both", description="how the halves lie: both (on stickers) or one (flat on a bench, the sawn face up)"
    )


class ResawQuestion:
    """The cup of both halves, the side that goes hollow, and the rest they need."""

    name = "resaw"
    summary = "what the halves of a resawn board do, at once and as they settle, and how long they rest"
    request: type[Request] = ResawRequest

    def answer(self, request: ResawRequest, /) -> Answer:
        """``halves``: of the top and the bottom one ``thickness_mm``, ``cup_at_once_mm``, ``peak_mm``, ``settled_mm``
        (positive: the sawn face goes hollow), ``peak_day``, ``rest_days`` (None past ten years), ``flat_mm`` (the
        thickest flat piece that is in it at its worst). ``rest_stickers_days`` and ``rest_wrapped_days`` until shell
        and core of both are within 1 %."""
        top = 0.5 * (request.thickness_mm - request.kerf_mm) if request.top_half_mm is None else request.top_half_mm
        if min(top, request.thickness_mm - request.kerf_mm - top) < _LEAST_LEFT_MM:
            found = f"{request.kerf_mm:g} mm below {top:g} mm"
            right = f"two halves of {_LEAST_LEFT_MM:g} mm or more out of the board's {request.thickness_mm:g} mm"
            raise BadRequest((Mistake("kerf_mm", found, right),))
        piece, source = piece_of(request)
        across = found_across(request, request.species, request.cut)
        halves, rest_stickers, rest_wrapped = _halves(request, piece, across)
        figures: dict[str, Any] = {
            "halves": [_row(half) for half in halves],
            "rest_stickers_days": rest_stickers,
            "rest_wrapped_days": rest_wrapped,
        }
        flags = fit_flags(request.temperature_c, request.humidity_pct / 100)
        rest = (_rest("stickers", rest_stickers), _rest("wrapped", rest_wrapped))
        said = (*_said(request, halves), *rest, *cover_said(request.cover), *((FLAGGED,) if flags else ()))
        rests_on = (*settling(request), *moving(request, request.species))
        sources = (*MODEL_SOURCES, f"{source}.", f"Movement: {across.source}.")
        return Answer(figures, said, sources, CAUTION, flags, rests_on)


def _halves(
    request: ResawRequest, piece: Piece, across: Across
) -> tuple[tuple[Half, Half], float | None, float | None]:
    both = request.stood_faces == "both"
    air = (request.temperature_c, request.humidity_pct / 100)
    stood = stand(piece, request.from_pct, *air, request.stood_days, both_faces=both)
    bare, _ = films_of(both_faces=True)
    wrap, _ = films_of(both_faces=True, cover_m2_s_pa_kg=found_cover(WRAPPED).resistance_m2_s_pa_kg)
    own, _ = films_of(both_faces=True, cover_m2_s_pa_kg=piece.cover_m2_s_pa_kg)

    def sawn(film: float, *, stickered: bool = True) -> tuple[Half, Half]:
        top = None if request.top_half_mm is None else request.top_half_mm / 1000
        return resaw(
            stood, request.kerf_mm / 1000, film=film, lying="both" if stickered else "sawn", top_m=top,
            coefficient=across.coefficient, width_m=request.width_mm / 1000,
        )  # fmt: skip

    return sawn(own, stickered=request.faces == "both"), _longest(sawn(bare)), _longest(sawn(wrap))


def _longest(halves: tuple[Half, Half]) -> float | None:
    days = [half.milled.rest_days for half in halves]
    return None if None in days else max(d for d in days if d is not None)


def _row(half: Half) -> dict[str, Any]:
    m = half.towards_sawn
    return {
        "half": half.which,
        "thickness_mm": 1000 * m.thickness_m,
        "cup_at_once_mm": m.at_once_mm,
        "peak_mm": m.peak_mm,
        "peak_day": m.peak_day,
        "settled_mm": m.settled_mm,
        "rest_days": m.rest_days,
        "flat_mm": 1000 * half.flat_m,
    }


def _said(request: ResawRequest, halves: tuple[Half, Half]) -> list[Sentence]:
    pairs = [
        [getattr(half.towards_sawn, name) for half in halves]
        for name in ("thickness_m", "at_once_mm", "peak_mm", "settled_mm")
    ]
    alike = all(abs(one - other) < 1e-6 for one, other in pairs)
    each = halves[:1] if alike else halves
    return [said for half in each for said in _half(request, half, "each" if alike else half.which)]


def _half(request: ResawRequest, half: Half, which: str) -> tuple[Sentence, ...]:
    m = half.towards_sawn
    values: _Values = {"half": which, "thickness_mm": 1000 * m.thickness_m, "width_mm": request.width_mm}
    if abs(m.peak_mm) < FLAT_MM:
        return (Sentence("book-resaw-flat", values),)
    peak: _Values = {"peak_mm": abs(m.peak_mm), "face": _face(m.peak_mm), "flat_mm": 1000 * half.flat_m}
    if abs(m.peak_mm - m.at_once_mm) < FLAT_MM:
        return (Sentence("book-resaw-half-at-once", {**values, **peak}),)
    worst = Sentence("book-resaw-half", {**values, **peak, **after(m.peak_day)})
    if abs(m.at_once_mm) < FLAT_MM:
        return (worst,)
    once: _Values = {"at_once_mm": abs(m.at_once_mm), "face": _face(m.at_once_mm)}
    return worst, Sentence("book-resaw-first", once)


def _face(towards_sawn_mm: float) -> str:
    return "sawn" if towards_sawn_mm > 0 else "outer"


def _rest(lying: str, days: float | None) -> Sentence:
    if days is None or days > SEASON_DAYS:
        return Sentence("book-resaw-rest-not-this-season", {"lying": lying})
    if days < _AT_ONCE_DAYS:
        return Sentence("book-resaw-rest-none", {"lying": lying})
    return Sentence("book-resaw-rest", {"lying": lying, **after(days)})
