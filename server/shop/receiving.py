"""What is said of a lot when it comes in."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from server.shop.construction import Construction
from server.shop.deed import (
    INCH_MM,
    Cut,
    Deed,
    Dry,
    Id,
    Length,
    Line,
    Lying,
    Number,
    OfLot,
    Pieces,
    StartKind,
    Thickness,
    Truth,
    Whole,
    Width,
)


class Start(Deed):
    """How damp a lot was when it came: metered, or taken from where it stood, with a wide spread."""

    kind: StartKind
    mc_pct: Dry | None = Field(None, description="the moisture it is taken to have, 0 to 30 % MC; else the kind's own")

    @model_validator(mode="after")
    def _metered_has_figure(self) -> Start:
        if self.kind == "metered" and self.mc_pct is None:
            raise ValueError("mc_pct for a metered start, 0 to 30 % MC")
        return self


class Aimed(Deed):
    """Where it will live: a destination of the shop, or two numbers."""

    destination: Id | None = None
    dry_limit_pct: Number | None = Field(None, ge=2, le=25, description="2 to 25 % MC")
    damp_limit_pct: Number | None = Field(None, ge=2, le=25, description="2 to 25 % MC")

    @model_validator(mode="after")
    def _one_of_both(self) -> Aimed:
        numbers = (self.dry_limit_pct, self.damp_limit_pct)
        if (self.destination is None) == (None in numbers) or (None in numbers and any(n is not None for n in numbers)):
            raise ValueError("either a destination, or a dry and a damp limit")
        if self.dry_limit_pct is not None and self.damp_limit_pct is not None and numbers[0] >= numbers[1]:  # type: ignore[operator]
            raise ValueError("a dry limit below its damp limit")
        return self


Answer = Literal["none", "some", "many"]


class Checklist(Deed):
    """What was seen when it came in; None is not looked at."""

    face_checks: Answer | None = None
    ends_sealed: Truth | None = None
    twist: Answer | None = None
    bow: Answer | None = None
    loose_knots: Answer | None = None
    bug_holes: Answer | None = None
    sapwood: Answer | None = None
    stain: Answer | None = None
    damaged_edges: Answer | None = None
    sheet_flat: Truth | None = None


class Received(OfLot):
    """A lot came in. Solid wood has a species, sheet goods a product and, if need be, what lies on their faces; the
    thickness of a sheet is that of all of it."""

    kind: Literal["received"] = "received"
    name: Line = Field(min_length=1, max_length=40, description="what the shop calls it, 1 to 40 signs")
    species: str | None = Field(None, max_length=60, description="a key of the species table")
    sheet: str | None = Field(None, max_length=60, description="a key of the table of sheet goods")
    construction: Construction | None = Field(
        None, description="of a sheet: what lies on its faces, and its edges; none told is the product alone"
    )
    specific_gravity: Number | None = Field(None, ge=0.1, le=1.0, description="basic specific gravity, 0.1 to 1.0")
    cut: Cut = Field("flat", description="flat, rift or quarter")
    thickness_mm: Thickness | None = Field(
        None,
        description="the thickness in millimetres, 0.3 to 300 mm; solid wood under 9 or over 130 mm, and sheet goods "
        "under 2 or over 60 mm, only with sizes_checked: inches, quarters or tenths are told by that",
    )
    quarters: Whole | None = Field(None, ge=1, le=32, description="nominal thickness in quarters of an inch, 1 to 32")
    pieces: Pieces
    width_mm: Width = Field(
        description="the width in millimetres, 1 to 3,000 mm; less than the thickness only with sizes_checked"
    )
    length_mm: Length = Field(
        description="the length in millimetres, 10 to 20,000 mm; under 100 mm only with sizes_checked: metres, inches "
        "and centimetres are told by that"
    )
    sizes_checked: Truth = Field(False, description="whether sizes that look like another unit are really in mm")
    zone: Id
    lying: Lying = Field("stickered", description="stickered, dead-stacked, wrapped, one-face or on-edge")
    start: Start
    aim: Aimed
    rack: Line = Field("", max_length=20, description="its place in the rack, up to 20 signs")
    cost: Number | None = Field(None, ge=0, le=1e6, description="what it cost, 0 to 1,000,000, in the shop's money")
    log: Id | None = Field(None, description="the log its boards came from, which stay together")
    picture: Id | None = None
    checklist: Checklist = Checklist()

    @model_validator(mode="after")
    def _one_of_each(self) -> Received:
        if (self.species is None) == (self.sheet is None):
            raise ValueError("either a species (solid wood) or a sheet product")
        if (self.thickness_mm is None) == (self.quarters is None):
            raise ValueError("either thickness_mm or quarters")
        return self

    @property
    def thick_mm(self) -> float:
        """Rough lumber is taken as thick as it is named."""
        return self.thickness_mm if self.thickness_mm is not None else (self.quarters or 0) * INCH_MM / 4
