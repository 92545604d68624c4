"""A room whose coldest inner surface is so damp, over days, that mould can grow on it.

From which humidity on, and how many weeks such air takes until growth shows under a microscope: Hukka and Viitanen
(1999), in :mod:`server.wood.mould`. ISO 13788 judges by the mean of a month (from memory); the mean of a week warns
while there is time. What counts as the surface is said where it is worked out (:mod:`server.room.views`).
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RoomView, RuleView
from server.rules.room_finding import RoomParameters, Values, room_finding, speaks
from server.rules.suppressing import Suppressor, off_season, over_salt


class MouldGrowsParameters(RoomParameters):
    """``[rules.mould-grows]``: over how many days, and how far below the limit it is over."""

    least_days: float = Field(5.0, ge=1, le=7, description="days of the last week that must have been heard")
    clear_below_pct: float = Field(3.0, ge=0.5, le=30, description="so far below the limit it is over, % RH")
    clear_after_min: float = Field(60.0, ge=0, le=1440, description="minutes it must be over")


class MouldGrows:
    """One subject a zone of which a week is known. A week's mean moves so slowly that nothing is waited for."""

    name: str = "mould-grows"
    schema: type[BaseModel] = MouldGrowsParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season)

    def __init__(self, parameters: MouldGrowsParameters | None = None) -> None:
        self._own = parameters or MouldGrowsParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone."""
        return [self._of_room(r, heard=speaks(r, view.now_ms)) for r in view.rooms if r.surface_rh_pct is not None]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        known = any(r.surface_rh_pct is not None and r.surface_days >= self._own.least_days for r in view.rooms)
        return None if known else "not-watched-no-week"

    def _of_room(self, room: RoomView, *, heard: bool) -> Finding:
        p, rh_pct, limit_pct = self._own, room.surface_rh_pct or 0.0, room.mould_from_pct
        heard = heard and room.surface_days >= p.least_days
        raises = heard and limit_pct is not None and rh_pct >= limit_pct
        clears = heard and (limit_pct is None or rh_pct < limit_pct - p.clear_below_pct)
        values: Values = {}
        if raises and limit_pct is not None:
            values = {"surface_rh_pct": round(rh_pct), "limit_pct": round(limit_pct)}
            values |= {} if room.surface_c is None else {"surface_c": round(room.surface_c, 1)}
            values |= {} if room.mould_weeks is None else {"weeks": max(1, round(room.mould_weeks))}
        return room_finding(
            self.name, room.zone, raises=raises, clears=clears, values=values, lean="damp" if raises else "none",
            clear_after_s=60.0 * p.clear_after_min,
        )  # fmt: skip
