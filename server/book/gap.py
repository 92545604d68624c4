"""What gap does this fit need today, and what becomes of it through the year?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, BadRequest, Mistake, Request
from server.book.board_request import found_across, moving
from server.wood.movement import Across, change, slot_mm
from server.words import Sentence

CLEARANCE_MM = 0.5
"""What is left at the dampest. Common practice, no source."""
SOURCE = "Wood Handbook FPL-GTR-190 chapter 13, equations 13-2 and 13-3."
_CLEARANCE_SOURCE = "Clearance: common practice, no source."
_OWN_CLEARANCE = "Clearance: as given."


class GapRequest(Request):
    """A piece in its fit: its width and moisture today, and the driest and dampest it will be."""

    fit: Literal["drawer", "door", "groove", "slot"] = Field(description="drawer, door (inset), groove or slot")
    species: str = Field(description="a key of the species table, such as cherry_black")
    width_mm: float = Field(ge=1, le=3000, description="the width across the grain today, 1 to 3,000 mm")
    cut: Literal["flat", "quarter", "rift"] = Field("flat", description="flat, quarter or rift")
    now_pct: float = Field(ge=0, le=30, description="the piece's moisture today, 0 to 30 % MC")
    aim_low_pct: float = Field(ge=0, le=30, description="the driest it will be, 0 to 30 % MC")
    aim_high_pct: float = Field(ge=0, le=30, description="the dampest it will be, 0 to 30 % MC")
    screw_mm: float = Field(5.0, ge=0, le=50, description="the screw in a slot, 0 to 50 mm; 5 if not given")
    clearance_mm: float = Field(CLEARANCE_MM, ge=0, le=20, description="what must be left at the dampest, 0 to 20 mm")


class GapQuestion:
    """The gap to plane today."""

    name = "gap"
    summary = "the gap a drawer, an inset door, a panel's groove or a slot needs today, and its year"
    request: type[Request] = GapRequest

    def answer(self, request: GapRequest, /) -> Answer:
        """``gap_today_mm``, ``gap_dry_mm``, ``gap_damp_mm``: in all beside a drawer front or door, at the bottom of
        each groove, None for a slot. ``slot_mm``: None for the others."""
        if request.aim_low_pct > request.aim_high_pct:
            right = f"at most the dampest, {request.aim_high_pct:g} % MC"
            raise BadRequest((Mistake("aim_low_pct", repr(request.aim_low_pct), right),))
        across = found_across(request, request.species, request.cut)
        figures = _slot(request, across) if request.fit == "slot" else _gaps(request, across)
        values: dict[str, float | int | str] = {k: v for k, v in figures.items() if v is not None}
        said = (
            _slot_said(request, across, values)
            if request.fit == "slot"
            else Sentence("book-gap", {**values, "fit": request.fit})
        )
        sources, rests_on = (*_sources(request), f"Figures: {across.source}."), moving(request, request.species)
        return Answer(figures, (said,), sources, ESTIMATE_CAUTION, rests_on=rests_on)


def _sources(request: GapRequest) -> tuple[str, ...]:
    if request.fit == "slot":
        return (SOURCE,)
    return SOURCE, _OWN_CLEARANCE if "clearance_mm" in request.model_fields_set else _CLEARANCE_SOURCE


def _gaps(request: GapRequest, across: Across) -> dict[str, float | None]:
    share = 0.5 if request.fit == "groove" else 1.0  # a panel kept in its middle moves half into each groove
    dry, damp = (
        share * float(change(across, request.width_mm, request.now_pct, m))
        for m in (request.aim_low_pct, request.aim_high_pct)
    )
    today = request.clearance_mm + max(damp, 0.0)
    return {"gap_today_mm": today, "gap_dry_mm": today - dry, "gap_damp_mm": today - damp, "slot_mm": None}


def _slot(request: GapRequest, across: Across) -> dict[str, float | None]:
    low, high, screw = request.aim_low_pct, request.aim_high_pct, request.screw_mm
    slot = slot_mm(across, request.width_mm, request.now_pct, low_pct=low, high_pct=high, screw_mm=screw)
    return {"gap_today_mm": None, "gap_dry_mm": None, "gap_damp_mm": None, "slot_mm": slot}


def _slot_said(request: GapRequest, across: Across, slot: Mapping[str, float | int | str]) -> Sentence:
    dry, damp = (
        float(change(across, request.width_mm, request.now_pct, m)) for m in (request.aim_low_pct, request.aim_high_pct)
    )
    ways = {"shrinks_mm": max(-dry, 0.0), "swells_mm": max(damp, 0.0)}
    return Sentence("book-gap-slot", {**slot, "screw_mm": request.screw_mm, **ways})
