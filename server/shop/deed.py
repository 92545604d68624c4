"""What all entries of the shop's journal are made of: ids, measures with their ranges, and the base of every deed."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError


def _a_number(value: Any) -> Any:
    """As JSON has them: a text that reads like a number was meant as something else, and so was yes or no."""
    if isinstance(value, str | bytes | bool):
        raise PydanticCustomError("not_a_number", "a number")
    return value


def _yes_or_no(value: Any) -> Any:
    if not isinstance(value, bool):
        raise PydanticCustomError("not_a_truth", "true or false")
    return value


Number = Annotated[float, BeforeValidator(_a_number)]
Whole = Annotated[int, BeforeValidator(_a_number)]
Truth = Annotated[bool, BeforeValidator(_yes_or_no)]
Moment = Annotated[
    Whole, Field(ge=0, le=4_102_444_800_000, description="ms since 1970 UTC, a whole number, up to the year 2100")
]
Line = Annotated[str, Field(pattern=r"^[^\x00-\x1f\x7f]*$")]
"""One line that a wall can show: no control characters."""
Text = Annotated[str, Field(pattern=r"^[^\x00-\x08\x0b-\x1f\x7f]*$")]
"""Lines; of control characters only the tab and the new line."""
Who = Annotated[Line, Field(max_length=40, description="who says so, one line of up to 40 signs")]
Note = Annotated[Text, Field(max_length=500, description="a note of up to 500 signs, without control characters")]
Id = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$", description="small letters, digits, hyphens, 1 to 40")]
EntryId = Annotated[
    str,
    Field(
        pattern=r"^[!-~]{8,64}$", description="an id made by whoever writes it, 8 to 64 signs of ASCII without spaces"
    ),
]
Cut = Literal["flat", "rift", "quarter"]
Lying = Literal["stickered", "dead-stacked", "wrapped", "one-face", "on-edge"]
StartKind = Literal["metered", "kiln-dried-yard", "heated-store", "unheated-shed", "unknown"]
Pieces = Annotated[Whole, Field(ge=1, le=10_000, description="a whole number of pieces, 1 to 10,000")]
Thickness = Annotated[
    Number, Field(ge=0.3, le=300, description="the thickness in millimetres, 0.3 to 300 mm; is it in another unit?")
]
Width = Annotated[Number, Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm; is it in inches?")]
Length = Annotated[
    Number,
    Field(ge=10, le=20_000, description="the length in millimetres, 10 to 20,000 mm; is it in inches or metres?"),
]
Taken = Annotated[Number, Field(ge=0, le=100, description="what comes off a face in millimetres, 0 to 100 mm")]
Dry = Annotated[Number, Field(ge=0, le=30, description="moisture content, 0 to 30 % MC (dry lumber)")]
INCH_MM = 25.4


class Deed(BaseModel):
    """One kind of entry. Fields nobody asked for are mistakes."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class OfLot(Deed):
    """About one lot."""

    lot: Id
