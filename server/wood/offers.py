"""What an offer of lumber really costs: nominal board feet against what planing, resawing and cutting out leave.

A board foot is 144 cubic inches of *nominal* lumber (definition of the trade). A usable one is here 144 cubic inches at
the needed, finished thickness. Prices are whatever the user counts in. Nothing here knows of moisture: ``settling_mm``
says how thick the stock lies while it settles, which is what the solver is asked about.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

INCH_MM = 25.4
BOARD_FOOT_IN3 = 144.0
KERF_MM = 1.5
"""Of a resawing bandsaw, common practice, no source."""
MOST_PIECES = 8
QUARTERS, WIDTH_IN, LENGTH_IN, PRICE = (4, 16), (1.0, 118.0), (1.0, 480.0), (0.0, 1e6)
"""What is taken: 4/4 to 16/4, widths to 3 m, lengths to 12 m."""

Why = Literal["", "planed-too-thin", "resawn-too-thin"]


@dataclass(frozen=True, slots=True)
class Grade:
    """A hardwood grade and the least share of clear face it promises on its poorer face, %."""

    grade: str
    name: str
    clear_pct: float
    provenance: str
    source: str


class BadOffer(ValueError):
    """An offer that cannot be. ``found`` and ``would_be_right`` say what."""

    def __init__(self, part: str, found: object, would_be_right: str) -> None:
        self.part, self.found, self.would_be_right = part, found, would_be_right
        super().__init__(f"{part}: found {found}; would be right: {would_be_right}")


@dataclass(frozen=True, slots=True)
class Offer:
    """Boards of one kind as offered: nominal thickness in quarter inches, the rest in inches; price a board foot.

    ``usable_pct`` is the share of the face that is used, 100 where nothing is said; ``hours`` are one's own for it.
    """

    label: str
    quarters: int
    width_in: float
    length_in: float
    price_per_bf: float
    resaw: bool = False
    usable_pct: float = 100.0
    hours: float = 0.0

    def __post_init__(self) -> None:
        """Raises BadOffer for the first part that is out of range."""
        if not self.label.strip():
            raise BadOffer("label", "nothing", "a name for the offer")
        for part, found, (low, high), unit in (
            ("quarters", self.quarters, QUARTERS, "quarter inches, such as 4 for 4/4"),
            ("width-in", self.width_in, WIDTH_IN, "inches"),
            ("length-in", self.length_in, LENGTH_IN, "inches"),
            ("price-per-bf", self.price_per_bf, PRICE, "a board foot, in your own money"),
            ("yield", self.usable_pct, (1.0, 100.0), "% of the face that can be used"),
            ("hours", self.hours, (0.0, 1000.0), "hours of your own"),
        ):
            if not low <= found <= high:
                raise BadOffer(part, f"{found:g}", f"{low:g} to {high:g} {unit}")

    @property
    def board_feet(self) -> float:
        """Of nominal lumber: an 8/4 board 6 in wide and 96 in long has 8."""
        return self.quarters / 4 * self.width_in * self.length_in / BOARD_FOOT_IN3

    @property
    def nominal_mm(self) -> float:
        """The rough thickness, mm."""
        return self.quarters / 4 * INCH_MM


@dataclass(frozen=True, slots=True)
class Costed:
    """An offer against a need. Without enough thickness the usable figures are None and ``why_not`` says which way.

    ``piece_mm`` is what planing leaves of each of ``pieces``; ``settling_mm`` how thick the stock lies before that.
    """

    board_feet: float
    cost: float
    pieces: int
    piece_mm: float
    settling_mm: float
    usable_board_feet: float | None
    cost_per_usable_bf: float | None
    why_not: Why


@cache
def grades() -> MappingProxyType[str, Grade]:
    """The grades by their letters, best first: FAS, SEL, 1C, 2AC, 3AC."""
    text = files("server.wood").joinpath("grades.csv").read_text(encoding="utf-8")
    return MappingProxyType(
        {r["grade"]: Grade(r["grade"], r["name"], float(r["clear_pct"]), r["provenance"], r["source"])
         for r in csv.DictReader(text.splitlines())}
    )  # fmt: skip


def planing_loss_mm(rough_mm: float) -> float:
    """What surfacing both faces takes off, mm: 3/16 in below 2 in of rough thickness, 1/4 in from there on.

    Common practice of the yards, no standard behind it: 5/4, 6/4, 8/4 and 12/4 come surfaced at 1 1/16, 1 5/16, 1 3/4
    and 2 3/4 in (read in a yard's list, tests/data/reference/surfaced_thickness.csv). A cupped or twisted board needs
    more.
    """
    return (3 / 16 if rough_mm < 2 * INCH_MM - 1e-9 else 1 / 4) * INCH_MM


def cost(
    offer: Offer,
    need_mm: float,
    *,
    kerf_mm: float = KERF_MM,
    planing_mm: float | None = None,
    price_per_hour: float = 0.0,
) -> Costed:
    """An offer against a needed finished thickness, mm; ``planing_mm`` takes the place of :func:`planing_loss_mm`.

    Resawn stock becomes as many equal pieces as still plane to the need, two at least; each loses its own planing, and
    a kerf lies between any two. Own hours count into the cost of what is usable, not into the cost of the boards. 8/4,
    6 in by 96 in, at 10 a board foot, for 20 mm: 80; whole it gives 3.15 usable board feet at 25.40. Raises ValueError
    for a need outside 1..400 mm, a kerf outside 0..10, a planing loss outside 0..50.
    """
    for name, found, low, high in (
        ("need_mm", need_mm, 1.0, 400.0),
        ("kerf_mm", kerf_mm, 0.0, 10.0),
        ("planing_mm", 0.0 if planing_mm is None else planing_mm, 0.0, 50.0),
        ("price_per_hour", price_per_hour, *PRICE),
    ):
        if not low <= found <= high:
            raise ValueError(f"{name}: found {found:g}; would be right: {low:g} to {high:g}")
    if offer.resaw:
        pieces, blank_mm = _resawn(offer.nominal_mm, need_mm, kerf_mm, planing_mm)
    else:
        pieces, blank_mm = 1, offer.nominal_mm
    piece_mm = _planed(blank_mm, planing_mm)
    bought = offer.board_feet * offer.price_per_bf
    if piece_mm < need_mm:
        why: Why = "resawn-too-thin" if offer.resaw else "planed-too-thin"
        return Costed(offer.board_feet, bought, pieces, piece_mm, blank_mm, None, None, why)
    face_in2 = offer.width_in * offer.length_in * offer.usable_pct / 100
    usable = pieces * face_in2 * need_mm / INCH_MM / BOARD_FOOT_IN3
    per_usable = (bought + offer.hours * price_per_hour) / usable
    return Costed(offer.board_feet, bought, pieces, piece_mm, blank_mm, usable, per_usable, "")


def _planed(rough_mm: float, planing_mm: float | None) -> float:
    return max(rough_mm - (planing_loss_mm(rough_mm) if planing_mm is None else planing_mm), 0.0)


def _resawn(nominal_mm: float, need_mm: float, kerf_mm: float, planing_mm: float | None) -> tuple[int, float]:
    most = min(MOST_PIECES, max(2, math.floor((nominal_mm + kerf_mm) / need_mm)))

    def blank_mm(pieces: int) -> float:
        return (nominal_mm - (pieces - 1) * kerf_mm) / pieces

    thick_enough = (n for n in range(most, 2, -1) if _planed(blank_mm(n), planing_mm) >= need_mm)
    pieces = next(thick_enough, 2)
    return pieces, blank_mm(pieces)
