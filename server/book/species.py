"""How do these species compare: how hard, how much they move, how fast they settle, how long they last?"""

from __future__ import annotations

from typing import Any

from pydantic import Field

from server.book.base import Answer, Request
from server.book.board_request import found_species
from server.wood.settle import Piece, settle
from server.wood.species import NotPublished, Species, coefficients
from server.words import Sentence

CAUTION = Sentence("book-caution-species")
SOURCE = "Each figure's own, beside it; settling: a 25 mm board from 8 % into 21 °C and 30 % RH, by the wood model."


class SpeciesRequest(Request):
    """One species or more."""

    species: tuple[str, ...] = Field(
        min_length=1, max_length=12, description="a key of the species table, such as cherry_black, once or more"
    )


class SpeciesQuestion:
    """Several species side by side."""

    name = "species"
    summary = "how hard species are, how much they move, how fast they settle and how long they last"
    request: type[Request] = SpeciesRequest

    def answer(self, request: SpeciesRequest, /) -> Answer:
        """``species``, one object each: the published figures, each with its ``source`` beside it, ``radial_pct`` and
        ``tangential_pct`` green to oven-dry, what 100 mm move per 1 % MC, and ``settled_days``."""
        found = [found_species(key) for key in request.species]
        figures = {"species": [_figures(one) for one in found]}
        return Answer(figures, tuple(s for one in found for s in _said(one)), SOURCE, CAUTION)


def _figures(one: Species) -> dict[str, Any]:
    moves: dict[str, Any] = {
        "radial_mm_per_100_mm_pct": None,
        "tangential_mm_per_100_mm_pct": None,
        "movement_source": None,
    }
    try:
        c = coefficients(one)
        how = {"own": "", "shrinkage": ", derived from shrinkage"}.get(c.how, f", row {c.how}")
        moves = {
            "radial_mm_per_100_mm_pct": 100 * c.cr,
            "tangential_mm_per_100_mm_pct": 100 * c.ct,
            "movement_source": f"{c.source}{how}",
        }
    except NotPublished:
        pass
    return {
        "key": one.key,
        "common_name": one.common_name,
        "specific_gravity": one.specific_gravity,
        "specific_gravity_source": _source(one, "specific_gravity", one.specific_gravity),
        "radial_pct": one.shrinkage_radial_pct,
        "tangential_pct": one.shrinkage_tangential_pct,
        "shrinkage_source": _source(one, "shrinkage", one.shrinkage_radial_pct),
        "side_hardness_n": one.side_hardness_n,
        "side_hardness_source": _source(one, "side_hardness", one.side_hardness_n),
        "decay_class": one.decay_class or None,
        "decay_source": _source(one, "decay", one.decay_class or None),
        **moves,
        "settled_days": _settled_days(one),
        "note": one.note,
        "source": _source(one, "shrinkage", one.shrinkage_radial_pct) or moves["movement_source"],
    }


def _source(one: Species, group: str, value: object) -> str | None:
    return None if value is None else str(one.sources[group])


def _settled_days(one: Species) -> float | None:
    try:
        piece = Piece(0.025, one.gravity(), one.volumetric_shrinkage())
    except NotPublished:
        return None
    return settle(piece, 8.0, 21.0, 0.30).settled.days


def _said(one: Species) -> tuple[Sentence, ...]:
    figures = _figures(one)
    said = [Sentence("book-species-name", {"name": one.common_name})]
    for key, name in (
        ("book-species-dense", "specific_gravity"),
        ("book-species-moves", "tangential_mm_per_100_mm_pct"),
        ("book-species-hard", "side_hardness_n"),
        ("book-species-settles", "settled_days"),
        ("book-species-lasts", "decay_class"),
    ):
        if figures[name] is not None:
            said.append(Sentence(key, {"value": figures[name]}))
    return tuple(said)
