"""How long the stock of an offer would have to settle, by its thickness, for :mod:`server.book.price`."""

from __future__ import annotations

from server.book.base import BadRequest, Mistake
from server.book.board_request import found_species
from server.book.price import Need
from server.wood.settle import Piece, settle
from server.wood.species import SHRINKAGE_PER_GRAVITY, NotPublished

_THINNEST_MM, _THICKEST_MM = 0.3, 300.0


def settled_days(request: Need, thickness_mm: float) -> float | None:
    """Days on stickers in the air asked for; None past 10 years. Raises BadRequest for a species nobody knows, or one
    without a published specific gravity where none is given."""
    gravity, volumetric = request.specific_gravity, SHRINKAGE_PER_GRAVITY * request.specific_gravity
    if request.species is not None:
        known = found_species(request, request.species)
        try:
            gravity, volumetric = known.gravity(), known.volumetric_shrinkage()
        except NotPublished as missing:
            raise BadRequest((Mistake("species", missing.found, missing.right),)) from None
    if not _THINNEST_MM <= thickness_mm <= _THICKEST_MM:
        return None
    piece = Piece(thickness_mm / 1000, gravity, volumetric)
    return settle(piece, request.from_pct, request.temperature_c, request.humidity_pct / 100).settled.days
