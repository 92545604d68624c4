"""What does this panel do through the year where it will stand, and what room does it need?"""

from __future__ import annotations

import math
from typing import Any, Literal

from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake, Request
from server.book.board_request import (
    MODEL_SOURCES,
    cover_said,
    cover_source,
    found_across,
    found_cover,
    found_species,
    moving,
    wood_of,
)
from server.book.emc import FLAGGED, fit_flags
from server.book.gap import CLEARANCE_MM, GapQuestion, GapRequest
from server.book.panel_text import CAUTION, said
from server.wood import restraint
from server.wood.cup import cup_mm
from server.wood.emc import emc_pct as most_emc_pct
from server.wood.emc import humidity_for_emc
from server.wood.ensemble import END_OF_80
from server.wood.movement import MOVEMENT_CV, RING_ANGLE_DEG, Across, change
from server.wood.panel import Ends, Panel, PanelYear, panel_year
from server.wood.restraint import Held, held
from server.wood.year import MIDDLES, YEAR_DAYS, Year

HOLD_MM = 3.0
"""What of a tongue must stay in its groove at the driest. Common practice, no source."""
_HALF_YEAR_DAYS = 182.0


class PanelRequest(Request):
    """A panel of one moisture through and through, and the air of its place: two humidities, or two EMCs."""

    species: str = Field(description="a key of the species table, such as cherry_black")
    width_mm: float = Field(ge=1, le=3000, description="the width across the grain when made, 1 to 3,000 mm")
    thickness_mm: float = Field(ge=0.3, le=300, description="the thickness in millimetres, 0.3 to 300 mm")
    cut: Literal["flat", "rift", "quarter"] = Field("flat", description="flat, rift or quarter")
    made_at_pct: float = Field(ge=0, le=30, description="its moisture when made, 0 to 30 % MC")
    cover: str = Field("bare", description="its finish: a key of the covers table, such as bare or shellac-3")
    back_cover: str | None = Field(None, description="the finish of its back, if another: a key of the covers table")
    specific_gravity: float | None = Field(
        None, ge=0.1, le=1.0, description="basic specific gravity, 0.1 to 1.0, in place of the published one"
    )
    temperature_c: float = Field(
        20.0, ge=-20, le=60, description="the air's temperature, −20 to 60 °C; 20 if not given"
    )
    damp_temperature_c: float | None = Field(
        None, ge=-20, le=60, description="its temperature in the dampest time, if another, −20 to 60 °C"
    )
    dry_humidity_pct: float | None = Field(None, ge=0, le=100, description="humidity of the driest time, 0 to 100 %")
    damp_humidity_pct: float | None = Field(None, ge=0, le=100, description="humidity of the dampest time, 0 to 100 %")
    dry_emc_pct: float | None = Field(None, ge=0, le=30, description="or what the driest air draws wood to, 0 to 30 %")
    damp_emc_pct: float | None = Field(None, ge=0, le=30, description="or what the dampest draws to, 0 to 30 %")
    driest_day: float = Field(46, ge=1, le=365, description="the driest day of the year, 1 to 365; 46 if not given")
    dampest_day: float | None = Field(
        None, ge=1, le=365, description="the dampest day of the year, 1 to 365; half a year later if not given"
    )
    screw_mm: float = Field(5.0, ge=0, le=50, description="the screw in a slot, 0 to 50 mm; 5 if not given")
    clearance_mm: float = Field(CLEARANCE_MM, ge=0, le=20, description="what must be left at the dampest, 0 to 20 mm")
    hold_mm: float = Field(HOLD_MM, ge=0, le=50, description="what must stay in a groove at the driest, 0 to 50 mm")


class PanelQuestion:
    """A panel's year: how far it moves, when, and the room it needs."""

    name = "panel"
    summary = "how far a panel moves through the year of where it stands, with its finish, and the room it needs"
    request: type[Request] = PanelRequest

    def answer(self, request: PanelRequest, /) -> Answer:
        """``swing_mm`` of the width, with ``_low`` and ``_high`` (the central 80 %); ``air_swing_mm`` if it were as
        moist as the air draws, ``bare_swing_mm`` without a finish. ``lowest_pct``, ``highest_pct``, ``swing_pct``
        likewise, ``mean_pct``, what the air draws to, the first year's, and the damped wave's. Days are of the year;
        ``in_step_days`` is None past ten years. ``cup_mm`` is the worst, positive where the front goes hollow; grooves
        and slots; ``held_…`` what it would suffer if it were held; ``series`` has a row a month."""
        wood = found_species(request, request.species)
        gravity, shrinkage, gravity_source = wood_of(request, request.species, request.specific_gravity)
        front = found_cover(request.cover)
        back = front if request.back_cover is None else _back(request.back_cover)
        across, year = found_across(request, request.species, request.cut), _year(request)
        panel = Panel(request.thickness_mm / 1000, gravity, shrinkage, front, back)
        try:
            found = panel_year(panel, year, request.made_at_pct)
        except ArithmeticError:
            right = "a thinner panel, a more open finish, or a year that swings less: for this one no figure is found"
            raise BadRequest((Mistake("thickness_mm", f"{request.thickness_mm:g}", right),)) from None
        strained = held(
            wood, across, RING_ANGLE_DEG[request.cut], request.made_at_pct,
            low_pct=min(found.lowest_pct.middle, found.first_lowest_pct),
            high_pct=max(found.highest_pct.middle, found.first_highest_pct),
        )  # fmt: skip
        figures = {
            **_movement(request, across, year, found),
            **_moisture(found, year),
            **_room(request, found),
            **_strain(strained),
            **_cup(request, across, found),
            "series": _months(request, across, year, found),
        }
        flags = tuple(dict.fromkeys([
            *fit_flags(year.dry_c, year.dry_rh), *fit_flags(year.damp_c, year.damp_rh)
        ]))  # fmt: skip
        covered = cover_said(request.cover) or cover_said(request.back_cover or "bare")
        sentences = (*said(request, figures), *covered, *((FLAGGED,) if flags else ()))
        covers = cover_source(front) + (cover_source(back) if back.key != front.key else "")
        held_source = (f"Held: {restraint.SOURCE}. {strained.strength_source}",) if strained.stretched else ()
        sources = (*MODEL_SOURCES, f"{gravity_source}{covers}.", f"Movement: {across.source}.", *held_source)
        dense = () if request.specific_gravity is not None else ((wood, "specific_gravity"),)
        return Answer(figures, sentences, sources, CAUTION, flags, (*moving(request, wood.key), *dense))


def _back(key: str) -> Any:
    try:
        return found_cover(key)
    except BadRequest as bad:
        raise BadRequest(tuple(Mistake("back_cover", m.found, m.would_be_right) for m in bad.mistakes)) from None


def _year(request: PanelRequest) -> Year:
    """The air that was asked for. Raises BadRequest."""
    damp_c = request.temperature_c if request.damp_temperature_c is None else request.damp_temperature_c
    dry = _rh("dry", request.dry_humidity_pct, request.dry_emc_pct, request.temperature_c)
    damp = _rh("damp", request.damp_humidity_pct, request.damp_emc_pct, damp_c)
    dampest = request.dampest_day
    if dampest is None:
        dampest = (request.driest_day + _HALF_YEAR_DAYS) % YEAR_DAYS
    try:
        return Year(dry, damp, request.temperature_c, damp_c, request.driest_day, dampest)
    except ValueError as wrong:
        name, _, rest = str(wrong).partition(": found ")
        found, _, right = rest.partition("; would be right: ")
        dry_field = "dry_humidity_pct" if request.dry_emc_pct is None else "dry_emc_pct"
        field = "dampest_day" if name == "dampest_day" else dry_field
        raise BadRequest((Mistake(field, found, right),)) from None


def _rh(which: str, humidity_pct: float | None, emc_pct: float | None, temperature_c: float) -> float:
    if (humidity_pct is None) == (emc_pct is None):
        found = "nothing" if humidity_pct is None else f"a humidity and {which}_emc_pct"
        right = f"one of the two: {which}_humidity_pct, 0 to 100 %, or {which}_emc_pct, 0 to 30 %"
        raise BadRequest((Mistake(f"{which}_humidity_pct", found, right),))
    if humidity_pct is not None:
        return humidity_pct / 100
    rh = float(humidity_for_emc(temperature_c, emc_pct or 0.0))
    if not math.isfinite(rh):
        right = f"0 to {float(most_emc_pct(temperature_c, 1.0)):.1f} % at {temperature_c:g} °C"
        raise BadRequest((Mistake(f"{which}_emc_pct", f"{emc_pct:g}", right),))
    return rh


def _movement(request: PanelRequest, across: Across, year: Year, found: PanelYear) -> dict[str, Any]:
    def width(mc_pct: float) -> float:
        return request.width_mm + float(change(across, request.width_mm, request.made_at_pct, mc_pct))

    low, high = found.lowest_pct.middle, found.highest_pct.middle
    swing = width(high) - width(low)
    a_pct = swing / found.swing_pct.middle if found.swing_pct.middle else 0.0
    dry, damp = year.ends_pct()
    up, down = (_by_squares(found.swing_pct, end) for end in (found.swing_pct.high, found.swing_pct.low))
    return {
        "swing_mm": swing,
        "swing_mm_low": max(0.0, swing * (1.0 - down)),
        "swing_mm_high": swing * (1.0 + up),
        "air_swing_mm": width(damp) - width(dry),
        "bare_swing_mm": a_pct * found.bare_swing_pct,
        "width_driest_mm": width(low),
        "width_dampest_mm": width(high),
    }


def _by_squares(swing: Ends, end: float) -> float:
    """What moisture and the species' own scatter of movement leave open of a swing, a fraction."""
    share = end / swing.middle - 1.0 if swing.middle else 0.0
    return float((share**2 + (END_OF_80 * MOVEMENT_CV) ** 2) ** 0.5)


def _moisture(found: PanelYear, year: Year) -> dict[str, Any]:
    ends = {"lowest_pct": found.lowest_pct, "highest_pct": found.highest_pct, "swing_pct": found.swing_pct}
    spread = {
        key + end: value
        for key, e in ends.items()
        for end, value in (("", e.middle), ("_low", e.low), ("_high", e.high))
    }
    dry, damp = year.ends_pct()
    return {
        **spread,
        "mean_pct": float(found.mean_pct.mean()),
        "air_lowest_pct": dry,
        "air_highest_pct": damp,
        "narrowest_day": found.lowest_day,
        "widest_day": found.highest_day,
        "lag_days": found.lag_days,
        "first_lowest_pct": found.first_lowest_pct,
        "first_highest_pct": found.first_highest_pct,
        "in_step_days": found.in_step_days,
        "wave_swing_pct": found.wave_swing_pct,
        "wave_lag_days": found.wave_lag_days,
    }


def _room(request: PanelRequest, found: PanelYear) -> dict[str, Any]:
    """By ``book gap``, for the driest and the dampest it will be, to the far ends of their spread."""
    low = min(found.lowest_pct.low, found.first_lowest_pct)
    high = min(30.0, max(found.highest_pct.high, found.first_highest_pct))

    def gap(fit: Literal["groove", "slot"], width_mm: float) -> dict[str, Any]:
        asked = {
            "fit": fit, "species": request.species, "width_mm": max(width_mm, 1.0), "cut": request.cut,
            "now_pct": request.made_at_pct, "aim_low_pct": low, "aim_high_pct": high, "screw_mm": request.screw_mm,
            "clearance_mm": request.clearance_mm,
        }  # fmt: skip
        return dict(GapQuestion().answer(GapRequest.model_validate(asked, context=request.known)).figures)

    groove = gap("groove", request.width_mm)
    depth = groove["gap_dry_mm"] + request.hold_mm
    return {
        "groove_depth_mm": depth,
        "groove_gap_today_mm": groove["gap_today_mm"],
        "tongue_mm": depth - groove["gap_today_mm"],
        "slot_mm": gap("slot", request.width_mm)["slot_mm"],
        "slot_from_middle_mm": gap("slot", 0.5 * request.width_mm)["slot_mm"],
    }


def _strain(strained: Held) -> dict[str, Any]:
    return {
        "held_stretch_pct": 100 * strained.stretched,
        "held_squeeze_pct": 100 * strained.squeezed,
        "held_rank": strained.rank,
        "held_keeps_set": strained.keeps_set,
        "held_tension_index": strained.tension_index,
    }


def _cup(request: PanelRequest, across: Across, found: PanelYear) -> dict[str, Any]:
    cups = cup_mm(found.board, found.profile_pct[:, None], across.coefficient, request.width_mm / 1000)[:, 0]
    worst = int(abs(cups).argmax())
    return {"cup_mm": float(cups[worst]), "cup_day": float(found.days[worst])}


def _months(request: PanelRequest, across: Across, year: Year, found: PanelYear) -> list[dict[str, Any]]:
    means, emcs = found.mean_on(MIDDLES), year.emc_pct(MIDDLES)
    widths = request.width_mm + change(across, request.width_mm, request.made_at_pct, means)
    rows = zip(MIDDLES, emcs, means, widths, strict=True)
    return [
        {"month": m, "day": day, "emc_pct": float(e), "mean_pct": float(mc), "width_mm": float(w)}
        for m, (day, e, mc, w) in enumerate(rows, 1)
    ]
