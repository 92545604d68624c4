"""Even or uneven faces, how much to leave on a lot's pieces at first, and how long they rest before the last pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from pydantic import Field

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    NOTHING,
    PRACTICE,
    Inputs,
    Limit,
    Line,
    LotView,
    NotToBeAsked,
    ends,
)
from server.advice.face_ways import BOTTOM, LYING, TOP, Found, Plan, Way, advised, found_ways
from server.advice.time_words import after, counted
from server.book.mill import AS_GIVEN, AS_PLANNED, FLAT_MM, face
from server.shop.deed import Lying
from server.shop.lot import Lot
from server.shop.lots import LEAST_LEFT_MM
from server.wood.cup import Rings, ring_cup_per_pct_mm
from server.wood.ensemble import Spread
from server.wood.movement import RING_ANGLE_DEG
from server.wood.outcome import SEASON_DAYS
from server.wood.species import coefficients
from server.wood.straightedge import RINGS_PER_M
from server.words import Sentence

USUAL_MM, USUAL_SHARE = 3.0, 0.25
"""What comes off where nothing is said: 3 mm in all, a quarter of thin stock. Common practice, no source."""
VENEER_MM = 2.0
"""Thinner stock is not planed."""
TWIST_MM = {"some": 1.0, "many": 2.0}
"""What to leave for twist that returns, by what was seen when it came. Common practice, no source."""


class FacesInputs(Inputs):
    """What comes off each face in the end, or what is to be left, and how the pieces lie afterwards."""

    take_top_mm: float | None = Field(
        None, ge=0, le=100, description="off the top in the end, 0 to 100 mm; 3 mm in all, evenly, if nothing is given"
    )
    take_bottom_mm: float | None = Field(
        None, ge=0, le=100, description="off the bottom in the end, 0 to 100 mm; 0 if only the top is given"
    )
    final_mm: float | None = Field(
        None, ge=LEAST_LEFT_MM, le=300, description="how thick it is to be, 0.3 to 300 mm, in place of what comes off"
    )
    lying: Lying | None = Field(
        None, description="how it lies afterwards: stickered, wrapped, ...; else as it lies now"
    )
    allow_twist_mm: float | None = Field(
        None,
        ge=0,
        le=50,
        description="to leave for twist to come, 0 to 50 mm; else by how twisted it came",
    )
    bark_face: Literal["top", "bottom"] | None = Field(
        None, description="the face towards the bark, top or bottom as it lies; else as a straightedge's entry says"
    )
    ring_radius_mm: float | None = Field(
        None, ge=20, le=2000, description="the rings' radius at the end grain, 20 to 2,000 mm; 150 if nobody looked"
    )
    allow_bow_mm: float = Field(0.0, ge=0, le=50, description="to leave for bow to come, 0 to 50 mm")
    flat_mm: float = Field(0.3, gt=0, le=10, description="how flat is flat enough over its width, above 0 to 10 mm")


class Faces:
    """Milling the lot now, in the air that its zone is expected to have."""

    name = "faces"
    summary = "whether to take the same off both faces, how much to leave on at first, how long to rest it"
    decides = False
    inputs: type[Inputs] = FacesInputs

    def answer(self, view: LotView, given: FacesInputs, /) -> Line | None:
        """``cup_at_once_mm``, ``peak_mm``, ``settled_mm`` (positive: the top is hollow) and ``peak_day`` of what is
        planned; ``ring_cup_mm``, what its rings make of that at last; ``advice`` and its ``advice_peak_mm``,
        ``extra_mm`` (the least to leave at first; None where there is not so much) and ``rest_days`` before the last
        pass, each with its ends; ``plans``, the same of every way of taking and lying."""
        across = view.across()
        if view.held is None or across is None:
            return None
        thick_mm = round(1000 * float(view.held.wood.stock.thickness_m[0]), 6)
        if thick_mm < VENEER_MM:
            return None
        plan, allow_mm = _plan(view.lot, thick_mm, given), _allowed(view.lot, given)
        grain = _grain(view.lot, given)
        found = found_ways(view.lot, view.held, plan, across.coefficient, allow_mm=allow_mm, rings=_rings(view, grain))
        pinched = view.lot.prongs == "pinch"
        advice, way = advised(plan, found, pinched=pinched)
        planned, best = found[AS_PLANNED, AS_GIVEN], found[way]
        figures: dict[str, Any] = {
            **ends("cup_at_once_mm", planned.at_once), **ends("peak_mm", planned.peak), **ends("peak_day", planned.day),
            **ends("settled_mm", planned.settled),
            **_ring_figures(planned, grain),
            "take_top_mm": plan.top_mm, "take_bottom_mm": plan.bottom_mm, "thickness_mm": plan.final_mm,
            "width_mm": view.lot.width_mm, "allow_mm": allow_mm, "advice": advice,
            **ends("advice_peak_mm", best.peak), **ends("extra_mm", best.extra), **ends("rest_days", best.rest),
            "plans": [{"faces": faces, "lying": lying, **one.figures()} for (faces, lying), one in found.items()],
        }  # fmt: skip
        said = (
            *_planned_said(view, plan, planned), *_rings_said(planned, grain), *_compared(plan, found),
            Sentence("book-mill-advice", {"advice": advice, "peak_mm": abs(float(best.peak.middle[0]))}),
            _extra_said(plan, best, flat_mm=given.flat_mm, sure=not (pinched or allow_mm)),
            *_seen_said(view.lot, plan, given),
        )  # fmt: skip
        limit = Limit(
            Sentence("lot-flat-limit", {"flat_mm": given.flat_mm, "width_mm": view.lot.width_mm}), PRACTICE,
            {"flat_mm": given.flat_mm},
        )  # fmt: skip
        sources = (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}.", f"Twist, fork test, passes: {PRACTICE}",
                   *_ring_source(grain))  # fmt: skip
        return Line(
            self.name, None, Sentence("lot-faces-asked"), said, figures, limit, sources, Sentence("lot-caution-mill"),
            entries=(*_entries(view.lot), *((grain.entry,) if grain is not None and grain.entry else ())),
        )  # fmt: skip


def _plan(lot: Lot, thick: float, given: FacesInputs) -> Plan:
    """Raises NotToBeAsked where it is said twice, or nothing would be left."""
    takes, lying = (given.take_top_mm, given.take_bottom_mm), given.lying or lot.lying
    if given.final_mm is not None:
        if takes != (None, None):
            raise NotToBeAsked("final_mm", f"{given.final_mm:g} mm beside what comes off", "one or the other")
        if given.final_mm > thick:
            raise NotToBeAsked("final_mm", f"{given.final_mm:g} mm", f"up to {thick:g} mm, as thick as it is now")
        each = 0.5 * (thick - given.final_mm)
        return Plan(each, each, given.final_mm, lying, usual=False)
    usual = takes == (None, None)
    top, bottom = [0.5 * min(USUAL_MM, USUAL_SHARE * thick)] * 2 if usual else (take or 0.0 for take in takes)
    if thick - top - bottom < LEAST_LEFT_MM:
        most = max(0.0, thick - LEAST_LEFT_MM)
        right = f"{most:g} mm together at most: {LEAST_LEFT_MM:g} mm of its {thick:g} mm stay"
        raise NotToBeAsked("take_top_mm", f"{top + bottom:g} mm in all", right)
    return Plan(top, bottom, thick - top - bottom, lying, usual)


@dataclass(frozen=True, slots=True)
class _Grain:
    """Which face looks to the bark, "" where nobody said; its rings' radius, and whether that was ``told``; and the
    entry that says so."""

    bark_face: str
    radius_mm: float
    told: bool
    entry: str = ""


def _grain(lot: Lot, given: FacesInputs) -> _Grain | None:
    """None of a panel: its boards cup each by itself."""
    if lot.panel is not None:
        return None
    seen, radius = lot.end_grain, given.ring_radius_mm
    if seen is None:
        return _Grain(given.bark_face or "", radius or 1000.0 / RINGS_PER_M, told=radius is not None)
    return _Grain(given.bark_face or seen.bark_face, radius or seen.ring_radius_mm, told=True, entry=seen.entry)


def _rings(view: LotView, grain: _Grain | None) -> Rings | None:
    if grain is None:
        return None
    assert view.species is not None  # noqa: S101 - its movement is known
    by = coefficients(view.species)
    mm = ring_cup_per_pct_mm(
        by.ct, by.cr, RING_ANGLE_DEG[view.lot.received.cut], grain.radius_mm / 1000, view.lot.width_mm / 1000
    )  # fmt: skip
    return Rings(-mm if grain.bark_face == "top" else mm, known=bool(grain.bark_face))


def _ring_figures(planned: Found, grain: _Grain | None) -> dict[str, float | None]:
    """To either side where nobody knows the bark's."""
    if grain is None:
        return {**ends("ring_cup_mm", NOTHING), "ring_radius_mm": None}
    low, high = (planned.ring_mm,) * 2 if grain.bark_face else (-abs(planned.ring_mm), abs(planned.ring_mm))
    middle = planned.ring_mm if grain.bark_face else 0.0
    return {"ring_cup_mm": middle, "ring_cup_mm_low": low, "ring_cup_mm_high": high, "ring_radius_mm": grain.radius_mm}


def _ring_source(grain: _Grain | None) -> tuple[str, ...]:
    if grain is None:
        return ()
    of = "" if grain.told else f" Rings of {grain.radius_mm:g} mm, where nobody looked: {PRACTICE}"
    return (f"Rings: the stress-free map of a flat face, as the bench book's cup has it.{of}",)


def _rings_said(planned: Found, grain: _Grain | None) -> Iterator[Sentence]:
    if grain is None or abs(planned.ring_mm) < FLAT_MM:
        return
    hollow = "top" if planned.ring_mm > 0 else "bottom"
    side = "either" if not grain.bark_face else "bark" if grain.bark_face == hollow else "pith"
    yield Sentence("lot-faces-rings", {"ring_mm": abs(planned.ring_mm), "side": side, "face": hollow})


def _allowed(lot: Lot, given: FacesInputs) -> float:
    twist = given.allow_twist_mm
    if twist is None:
        twist = TWIST_MM.get(lot.received.checklist.twist or "", 0.0)
    return twist + given.allow_bow_mm


def _most(spread: Spread) -> float:
    return float(max(abs(spread.low[0]), abs(spread.high[0])))


def _planned_said(view: LotView, plan: Plan, planned: Found) -> Iterator[Sentence]:
    yield Sentence("lot-faces-plan", {
        "name": view.lot.name, "usual": "yes" if plan.usual else "no", "top_mm": plan.top_mm,
        "bottom_mm": plan.bottom_mm, "final_mm": plan.final_mm, "lying": plan.lying,
    })  # fmt: skip
    peak, at_once = float(planned.peak.middle[0]), float(planned.at_once.middle[0])
    wide = {"most_mm": _most(planned.peak), "width_mm": view.lot.width_mm}
    if abs(peak) < FLAT_MM:
        yield Sentence("lot-faces-flat", wide)
        return
    when = "at-once" if abs(peak - at_once) < FLAT_MM else "later"
    days = after(float(planned.day.middle[0]))
    yield Sentence("lot-faces-cup", {**wide, "peak_mm": abs(peak), "face": face(peak), "when": when, **days})
    if when == "later" and abs(at_once) >= FLAT_MM:
        yield Sentence("book-mill-first", {"at_once_mm": abs(at_once), "face": face(at_once)})
    if abs(settled := float(planned.settled.middle[0])) >= FLAT_MM:
        yield Sentence("book-mill-settled", {"face": face(settled), "settled_mm": abs(settled)})


def _compared(plan: Plan, found: dict[Way, Found]) -> Iterator[Sentence]:
    for faces in (AS_PLANNED,) if plan.even else (AS_PLANNED, "even"):
        word = "even" if plan.even or faces == "even" else "uneven"
        mm = {f"{lying}_mm": abs(float(found[faces, lying].peak.middle[0])) for lying in LYING}
        yield Sentence("book-mill-compare", {"faces": word, **mm})
    if (TOP, AS_GIVEN) in found:
        top, bottom = (abs(float(found[faces, AS_GIVEN].peak.middle[0])) for faces in (TOP, BOTTOM))
        yield Sentence("lot-faces-one", {"top_mm": top, "bottom_mm": bottom})


def _extra_said(plan: Plan, best: Found, *, flat_mm: float, sure: bool) -> Sentence:
    extra, rest = (float(s.middle[0]) for s in (best.extra, best.rest))
    if sure and _most(best.peak) <= flat_mm:
        return Sentence("lot-faces-enough", {"flat_mm": flat_mm})
    if np.isnan(extra):
        return Sentence("book-mill-extra-none")
    most = float(best.extra.high[0])
    if most < FLAT_MM:
        return Sentence("book-mill-extra-nothing")
    enough = "none" if np.isnan(most) else "same" if most < extra + FLAT_MM else "more"
    values: dict[str, Any] = {
        "extra_mm": extra, "most_mm": np.nan_to_num(most), "most": enough, "first_mm": plan.final_mm + extra,
    }  # fmt: skip
    if not rest <= SEASON_DAYS:
        return Sentence("lot-faces-extra-late", values)
    return Sentence("lot-faces-extra", {**values, **counted(best.rest)})


def _seen_said(lot: Lot, plan: Plan, given: FacesInputs) -> Iterator[Sentence]:
    seen = lot.received.checklist
    if lot.prongs == "pinch":
        yield Sentence("lot-faces-pinch")
    elif lot.prongs is None and not plan.even:
        yield Sentence("lot-faces-fork")
    if seen.twist in TWIST_MM:
        mm = TWIST_MM[seen.twist] if given.allow_twist_mm is None else given.allow_twist_mm
        yield Sentence("lot-faces-twist", {"twist_mm": mm})
    if seen.face_checks in {"some", "many"}:
        yield Sentence("lot-faces-checks")


def _entries(lot: Lot) -> tuple[str, ...]:
    seen = lot.received.checklist
    kinds = [*(["received"] if {seen.twist, seen.face_checks} & {"some", "many"} else []), "fork-tested", "milled"]
    return tuple(lot.entry_of[kind] for kind in kinds if kind in lot.entry_of)
