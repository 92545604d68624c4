"""What several questions ask of a board and the air it lies in, and how it becomes a piece for the model."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from server.book.base import BadRequest, Mistake, Request, RestsOn
from server.wood import covers, species
from server.wood.covers import Cover
from server.wood.movement import RING_ANGLE_DEG, Across, across_width
from server.wood.outcome import SEASON_DAYS
from server.wood.settle import Piece
from server.wood.species import Species
from server.words import Sentence

MODEL_SOURCES = (
    "EMC: Wood Handbook FPL-GTR-282, equation 4-5.",
    "Diffusion: Siau, Transport Processes in Wood (1984), from memory; good to a factor of two between boards.",
)

COUNTED_IN_HOURS_DAYS = 3.0


class BoardRequest(Request):
    """A board of one moisture through and through, brought into air that stays as it is."""

    species: str = Field(description="a key of the species table, such as cherry_black")
    thickness_mm: float = Field(ge=0.3, le=300, description="the thickness in millimetres, 0.3 to 300 mm")
    from_pct: float = Field(ge=0, le=30, description="the wood's moisture now, 0 to 30 % MC (dry lumber)")
    temperature_c: float = Field(ge=-20, le=60, description="the air's temperature, −20 to 60 °C")
    humidity_pct: float = Field(ge=0, le=100, description="the air's relative humidity over water, 0 to 100 %")
    faces: Literal["both", "one"] = Field("both", description="both (on stickers) or one (flat on a bench)")
    cover: str = Field("bare", description="a key of the covers table, such as bare, wrapped or shellac-3 (3 coats)")
    cut: Literal["flat", "rift", "quarter"] = Field("flat", description="flat, rift or quarter")
    specific_gravity: float | None = Field(
        None, ge=0.1, le=1.0, description="basic specific gravity, 0.1 to 1.0, in place of the published one"
    )


class WidthRequest(BoardRequest):
    """A board with its width; lying on a bench unless said otherwise."""

    width_mm: float = Field(ge=1, le=3000, description="the width in millimetres, 1 to 3,000 mm")
    faces: Literal["both", "one"] = Field(
        "one", description="one (flat on a bench, the top open) or both (on stickers)"
    )
    days: int = Field(0, ge=0, le=3650, description="how many whole days the series runs, 0 to 3,650")


NOTHING_LIKE_IT = "a key of the species table, such as cherry_black; or a [[species]] of your own in stillstack.toml"


def found_species(request: Request, key: str) -> Species:
    """The species, among those the request knows; raises BadRequest with the nearest keys."""
    try:
        return species.find(key, request.known)
    except species.UnknownSpecies as unknown:
        right = f"one of {', '.join(unknown.nearest)}" if unknown.nearest else NOTHING_LIKE_IT
        raise BadRequest((Mistake("species", repr(key), right),)) from None


def found_across(request: Request, key: str, cut: str) -> Across:
    """How the width of a species' board moves; raises BadRequest."""
    try:
        return across_width(found_species(request, key), RING_ANGLE_DEG[cut])
    except species.NotPublished as missing:
        raise BadRequest((Mistake("species", missing.found, missing.right),)) from None


def moving(request: Request, key: str) -> tuple[RestsOn, ...]:
    """What an answer rests on that moves a board of this species."""
    one = found_species(request, key)
    return (one, "shrinkage"), (one, "coefficient")


def settling(request: BoardRequest) -> tuple[RestsOn, ...]:
    """What an answer rests on that settles this board."""
    one = found_species(request, request.species)
    return ((one, "shrinkage"), *(() if request.specific_gravity is not None else ((one, "specific_gravity"),)))


def piece_of(request: BoardRequest) -> tuple[Piece, str]:
    """The board for the model, and where its figures come from. Raises BadRequest."""
    cover = found_cover(request.cover)
    gravity, shrinkage, source = wood_of(request, request.species, request.specific_gravity)
    piece = Piece(
        request.thickness_mm / 1000, gravity, shrinkage, request.faces == "both", cover.resistance_m2_s_pa_kg,
        (cover.low_m2_s_pa_kg, cover.high_m2_s_pa_kg),
    )  # fmt: skip
    return piece, source + cover_source(cover)


def wood_of(request: Request, key: str, given: float | None) -> tuple[float, float, str]:
    """Basic specific gravity, volumetric shrinkage as a fraction, and where the former is from, of a species or as
    ``given``. Raises BadRequest."""
    known = found_species(request, key)
    gravity, source = given, "Specific gravity as given"
    if gravity is None:
        try:
            gravity = known.gravity()
        except species.NotPublished as missing:
            raise BadRequest((Mistake(missing.figure, missing.found, missing.right),)) from None
        source = f"Specific gravity: {known.sources['specific_gravity']}"
    shrinkage = known.shrinkage_volumetric_pct
    return gravity, shrinkage / 100 if shrinkage is not None else species.SHRINKAGE_PER_GRAVITY * gravity, source


def found_cover(key: str) -> Cover:
    """The cover; raises BadRequest with the nearest keys."""
    try:
        return covers.find(key)
    except covers.UnknownCover as unknown:
        raise BadRequest((Mistake("cover", repr(unknown.found), f"one of {', '.join(unknown.near)}"),)) from None


def cover_source(cover: Cover) -> str:
    """Where a cover's resistance comes from, and how well it was met; nothing for a bare face."""
    if not cover.resistance_m2_s_pa_kg:
        return ""
    off = max((abs(m) for m in cover.misfit_pct if m is not None), default=0.0)
    missed = f", missing the published effectiveness by up to {off:.0f} %" if off >= 1.0 else ""
    return f"; {cover.name}: {cover.source}{missed}"


def after(days: float) -> dict[str, float | int | str]:
    """The values of ``book-after``: in hours where it is a matter of few days, without a count past this season, nor
    where there is no day at all (nan)."""
    if not days <= SEASON_DAYS:
        return {"count": 0, "unit": "late"}
    unit, each = ("h", 24.0) if days < COUNTED_IN_HOURS_DAYS else ("days", 1.0)
    return {"count": max(1.0, each * days), "unit": unit}


def cover_said(key: str) -> tuple[Sentence, ...]:
    """What stands beside a finish whose resistance was fitted to a test in damp air. Raises BadRequest."""
    cover = found_cover(key)
    return (Sentence("book-cover-fitted"),) if cover.fitted and cover.resistance_m2_s_pa_kg else ()
