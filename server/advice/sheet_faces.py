"""What comes of how a sheet is made: alike on both faces it stays flat, else it bends with the air, and by how much."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from server.advice.base import PRACTICE, Limit, LotView
from server.book.mill import FLAT_MM
from server.reading import Word
from server.shop.construction import Face, OnFace, wood_mm
from server.shop.lot import Lot
from server.wood import covers
from server.wood.faced_sheet import (
    NO_COVER,
    TIMBER_SOURCE,
    Bent,
    Ends,
    FacedSheet,
    Way,
    Wooden,
    bent,
    has_figures,
    humidities,
)
from server.wood.layers import THICKNESS_M
from server.wood.sheet_goods import Product, products
from server.wood.species import NotPublished
from server.words import Sentence

FLAT_MM_PER_M = 2.0
FLAT_SOURCE = "EN 14322, flatness of faced boards: 2 mm per m (memory)"
BEND_SOURCE = (
    "Bending: classical laminate theory (Jones, Mechanics of Composite Materials, ch. 4, recalled; of two plies "
    "Timoshenko, J. Opt. Soc. Am. 11, 1925). Elastic: panels and glue give way, and less is really seen."
)
Top = Literal["top", "bottom"]


@dataclass(frozen=True, slots=True)
class OfSheet:
    """What is said of a sheet, what it decides, and what that rests on; nothing of solid wood."""

    said: tuple[Sentence, ...] = ()
    word: Word | None = None
    title: Sentence | None = None
    figures: Mapping[str, Any] = field(default_factory=dict)
    limit: Limit | None = None
    sources: tuple[str, ...] = ()


def of_sheet(view: LotView) -> OfSheet:
    """``settled_along_mm`` and ``settled_across_mm`` are how hollow it is over its length and its width once the air
    has gone from ``damp_humidity_pct`` to ``dry_humidity_pct`` (its aim's ends, as far as the product's table reaches),
    positive where the top is; ``top_…`` and ``bottom_…`` how hollow those faces get on the way there; each with its
    ends; ``worst_days`` after how many days it is the most hollow, None where it stays so. ``alike`` is whether both
    faces are; None where that is not told."""
    lot = view.lot
    if lot.received.sheet is None:
        return OfSheet()
    edges = (Sentence("lot-sheet-edges"),) if lot.edges == "open" else ()
    top, bottom = lot.top_plies, lot.bottom_plies
    if top is None or bottom is None or _never_told(lot):
        return OfSheet((*_not_told(lot), *edges), figures={"alike": None})
    if (top, lot.top_finish) == (bottom, lot.bottom_finish):
        laid = bool(top) or lot.top_finish != "bare"
        return OfSheet(((Sentence("lot-sheet-alike"),) if laid else ()) + edges, figures={"alike": True})
    faces = {"top": _Side.of(top, lot.top_finish), "bottom": _Side.of(bottom, lot.bottom_finish)}
    core = products().get(lot.received.sheet)
    found = None if core is None else _bent(view, core, faces["top"], faces["bottom"])
    practice = tuple(_practice(faces["top"], faces["bottom"], figured=found is not None))
    if found is None:
        said = (*practice, Sentence("lot-sheet-back"), *edges)
        return OfSheet(said, figures={"alike": False}, sources=(f"Unlike faces: {PRACTICE}",))
    return _figured(view, found, practice, edges)


def _never_told(lot: Lot) -> bool:
    """Of a sheet that came bent it matters what lies on its faces."""
    nothing = not lot.top_plies and not lot.bottom_plies
    return lot.received.construction is None and nothing and lot.received.checklist.sheet_flat is False


def _not_told(lot: Lot) -> Iterator[Sentence]:
    """Where it matters: one face is told and the other is not, or it came bent."""
    open_ = [name for name, plies in (("top", lot.top_plies), ("bottom", lot.bottom_plies)) if plies is None]
    if len(open_) == 1:
        yield Sentence("lot-sheet-not-told", {"face": open_[0]})
    elif lot.received.checklist.sheet_flat is False:
        yield Sentence("lot-sheet-not-told", {"face": "both"})


@dataclass(frozen=True, slots=True)
class _Side:
    """One face: its wood, whether laminate lies on it, how many other covers, and their resistance, m² s Pa/kg, which
    is None where that of one is not published."""

    wood: tuple[OnFace, ...]
    laminate: bool
    covered: bool
    resistance: Ends | None

    @classmethod
    def of(cls, plies: Face, finish: str) -> _Side:
        lying = [one for one in plies if not one.wooden]
        keys = [one.cover for one in lying] + [finish] * (finish != "bare")
        known = [covers.find(key) for key in keys if key is not None]
        resistance = None
        if len(known) == len(keys):
            named = ("resistance_m2_s_pa_kg", "low_m2_s_pa_kg", "high_m2_s_pa_kg")
            resistance = Ends(*(float(sum(getattr(one, name) for one in known)) for name in named))
        wood = tuple(one for one in plies if one.wooden and (one.thickness_mm or 0.0) / 1000 >= THICKNESS_M[0])
        return cls(wood, any(one.laid == "laminate" for one in lying), bool(keys), resistance)


def _bent(view: LotView, core: Product, top: _Side, bottom: _Side) -> Bent | None:
    """None where a figure that it takes is not published: a laminate's stiffness and movement, a species', a core's."""
    lot, between = view.lot, humidities(core, view.aim.dry_limit_pct, view.aim.damp_limit_pct)
    keys = {one.species or "" for one in (*top.wood, *bottom.wood)}
    if top.laminate or bottom.laminate or between is None or not has_figures(core) or not keys <= view.veneers.keys():
        return None
    if None in (top.resistance, bottom.resistance) and top.wood == bottom.wood:
        return None
    behind = (top.resistance, bottom.resistance) if top.resistance and bottom.resistance else (NO_COVER, NO_COVER)
    upper, lower = (
        tuple(Wooden(view.veneers[o.species or ""], (o.thickness_mm or 0.0) / 1000, o.grain) for o in side.wood)
        for side in (top, bottom)
    )
    try:
        return bent(FacedSheet(core, lot.core_mm / 1000, upper, lower, *behind), between[1], between[0])
    except NotPublished:
        return None


def _practice(top: _Side, bottom: _Side, *, figured: bool) -> Iterator[Sentence]:
    """What is said without a figure, of all that no figure covers."""
    unsure = None in (top.resistance, bottom.resistance)
    if top.laminate != bottom.laminate:
        yield Sentence("lot-sheet-practice", {"why": "laminate", "face": "top" if top.laminate else "bottom"})
    elif not figured and top.wood != bottom.wood:
        more: Top = "top" if wood_mm(top.wood) >= wood_mm(bottom.wood) else "bottom"
        yield Sentence("lot-sheet-practice", {"why": "veneer", "face": more})
    elif top.covered != bottom.covered and (unsure or not figured):
        yield Sentence("lot-sheet-practice", {"why": "cover", "face": "bottom" if top.covered else "top"})
    elif unsure or not figured:
        yield Sentence("lot-sheet-practice", {"why": "unsure", "face": "top"})


def _figured(view: LotView, found: Bent, practice: tuple[Sentence, ...], edges: tuple[Sentence, ...]) -> OfSheet:
    lot = view.lot
    ways = {"along": (found.along, lot.received.length_mm), "across": (found.across, lot.width_mm)}
    figures: dict[str, Any] = {"alike": False}
    for name, (way, over_mm) in ways.items():
        named = {f"settled_{name}": way.settled, f"top_{name}": way.top, f"bottom_{name}": way.bottom}
        for key, ends in named.items():
            for end, per_m in (("", ends.middle), ("_low", ends.low), ("_high", ends.high)):
                figures[f"{key}_mm{end}"] = hollow_mm(per_m, over_mm)
    deepest, _ = max(
        ((way.worst, hollow_mm(way.worst[1].middle, over_mm)) for way, over_mm in ways.values()), key=lambda one: one[1]
    )
    steepest = max(way.worst[1].middle for way, _ in ways.values())
    figures |= {
        "worst_days": None if math.isinf(deepest[2]) else deepest[2],
        "dry_humidity_pct": 100 * found.dry_rh, "damp_humidity_pct": 100 * found.damp_rh,
    }  # fmt: skip
    out = hollow_mm(steepest, 1000) > FLAT_MM_PER_M
    said = (*_bends(found, ways), *practice, Sentence("lot-sheet-back"), *edges)
    limit = Limit(
        Sentence("lot-sheet-limit", {"flat_mm": FLAT_MM_PER_M}), FLAT_SOURCE, {"flat_mm_per_m": FLAT_MM_PER_M}
    )
    return OfSheet(
        said, "look" if out else None, Sentence("lot-sheet-title") if out else None, figures, limit,
        (*_sources(view), f"What to do about it: {PRACTICE}"),
    )  # fmt: skip


def hollow_mm(per_m: float, over_mm: float) -> float:
    """How deep a curvature, 1/m, is over so many mm."""
    return per_m * (over_mm / 1000) ** 2 / 8 * 1000 + 0.0  # never -0


def _bends(found: Bent, ways: Mapping[str, tuple[Way, float]]) -> Iterator[Sentence]:
    """The deeper of the two first."""
    air = {"damp_pct": 100 * found.damp_rh, "dry_pct": 100 * found.dry_rh}
    deep = {name: hollow_mm(way.worst[1].middle, over_mm) for name, (way, over_mm) in ways.items()}
    order = [name for name in sorted(ways, key=lambda name: -deep[name]) if deep[name] >= FLAT_MM]
    if not order:
        yield Sentence("lot-sheet-flat", air)
    for key, name in zip(("lot-sheet-bends", "lot-sheet-bends-too"), order, strict=False):
        way, over_mm = ways[name]
        hollow, ends, days = way.worst
        settled = hollow_mm(way.settled.middle if hollow == "top" else -way.settled.middle, over_mm)
        later = "part" if settled >= FLAT_MM else "turns" if settled <= -FLAT_MM else "no"
        stays = "yes" if settled >= deep[name] else later
        values: dict[str, Any] = {
            "face": hollow, "way": name, "hollow_mm": deep[name], "least_mm": hollow_mm(ends.low, over_mm),
            "most_mm": hollow_mm(ends.high, over_mm), "over_mm": over_mm, "stays": stays,
            "days": 0 if math.isinf(days) else max(1, round(days)),
        }  # fmt: skip
        yield Sentence(key, {**values, **air} if key == "lot-sheet-bends" else values)


def _sources(view: LotView) -> Iterator[str]:
    core = products()[view.lot.received.sheet or ""]
    moves = f"{core.source} ({core.provenance})"
    yield BEND_SOURCE
    yield f"Core: movement, {moves}; stiffness, {core.modulus_source}; vapour, {core.vapour_source}."
    if view.veneers:
        yield f"Veneer: movement and stiffness as of its species; vapour, {TIMBER_SOURCE}."
    keys = {view.lot.top_finish, view.lot.bottom_finish} - {"bare"}
    keys |= {one.cover for one in (*(view.lot.top_plies or ()), *(view.lot.bottom_plies or ())) if one.cover}
    yield from (f"{covers.find(key).name}: {covers.find(key).source}." for key in sorted(keys))
