"""At what humidity would the air hold wood at this moisture content?"""

from __future__ import annotations

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, BadRequest, Mistake, Request
from server.book.emc import FLAGGED, fit_flags
from server.wood import emc
from server.words import Sentence
from server.words.figures import figure_text

SOURCE = "Wood Handbook FPL-GTR-282, equation 4-5, solved for the humidity."


class HumidityRequest(Request):
    """A temperature, and what the air should draw wood to."""

    temperature_c: float = Field(ge=-50, le=100, description="the air's temperature, −50 to 100 °C")
    emc_pct: float = Field(ge=0, le=30, description="what the air should draw wood to, 0 to 30 % moisture content")


class HumidityQuestion:
    """The relative humidity that belongs to an EMC."""

    name = "humidity"
    summary = "the humidity at which air draws wood to a given moisture content"
    request: type[Request] = HumidityRequest

    def answer(self, request: HumidityRequest, /) -> Answer:
        """``humidity_pct``. Raises BadRequest where even saturated air falls short of ``emc_pct``."""
        t = request.temperature_c
        most = float(emc.emc_pct(t, 1.0))
        if request.emc_pct > most:
            right = f"0 to {figure_text(most)} % at {figure_text(t)} °C, where saturated air ends"
            raise BadRequest((Mistake("emc_pct", repr(request.emc_pct), right),))
        rh = float(emc.humidity_for_emc(t, request.emc_pct))
        flags = fit_flags(t, rh)
        values = {"temperature_c": t, "humidity_pct": 100 * rh, "emc_pct": request.emc_pct}
        said = Sentence("book-humidity", values)
        return Answer(
            {"humidity_pct": 100 * rh}, (said, FLAGGED) if flags else (said,), (SOURCE,), ESTIMATE_CAUTION, flags
        )
