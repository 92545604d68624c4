"""Litres through the night, with volume, period and ceiling; beyond the ceiling none is named."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from server.room.balance import Balance, Ends, missing
from server.room.base import BALANCE_SOURCE, EMC_SOURCE, RoomLine, RoomView
from server.room.heat import cooler_helps
from server.wood import glass
from server.wood.air import saturation_pressure_pa
from server.wood.emc import emc_pct
from server.wood.mould import SURFACE_RH
from server.words import Sentence
from server.words.sentence import Value

RUNS, MOULD, ASSUMED = "glass-would-run", "wall-would-mould", "glazing-taken-as-single"
WALL_FACTOR = 0.7
"""How far the coldest corner of an outside wall stands from outdoors to indoors (:mod:`server.room.views`)."""
WORTH_KG = 0.05
WALL_SOURCE = (
    "Walls without a window: 80 % at the surface (ISO 13788, from memory), which stands at 0.7 of the way from "
    "outdoors to indoors (DIN 4108-2, from memory)."
)


@dataclass(frozen=True, slots=True)
class Ceiling:
    """The humidity, 0..1, that the room may have tonight, by the coldest hour's colder end; ``surface_c`` is what runs
    or moulds beyond it."""

    rh: float
    surface_c: float
    outdoor_c: float
    glazing: str


class Litres:
    """Water to add through the night, or to take out."""

    name = "water"

    def answer(self, view: RoomView, /) -> RoomLine:
        """``water_kg`` through ``hours_h`` (one kg is a litre; negative: to be taken out; None where it is refused or
        cannot be named) with its ends. ``fill_kg`` of it go into air, walls and the skin of the stock, once; negative
        where these give it. ``hold_rh_pct``; the ceiling ``most_rh_pct`` with ``most_kg`` and ``most_pct`` (what it
        draws wood to), ``surface_c`` and ``outdoor_c`` it is by."""
        balance = Balance.of(view)
        sources = (BALANCE_SOURCE, EMC_SOURCE, f"{glass.SOURCE}.", WALL_SOURCE)
        caution = Sentence("book-caution-water")
        figures: dict[str, float | int | None] = {
            "hours_h": view.night.hours, "hold_pct": view.hold_pct, "hold_rh_pct": 100 * view.hold_rh,
        }  # fmt: skip
        if balance is None:
            what = missing(view) or "outdoors"
            return RoomLine(self.name, (Sentence(f"room-water-no-{what}"),), figures, sources, caution, (f"no-{what}",))
        top, need = ceiling(view), total(balance, view.hold_rh)
        beyond = view.hold_rh > top.rh and need.middle > 0
        figures |= {
            "volume_m3": balance.volume_m3, **_named("water_kg", None if beyond else need),
            **_named("fill_kg", None if beyond else balance.fill_kg(view.hold_rh)), "most_rh_pct": 100 * top.rh,
            "surface_c": top.surface_c, "outdoor_c": top.outdoor_c, **_named("most_kg", _most_kg(balance, top)),
            "most_pct": float(emc_pct(view.night.indoor_c, top.rh)),
        }  # fmt: skip
        reason = MOULD if top.glazing == "none" else RUNS
        flags = (*((reason,) if beyond else ()), *((ASSUMED,) if view.zone.glazing is None else ()))
        said = tuple(_said(view, balance, top, None if beyond else need))
        return RoomLine(self.name, said, figures, sources, caution, flags)


def total(balance: Balance, rh: float) -> Ends:
    """What the night takes, kg. A limit that the air stands inside of is held by less: what air, walls and skins give
    on the way there counts, down to nothing; it never asks for the other side."""
    whole = balance.total_kg(rh)
    least, most = (0.0, math.inf) if balance.view.side == "dry" else (-math.inf, 0.0)
    return Ends(*(min(max(one, least), most) for one in (whole.middle, whole.low, whole.high)))


def _most_kg(balance: Balance, top: Ceiling) -> Ends:
    whole = balance.total_kg(top.rh)
    return Ends(*(max(0.0, one) for one in (whole.middle, whole.low, whole.high)))


def ceiling(view: RoomView) -> Ceiling:
    """By the glass, taken as single where nobody says; without a window by the wall. Raises ValueError where outdoors
    is not known."""
    outdoors, inside_c = view.night.outdoors, view.night.indoor_c
    if outdoors is None:
        raise ValueError("night: found nothing of outdoors; would be right: its outlook")
    kind = view.zone.glazing or "single"
    if kind == "none":
        wall_c = min(inside_c, outdoors.mean_c + WALL_FACTOR * (inside_c - outdoors.mean_c))
        rh = SURFACE_RH * float(saturation_pressure_pa(wall_c) / saturation_pressure_pa(inside_c))
        return Ceiling(min(1.0, rh), wall_c, outdoors.mean_c, kind)
    pane, cold_c = glass.GLAZINGS[kind], outdoors.coldest_c_low
    surface_c = float(glass.surface_c(pane, inside_c, cold_c))
    return Ceiling(float(glass.limit_rh(pane, inside_c, cold_c)), surface_c, cold_c, kind)


def _named(key: str, ends: Ends | None) -> dict[str, float | int | None]:
    if ends is None:
        return dict.fromkeys((key, f"{key}_low", f"{key}_high"))
    return {key: ends.middle, f"{key}_low": ends.low, f"{key}_high": ends.high}


def _said(view: RoomView, balance: Balance, top: Ceiling, need: Ends | None) -> Iterator[Sentence]:
    night: dict[str, Value] = {
        "volume_m3": balance.volume_m3, "hours_h": view.night.hours, "until": view.telling.at(view.night.to_ms),
        "hold_pct": view.hold_pct,
    }  # fmt: skip
    fill_kg, most_kg = balance.fill_kg(view.hold_rh).middle, _most_kg(balance, top).middle
    if need is not None and abs(need.middle) < WORTH_KG:
        most = max(abs(need.low), abs(need.high))
        yield Sentence("room-water-none", {**night, "spread": "some" if most >= WORTH_KG else "none", "kg_high": most})
    elif need is not None:
        low, high = sorted((abs(need.low), abs(need.high)))
        key = "room-water-add" if need.middle > 0 else "room-water-remove"
        yield Sentence(key, {**night, "kg": abs(need.middle), "kg_low": low, "kg_high": high})
    if need is not None and abs(fill_kg) > WORTH_KG:
        helps = (fill_kg < 0) == (view.side == "dry")
        yield Sentence("room-water-buffer" if helps else "room-water-fill", {"kg": abs(fill_kg)})
    at: dict[str, Value] = {"outdoor_c": top.outdoor_c, "limit_pct": 100 * top.rh, "glazing": top.glazing}
    held: dict[str, Value] = {"most_kg": most_kg, "emc_pct": float(emc_pct(view.night.indoor_c, top.rh))}
    if need is None:
        cooler = "yes" if cooler_helps(view, balance) else "no"
        yield Sentence("room-water-refused", {**at, **held, "hold_pct": view.hold_pct, "cooler": cooler})
    elif need.middle > 0 and top.rh < 1.0:
        yield Sentence("room-water-ceiling", {**at, **held})
    if view.night_rh > top.rh:
        yield Sentence("room-water-already", at)
    if view.zone.glazing is None:
        yield Sentence("room-water-glazing")
