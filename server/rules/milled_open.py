"""Freshly milled stock that lies open as the day's work ends, and would not be what it is by morning."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.leaving import NEARLY, best_way, held, wrapped_by_ms
from server.rules.lot_rule import LotParameters, LotRule, about
from server.rules.lot_view import LotView
from server.rules.spans import back_ms, leaves_ms

PANEL = "panel-cures"
"""Where it asks for film over a panel, nothing more is to be said of that here."""


class MilledOpenParameters(LotParameters):
    """``[rules.milled-open]``: when it is said, and what is worth saying. Defaults: common practice, no source."""

    before_min: float = Field(
        45.0, ge=5.0, le=480.0, description="minutes before the end of work from which it is said"
    )
    grow_mm: float = Field(0.05, ge=0.0, le=10.0, description="how much it must still grow overnight, mm")
    clear_share: float = Field(0.8, gt=0.0, le=1.0, description="share of the tolerance below which it is over")


class MilledOpen(LotRule):
    """One subject a freshly milled lot. It is raised while there is still time to wrap it, and stands until it is
    wrapped, or work goes on."""

    name: str = "milled-open"
    schema: type[BaseModel] = MilledOpenParameters

    def __init__(self, parameters: MilledOpenParameters | None = None) -> None:
        self._own = parameters or MilledOpenParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a freshly milled lot."""
        leaves = leaves_ms(view.work, view.away, view.now_ms)
        now = leaves is not None and leaves - view.now_ms <= self._own.before_min * 60_000
        over = not view.work or (leaves is not None and not now)
        back = back_ms(view.work, view.away, view.now_ms)
        flat, told = held(view), wrapped_by_ms(view) is not None
        dries = {lot for rule, lot in view.standing if rule == PANEL}
        return [
            self._of_lot(lot, back, now=now, over=over or lot.id in flat or f"{lot.id}-dry" in dries, told=told)
            for lot in view.lots or ()
            if lot.fresh
        ]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return super().unwatched(view) or (None if view.work else "not-watched-no-hours")

    def _of_lot(self, lot: LotView, until_ms: int, *, now: bool, over: bool, told: bool) -> Finding:
        p, course = self._own, lot.course("as-it-lies")
        if over or not lot.open:
            return about(self.name, lot, clears=True)
        if course is None or lot.cup_mm is None:
            return about(self.name, lot, clears=lot.worked_out)
        worst, tolerance = course.worst_cup(until_ms), lot.tolerance_mm
        grows = worst.middle - lot.cup_mm.middle
        if worst.high <= p.clear_share * tolerance or grows <= 0.3 * p.grow_mm:
            return about(self.name, lot, clears=True)
        way, kept = best_way(lot, until_ms)
        unsaid = {"none", "wrapped"} if told else {"none"}  # what to wrap before a time away is said already
        return about(
            self.name, lot, raises=now and worst.high > tolerance and grows >= p.grow_mm and way not in unsaid,
            word="act" if kept and worst.middle > tolerance else "look",
            stays="act" if best_way(lot, until_ms, NEARLY)[1] and worst.middle > p.clear_share * tolerance else "look",
            values={
                "deed": way, "cup_mm": round(worst.middle, 1), "most_mm": round(worst.high, 1),
                "tolerance_mm": tolerance, "width_mm": round(lot.width_mm), "by_ms": until_ms,
            },
        )  # fmt: skip
