"""Bare iron in air that is damp at the metal's own temperature: it warms hours after the air, and sweats meanwhile.

From about 60 to 65 % iron rusts noticeably: common practice, no source; what was read stands in
:mod:`server.wood.rust`, which also says how late the metal follows.
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RoomView, RuleView
from server.rules.room_finding import RoomParameters, Values, room_finding, speaks
from server.rules.suppressing import Suppressor, off_season, over_salt

SWEATS_PCT = 100.0


class IronRustsParameters(RoomParameters):
    """``[rules.iron-rusts]``: from which humidity on, at the metal, and for how long."""

    rusts_from_pct: float = Field(65.0, ge=40, le=100, description="% RH at the metal from which it surely rusts")
    clear_below_pct: float = Field(60.0, ge=30, le=100, description="% RH at the metal below which it does not")
    raise_after_min: float = Field(60.0, ge=0, le=1440, description="minutes it must be so")
    clear_after_min: float = Field(60.0, ge=0, le=1440, description="minutes it must be over")


class IronRusts:
    """One subject a zone in which bare iron stands."""

    name: str = "iron-rusts"
    schema: type[BaseModel] = IronRustsParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season)

    def __init__(self, parameters: IronRustsParameters | None = None) -> None:
        self._own = parameters or IronRustsParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone with iron in it."""
        return [self._of_room(r, heard=speaks(r, view.now_ms)) for r in view.rooms if r.metal_rh_pct is not None]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if any(room.metal_rh_pct is not None for room in view.rooms) else "not-watched-no-iron"

    def _of_room(self, room: RoomView, *, heard: bool) -> Finding:
        p, rh_pct = self._own, room.metal_rh_pct or 0.0
        raises = heard and rh_pct >= p.rusts_from_pct
        clears = heard and rh_pct < min(p.clear_below_pct, p.rusts_from_pct)
        values: Values = {}
        if not clears and room.metal_c is not None:
            values = {"metal_c": round(room.metal_c, 1), "metal_rh_pct": round(min(rh_pct, SWEATS_PCT))}
            values |= {"sweats": 1} if rh_pct >= SWEATS_PCT else {}
        return room_finding(
            self.name, room.zone, raises=raises, clears=clears, values=values, lean="damp" if not clears else "none",
            raise_after_s=60.0 * p.raise_after_min, clear_after_s=60.0 * p.clear_after_min,
        )  # fmt: skip
