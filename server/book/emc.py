"""What does this air draw wood to?"""

from __future__ import annotations

import math

from pydantic import Field

from server.book.base import ESTIMATE_CAUTION, Answer, Request
from server.wood import air, emc
from server.words import Sentence

OUTSIDE_FIT = "temperature-outside-fit"
NEARLY_SATURATED = "humidity-above-98"

_HYSTERESIS_FROM_PCT = 1.0
"""Below it there is no room under the figure, and near saturation none above."""
FLAGGED = Sentence("book-outside-fit")
SOURCES = (
    "EMC: Wood Handbook FPL-GTR-282, equation 4-5.",
    "Dew point, over water: ASHRAE Handbook Fundamentals (2017), chapter 1, equation 6.",
)


class EmcRequest(Request):
    """The air, and how good the instrument is where that is known."""

    temperature_c: float = Field(ge=-50, le=100, description="the air's temperature, −50 to 100 °C")
    humidity_pct: float = Field(ge=0, le=100, description="relative humidity over water, 0 to 100 %")
    accuracy_c: float | None = Field(None, ge=0, le=5, description="the thermometer's stated limit, ±0 to ±5 °C")
    accuracy_humidity_pct: float | None = Field(
        None, ge=0, le=20, description="the humidity sensor's stated limit, ±0 to ±20 % RH"
    )


class EmcQuestion:
    """Equilibrium moisture content and dew point of air."""

    name = "emc"
    summary = "what this air draws wood to, and its dew point"
    request: type[Request] = EmcRequest

    def answer(self, request: EmcRequest, /) -> Answer:
        """``emc_pct``, ``dew_point_c`` (None in air without vapour), ``emc_low_pct``, ``emc_high_pct`` (None unless an
        accuracy is given: the central 80 % of what the instrument leaves open)."""
        t, rh = request.temperature_c, request.humidity_pct / 100
        m, dew = float(emc.emc_pct(t, rh)), float(air.dew_point_c(air.vapour_pressure_pa(t, rh)))
        half = _half_width(request)
        figures = {
            "emc_pct": m,
            "dew_point_c": None if math.isnan(dew) else dew,
            "emc_low_pct": None if half is None else max(0.0, m - half),
            "emc_high_pct": None if half is None else m + half,
        }
        flags = fit_flags(t, rh)
        return Answer(figures, _said(request, figures, flags), SOURCES, ESTIMATE_CAUTION, flags)


def fit_flags(temperature_c: float, rh: float) -> tuple[str, ...]:
    """Why the equation is an extrapolation here: nothing, or one or both of the two fixed words."""
    low, high = emc.TEMPERATURE_RANGE_C
    reasons = ((OUTSIDE_FIT, not low <= temperature_c <= high), (NEARLY_SATURATED, rh > emc.RH_LIMIT))
    return tuple(word for word, holds in reasons if holds)


def _half_width(request: EmcRequest) -> float | None:
    if request.accuracy_c is None and request.accuracy_humidity_pct is None:
        return None
    accuracy_c, accuracy_rh = request.accuracy_c or 0.0, (request.accuracy_humidity_pct or 0.0) / 100
    t, rh = request.temperature_c, request.humidity_pct / 100
    return float(emc.emc_half_width_pct(t, rh, accuracy_c=accuracy_c, accuracy_rh=accuracy_rh))


def _said(request: EmcRequest, figures: dict[str, float | None], flags: tuple[str, ...]) -> tuple[Sentence, ...]:
    air_now = {"temperature_c": request.temperature_c, "humidity_pct": request.humidity_pct}
    emc_pct = figures["emc_pct"] or 0.0
    said = [Sentence("book-emc", {**air_now, "emc_pct": emc_pct})]
    if emc_pct >= _HYSTERESIS_FROM_PCT and not flags:
        said.append(Sentence("book-emc-rest"))
    if (dew := figures["dew_point_c"]) is not None:
        said.append(Sentence("book-emc-dew", {"dew_point_c": dew}))
    if (low := figures["emc_low_pct"]) is not None and (high := figures["emc_high_pct"]) is not None:
        said.append(Sentence("book-emc-spread", {"emc_low_pct": low, "emc_high_pct": high}))
    return (*said, FLAGGED) if flags else tuple(said)
