"""What will this rip crook by, going by a test strip, and what has to be left on the strip's width?"""

from __future__ import annotations

from typing import Any

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.wood.milling import STRAIGHT_MM, STRIPS, released, rip_crook_mm, rip_oversize_mm
from server.words import Sentence

CAUTION = Sentence("book-caution-rip")
_MOST_CROOK_MM = 200.0
"""Beyond it the wood is of no use as a strip."""
SOURCE = (
    "Crook grows with the square of the length: geometry of an even curvature. What to leave, and that three straight \
strips release a lot: common practice, no source."
)


class RipRequest(Request):
    """The strip that is wanted, and what a test strip or the strips so far did."""

    length_mm: float = Field(ge=50, le=10_000, description="how long the strips are, 50 to 10,000 mm")
    width_mm: float = Field(ge=1, le=3000, description="how wide a strip ends up, 1 to 3,000 mm")
    test_crook_mm: float | None = Field(
        None, ge=0, le=200, description="crook of a test strip of that width without a knot, 0 to 200 mm"
    )
    test_length_mm: float | None = Field(None, ge=50, le=10_000, description="its length, 50 to 10,000 mm")
    strip_crook_mm: list[float] = Field(
        default_factory=list,
        description="crook of each strip ripped so far over its whole length, 0 to 200 mm, in turn",
    )
    pass_mm: float = Field(1.0, ge=0, le=20, description="one pass on an edge, 0 to 20 mm; 1 if not given")


class RipQuestion:
    """Crook to expect, width to rip, and when a lot is released from the allowance."""

    name = "rip"
    summary = "how far a rip will crook, going by a test strip, and how wide to rip"
    request: type[Request] = RipRequest

    def answer(self, request: RipRequest, /) -> Answer:
        """``crook_mm`` to expect over the length (None without a test strip), ``oversize_mm`` to leave on the width,
        ``rip_width_mm``, ``released`` (true: the last three strips were straight within 0.5 mm)."""
        wrong = [crook for crook in request.strip_crook_mm if not 0 <= crook <= 200]
        if wrong:
            raise BadRequest((Mistake("strip_crook_mm", f"{wrong[0]:g}", "0 to 200 mm each"),))
        free = released(request.strip_crook_mm)
        crook = _crook_mm(request)
        if crook is None and not free:
            right = f"the crook of a test strip and its length, or {STRIPS} strips straight within {STRAIGHT_MM:g} mm"
            raise BadRequest((Mistake("test_crook_mm", "nothing to go by", right),))
        over = rip_oversize_mm(0.0 if free or crook is None else crook, request.pass_mm)
        figures: dict[str, Any] = {
            "crook_mm": crook,
            "oversize_mm": over,
            "rip_width_mm": request.width_mm + over,
            "released": free,
        }
        return Answer(figures, _said(request, figures), (SOURCE,), CAUTION)


def _crook_mm(request: RipRequest) -> float | None:
    crook, length = request.test_crook_mm, request.test_length_mm
    if crook is None and length is None:
        return None
    if crook is None or length is None:
        missing = "test_crook_mm" if crook is None else "test_length_mm"
        raise BadRequest((Mistake(missing, "nothing", "both the test strip's crook and its length"),))
    expected = rip_crook_mm(crook, length / 1000, request.length_mm / 1000)
    if expected > _MOST_CROOK_MM:
        right = (
            f"a test strip of which {request.length_mm:g} mm crook by {_MOST_CROOK_MM:g} mm at most: try a longer one"
        )
        raise BadRequest((Mistake("test_crook_mm", f"{crook:g} mm over {length:g} mm", right),))
    return expected


def _said(request: RipRequest, figures: dict[str, Any]) -> tuple[Sentence, ...]:
    width = {"rip_width_mm": figures["rip_width_mm"], "oversize_mm": figures["oversize_mm"]}
    if figures["released"]:
        return (Sentence("book-rip-released", width),)
    crook = Sentence("book-rip-crook", {"crook_mm": figures["crook_mm"], "length_mm": request.length_mm})
    return Sentence("book-rip-leave", width), crook, Sentence("book-rip-strips")
