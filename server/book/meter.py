"""What does this pin reading mean in this species at this temperature?"""

from __future__ import annotations

from contextlib import suppress
from typing import Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.wood import meter, species
from server.words import Sentence

CAUTION = Sentence("book-caution-meter")
SEVEN_OR_LESS, BEYOND, DOUBTFUL = "seven-or-less", "beyond-what-pins-tell", "doubtful-table"


class MeterRequest(Request):
    """A reading, and what it was taken in."""

    species: str = Field(description="a key of the resistance table, or of a species in one of its groups")
    reading_pct: float = Field(ge=0, le=60, description="what the meter shows, 0 to 60 % MC")
    wood_temperature_c: float = Field(ge=-20, le=60, description="the wood's temperature, −20 to 60 °C")
    scale: Literal["reference", "corrected"] = Field(
        "reference",
        description="reference (the meter's Douglas-fir scale) or corrected (set to species and temperature already)",
    )


class MeterQuestion:
    """A reading corrected for temperature and species."""

    name = "meter"
    summary = "what a pin meter's reading means in a species at a temperature"
    request: type[Request] = MeterRequest

    def answer(self, request: MeterRequest, /) -> Answer:
        """``corrected_pct``, ``spread_pct`` (half the central 80 %), ``correction_pct``."""
        curve, known = _curve(request), request.known.get(request.species)
        already = request.scale == "corrected"
        found = meter.corrected(request.reading_pct, request.wood_temperature_c, curve, already=already)
        figures = {
            "corrected_pct": found.mc_pct,
            "spread_pct": found.spread_pct,
            "correction_pct": None if found.bound else found.mc_pct - request.reading_pct,
        }
        told = {"at most": SEVEN_OR_LESS, "at least": BEYOND}.get(found.bound or "")
        doubt = DOUBTFUL if curve.doubtful and not already else None
        flags = tuple(flag for flag in (told, doubt) if flag)
        key = {"at most": "book-meter-low", "at least": "book-meter-high"}.get(found.bound or "", "book-meter")
        values = {} if found.bound else {"mc_pct": found.mc_pct, "spread_pct": found.spread_pct}
        rests_on = ((known, "meter"),) if known is not None and not already else ()
        return Answer(figures, (Sentence(key, values),), meter.SOURCE, CAUTION, flags, rests_on)


def _curve(request: MeterRequest) -> meter.Curve:
    key, group = request.species, ""
    with suppress(species.UnknownSpecies):  # a group of the resistance table may be no species of the other
        group = species.find(key, request.known).coefficient_from
    try:
        return meter.find(key, group)
    except meter.NoCurve as none:
        raise BadRequest((Mistake("species", repr(key), f"one of {', '.join(none.known)}"),)) from None
