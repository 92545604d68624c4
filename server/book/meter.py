"""What does this pin reading mean in this species at this temperature?"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import found_species
from server.wood import meter
from server.words import Sentence

CAUTION = Sentence("book-caution-meter")
SEVEN_OR_LESS, BEYOND, DOUBTFUL = "seven-or-less", "beyond-what-pins-tell", "doubtful-table"
GENUS = "row-of-its-genus"
_TOLD = {"at most": (SEVEN_OR_LESS, "book-meter-low"), "at least": (BEYOND, "book-meter-high")}


class MeterRequest(Request):
    """A reading, and what it was taken in."""

    species: str = Field(description="a key of the species table, such as cherry_black, or of the resistance table")
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
        """``corrected_pct`` (a bound where a flag says so), ``spread_pct`` (half the central 80 %), ``correction_pct``,
        ``resistance_row``: whose row of the resistance table it was, None where the meter is set already."""
        already = request.scale == "corrected"
        curve = _curve(request, needed=not already)
        found = meter.corrected(request.reading_pct, request.wood_temperature_c, curve, already=already)
        figures = {
            "corrected_pct": found.mc_pct,
            "spread_pct": found.spread_pct,
            "correction_pct": None if found.bound else found.mc_pct - request.reading_pct,
            "resistance_row": curve.key if curve else None,
        }
        told, key = _TOLD.get(found.bound or "", (None, "book-meter"))
        said = [Sentence(key, {"mc_pct": found.mc_pct, **({} if found.bound else {"spread_pct": found.spread_pct})})]
        if curve is None:
            return Answer(figures, tuple(said), (meter.SET_SOURCE,), CAUTION, (told,) if told else ())
        if curve.stands != meter.OWN:
            said.append(Sentence("book-meter-row", {"stands": curve.stands, "name": curve.name}))
        flags = (told, GENUS if curve.stands == "genus" else None, DOUBTFUL if curve.doubtful(found.mc_pct) else None)
        source, known = f"{meter.SOURCE}, row {curve.key}.", request.known.get(request.species)
        rests_on = () if known is None else ((known, "meter"),)
        return Answer(figures, tuple(said), (source,), CAUTION, tuple(flag for flag in flags if flag), rests_on)


def _curve(request: MeterRequest, *, needed: bool) -> meter.Curve | None:
    """The row for a species; None where none is ``needed``. Raises BadRequest for a name that neither table knows, and
    where no row would do."""
    key = request.species
    if key in meter.curves():
        return meter.find(key) if needed else None
    group = found_species(request, key).coefficient_from
    if not needed:
        return None
    try:
        return meter.find(key, group)
    except meter.NoCurve as none:
        found = f"{key!r}, of which no resistance is published"
        right = f"scale corrected, with a meter that is set to the species; or one of {', '.join(none.known)}"
        raise BadRequest((Mistake("species", found, right),)) from None
