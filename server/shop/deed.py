"""What all entries of the shop's journal are made of: ids, measures with their ranges, and the base of every deed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Id = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="small letters, digits, hyphens, 1 to 40")]
EntryId = Annotated[
    str, Field(min_length=8, max_length=64, description="an id made by whoever writes it, 8 to 64 signs")
]
Cut = Literal["flat", "rift", "quarter"]
Lying = Literal["stickered", "dead-stacked", "wrapped", "one-face", "on-edge"]
StartKind = Literal["metered", "kiln-dried-yard", "heated-store", "unheated-shed", "unknown"]
Pieces = Annotated[int, Field(ge=1, le=10_000, description="a whole number of pieces, 1 to 10,000")]
Thickness = Annotated[
    float, Field(ge=0.3, le=300, description="the thickness in millimetres, 0.3 to 300 mm; is it in inches?")
]
Width = Annotated[float, Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm; is it in inches?")]
Length = Annotated[
    float, Field(ge=10, le=20_000, description="the length in millimetres, 10 to 20,000 mm; is it in inches or metres?")
]
Taken = Annotated[float, Field(ge=0, le=100, description="what comes off a face in millimetres, 0 to 100 mm")]
Dry = Annotated[float, Field(ge=0, le=30, description="moisture content, 0 to 30 % MC (dry lumber)")]
INCH_MM = 25.4


class Deed(BaseModel):
    """One kind of entry. Fields nobody asked for are mistakes."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class OfLot(Deed):
    """About one lot."""

    lot: Id
