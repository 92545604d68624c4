"""How much water holds a room's air at an aim today, where the glass sets the ceiling, and what heating alone does?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.emc import FLAGGED, fit_flags
from server.wood import emc, glass, water
from server.words import Sentence

GLASS_RUNS = "glass-would-run"
BELOW_5_C, ABOVE_30_C = "same-aim-below-5-c", "same-aim-above-30-c"
NO_WAY_OUT = "gains-without-air-change"
CAUTION = Sentence("book-caution-water")
_WORTH_LITRES = 0.05
SOURCES = (
    "Humidity ratio and air change: ASHRAE Handbook Fundamentals (2017), chapter 1, equations 20 and 26, and chapter "
    "16 (from memory).",
    "EMC: Wood Handbook FPL-GTR-282, equation 4-5.",
    f"{glass.SOURCE}.",
)


class WaterRequest(Request):
    """A room, its aim, the air outdoors, and what else feeds or dries it."""

    volume_m3: float = Field(gt=0, le=water.MOST_VOLUME_M3, description="the room's volume, above 0 to 100,000 m³")
    air_changes_per_h: float = Field(
        ge=0, le=water.MOST_AIR_CHANGES_PER_H, description="how often an hour outdoor air replaces the room's, 0 to 20"
    )
    indoor_temperature_c: float = Field(ge=-20, le=50, description="the room's temperature, −20 to 50 °C")
    aim_pct: float = Field(ge=0.5, le=25, description="what the air should draw wood to, 0.5 to 25 % moisture content")
    outdoor_temperature_c: float = Field(ge=-50, le=50, description="outdoors tonight, −50 to 50 °C")
    outdoor_humidity_pct: float = Field(ge=0, le=100, description="relative humidity outdoors over water, 0 to 100 %")
    extractor_m3_per_h: float = Field(0.0, ge=0, le=100_000, description="air blown outdoors, 0 to 100,000 m³ an hour")
    extractor_h_per_day: float = Field(0.0, ge=0, le=24, description="hours a day the extractor runs, 0 to 24")
    glazing: Literal["single", "double"] | None = Field(None, description="the windows' glass, single or double")
    stock_kg_per_day: float = Field(
        0.0, ge=-500, le=500, description="water the stock gives off (takes up: negative), −500 to 500 kg a day"
    )
    people_kg_per_day: float = Field(0.0, ge=0, le=500, description="water from people and cooking, 0 to 500 kg a day")
    propane_kg_per_day: float = Field(0.0, ge=0, le=100, description="gas burnt without a flue, 0 to 100 kg a day")


class WaterQuestion:
    """Water to add to or take from a room over one day."""

    name = "water"
    summary = "the water that holds a room at an aim, up to where its windows run, and the heat that needs none"
    request: type[Request] = WaterRequest

    def answer(self, request: WaterRequest, /) -> Answer:
        """``litres_per_day`` (to be removed where negative; None where the glass would run), ``humidity_pct`` of the
        aim, ``same_aim_at_temperature_c`` (None beyond 5..30 °C), ``glass_limit_humidity_pct``, ``glass_temperature_c``
        and ``glass_limit_litres_per_day`` (None unless ``glazing`` is given)."""
        # Saturated air reaches 26.9 % even at 50 °C, so there is a humidity for every aim that is let in.
        rh = float(emc.humidity_for_emc(request.indoor_temperature_c, request.aim_pct))
        litres, holds_c, figures = _litres(request, rh), _holds_c(request), _glass(request)
        limit_pct = figures["glass_limit_humidity_pct"]
        runs = limit_pct is not None and 100 * rh > limit_pct
        figures |= {
            "litres_per_day": None if runs and litres > 0 else litres,
            "humidity_pct": 100 * rh,
            "same_aim_at_temperature_c": holds_c if math.isfinite(holds_c) else None,
        }
        fit = fit_flags(request.indoor_temperature_c, rh)
        reason = {-math.inf: BELOW_5_C, math.inf: ABOVE_30_C}.get(holds_c, NO_WAY_OUT if math.isnan(holds_c) else None)
        flags = (*((GLASS_RUNS,) if runs else ()), *((reason,) if reason else ()), *fit)
        said = (*_water(request, figures), *_heat(holds_c), *_flame(request), *((FLAGGED,) if fit else ()))
        return Answer(figures, said, SOURCES, CAUTION, flags)


def _room(request: WaterRequest) -> water.Room:
    blown, hours = request.extractor_m3_per_h, request.extractor_h_per_day
    if (blown > 0) != (hours > 0) and {"extractor_m3_per_h", "extractor_h_per_day"} - request.model_fields_set:
        missing = "extractor_h_per_day" if blown > 0 else "extractor_m3_per_h"
        raise BadRequest((Mistake(missing, "nothing", str(WaterRequest.model_fields[missing].description)),))
    return water.Room(request.volume_m3, request.air_changes_per_h, blown, hours)


def _gains(request: WaterRequest) -> water.Gains:
    return water.Gains(request.stock_kg_per_day, request.people_kg_per_day, request.propane_kg_per_day)


def _litres(request: WaterRequest, rh: float) -> float:
    outdoors = request.outdoor_temperature_c, request.outdoor_humidity_pct / 100
    return float(
        water.water_kg_per_day(_room(request), request.indoor_temperature_c, rh, *outdoors, gains=_gains(request))
    )


def _holds_c(request: WaterRequest) -> float:
    outdoors = request.outdoor_temperature_c, request.outdoor_humidity_pct / 100
    pressure = water.unfed_pressure_pa(_room(request), request.indoor_temperature_c, *outdoors, gains=_gains(request))
    return math.nan if math.isnan(pressure) else float(water.temperature_holding_c(request.aim_pct, pressure))


def _glass(request: WaterRequest) -> dict[str, float | None]:
    if request.glazing is None:
        return dict.fromkeys(("glass_limit_humidity_pct", "glass_temperature_c", "glass_limit_litres_per_day"))
    glazing, airs = glass.GLAZINGS[request.glazing], (request.indoor_temperature_c, request.outdoor_temperature_c)
    rh = float(glass.limit_rh(glazing, *airs))
    return {
        "glass_limit_humidity_pct": 100 * rh,
        "glass_temperature_c": float(glass.surface_c(glazing, *airs)),
        "glass_limit_litres_per_day": max(0.0, _litres(request, rh)),
    }


def _water(request: WaterRequest, figures: dict[str, float | None]) -> Iterator[Sentence]:
    aim = {
        "temperature_c": request.indoor_temperature_c,
        "humidity_pct": figures["humidity_pct"] or 0.0,
        "aim_pct": request.aim_pct,
    }
    litres, room = figures["litres_per_day"], {"volume_m3": request.volume_m3}
    limit_pct = figures["glass_limit_humidity_pct"]
    if litres is not None and abs(litres) < _WORTH_LITRES:
        yield Sentence("book-water-none", room)
    elif litres is not None:
        key = "book-water-add" if litres >= 0 else "book-water-remove"
        yield Sentence(key, {**room, "litres_per_day": abs(litres)})
    yield from _glass_said(request, litres, limit_pct, figures["glass_limit_litres_per_day"] or 0.0)
    yield Sentence("book-water-aim", aim)


def _glass_said(
    request: WaterRequest, litres: float | None, limit_pct: float | None, limit_litres: float
) -> Iterator[Sentence]:
    if request.glazing is None or limit_pct is None:
        yield Sentence("book-water-glass-unknown")
    elif litres is None or limit_pct < 100:
        at = {"outdoor_c": request.outdoor_temperature_c, "glazing": request.glazing, "limit_pct": limit_pct}
        ceiling = {"litres_per_day": limit_litres}
        yield Sentence("book-water-refused" if litres is None else "book-water-glass", {**at, **ceiling})


def _heat(holds_c: float) -> Iterator[Sentence]:
    if math.isfinite(holds_c):
        yield Sentence("book-water-same-aim", {"temperature_c": holds_c})
    elif not math.isnan(holds_c):
        yield Sentence("book-water-too-dry" if holds_c < 0 else "book-water-too-damp")
    else:
        yield Sentence("book-water-closed")


def _flame(request: WaterRequest) -> Iterator[Sentence]:
    if request.propane_kg_per_day > 0:
        burnt = water.WATER_PER_PROPANE * request.propane_kg_per_day
        yield Sentence("book-water-flame", {"kg_per_day": burnt})
