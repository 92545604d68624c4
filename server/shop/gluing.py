"""What is said of a panel: how it was glued, fitted, crated, and of the house it goes to."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from server.shop.deed import (
    Deed,
    Id,
    Length,
    Line,
    Lying,
    Number,
    OfLot,
    Pieces,
    Thickness,
    Truth,
    Width,
)
from server.shop.receiving import Aimed
from server.wood.maker_sheet import Sheet

LONGEST_CLAMP_H = 240.0
"""Ten days: slow glue in a cold room needs a day or two, nothing needs more."""
SCREW_MM = 5.0
"""Where nobody says how thick a screw is. Common practice, no source."""
Rings = Literal["alternating", "alike", "not-told"]
Fit = Literal["drawer", "door", "groove", "slot"]
Point = tuple[Number, Number]
ClampTime = Annotated[
    Number, Field(gt=0, le=LONGEST_CLAMP_H, description=f"hours in the clamps, above 0 to {LONGEST_CLAMP_H:g} h")
]


class BoardsTaken(Deed):
    """So many pieces of a lot go into a glue-up."""

    lot: Id
    pieces: Pieces


Boards = Annotated[
    tuple[BoardsTaken, ...],
    Field(min_length=1, max_length=40, description="the boards, 1 to 40 lots, each with how many pieces of it"),
]


class SheetTold(Deed):
    """The limits that an adhesive's maker gives, typed in from the sheet; what it does not say is left out."""

    mc_low_pct: Number | None = Field(None, ge=0, le=30, description="the driest wood it takes, 0 to 30 % MC")
    mc_high_pct: Number | None = Field(None, ge=0, le=30, description="the dampest wood it takes, 0 to 30 % MC")
    lowest_c: Number | None = Field(None, ge=-20, le=40, description="the coldest wood and room, −20 to 40 °C")
    clamp_h: tuple[Point, ...] = Field((), max_length=20, description="pairs of °C and hours, the coldest first")
    cure_h: tuple[Point, ...] = Field((), max_length=20, description="pairs of °C and hours, the coldest first")
    rest_days: Number | None = Field(None, ge=0, le=60, description="days until it may be flattened, 0 to 60")

    @model_validator(mode="after")
    def _a_sheet(self) -> SheetTold:
        if (self.mc_low_pct is None) != (self.mc_high_pct is None):
            raise ValueError("both mc_low_pct and mc_high_pct, or neither")
        try:
            self.sheet()
        except ValueError as wrong:
            name, _, rest = str(wrong).partition(": found ")
            raise ValueError(f"{name}: {rest.partition('; would be right: ')[2]}") from None
        return self

    def sheet(self) -> Sheet:
        """As the adhesives' table takes it. Raises ValueError as that does."""
        low, high = self.mc_low_pct, self.mc_high_pct
        mc = None if low is None or high is None else (low, high)
        return Sheet(mc, self.lowest_c, self.clamp_h, self.cure_h, self.rest_days)


class Against(Deed):
    """One answer that a glue-up was done against: which question, and the sentence it said, by key and values."""

    question: Id
    said: Line = Field(min_length=1, max_length=80, description="the key of the sentence")
    values: dict[Annotated[str, Field(max_length=40)], Number | Annotated[str, Field(max_length=200)]] = Field(
        default_factory=dict, max_length=40, description="the sentence's values, up to 40"
    )


class WithAdhesive(Deed):
    """An adhesive by its family, by its maker's sheet, or by both, of which the sheet comes first."""

    adhesive: str | None = Field(None, max_length=40, description="a family, such as pva or epoxy")
    sheet: SheetTold | None = Field(None, description="what its maker's sheet says, in place of the family's figures")

    @model_validator(mode="after")
    def _one_of_both(self) -> WithAdhesive:
        if self.adhesive is None and self.sheet is None:
            raise ValueError("adhesive, the family of it, or sheet, the maker's limits; or both")
        return self


class Glued(WithAdhesive, OfLot):
    """Boards become a panel, a lot of its own, when the clamps are closed. Its width is across the grain."""

    kind: Literal["glued"] = "glued"
    name: Line = Field(min_length=1, max_length=40, description="what the shop calls the panel, 1 to 40 signs")
    boards: Boards
    width_mm: Width
    length_mm: Length
    thickness_mm: Thickness | None = Field(
        None, description="the boards' thickness in millimetres, 0.3 to 300 mm, to be checked; else as they are"
    )
    rings: Rings = Field("not-told", description="alternating, alike or not-told: which way the growth rings turn")
    clamp_h: ClampTime
    zone: Id
    lying: Lying = Field("stickered", description="stickered, dead-stacked, wrapped, one-face or on-edge")
    aim: Aimed
    against: tuple[Against, ...] = Field((), max_length=20, description="the answers it was glued against, up to 20")


class Fitted(OfLot):
    """A panel was put where it belongs: free to move, with the room it was given, or held fast."""

    kind: Literal["fitted"] = "fitted"
    held: Literal["free", "restrained"] = Field(description="free, or restrained: glued or nailed across its width")
    fit: Fit | None = Field(None, description="drawer, door, groove or slot")
    clearance_mm: Number | None = Field(
        None,
        ge=0,
        le=100,
        description="the room it has to widen, over both its edges, 0 to 100 mm; in a groove all of it",
    )
    slot_mm: Number | None = Field(
        None, ge=1, le=200, description="the length of the slots for its screws, 1 to 200 mm"
    )
    screw_mm: Number | None = Field(None, ge=1, le=50, description="the screws in them, 1 to 50 mm")
    slot_outside_mm: Number | None = Field(
        None,
        ge=0,
        le=199,
        description="how much of a slot is free on the screw's outer side, away from where the panel is fixed,"
        " 0 to 199 mm; half of what is free if not given",
    )
    fixed: Literal["middle", "edge"] | None = Field(
        None, description="middle or edge: where its width is held in place; the middle if not given"
    )

    @model_validator(mode="after")
    def _fits(self) -> Fitted:
        if self.slot_mm is not None and self.screw_mm is not None and self.slot_mm < self.screw_mm:
            raise ValueError("a slot_mm no shorter than screw_mm")
        if self.slot_outside_mm is not None:
            if self.slot_mm is None:
                raise ValueError("a slot_mm beside slot_outside_mm")
            if self.slot_outside_mm > self.slot_mm - (self.screw_mm or SCREW_MM):
                raise ValueError("a slot_outside_mm no longer than slot_mm less screw_mm")
        return self


class House(Deed):
    """What was asked of the house a panel goes to; None is not asked."""

    heated: Truth | None = Field(None, description="whether it is heated and lived in")
    new_plaster: Truth | None = Field(None, description="whether plaster or screed there is new and still drying")


class Crated(OfLot):
    """Packed for the road, in a vapour-tight wrap or not."""

    kind: Literal["crated"] = "crated"
    wrapped: Truth = Field(True, description="whether it is wrapped in film within its crate")
    house: House | None = Field(None, description="what was asked of the house it goes to, if it was asked by then")
