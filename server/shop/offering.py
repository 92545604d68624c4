"""What lumber somebody offers, at prices entered by hand: told in the journal like everything else."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from server.shop.deed import INCH_MM, Deed, Id
from server.wood.offers import BOARD_FOOT_IN3, Offer, grades

BOARD_FOOT_M3 = BOARD_FOOT_IN3 * (INCH_MM / 1000.0) ** 3


class Offered(Deed):
    """Boards of one kind and their price, or a new price of those offered before under the same id."""

    kind: Literal["offered"] = "offered"
    offer: Id
    label: str = Field(min_length=1, max_length=40, description="what the shop calls it, 1 to 40 signs")
    seller: str = Field("", max_length=40, description="who offers it, up to 40 signs")
    species: str | None = Field(None, max_length=60, description="a key of the species table")
    quarters: int = Field(ge=4, le=16, description="nominal thickness in quarters of an inch, 4 to 16 (4 for 4/4)")
    width_mm: float = Field(ge=25.4, le=2997, description="the boards' width, 25.4 to 2,997 mm; is it in inches?")
    length_mm: float = Field(ge=25.4, le=12_192, description="the boards' length, 25.4 to 12,192 mm; is it in metres?")
    price_per_board_foot: float | None = Field(None, ge=0, le=1e6, description="0 to 1,000,000 in the shop's money")
    price_per_m3: float | None = Field(None, ge=0, le=4e8, description="0 to 400,000,000 in the shop's money")
    resaw: bool = Field(False, description="whether it would be resawn")
    grade: str | None = Field(None, description="a hardwood grade, whose least clear face is the yield: FAS to 3AC")
    usable_pct: float | None = Field(None, ge=1, le=100, description="the share of the face that is used, 1 to 100 %")
    hours: float = Field(0.0, ge=0, le=1000, description="one's own hours for it, 0 to 1,000")

    @model_validator(mode="after")
    def _priced_once(self) -> Offered:
        if (self.price_per_board_foot is None) == (self.price_per_m3 is None):
            raise ValueError("either a price per board foot or a price per cubic metre")
        if self.grade is not None and self.grade not in grades():
            raise ValueError(f"a grade among {', '.join(grades())}")
        return self

    def as_offer(self) -> Offer:
        """For :func:`server.wood.offers.cost`. A yield that was given comes before that of the grade."""
        share = 100.0 if self.grade is None else grades()[self.grade].clear_pct
        per_bf = self.price_per_board_foot
        if per_bf is None:
            per_bf = (self.price_per_m3 or 0.0) * BOARD_FOOT_M3
        return Offer(
            self.label, self.quarters, self.width_mm / INCH_MM, self.length_mm / INCH_MM, per_bf, self.resaw,
            share if self.usable_pct is None else self.usable_pct, self.hours,
        )  # fmt: skip


class OfferWithdrawn(Deed):
    """It is no longer to be had."""

    kind: Literal["offer-withdrawn"] = "offer-withdrawn"
    offer: Id
