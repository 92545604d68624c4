"""How far does this board move across its width between two moistures?"""

from __future__ import annotations

from math import degrees
from typing import Literal

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, Request
from server.book.board_request import found_across, found_species, moving
from server.wood.movement import RING_ANGLE_DEG, change, diamond_rad, method
from server.words import Sentence

_SOURCES = {
    "coefficient": "Wood Handbook FPL-GTR-190 chapter 13, equation 13-2.",
    "shrinkage": "Wood Handbook FPL-GTR-190 chapter 13, equation 13-3, with fibre saturation at 30 %.",
    "both": "Wood Handbook FPL-GTR-190 chapter 13: equation 13-2 between 6 and 14 %, beyond it 13-3 with fibre "
    "saturation at 30 %.",
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
        """``change_mm`` (negative: it shrinks), ``method`` (coefficient within 6 to 14 %, shrinkage beyond, both where
        the way leads through each), ``coefficient_per_pct`` (a fraction), ``diamond_deg`` (by how much the corners of a
        square of that cut leave the right angle; negative where it shrinks)."""
        across = found_across(request, request.species, request.cut)
        moved = float(change(across, request.width_mm, request.from_pct, request.to_pct))
        diamond = 0.0
        if request.cut == "rift":
            angle = RING_ANGLE_DEG[request.cut]
            species = found_species(request, request.species)
            diamond = degrees(diamond_rad(species, angle, request.from_pct, request.to_pct))
        by = method(request.from_pct, request.to_pct) if across.published else "shrinkage"
        asked = {"width_mm": request.width_mm, "from_pct": request.from_pct, "to_pct": request.to_pct}
        way = Sentence(
            "book-movement-shrinks" if moved < 0 else "book-movement-swells", {**asked, "change_mm": abs(moved)}
        )
        said = [way if moved else Sentence("book-movement-still", asked)]
        if diamond:
            said.append(Sentence("book-movement-diamond", {"diamond_deg": abs(diamond)}))
        figures = {
            "change_mm": moved,
            "method": by,
            "coefficient_per_pct": across.coefficient,
            "diamond_deg": diamond,
        }
        sources, rests_on = (_SOURCES[by], f"Figures: {across.source}."), moving(request, request.species)
        return Answer(figures, tuple(said), sources, ESTIMATE_CAUTION, rests_on=rests_on)
