"""A fitted panel that takes up the room it was given, draws out of its groove or comes to the end of its slots, while
it is still in the shop and something can be done about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Literal

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.lot_rule import LotParameters, Values, about
from server.rules.lot_view import Band
from server.rules.panel_rule import PanelRule
from server.rules.panel_view import Fit, Grown, PanelView

DAY_MS = 86_400_000
Which = Literal["wide", "narrow"]
SUBJECTS: tuple[Which, ...] = ("wide", "narrow")


class ClearanceUsedParameters(LotParameters):
    """``[rules.clearance-used]``: how a panel counts as taking up its room. Defaults: common practice, no source."""

    ahead_days: float = Field(
        30.0, ge=0.0, le=60.0, description="days ahead in which it is looked for, where it stands"
    )
    grow_mm: float = Field(0.2, gt=0.0, le=10.0, description="how far it must have moved since it was fitted, mm")
    clear_share: float = Field(0.9, gt=0.0, le=1.0, description="share of its room below which it is over")
    groove_mm: float = Field(
        9.0, gt=0.0, le=100.0, description="how far it may draw from its groove, mm: 12 deep, 3 stay"
    )


@dataclass(frozen=True, slots=True)
class _Way:
    """Its movement to one side: ``room_mm`` for that, and how far it goes, now and at the farthest; whether its slots
    are what limits it, and ``centres`` whether they are long enough, were its screws set anew."""

    which: Which
    room_mm: float
    now: Band
    worst: Band
    at_ms: int
    by_slots: bool = False
    centres: bool = False


class ClearanceUsed(PanelRule):
    """Two subjects a fitted panel: wider than its room, and narrower than holds it. ``act`` where the middle of its
    figure is past the room and a deed helps; how deep a groove is nobody tells, so of that only a look."""

    name = "clearance-used"
    schema: type[BaseModel] = ClearanceUsedParameters

    def __init__(self, parameters: ClearanceUsedParameters | None = None) -> None:
        self._own = parameters or ClearanceUsedParameters()
        self.parameters = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """Of a panel that is not fitted, or held fast, nothing is watched."""
        found: list[Finding] = []
        for panel in view.panels:
            if panel.fit is None:
                found += [] if panel.worked_out else [about(self.name, panel, which) for which in SUBJECTS]
            else:
                found += [self._of_way(panel, panel.fit, way) for way in self._ways(panel.fit, view.now_ms)]
        return found

    def _ways(self, fit: Fit, now_ms: int) -> list[_Way]:
        ahead = fit.until(now_ms + round(self._own.ahead_days * DAY_MS))
        if not ahead:
            return []
        room, travel = fit.room_mm, fit.travel_mm
        if travel is not None:
            out, within = travel
            by_slots = room is None or out <= room
            wide, narrow = _way("wide", out if by_slots else room or 0.0, ahead), _way("narrow", within, ahead)
            needs = sum(max(0.0, way.worst.high) for way in (wide, narrow))
            centres = needs <= out + within
            return [replace(wide, by_slots=by_slots, centres=centres), replace(narrow, by_slots=True, centres=centres)]
        ways = [] if room is None else [_way("wide", room, ahead)]
        if fit.kind == "groove":
            ways.append(_way("narrow", max(0.0, self._own.groove_mm - (room or 0.0)), ahead))
        return ways

    def _of_way(self, panel: PanelView, fit: Fit, way: _Way) -> Finding:
        p, most = self._own, way.worst.high
        if most <= p.clear_share * way.room_mm or way.worst.middle <= 0.5 * p.grow_mm:
            return about(self.name, panel, way.which, clears=True)
        deed = _deed(panel, fit, way)
        helps = deed in {"ease", "slots", "centre"} or (deed == "wrap" and way.which == "wide")
        past = way.worst.middle > way.room_mm
        values: Values = {
            "deed": deed, "which": way.which, "when": "now" if way.now.high > way.room_mm else "coming",
            "at_ms": way.at_ms, "moved_mm": round(way.worst.middle, 1), "most_mm": round(most, 1),
            "now_mm": round(way.now.middle, 1), "room_mm": round(way.room_mm, 1), "width_mm": round(fit.width_mm),
            "take_mm": ceil(10.0 * max(0.0, most - way.room_mm) * (fit.share if way.by_slots else 1.0)) / 10.0,
            "left_mm": round(fit.share * max(0.0, way.room_mm - way.now.middle), 1),
            "fit": "slot" if way.by_slots else fit.kind,
        }  # fmt: skip
        return about(
            self.name, panel, way.which, raises=most > way.room_mm and way.worst.middle >= p.grow_mm,
            word="act" if past and helps else "look", lean="damp" if way.which == "wide" else "dry", values=values,
            stays="act" if helps and way.worst.middle > p.clear_share * way.room_mm else None,
        )  # fmt: skip


def _deed(panel: PanelView, fit: Fit, way: _Way) -> str:
    """Wrapping keeps off only what is still to come. What lies in its crate nobody planes."""
    if panel.crated:
        return "look"
    if way.by_slots:
        return "centre" if way.centres else "slots"
    if fit.kind in {"drawer", "door"}:
        return "ease"
    coming = way.worst.middle - way.now.middle > 0.1
    return "wrap" if coming and not panel.wrapped else "look"


def _way(which: Which, room_mm: float, ahead: Sequence[Grown]) -> _Way:
    sides = [one.mm if which == "wide" else Band(-one.mm.middle, -one.mm.high, -one.mm.low) for one in ahead]
    worst = max(sides, key=lambda band: band.middle)
    past = (one.t_ms for one, mm in zip(ahead, sides, strict=True) if mm.high > room_mm)
    return _Way(which, room_mm, sides[0], worst, next(past, ahead[sides.index(worst)].t_ms))
