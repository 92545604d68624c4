"""The shelf with glue and finishes grows cold: what is water-based spoils for good when it freezes.

Water-based glue is to be stored above 5 °C: common practice, no source (`server/wood/adhesives.csv`, from memory and in
doubt there). The maker's sheet of each decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView, ShelfView
from server.rules.room_finding import RoomParameters, Values, room_finding, speaks
from server.rules.spans import back_ms

SAID_TO_H = 0.5
HOUR_MS = 3_600_000


class ShelfFreezingParameters(RoomParameters):
    """``[rules.shelf-freezing]``: how cold is too cold, and how far ahead it looks."""

    least_c: float = Field(5.0, ge=-5, le=20, description="the least that glue and finishes bear, °C")
    within_h: float = Field(12.0, ge=0, le=48, description="hours in which a straight line must fall to it")
    ahead_below_c: float = Field(10.0, ge=-5, le=30, description="lines from above this are not looked at, °C")
    clear_above_c: float = Field(1.0, ge=0.2, le=10, description="so far above the least it is over, K")
    raise_after_min: float = Field(0.0, ge=0, le=1440, description="minutes it must be so")
    clear_after_min: float = Field(60.0, ge=0, le=1440, description="minutes it must be over")


class ShelfFreezing:
    """One subject a zone or a sensor that is marked as a shelf. It waits for no hours where it would be too cold before
    somebody comes."""

    name: str = "shelf-freezing"
    schema: type[BaseModel] = ShelfFreezingParameters

    def __init__(self, parameters: ShelfFreezingParameters | None = None) -> None:
        self._own = parameters or ShelfFreezingParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a shelf; its zone is among the values. One not heard lately keeps what it has."""
        left_h = (back_ms(view.work, view.away, view.now_ms) - view.now_ms) / HOUR_MS
        return [self._of_shelf(shelf, left_h, heard=speaks(shelf, view.now_ms)) for shelf in view.shelves]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.shelves else "not-watched-no-shelf"

    def _of_shelf(self, shelf: ShelfView, left_h: float, *, heard: bool) -> Finding:
        p, above = self._own, shelf.temperature_c - self._own.least_c
        ahead_h = math.inf
        if shelf.per_h is not None and shelf.per_h < 0 and shelf.temperature_c < p.ahead_below_c:
            ahead_h = max(above, 0.0) / -shelf.per_h
        raises = heard and (above <= 0 or ahead_h <= p.within_h)
        clears = heard and above >= p.clear_above_c and ahead_h > 1.5 * p.within_h
        values: Values = {"zone": shelf.zone}
        if not clears:
            values |= {"temperature_c": round(shelf.temperature_c, 1), "least_c": p.least_c}
            if above > 0 and math.isfinite(ahead_h):
                values["in_h"] = max(SAID_TO_H, math.ceil(ahead_h / SAID_TO_H) * SAID_TO_H)
        return room_finding(
            self.name, shelf.subject, raises=raises, clears=clears, values=values,
            raise_after_s=60.0 * p.raise_after_min, clear_after_s=60.0 * p.clear_after_min,
            urgent=raises and (above <= 0 or ahead_h < left_h),
        )  # fmt: skip
