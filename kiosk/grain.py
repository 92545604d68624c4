"""A lot's end-grain section: what is drawn of it, and where each point of it stands. Pure figures, no Kivy.

A section is drawn to scale: the pixels of a millimetre are the same through its thickness and across its width. What is
too wide for its box is cut short, and a break says so. Only the cup is exaggerated, by a factor that is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

FACTORS = (20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0, 0.5, 0.2, 0.1)
"""How many times a cup may be drawn: the same for all lots, so that more cup looks more; less where there is no room.
At the first of them 0.5 mm over 200 mm, which is beyond what glueing tolerates, is a twentieth of the width."""
MOST_HOLLOW = 0.13
"""Of the drawn width: more would be a barrel."""
STUBBY = 1.5
"""Hardly wider than thick, or seen so in a narrow box, a section is drawn flat."""
THICK_MM, WIDE_MM = 52.0, 180.0
"""A box by itself takes the scale at which rough 8/4 stock nearly fills its height and a board of this width fits."""
FULL = 0.74
LEAST_THICK = 0.2
"""Of the room's height: a veneer would be no line at all."""
SHORT_FROM = 1.25
"""Wider than the room by less than this a board is drawn to the room, without a break."""
NOT_LOOKED_MM = 150.0
"""The rings' radius where nobody looked at the end grain; the bark is drawn up then. Common practice, no source."""
WOOD = ("flat", "rift", "quarter")

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class GrainView:
    """One section. ``profile`` are (share of the thickness from the top face, % MC), top first, and the limits those of
    its aim in % MC: without either nothing is said of its moisture. ``cup_mm`` is how hollow it is over its width,
    positive where the top is hollow. ``cut`` is flat, rift or quarter, or the product of a sheet. ``bark`` is the face
    towards the bark, top or bottom. ``joints`` are the glue lines of a panel as shares of its width, ``layers`` the
    lines between what lies on a sheet's faces as shares of its thickness. Raises ValueError out of range."""

    thickness_mm: float
    width_mm: float
    cut: str = "flat"
    profile: tuple[Point, ...] = ()
    dry_limit_pct: float | None = None
    damp_limit_pct: float | None = None
    cup_mm: float = 0.0
    lying: str = ""
    bark: str = "top"
    ring_radius_mm: float = NOT_LOOKED_MM
    joints: tuple[float, ...] = ()
    alternating: bool = False
    layers: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for name, value, most in (("thickness_mm", self.thickness_mm, 300), ("width_mm", self.width_mm, 3000)):
            if not 0 < value <= most:
                raise ValueError(f"{name}: found {value}; would be right: above 0 to {most} mm")
        if not math.isfinite(self.cup_mm):
            raise ValueError(f"cup_mm: found {self.cup_mm}; would be right: a number of mm, positive with a hollow top")
        if not all(0 <= at <= 1 and math.isfinite(pct) for at, pct in self.profile):
            raise ValueError(f"profile: found {self.profile}; would be right: shares 0 to 1 of the thickness, % MC")

    @property
    def known(self) -> bool:
        """Whether its colours say anything."""
        return bool(self.profile) and self.dry_limit_pct is not None and self.damp_limit_pct is not None

    @property
    def wooden(self) -> bool:
        return self.cut in WOOD


def grain_of(lot: dict[str, Any]) -> GrainView | None:
    """From a lot's document, as ``/api/lots`` lists it; None for one that nothing can be drawn of. Figures that are
    missing or no numbers are not drawn."""
    try:
        return _grain_of(lot)
    except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError):  # the window goes on
        return None


def _grain_of(lot: dict[str, Any]) -> GrainView:
    moisture, cup, seen, panel = (lot.get(key) or {} for key in ("moisture", "cup", "end_grain", "panel"))
    thick = lot["thickness_mm"]
    pairs = zip(moisture.get("depth_mm") or (), moisture.get("profile_pct") or (), strict=False)
    profile = tuple((min(1.0, max(0.0, depth / thick)), pct) for depth, pct in pairs)
    mm = cup.get("mm") or 0.0
    return GrainView(
        thickness_mm=thick,
        width_mm=lot["width_mm"],
        cut=lot.get("sheet") or lot.get("cut") or "flat",
        profile=profile if all(math.isfinite(pct) for _, pct in profile) else (),
        dry_limit_pct=lot.get("aim_low_pct"),
        damp_limit_pct=lot.get("aim_high_pct"),
        cup_mm=mm if math.isfinite(mm) else 0.0,
        lying=lot.get("lying") or "",
        bark=seen.get("bark_face") or "top",
        ring_radius_mm=seen.get("ring_radius_mm") or NOT_LOOKED_MM,
        joints=_joints(panel.get("boards") or ()),
        alternating=panel.get("rings") == "alternating",
        layers=_layers(lot.get("construction") or {}, thick),
    )


def _joints(boards: Iterable[dict[str, Any]]) -> tuple[float, ...]:
    ends, at = [], 0.0
    for board in boards:
        for _ in range(board["pieces"]):
            at += board["share"] / board["pieces"]
            ends.append(round(at, 6))
    return tuple(ends[:-1])


def _layers(construction: dict[str, Any], thick: float) -> tuple[float, ...]:
    """Where wood on a sheet's faces meets what is under it."""
    found = []
    for face, sign in (("top", 1), ("bottom", -1)):
        at = 0.0
        for one in reversed(construction.get(face) or ()):  # the outermost first
            at += (one.get("thickness_mm") or 0.0) / thick
            if 0 < at < 1:
                found.append(at if sign > 0 else 1 - at)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Shape:
    """Where a section stands in its box, in pixels from the box's lower left corner. Its own coordinates are x along
    its middle from the centre, -length/2 to length/2, and z from its middle up to the top face, thick/2.

    ``bend`` is half the angle it turns through, radians, positive where the top is hollow; ``factor`` how many times
    its cup is drawn, 0 where none is seen; ``shortened`` says that it is wider than what is drawn of it."""

    centre: Point
    length: float
    thick: float
    px_per_mm: float
    bend: float = 0.0
    factor: float = 0.0
    shortened: bool = False
    margin: float = 0.0

    def at(self, x: float, z: float) -> Point:
        """A point of the section: planes across it stay plane, its middle keeps its length."""
        if not self.bend:
            return self.centre[0] + x, self.centre[1] + z
        radius = 0.5 * self.length / self.bend
        turned = x / radius
        return (
            self.centre[0] + (radius - z) * math.sin(turned),
            self.centre[1] + radius - (radius - z) * math.cos(turned),
        )

    def path(self, points: Iterable[Point]) -> list[Point]:
        return [self.at(x, z) for x, z in points]

    @property
    def hollow(self) -> float:
        """How much higher the ends of its middle stand than its centre, pixels."""
        return self.at(0.5 * self.length, 0.0)[1] - self.at(0.0, 0.0)[1]

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of all of it."""
        corners = self.path((sx * 0.5 * self.length, sz * 0.5 * self.thick) for sx in (-1, 0, 1) for sz in (-1, 1))
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        return min(xs), min(ys), max(xs), max(ys)


def margin_of(width: float, height: float) -> float:
    """Free around a section for its cover and what it lies on, pixels."""
    return max(3.0, min(14.0, 0.085 * height, 0.06 * width))


def own_scale(width: float, height: float) -> float:
    """Pixels of a millimetre for a box of that size, whatever is drawn in it: cards of one size compare."""
    room = margin_of(width, height)
    return min(FULL * (height - 2 * room) / THICK_MM, (width - 2 * room) / WIDE_MM)


def common_scale(views: Iterable[GrainView], width: float, height: float) -> float:
    """The one scale for a page of boxes of that size: their own, or less where one of them is thicker than fits."""
    thickest = max((view.thickness_mm for view in views), default=THICK_MM)
    return min(own_scale(width, height), 0.95 * (height - 2 * margin_of(width, height)) / thickest)


def common_factor(views: Iterable[GrainView], width: float, height: float, px_per_mm: float = 0.0) -> float:
    """How many times every cup of a page of boxes of that size can be drawn; 0 where none is seen."""
    shapes = [fit_grain(view, width, height, px_per_mm) for view in views]
    return min((shape.factor for shape in shapes if shape.factor), default=0.0)


def fit_grain(
    view: GrainView,
    width: float,
    height: float,
    px_per_mm: float = 0.0,
    *,
    most: float = FACTORS[0],
    margin: float = -1.0,
) -> Shape:
    """How a section stands in a box of ``width`` by ``height`` pixels, all of it and of its cover inside. 0 pixels of a
    millimetre is the box's own scale; its cup is drawn ``most`` times at the most; a ``margin`` below 0 is the box's
    own."""
    free = margin_of(width, height) if margin < 0 else margin
    wide, high = max(4.0, width - 2 * free), max(3.0, height - 2 * free)
    scale = px_per_mm or own_scale(width, height)
    thick = min(high, max(view.thickness_mm * scale, LEAST_THICK * high, 3.0))
    asked = view.width_mm * thick / view.thickness_mm
    length = min(wide, max(asked, 4.0))
    room = min(max(high - thick, 0.0), MOST_HOLLOW * length) if length > STUBBY * thick else 0.0
    factor, depth = _factor(view, scale, room, most)
    bend = _bend(depth, length)
    for _ in range(8 if bend else 0):  # a bent end leans outward by its own thickness
        left, _, right, _ = Shape((0, 0), length, thick, scale, bend).bounds()
        length -= max(0.0, right - left - wide)
        bend = _bend(depth, length)
    shape = Shape((0, 0), length, thick, scale, bend)
    _, low, _, top = shape.bounds()
    centre = (0.5 * width, 0.5 * height - 0.5 * (low + top))
    return Shape(centre, length, thick, scale, bend, factor, asked > SHORT_FROM * wide, free)


def _factor(view: GrainView, scale: float, room: float, most: float) -> tuple[float, float]:
    """How many times the cup is drawn, and how deep that is in pixels with its sign."""
    true = abs(view.cup_mm) * scale
    factor = next((f for f in FACTORS if f <= most and true * f <= room), 0.0)
    depth = true * factor
    return (factor, math.copysign(depth, view.cup_mm)) if depth >= 0.4 else (0.0, 0.0)


def _bend(depth: float, length: float) -> float:
    """Half the angle of an arc of that length whose rise is that deep: (1 - cos u) / u = 2 depth / length."""
    if not depth:
        return 0.0
    wanted, u = 2.0 * abs(depth) / length, 4.0 * abs(depth) / length
    for _ in range(6):
        off = (1 - math.cos(u)) / u - wanted
        slope = (u * math.sin(u) - 1 + math.cos(u)) / u**2
        u -= off / slope
    return math.copysign(u, depth)
