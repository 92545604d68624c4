"""How wide must this lot be ripped, going by what its own test strips did?"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field

from server.advice.base import PRACTICE, Inputs, Limit, Line, LotView, NotToBeAsked
from server.shop.lot import RipTest
from server.wood.milling import STRAIGHT_MM, STRIPS, released, rip_crook_ends_mm, rip_crook_mm, rip_oversize_mm
from server.wood.straightedge import FLATNESS_MM
from server.words import Sentence

CAUTION = Sentence("book-caution-rip")
SOURCE = "Crook grows with the square of the length: geometry of an even curvature."
_MOST_CROOK_MM = 200.0
"""Beyond it the wood is of no use as a strip."""
_SAME_WIDTH = 0.1
"""So far apart two strips' widths may be, as a part of one: crook changes with width. Common practice, no source."""


class RipInputs(Inputs):
    """The strip that is wanted."""

    width_mm: float | None = Field(None, ge=1, le=3000, description="how wide a strip ends up, 1 to 3,000 mm")
    pass_mm: float = Field(1.0, ge=0, le=20, description="one pass on an edge, 0 to 20 mm; 1 if not given")


class Rip:
    """The worst of the last three test strips without a knot, over the whole length of its pieces."""

    name = "rip"
    summary = "how wide to rip, going by the lot's own test strips, and when it is released from that"
    decides = False
    inputs: type[Inputs] = RipInputs

    def answer(self, view: LotView, given: RipInputs, /) -> Line | None:
        """``crook_mm`` to expect over the pieces' length (None without a test): the worst of the last three tests,
        ``crook_most_mm``, beside ``crook_least_mm``; its ends are those of the next strip. ``oversize_mm`` to leave on
        the width (None where there is no saying), ``rip_width_mm`` (None unless a width was given), ``released``,
        ``strips`` without a knot so far, ``strips_with_knot``."""
        if view.lot.species is None:
            return None
        tests = sorted({t.entry: t for lot in (view.lot, *view.kin) for t in lot.rips}.values(), key=lambda t: t.t_ms)
        sound = [test for test in tests if not test.knot]
        length_mm = view.lot.received.length_mm
        crooks = [min(rip_crook_mm(t.crook_mm, t.length_mm / 1000, length_mm / 1000), 1000.0) for t in sound]
        free, last = released(crooks), crooks[-STRIPS:]
        crook = max(last, default=None)
        low, high = _ends(sound, crooks, length_mm)
        over = None
        if crook is not None and (free or crook <= _MOST_CROOK_MM):
            over = rip_oversize_mm(0.0 if free else crook, given.pass_mm)
        wide = None if over is None or given.width_mm is None else given.width_mm + over
        if given.width_mm is not None and (wide or given.width_mm) > view.lot.width_mm:
            found = f"{given.width_mm:g} mm, ripped {wide or given.width_mm:g} mm wide"
            raise NotToBeAsked("width_mm", found, f"a strip that fits into pieces of {view.lot.width_mm:g} mm")
        figures = {
            "crook_mm": crook, "crook_mm_low": low, "crook_mm_high": high,
            "crook_least_mm": min(last, default=None), "crook_most_mm": crook, "oversize_mm": over,
            "rip_width_mm": wide, "length_mm": length_mm, "released": free, "strips": len(sound),
            "strips_with_knot": len(tests) - len(sound),
        }  # fmt: skip
        said = (
            *_said(given.width_mm, (crook, low, high), over, length_mm, free=free),
            *_tests(sound, tests, given.width_mm),
        )
        limit = Limit(Sentence("book-rip-strips"), PRACTICE, {"straight_mm": STRAIGHT_MM, "strips": STRIPS})
        return Line(
            self.name, None, Sentence("lot-rip-asked"), said, figures, limit,
            (SOURCE, *([_source_of_ends(len(last))] if last else []),
             f"What to leave, and how many strips release a lot: {PRACTICE}"),
            CAUTION, tuple(test.entry for test in tests),
        )  # fmt: skip


def _source_of_ends(strips: int) -> str:
    if strips > 1:
        return f"Ends: the scatter of its own {strips} last strips, by Student's t."
    return f"Ends: half to twice of one strip. {PRACTICE}"


Crook = tuple[float | None, float | None, float | None]
"""The worst, and the ends of the next."""


def _ends(
    sound: Sequence[RipTest], crooks: Sequence[float], length_mm: float
) -> tuple[float, float] | tuple[None, None]:
    """A strip that was short is read the worse for it."""
    if not crooks:
        return None, None
    return rip_crook_ends_mm(crooks, [FLATNESS_MM * (length_mm / test.length_mm) ** 2 for test in sound])


def _said(
    width_mm: float | None, crook: Crook, over_mm: float | None, length_mm: float, *, free: bool
) -> tuple[Sentence, ...]:
    crook_mm, low_mm, high_mm = crook
    if crook_mm is None or low_mm is None or high_mm is None:
        return (Sentence("lot-rip-make"),)
    going_by = Sentence(
        "lot-rip-crook", {"crook_mm": crook_mm, "low_mm": low_mm, "high_mm": high_mm, "length_mm": length_mm}
    )
    if over_mm is None:
        return Sentence("lot-rip-beyond", {"length_mm": length_mm}), going_by
    told = "released" if free else "leave"
    if width_mm is None:
        first = Sentence(f"lot-rip-{told}", {"oversize_mm": over_mm})
    else:
        first = Sentence(f"book-rip-{told}", {"oversize_mm": over_mm, "rip_width_mm": width_mm + over_mm})
    return (first,) if free else (first, going_by)


def _tests(sound: Sequence[RipTest], tests: Sequence[RipTest], width_mm: float | None) -> tuple[Sentence, ...]:
    said = []
    if len(sound) < len(tests):
        said.append(Sentence("lot-rip-knot", {"count": len(tests) - len(sound)}))
    if width_mm is not None and sound and abs(sound[-1].width_mm / width_mm - 1.0) > _SAME_WIDTH:
        said.append(Sentence("lot-rip-width", {"test_width_mm": sound[-1].width_mm, "width_mm": width_mm}))
    return tuple(said)
