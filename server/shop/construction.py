"""What a sheet is made of, as a woodworker says it: the core is the product, and each face has something laid on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field, model_validator

from server.shop.deed import Deed, Number

Grain = Literal["along", "across"]
Edges = Literal["open", "lipped"]
WOODEN = ("veneer", "solid")
_LEAST_MM = 1e-6


class OnFace(Deed):
    """One thing laid on a face: wood of a species and thickness, its grain along the sheet's length or across it; or
    what only covers, if need be with the key of a cover whose resistance to vapour is published."""

    laid: Literal["veneer", "solid", "paint", "laminate", "foil"] = Field(
        description="veneer or solid (wood of a species and thickness), paint, laminate or foil (a cover)"
    )
    species: str | None = Field(None, max_length=60, description="of veneer or solid wood: a key of the species table")
    thickness_mm: Number | None = Field(
        None, ge=0.1, le=50, description="of veneer or solid wood, in millimetres, 0.1 to 50 mm"
    )
    grain: Grain = Field("along", description="of veneer or solid wood: along the sheet's length, or across it")
    cover: str | None = Field(
        None, max_length=60, description="of paint, laminate or foil: a key of the covers table, such as emulsion-paint"
    )

    @model_validator(mode="after")
    def _as_laid(self) -> OnFace:
        if self.wooden:
            if self.species is None or self.thickness_mm is None or self.cover is not None:
                raise ValueError(f"{self.laid} with a species and thickness_mm, and no cover")
        elif self.species is not None or self.thickness_mm is not None or self.grain != "along":
            raise ValueError(f"{self.laid} with a cover at the most: no species, thickness_mm or grain")
        return self

    @property
    def wooden(self) -> bool:
        """Whether it is wood, which moves and is stiff."""
        return self.laid in WOODEN


Face = tuple[OnFace, ...]


class Construction(Deed):
    """What lies on a sheet's faces, each from the core outward, empty where nothing does, and how its edges are. None
    is not told."""

    top: Face | None = Field(None, max_length=4, description="on its top face from the core outward; [] for nothing")
    bottom: Face | None = Field(None, max_length=4, description="on its bottom face, likewise; [] for nothing")
    edges: Edges | None = Field(None, description="open or lipped")

    @model_validator(mode="after")
    def _covers_outermost(self) -> Construction:
        for name, face in (("top", self.top), ("bottom", self.bottom)):
            wooden = [one.wooden for one in face or ()]
            if wooden != sorted(wooden, reverse=True):
                raise ValueError(f"{name} from the core outward: veneer or solid wood first, what covers it last")
        return self


def wood_mm(*faces: Iterable[OnFace] | None) -> float:
    """How thick the wood on these faces is together."""
    return sum(one.thickness_mm or 0.0 for face in faces for one in face or ())


def left_of(face: Face | None, taken_mm: float) -> Face | None:
    """What is left of what lies on a face when so much is taken off; None stays None."""
    if face is None or taken_mm <= 0:
        return face
    left: list[OnFace] = []
    for one in reversed(face):  # the outermost first
        thick = one.thickness_mm or 0.0
        if thick - taken_mm > _LEAST_MM:
            left.insert(0, one.model_copy(update={"thickness_mm": round(thick - taken_mm, 6)}))
        taken_mm = max(0.0, taken_mm - thick)
    return tuple(left)
