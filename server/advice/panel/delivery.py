"""What becomes of this panel in the year where it is going, what gap it needs today, and may it go there now?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from math import ceil
from typing import Any

import numpy as np
from pydantic import Field

from server.advice.base import (
    DIFFUSION_SOURCE,
    EMC_SOURCE,
    PRACTICE,
    Decision,
    Held,
    Inputs,
    Limit,
    Line,
    LotView,
    held_now,
)
from server.advice.panel.ahead import ahead_of, panel_across
from server.advice.panel.finish import Finish, FinishInputs
from server.advice.panel.fitted import FittedQuestion
from server.advice.panel.living import DAY_MS, Living, LivingInputs, living
from server.advice.time_words import Said
from server.book.gap import CLEARANCE_MM
from server.reading import Word
from server.shop.gluing import Fit, House
from server.wood.air import relative_humidity
from server.wood.belief import boards_of
from server.wood.emc import humidity_for_emc
from server.wood.movement import Across, slot_mm
from server.wood.panel_ahead import Ahead
from server.wood.warming import LONGEST_H, Plate, conductivity_w_m_k, dew_point_of, wrapped_ends_h
from server.words import Sentence
from server.words.sentence import Value

HEAT_SOURCE = "Warming: plate between two films, Carslaw and Jaeger 3.11; film 0.13 m² K/W, ISO 6946 (from memory); \
conductivity by density, Wood Handbook ch. 4 (from memory)."
MONTHS = 12
LEAVES = frozenset({"finished", "fitted", "crated"})


class DeliveryInputs(LivingInputs):
    """Where it goes, what is known of the house, and what it is fitted by there."""

    heated: bool | None = Field(None, description="whether the house is heated and lived in")
    new_plaster: bool | None = Field(None, description="whether plaster or screed there is new and still drying")
    fit: Fit | None = Field(None, description="drawer, door, groove or slot; else as it was fitted")
    screw_mm: float = Field(5.0, ge=0, le=50, description="the screw in a slot, 0 to 50 mm; 5 if not given")
    clearance_mm: float = Field(CLEARANCE_MM, ge=0, le=20, description="what must be left at the dampest, 0 to 20 mm")
    cold_c: float = Field(0.0, ge=-40, le=40, description="how cold it gets on the way, −40 to 40 °C; 0 if not given")
    house_humidity_pct: float | None = Field(
        None, ge=0, le=100, description="the house's humidity, 0 to 100 %; else as its air is taken to be now"
    )


class Delivery:
    """From its own moisture now, through the year there."""

    name = "delivery"
    summary = (
        "the coming year's width where it goes, the gap to plane today, how long it stays wrapped, and whether to go"
    )
    decides = True
    inputs: type[Inputs] = DeliveryInputs

    def decisions(self, views: Sequence[LotView]) -> list[Decision | None]:
        """What its answers to these would decide: the year there has a part in it only where it might go."""
        given, found = DeliveryInputs(), list[Decision | None]()
        for view in views:
            asked = view.lot.panel is not None and view.held is not None and panel_across(view) is not None
            word, title, first = _decided(view, _house(view, given)) if asked else (None, None, ())
            found.append(None if word is None or title is None else (word, title, first[0]))
        return found

    def answer(self, view: LotView, given: DeliveryInputs, /) -> Line | None:
        """``width_mm`` today, ``widest_mm`` and ``narrowest_mm`` of the year ahead, each with its ends and day
        (``…_ms``); ``months``, a row for the middle of each; ``gap_today_mm`` in all for what it is fitted by (at the
        bottom of each groove), ``slot_needed_mm`` where one edge is fixed, ``slot_from_middle_mm`` where its middle is;
        ``wrapped_h`` with its ends, None where the room does not warm it; ``dew_point_c`` with its ends: where no
        humidity was measured those of the driest and the dampest air there."""
        lot, across = view.lot, panel_across(view)
        if lot.panel is None or view.held is None or across is None:
            return None
        place = living(view, given)
        ahead = ahead_of(view, view.held.wood, place, across)
        house = _house(view, given)
        figures: dict[str, Any] = {
            "width_mm": lot.width_mm, **_ends_of("widest", lot.width_mm, *ahead.widest(), view.at_ms),
            **_ends_of("narrowest", lot.width_mm, *ahead.narrowest(), view.at_ms), **held_now(view, view.held),
            "air_from": place.basis, "air_lowest_pct": place.low_pct, "air_highest_pct": place.high_pct,
            "months": _months(view, ahead, place), **_gaps(view, given, ahead, across),
            **_wrapped(view.held, place, given),
            "heated": house.heated, "new_plaster": house.new_plaster,
        }  # fmt: skip
        word, title, first = _decided(view, house)
        said = (*first, *_said(view, figures, given, place))
        aim: Said = {"low_pct": view.aim.dry_limit_pct, "high_pct": view.aim.damp_limit_pct}
        limit = Limit(Sentence("panel-home-limit", aim), view.aim.source, {
            "dry_limit_pct": view.aim.dry_limit_pct, "damp_limit_pct": view.aim.damp_limit_pct})  # fmt: skip
        return Line(
            self.name, word, Sentence("panel-home-asked"), said, figures, limit,
            (EMC_SOURCE, DIFFUSION_SOURCE, f"Movement: {across.source}.", place.source, HEAT_SOURCE, PRACTICE),
            Sentence("panel-caution-home"), (lot.panel.entry,), title,
        )  # fmt: skip


def _house(view: LotView, given: DeliveryInputs) -> House:
    """What was asked of the house: as it is said now, else as it was told."""
    panel = view.lot.panel
    told = House() if panel is None else panel.house if panel.home is None else panel.home.house
    return House(
        heated=told.heated if given.heated is None else given.heated,
        new_plaster=told.new_plaster if given.new_plaster is None else given.new_plaster,
    )  # fmt: skip


Found = tuple[Word | None, Sentence | None, tuple[Sentence, ...]]


def _decided(view: LotView, house: House) -> Found:
    """Never ready for a house whose air nobody can foretell: new plaster gives off water for weeks, and a house that is
    not heated is damper and colder than any destination here."""
    stage = "" if view.lot.panel is None else view.lot.panel.stage
    name: Said = {"name": view.lot.name}
    why = _refused(house)
    if stage not in LEAVES:
        return None, None, (Sentence("panel-home-refused", {**name, "why": why}),) if why else ()
    if why:
        return "look", Sentence("panel-home-refused-title", {"why": why}), (
            Sentence("panel-home-refused", {**name, "why": why}),)  # fmt: skip
    mean, aim = 0.0 if view.held is None else view.held.mean_pct, view.aim
    if not aim.dry_limit_pct <= mean <= aim.damp_limit_pct:
        off: Said = {**name, "mean_pct": mean, "low_pct": aim.dry_limit_pct, "high_pct": aim.damp_limit_pct}
        return "look", Sentence("panel-home-off-title"), (Sentence("panel-home-off", off),)
    return _may_go(view, house, stage)


def _may_go(view: LotView, house: House, stage: str) -> Found:
    """Within its aim, to a house of which nothing bad is known."""
    name: Said = {"name": view.lot.name}
    if stage != "finished" and (house.heated is None or house.new_plaster is None):
        return "look", Sentence("panel-home-ask-title"), (Sentence("panel-home-ask", name),)
    if first := _comes_first(view):
        return None, None, (Sentence("panel-home-first", {**name, "what": first}),)
    what = "fit" if stage == "finished" else "ready"
    return "ready", Sentence(f"panel-home-{what}-title"), (Sentence(f"panel-home-{what}", name),)


def _refused(house: House) -> str:
    return "plaster" if house.new_plaster else "unheated" if house.heated is False else ""


def _comes_first(view: LotView) -> str:
    """What another answer asks for before it may go: nothing is ready beside a deed that is still to be done."""
    if view.lot.top_finish != view.lot.bottom_finish:
        line = Finish().answer(view, FinishInputs())
        if line is not None and line.word is not None:
            return "finish"
    fitted = FittedQuestion().answer(view, LivingInputs())
    return "fit" if fitted is not None and fitted.word is not None else ""


def _ends_of(key: str, width_mm: float, spread: Any, day: float, at_ms: int) -> dict[str, float]:
    ends = (("", spread.middle), ("_low", spread.low), ("_high", spread.high))
    return {
        **{f"{key}_mm{end}": width_mm + float(value[0]) for end, value in ends},
        f"{key}_ms": at_ms + round(day * DAY_MS),
    }


def _months(view: LotView, ahead: Ahead, place: Living) -> list[dict[str, Any]]:
    """The middles of the next twelve months of UTC."""
    now = datetime.fromtimestamp(view.at_ms / 1000, UTC)
    first = now.replace(day=15, hour=12, minute=0, second=0, microsecond=0)
    moved, mean = ahead.moved(), ahead.mean()
    emc, edges = place.air.middle.emc_pct()[:, 0], place.air.middle.edges_s
    rows: list[dict[str, Any]] = []
    one = first
    while len(rows) < MONTHS:
        day = (one - now) / timedelta(days=1)
        if 0.0 <= day <= float(ahead.day[-1]):
            at = {name: float(np.interp(day, ahead.day, values)) for name, values in (
                ("mean_pct", mean.middle), ("mean_pct_low", mean.low), ("mean_pct_high", mean.high))}  # fmt: skip
            wide = {f"width_mm{end}": view.lot.width_mm + float(np.interp(day, ahead.day, values)) for end, values in (
                ("", moved.middle), ("_low", moved.low), ("_high", moved.high))}  # fmt: skip
            step = int(np.clip(np.searchsorted(edges, 86_400.0 * day) - 1, 0, emc.size - 1))
            rows.append({"month": one.month, "day_ms": round(one.timestamp() * 1000), "emc_pct": float(emc[step]), **at,
                         **wide})  # fmt: skip
        elif day > float(ahead.day[-1]):
            break
        one = (one + timedelta(days=31)).replace(day=15)
    return rows


def _gaps(view: LotView, given: DeliveryInputs, ahead: Ahead, across: Across) -> dict[str, Any]:
    """By ``book gap``: what is left at the dampest, and what it swells by until then; to the far ends."""
    fitting = None if view.lot.panel is None else view.lot.panel.fitting
    fit = given.fit or (None if fitting is None else fitting.fit)
    mean = ahead.mean()
    low, high = float(np.clip(mean.low.min(), 0.0, 200.0)), float(np.clip(mean.high.max(), 0.0, 200.0))
    share = 0.5 if fit == "groove" else 1.0
    swell, shrink = (share * float(end[0]) for end in (ahead.widest()[0].high, ahead.narrowest()[0].low))
    gap = given.clearance_mm + max(swell, 0.0)
    now_pct, width = float(mean.middle[0]), view.lot.width_mm
    slot = slot_mm(across, width, now_pct, low_pct=low, high_pct=high, screw_mm=given.screw_mm)
    named = {"fit": fit, "slot_needed_mm": slot, "slot_from_middle_mm": 0.5 * (slot + given.screw_mm)}
    if fit == "slot":
        return {**named, "gap_today_mm": None, "gap_dry_mm": None}
    return {**named, "gap_today_mm": gap, "gap_dry_mm": gap - min(shrink, 0.0)}


def _wrapped(held: Held, place: Living, given: DeliveryInputs) -> dict[str, Any]:
    wood, air = held.wood, place.air.middle
    room_c = given.temperature_c if place.basis != "record" else float(air.start_c[0, 0])
    pa = float(air.start_pa[0, 0])
    humidity = given.house_humidity_pct
    if humidity is None:
        humidity = 100.0 * float(np.clip(relative_humidity(room_c, pa), 0.0, 1.0))
    boards, dew = boards_of(wood.stock, wood.belief), dew_point_of(room_c, humidity)
    dry, mc = float(boards.dry_kg_m3[0]), held.mean_pct
    plate = Plate(
        float(wood.stock.thickness_m[0]), dry * (1.0 + mc / 100.0), conductivity_w_m_k(dry / 1000.0, mc)
    )  # fmt: skip
    middle, low, high = wrapped_ends_h(plate, given.cold_c, room_c, dew)
    dews = [dew, dew]
    if given.house_humidity_pct is None and middle is not None:  # nobody measured it: as it gets there in a year
        ends = (100.0 * float(humidity_for_emc(room_c, pct)) for pct in (place.low_pct, place.high_pct))
        dews = sorted([dew, *(dew_point_of(room_c, rh) for rh in ends)])[::2]
        soonest, latest = (wrapped_ends_h(plate, given.cold_c, room_c, end) for end in dews)
        low = min(middle, soonest[1] or 0.0)
        high = LONGEST_H if latest[2] is None else max(middle, latest[2])
    return {
        "wrapped_h": middle, "wrapped_h_low": low, "wrapped_h_high": high, "dew_point_c": dew,
        "dew_point_c_low": dews[0], "dew_point_c_high": dews[1], "room_c": room_c, "room_humidity_pct": humidity,
        "cold_c": given.cold_c,
    }  # fmt: skip


def _said(view: LotView, figures: dict[str, Any], given: DeliveryInputs, place: Living) -> list[Sentence]:
    """Of a house it is not to go to only what the year would be, told as planning, and no deed."""
    tell, panel = view.telling, view.lot.panel
    year: dict[str, Value] = {
        "width_mm": figures["width_mm"], "narrow_mm": figures["narrowest_mm"], "wide_mm": figures["widest_mm"],
        "narrow_at": tell.date(figures["narrowest_ms"]), "wide_at": tell.date(figures["widest_ms"]),
        "least_mm": figures["narrowest_mm_low"], "most_mm": figures["widest_mm_high"],
    }  # fmt: skip
    if _refused(_house(view, given)):
        of: Said = {"of": "aim" if place.basis == "aim" else "told"}
        return [Sentence("panel-home-plan", {**year, **of})]
    said = [Sentence("panel-home-year", year)]
    fast = panel is not None and panel.fitting is not None and panel.fitting.held == "restrained"
    if fast and given.fit is None:
        said.append(Sentence("panel-home-fast"))
    elif figures["gap_today_mm"] is None:
        slot: Said = {"slot_mm": figures["slot_needed_mm"], "middle_mm": figures["slot_from_middle_mm"]}
        said.append(Sentence("panel-home-slot", {**slot, "screw_mm": given.screw_mm}))
    else:
        gap: Said = {"gap_mm": figures["gap_today_mm"], "dry_mm": figures["gap_dry_mm"]}
        said.append(Sentence("panel-home-gap", {**gap, "fit": figures["fit"] or "edges"}))
    warm: Said = {"cold_c": given.cold_c, "dew_c": figures["dew_point_c_high"]}
    hours, most = figures["wrapped_h"], figures["wrapped_h_high"]
    if hours is None:
        said.append(Sentence("panel-home-never-warm", {"dew_c": figures["dew_point_c"], "room_c": figures["room_c"]}))
    elif not most:
        said.append(Sentence("panel-home-dry", warm))
    else:
        unit, each = ("h", (hours, most)) if most >= 1.0 else ("min", (ceil(60.0 * hours), ceil(60.0 * most)))
        counted: Said = {"unit": unit, "count": each[0], "most_count": each[1]}
        said.append(Sentence("panel-home-wrapped", {**warm, **counted}))
    return said
