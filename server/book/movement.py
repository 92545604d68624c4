"""How far does this board move across its width between two moistures?"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, Request
from server.book.board_request import found_across
from server.wood.movement import change, used
from server.words import Sentence

COEFFICIENT, SHRINKAGE = "coefficient", "shrinkage"
_SOURCES = {
    COEFFICIENT: "Wood Handbook FPL-GTR-190 chapter 13, equation 13-2.",
    SHRINKAGE: "Wood Handbook FPL-GTR-190 chapter 13, equation 13-3, with fibre saturation at 30 %.",
}


class MovementRequest(Request):
    """A board's width and two moistures."""

    species: str = Field(description="a key of the species table, such as cherry_black")
    width_mm: float = Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")
    from_pct: float = Field(ge=0, le=30, description="the moisture at which the width was measured, 0 to 30 % MC")
    to_pct: float = Field(ge=0, le=30, description="the moisture it comes to, 0 to 30 % MC")
    cut: Literal["flat", "quarter", "rift"] = Field("flat", description="flat, quarter or rift")


class MovementQuestion:
    """The change of a width."""

    name = "movement"
    summary = "how far a width moves between two moistures of the wood"
    request: type[Request] = MovementRequest

    def answer(self, request: MovementRequest, /) -> Answer:
        """``change_mm`` (negative: it shrinks), ``method`` (coefficient within 6 to 14 %, else shrinkage),
        ``coefficient_per_pct`` (a fraction)."""
        across = found_across(request.species, request.cut)
        moved = float(change(across, request.width_mm, request.from_pct, request.to_pct))
        method = COEFFICIENT if bool(used(request.from_pct, request.to_pct)) else SHRINKAGE
        asked = {"width_mm": request.width_mm, "from_pct": request.from_pct, "to_pct": request.to_pct}
        values = {**asked, "change_mm": abs(moved)}
        said = (Sentence("book-movement-shrinks" if moved < 0 else "book-movement-swells", values),)
        figures = {"change_mm": moved, "method": method, "coefficient_per_pct": across.coefficient}
        return Answer(figures, said, f"{_SOURCES[method]} Figures: {across.source}.", ESTIMATE_CAUTION)
