"""What does the panel's width do through the year where it will live, and what room does that need?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

import numpy as np

from server.advice.base import DIFFUSION_SOURCE, EMC_SOURCE, PRACTICE, Limit, Line
from server.advice.glue_up.base import GlueView
from server.book.gap import CLEARANCE_MM
from server.wood import covers
from server.wood.coming_year import ComingYear, coming_year
from server.wood.emc import humidity_for_emc
from server.wood.ensemble import END_OF_80
from server.wood.movement import MOVEMENT_CV, Across, change
from server.wood.panel import Panel
from server.wood.season import Season
from server.wood.year import YEAR_DAYS, Year
from server.words import Sentence, When

DRIEST_DAY, DAMPEST_DAY = 46.0, 228.0
INDOORS_C = 20.0
SCREW_MM = 5.0
_SOURCE = "A year of the panel's mean moisture: the solver in a year that goes evenly, checked by the damped wave."
_YEAR = f"Driest in mid February, dampest in mid August, 20 °C, a bare panel. {PRACTICE}"


@dataclass(frozen=True, slots=True)
class Room:
    """What the panel's width does from today's on, mm: how far it shrinks and swells at the most, how far it swings in
    a year in step with its place, with the ends of that."""

    shrinks: float
    swells: float
    swing: float
    swing_low: float
    swing_high: float


class YearAhead:
    """From now on through the first year and every one like it, in air that draws wood from the dry to the damp limit
    of the aim, or between the ends of the house's own record."""

    name = "year-of-width"
    summary = (
        "how far the panel's width moves through the year where it will live, and the clearance and slots it needs"
    )
    decides = False

    def answer(self, view: GlueView, /) -> Line:
        """``swing_mm`` of a year with its ends; ``shrinks_mm`` and ``swells_mm`` from now on at the most;
        ``clearance_mm`` in all beside its edges now, ``slot_mm`` and ``slot_from_middle_mm`` for a screw of
        ``screw_mm``; ``lowest_pct`` and ``highest_pct`` of a year in step with its place and of the first one, each
        with its ends; ``narrowest_ms``, ``widest_ms``, and the damped wave's ``wave_swing_pct``; ``air_from``: record,
        numbers or aim. None of a wood whose movement nobody has published."""
        across = [board.view.across() for board in view.boards]
        if any(one is None for one in across):
            return self._unknown("wood")
        place = place_of(view)
        try:
            found = _year_of(view, place.year)
        except ArithmeticError:
            return self._unknown("year")
        room = _room(view, [one for one in across if one is not None], found, place)
        clearance = room.swells + CLEARANCE_MM
        half = 0.5 * (room.shrinks + room.swells)
        narrow, wide = (_next(view, day) for day in (found.lowest_day, found.highest_day))
        figures: dict[str, Any] = {
            "width_mm": view.width_mm, "swing_mm": room.swing, "swing_mm_low": room.swing_low,
            "swing_mm_high": room.swing_high, "shrinks_mm": room.shrinks, "swells_mm": room.swells,
            "clearance_mm": clearance, "slot_mm": room.shrinks + room.swells + SCREW_MM,
            "slot_from_middle_mm": half + SCREW_MM, "screw_mm": SCREW_MM, "lag_days": found.lag_days,
            "narrowest_ms": narrow.t_ms, "widest_ms": wide.t_ms, "wave_swing_pct": found.wave_swing_pct,
            "air_from": place.basis, "air_lowest_pct": place.low_pct, "air_highest_pct": place.high_pct,
        }  # fmt: skip
        for key in ("swing_pct", "lowest_pct", "highest_pct", "first_lowest_pct", "first_highest_pct"):
            one = getattr(found, key)
            figures |= {key: one.middle, f"{key}_low": one.low, f"{key}_high": one.high}
        said = (
            Sentence("glue-year", {
                "width_mm": view.width_mm, "swing_mm": room.swing, "swing_mm_low": room.swing_low,
                "swing_mm_high": room.swing_high, "narrowest": narrow, "widest": wide,
            }),
            Sentence("glue-year-room", {
                "shrinks_mm": room.shrinks, "swells_mm": room.swells, "clearance_mm": clearance,
                "slot_mm": half + SCREW_MM, "screw_mm": SCREW_MM,
            }),
            Sentence("glue-year-of", {"of": place.said, "low_pct": place.low_pct, "high_pct": place.high_pct}),
        )  # fmt: skip
        limit = Limit(
            Sentence("glue-year-limit", {"low_pct": place.low_pct, "high_pct": place.high_pct}), place.source,
            {"aim_low_pct": view.aim.dry_limit_pct, "aim_high_pct": view.aim.damp_limit_pct},
        )  # fmt: skip
        moves = f"Movement: {across[0].source}." if across[0] else ""
        return Line(
            self.name, None, Sentence("glue-year-asked"), said, figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, moves, _SOURCE, place.source), Sentence("book-caution-panel"),
        )  # fmt: skip

    def _unknown(self, why: str) -> Line:
        said = (Sentence("glue-year-unknown", {"why": why}),)
        return Line(self.name, None, Sentence("glue-year-asked"), said, sources=(EMC_SOURCE,))


@dataclass(frozen=True, slots=True)
class Place:
    """Where it will live: its ``year``, what that is taken from, between which two it draws wood, % MC, and how far the
    months of a record strayed from it, 80 % (``low`` at most 0)."""

    year: Year
    basis: Literal["record", "numbers", "aim"]
    low_pct: float
    high_pct: float
    source: str
    said: str
    strays_low: float = 0.0
    strays_high: float = 0.0


def place_of(view: GlueView) -> Place:
    """The house's own record between its driest and its dampest day, else two numbers or the aim's band."""
    if view.season is not None:
        return _recorded(view, view.season)
    aim = view.aim
    dry, damp = (float(humidity_for_emc(INDOORS_C, pct)) for pct in (aim.dry_limit_pct, aim.damp_limit_pct))
    year = Year(dry, damp, INDOORS_C, INDOORS_C, DRIEST_DAY, DAMPEST_DAY)
    basis: Literal["numbers", "aim"] = "aim" if view.asked.aim.destination else "numbers"
    said = basis if view.asked.house_zone is None else "short"
    return Place(year, basis, aim.dry_limit_pct, aim.damp_limit_pct, f"Aim: {aim.source}. {_YEAR}", said)


def _recorded(view: GlueView, season: Season) -> Place:
    today = view.at_ms / 86_400_000
    days = today + np.arange(YEAR_DAYS)
    c, emc = season.temperature_c(days), season.emc_pct(days)
    at = [int(emc.argmin()), int(emc.argmax())]
    (low, high), (dry_c, damp_c) = (float(emc[i]) for i in at), (float(c[i]) for i in at)
    dry, damp = float(humidity_for_emc(dry_c, low)), float(humidity_for_emc(damp_c, high))
    driest, dampest = ((_day_of_year(view) + i) % YEAR_DAYS for i in at)
    source = f"The zone's own record of {season.heard_days} days, from its driest to its dampest by half a cosine."
    year = Year(dry, damp, dry_c, damp_c, driest, dampest)
    return Place(year, "record", low, high, source, "record", season.low_pct, season.high_pct)


def _year_of(view: GlueView, year: Year) -> ComingYear:
    """Its first year begins now."""
    stock, bare = view.boards[0].held.wood.stock, covers.find("bare")
    panel = Panel(
        view.thickness_mm / 1000, float(stock.specific_gravity[0]), float(stock.volumetric_shrinkage[0]), bare, bare
    )
    made = float(view.shares @ np.array([board.mean_pct for board in view.boards]))
    return coming_year(panel, year, made, _day_of_year(view))


def _room(view: GlueView, across: list[Across], found: ComingYear, place: Place) -> Room:
    """Each board from what it holds itself. How far at the most is to the far end of the 80 %: of what the panel comes
    to, of what its boards hold now, taken to be off alike, of the species' movement, and of how the months of the
    house's record strayed, by squares."""
    follows = found.swing_pct.middle / max(place.high_pct - place.low_pct, 1e-9)
    widths = view.shares * view.width_mm
    made = [board.mean_pct for board in view.boards]

    def moved(to_pct: float) -> float:
        each = zip(across, widths, made, strict=True)
        return float(sum(change(one, width, pct, min(max(to_pct, 0.0), 30.0)) for one, width, pct in each))

    lowest = min(found.lowest_pct.middle, found.first_lowest_pct.middle)
    highest = max(found.highest_pct.middle, found.first_highest_pct.middle)
    far_low = min(found.lowest_pct.low, found.first_lowest_pct.low)
    far_high = max(found.highest_pct.high, found.first_highest_pct.high)
    made_mm = sum(
        one.coefficient * width * 0.5 * (board.mean["mean_pct_high"] - board.mean["mean_pct_low"])
        for one, width, board in zip(across, widths, view.boards, strict=True)
    )

    def at_most(sign: float, to_pct: float, far_pct: float, strays_pct: float) -> float:
        middle = moved(to_pct)
        scatter, strays = END_OF_80 * MOVEMENT_CV * middle, moved(to_pct + follows * strays_pct) - middle
        return max(0.0, sign * middle + float(np.linalg.norm([moved(far_pct) - middle, made_mm, scatter, strays])))

    swing = moved(found.highest_pct.middle) - moved(found.lowest_pct.middle)
    up, down = (_by_squares(found, end) for end in (found.swing_pct.high, found.swing_pct.low))
    shrinks, swells = (
        at_most(-1.0, lowest, far_low, place.strays_low), at_most(1.0, highest, far_high, place.strays_high)
    )  # fmt: skip
    return Room(shrinks, swells, swing, max(0.0, swing * (1.0 - down)), swing * (1.0 + up))


def _by_squares(found: ComingYear, end: float) -> float:
    """What moisture and the species' own scatter of movement leave open of a swing, a fraction."""
    share = end / found.swing_pct.middle - 1.0 if found.swing_pct.middle else 0.0
    return float(np.hypot(share, END_OF_80 * MOVEMENT_CV))


def _day_of_year(view: GlueView) -> float:
    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=view.at_ms)
    return min(float(at.timetuple().tm_yday), YEAR_DAYS)


def _next(view: GlueView, day: float) -> When:
    """The next time a day of the year comes round."""
    return view.telling.date(view.at_ms + round(((day - _day_of_year(view)) % YEAR_DAYS) * 86_400_000))
