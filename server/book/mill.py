"""What does it do to this board to take so much off either face now, and how much thicker should it be left first?"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import (
    MODEL_SOURCES,
    WidthRequest,
    after,
    cover_said,
    found_across,
    found_cover,
    moving,
    piece_of,
    settling,
)
from server.book.emc import FLAGGED, fit_flags
from server.wood.milling import films_of, stand
from server.wood.movement import Across
from server.wood.outcome import SEASON_DAYS
from server.wood.oversize import Plan, Way, plans
from server.wood.settle import Piece
from server.words import Sentence

CAUTION = Sentence("book-caution-mill")
AS_GIVEN, STICKERS, WRAPPED, BENCH = "as-given", "stickers", "wrapped", "bench"
ADVICE = {
    (True, AS_GIVEN): "even-faces",
    (False, STICKERS): STICKERS,
    (False, WRAPPED): WRAPPED,
    (True, STICKERS): "even-faces-and-stickers",
    (True, WRAPPED): "even-faces-and-wrapped",
}
"""What may be done otherwise, from the least trouble to the most."""
AS_PLANNED = "as-planned"
WORTH_MM = 0.1
"""A plan that saves less than this is no advice."""
FLAT_MM = 0.05
"""Less is below what a straightedge shows."""
_LEAST_LEFT_MM = 0.3
_Plans = dict[tuple[bool, str], Plan]
_Values = dict[str, float | int | str]


class MillRequest(WidthRequest):
    """A board that stood in this air for a while, what comes off each face, and how it lies afterwards."""

    take_top_mm: float = Field(ge=0, le=100, description="what comes off the top in the end, 0 to 100 mm")
    take_bottom_mm: float = Field(ge=0, le=100, description="what comes off the bottom in the end, 0 to 100 mm")
    stood_days: float = Field(
        7.0, ge=0, le=3650, description="how long it stood in this air before, 0 to 3,650 days; 7 if not given"
    )
    stood_faces: Literal["both", "one"] = Field(
        "both", description="how it stood: both (on stickers) or one (flat on a bench)"
    )
    days: int = Field(0, ge=0, le=3650, description="taken as cup takes it, 0 to 3,650 days; milling has no series")
    allow_twist_mm: float = Field(0.0, ge=0, le=50, description="what to leave for twist to come, 0 to 50 mm")
    allow_bow_mm: float = Field(0.0, ge=0, le=50, description="what to leave for bow to come, 0 to 50 mm")


class MillQuestion:
    """Milling evenly or not, how the piece lies afterwards, and what to leave on it at first."""

    name = "mill"
    summary = "what a board does when its faces are milled before it has settled, and what to leave on it at first"
    request: type[Request] = MillRequest

    def answer(self, request: MillRequest, /) -> Answer:
        """``cup_at_once_mm``, ``peak_mm``, ``settled_mm`` (positive: the top is hollow), ``peak_day``,
        ``thickness_mm``; ``advice`` with its ``advice_peak_mm``, ``extra_mm`` (the least to leave at first; None where
        the board has not so much), ``rest_days`` until the extra may come off and ``left_mm`` (by how much it departs
        from flat in the end); ``plans``: the same for each way of taking and lying."""
        off = request.take_top_mm + request.take_bottom_mm
        if request.thickness_mm - off < _LEAST_LEFT_MM:
            most = max(0.0, request.thickness_mm - _LEAST_LEFT_MM)
            right = (
                f"{most:g} mm together at most: {_LEAST_LEFT_MM:g} mm of the board's {request.thickness_mm:g} mm stay"
            )
            raise BadRequest((Mistake("take_top_mm", f"{off:g} mm in all", right),))
        piece, source = piece_of(request)
        across = found_across(request, request.species, request.cut)
        found = _plans(request, piece, across)
        planned = found[False, AS_GIVEN]
        advice, best = _advice(found)
        figures: dict[str, Any] = {
            "cup_at_once_mm": planned.now.at_once_mm,
            "peak_mm": planned.now.peak_mm,
            "peak_day": planned.now.peak_day,
            "settled_mm": planned.now.settled_mm,
            "thickness_mm": 1000 * planned.now.thickness_m,
            "advice": advice,
            "advice_peak_mm": best.now.peak_mm,
            **_extra(best),
            "plans": [_row(*way, plan) for way, plan in found.items()],
        }
        flags = fit_flags(request.temperature_c, request.humidity_pct / 100)
        said = (*_said(request, found, advice, best), *cover_said(request.cover), *((FLAGGED,) if flags else ()))
        rests_on = (*settling(request), *moving(request, request.species))
        sources = (*MODEL_SOURCES, f"{source}.", f"Movement: {across.source}.")
        return Answer(figures, said, sources, CAUTION, flags, rests_on)


def _plans(request: MillRequest, piece: Piece, across: Across) -> _Plans:
    film = found_cover(WRAPPED).resistance_m2_s_pa_kg
    lying = {
        AS_GIVEN: films_of(piece.both_faces, piece.cover_m2_s_pa_kg),
        STICKERS: films_of(both_faces=True),
        WRAPPED: films_of(both_faces=True, cover_m2_s_pa_kg=film),
        BENCH: films_of(both_faces=False),
    }
    keys = [(evenly, name) for evenly in (False, True) for name in lying]
    both = request.stood_faces == "both"
    air = (request.temperature_c, request.humidity_pct / 100)
    found = plans(
        stand(piece, request.from_pct, *air, request.stood_days, both_faces=both),
        [Way(evenly, *lying[name]) for evenly, name in keys],
        top_m=request.take_top_mm / 1000, bottom_m=request.take_bottom_mm / 1000, coefficient=across.coefficient,
        width_m=request.width_mm / 1000, allowance_m=(request.allow_twist_mm + request.allow_bow_mm) / 1000,
    )  # fmt: skip
    return dict(zip(keys, found, strict=True))


def _advice(found: _Plans) -> tuple[str, Plan]:
    """The least change of the plan that saves what is worth it."""
    word, best = AS_PLANNED, found[False, AS_GIVEN]
    for way, name in ADVICE.items():
        if abs(found[way].now.peak_mm) < abs(best.now.peak_mm) - WORTH_MM:
            word, best = name, found[way]
    return word, best


def _extra(plan: Plan) -> dict[str, float | None]:
    first = plan.first
    return {
        "extra_mm": None if plan.extra_m is None else 1000 * plan.extra_m,
        "rest_days": None if first is None else first.rest_days,
        "left_mm": plan.left_mm,
    }


def _row(evenly: bool, lying: str, plan: Plan) -> dict[str, Any]:
    now = plan.now
    return {
        "faces": "even" if evenly else AS_PLANNED,
        "lying": lying,
        "cup_at_once_mm": now.at_once_mm,
        "peak_mm": now.peak_mm,
        "peak_day": now.peak_day,
        "settled_mm": now.settled_mm,
        **_extra(plan),
    }


def _said(request: MillRequest, found: _Plans, advice: str, best: Plan) -> list[Sentence]:
    now = found[False, AS_GIVEN].now
    width: _Values = {"width_mm": request.width_mm}
    peak: _Values = {**width, "face": face(now.peak_mm), "peak_mm": abs(now.peak_mm)}
    if abs(now.peak_mm) < FLAT_MM:
        said = [Sentence("book-mill-flat", width)]
    elif abs(now.peak_mm - now.at_once_mm) < FLAT_MM:
        said = [Sentence("book-mill-at-once", peak)]
    else:
        said = [Sentence("book-mill-cup", {**peak, **after(now.peak_day)})]
        if abs(now.at_once_mm) >= FLAT_MM:
            first: _Values = {"at_once_mm": abs(now.at_once_mm), "face": face(now.at_once_mm)}
            said.append(Sentence("book-mill-first", first))
    said.append(Sentence("book-mill-stood", {"stood_days": request.stood_days, "stood": request.stood_faces}))
    if abs(now.settled_mm) >= FLAT_MM:
        said.append(Sentence("book-mill-settled", {"face": face(now.settled_mm), "settled_mm": abs(now.settled_mm)}))
    said.append(Sentence("book-mill-advice", {"advice": advice, "peak_mm": abs(best.now.peak_mm)}))
    said.append(_extra_said(best))
    uneven = abs(request.take_top_mm - request.take_bottom_mm) > 1e-9
    for evenly in (False, True) if uneven else (True,):
        stickers, wrapped, bench = (abs(found[evenly, name].now.peak_mm) for name in (STICKERS, WRAPPED, BENCH))
        faces = "even" if evenly else "uneven"
        values: _Values = {"faces": faces, "stickers_mm": stickers, "wrapped_mm": wrapped, "bench_mm": bench}
        said.append(Sentence("book-mill-compare", values))
    return said


def _extra_said(plan: Plan) -> Sentence:
    if plan.extra_m is None or plan.first is None:
        return Sentence("book-mill-extra-none")
    if 1000 * plan.extra_m < FLAT_MM:
        return Sentence("book-mill-extra-nothing")
    rest = plan.first.rest_days
    if rest is None or plan.left_mm is None or rest > SEASON_DAYS:
        return Sentence("book-mill-extra-not-this-season", {"extra_mm": 1000 * plan.extra_m})
    sizes = {"extra_mm": 1000 * plan.extra_m, "first_mm": 1000 * plan.first.thickness_m}
    return Sentence("book-mill-extra", {**sizes, **after(rest), "left_mm": plan.left_mm})


def face(departure_mm: float) -> str:
    """The face that is hollow."""
    return "top" if departure_mm > 0 else "bottom"
