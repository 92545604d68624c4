"""Which way shall the growth rings turn? The ways are set beside each other by the cup they come to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from server.advice.base import PRACTICE, Line, ends
from server.advice.glue_up.base import GlueView
from server.wood.air import Floats
from server.wood.belief import MEMBERS, Belief, boards_of
from server.wood.cup import curvature_per_m
from server.wood.ensemble import END_OF_80, Spread
from server.wood.movement import RING_ANGLE_DEG, Across, across_width, change
from server.wood.species import NotPublished
from server.wood.stock import Stock
from server.wood.straightedge import CUP_CV
from server.wood.strips import SOURCE, Shape, ring_bend_per_m, shape_of
from server.words import Sentence

Way = Literal["alternating", "heart-up", "heart-down"]
WAYS: tuple[Way, ...] = ("alternating", "heart-up", "heart-down")
_SAME_MM = 0.1
"""Ways that cup within this of each other are one as good as the other."""
_FELT_MM = 0.05
_RINGS = "Rings: the stress-free map of an even change, exact for one ring radius; cos³ of the ring angle."
_BENDS = "Profile: bending of a free strip by its own gradient (Timoshenko, J. Opt. Soc. Am. 11, 1925)."


@dataclass(frozen=True, slots=True)
class Cups:
    """What one way comes to, mm over the panel's width: at the dry and the damp end of the aim, positive where the top
    is hollow, each with its ends; and the waves from strip to strip at the worse of the two."""

    dry: Spread
    damp: Spread
    wave_mm: float

    @property
    def worst_mm(self) -> float:
        return max(abs(float(self.dry.middle[0])), abs(float(self.damp.middle[0])))


class Rings:
    """Strips that turn about, hearts all up, or all down, each strip lying with the face up that is up now.

    The panel is flat as it is glued and flattened. As its strips come even inside, each gives back what its profile
    bends it by now (the face that is drier now goes round by that), and its rings bend it by what its mean moves: where
    it dries the side towards the bark goes hollow. A strip that is turned over with its rings takes its drier face with
    it; which faces look to the heart nobody has told, so that is left out.
    """

    name = "rings"
    summary = "how far the panel cups with its rings alternating, hearts up and hearts down, and how wavy it gets"
    decides = False

    def answer(self, view: GlueView, /) -> Line:
        """``ways``: of each its ``cup_dry_mm`` and ``cup_damp_mm`` (at the aim's dry and damp limit; positive: the top
        goes hollow) with their ends, ``worst_mm`` and ``wave_mm``; ``least`` is the way that cups least."""
        ringed = _ringed(view)
        if ringed is None:
            return Line(
                self.name,
                None,
                Sentence("glue-rings-asked"),
                (Sentence("glue-year-unknown", {"why": "wood"}),),
                sources=(SOURCE,),
            )
        bends = [_bends(view, ringed, to) for to in (view.aim.dry_limit_pct, view.aim.damp_limit_pct)]
        found = {way: _cups(view, bends, way) for way in WAYS}
        least = min(WAYS, key=lambda way: round(found[way].worst_mm / _SAME_MM))
        figures: dict[str, Any] = {
            "least": least, "planned": view.asked.rings, "ring_radius_mm": view.asked.ring_radius_mm,
            "ways": [
                {"way": way, **ends("cup_dry_mm", cups.dry), **ends("cup_damp_mm", cups.damp),
                 "worst_mm": cups.worst_mm, "wave_mm": cups.wave_mm}
                for way, cups in found.items()
            ],
        }  # fmt: skip
        return Line(
            self.name, None, Sentence("glue-rings-asked"), _said(view, found, least), figures, None,
            (_RINGS, _BENDS, SOURCE, f"Rings of {view.asked.ring_radius_mm:g} mm where nobody looked: {PRACTICE}"),
            Sentence("book-caution-cup"),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ringed:
    """How the boards' wood moves: across its width by each board's cut, along its rings and across them."""

    across: tuple[Across, ...]
    tangential: Across
    radial: Across


def _ringed(view: GlueView) -> Ringed | None:
    species, each = view.boards[0].view.species, [board.view.across() for board in view.boards]
    across = tuple(one for one in each if one is not None)
    if species is None or len(across) < len(each):
        return None
    try:
        return Ringed(across, across_width(species, 0.0), across_width(species, 90.0))
    except NotPublished:
        return None


Bends = list[tuple[Floats, Floats]]
"""Of each board the curvature of a strip by its profile and by its rings, heart up, (MEMBERS,) each."""


def _cups(view: GlueView, bends: list[Bends], way: Way) -> Cups:
    dry, damp = (_shape(view, each, way) for each in bends)
    return Cups(_spread(dry), _spread(damp), max(float(dry.wave_mm[0]), float(damp.wave_mm[0])))


def _shape(view: GlueView, each: Bends, way: Way) -> Shape:
    """Of every member of what is held, (MEMBERS,)."""
    bends = []
    for n, (board, _) in enumerate(view.strips_mm):
        profile, rings = each[board]
        heart = 1.0 if way == "heart-up" else -1.0 if way == "heart-down" else (-1.0) ** n
        bends.append(profile + heart * rings)
    return shape_of(np.array([mm for _, mm in view.strips_mm]) / 1000.0, np.stack(bends, axis=-1))


def _bends(view: GlueView, ringed: Ringed, to_pct: float) -> Bends:
    """What becomes of all boards when they have come to ``to_pct`` through and through."""
    stock = Stock.joined([board.held.wood.stock for board in view.boards])
    belief = Belief.joined([board.held.wood.belief for board in view.boards])
    boards, held = boards_of(stock, belief), belief.held_pct()
    held = held.reshape(-1, held.shape[-1])
    per_pct = np.repeat([one.coefficient for one in ringed.across], MEMBERS)
    profiles = -curvature_per_m(boards, held, per_pct)
    means = np.clip(boards.mean_pct(held), 0.0, 30.0)
    tangential, radial = (change(one, 1.0, means, to_pct) for one in (ringed.tangential, ringed.radial))
    angles = np.repeat([RING_ANGLE_DEG[board.view.lot.received.cut] for board in view.boards], MEMBERS)
    rings = ring_bend_per_m(tangential, radial, angles, view.asked.ring_radius_mm / 1000.0)
    return list(zip(profiles.reshape(-1, MEMBERS), rings.reshape(-1, MEMBERS), strict=True))


def _spread(shape: Shape) -> Spread:
    """What is not known of the boards, taken to be the same in all, and a share of every cup: creep, and a board's own
    movement."""
    cup = shape.cup_mm
    half = END_OF_80 * float(np.sqrt(((cup[1:] - cup[0]) ** 2).sum() + (CUP_CV * cup[0]) ** 2))
    return Spread(cup[:1], cup[:1] - half, cup[:1] + half)


def _said(view: GlueView, found: dict[Way, Cups], least: Way) -> tuple[Sentence, ...]:
    ways = tuple(_one(view, way, cups) for way, cups in found.items())
    alike = [way for way in WAYS if found[way].worst_mm <= found[least].worst_mm + _SAME_MM]
    if len(alike) == len(WAYS):
        best = Sentence("glue-rings-same", {"worst_mm": max(cups.worst_mm for cups in found.values())})
    else:
        best = Sentence("glue-rings-least", {"way": least, "worst_mm": found[least].worst_mm})
    wave = found["alternating"].wave_mm
    waves = (Sentence("glue-rings-waves", {"wave_mm": wave}),) if wave >= _FELT_MM else ()
    return (best, *waves, *ways)


def _one(view: GlueView, way: Way, cups: Cups) -> Sentence:
    dry, damp = float(cups.dry.middle[0]), float(cups.damp.middle[0])
    return Sentence("glue-rings-way", {
        "way": way, "dry_mm": abs(dry), "dry_face": _face(dry), "damp_mm": abs(damp), "damp_face": _face(damp),
        "width_mm": view.width_mm,
    })  # fmt: skip


def _face(cup: float) -> str:
    return "flat" if abs(cup) < _FELT_MM else "top" if cup > 0 else "bottom"
