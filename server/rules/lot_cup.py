"""A lot that will be further out of flat by the next time somebody works than is tolerated of it."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.leaving import NEARLY, best_way, held, wrapped_by_ms
from server.rules.lot_rule import LotParameters, LotRule, about
from server.rules.lot_view import LotView
from server.rules.spans import back_ms, leaves_ms


class LotCupParameters(LotParameters):
    """``[rules.lot-cup]``: how a lot counts as going out of flat. What is tolerated is the lot's own: 0.3 mm over the
    width of milled faces, 1.5 mm of rough stock. Defaults: common practice, no source."""

    grow_mm: float = Field(0.1, ge=0.0, le=10.0, description="how much it must still grow, mm; what is out is out")
    clear_share: float = Field(0.8, gt=0.0, le=1.0, description="share of the tolerance below which it is over")
    raise_after_min: float = Field(60.0, ge=0.0, le=1440.0, description="minutes foreseen so, without a break")


class LotCup(LotRule):
    """One subject a lot. What milled stock does over the night while it is open another rule says before the end of
    work, so of that only the hours until then count here."""

    name: str = "lot-cup"
    schema: type[BaseModel] = LotCupParameters

    def __init__(self, parameters: LotCupParameters | None = None) -> None:
        self._own = parameters or LotCupParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a lot. A panel that is held by something stays flat."""
        back = back_ms(view.work, view.away, view.now_ms)
        leaves = leaves_ms(view.work, view.away, view.now_ms) or view.now_ms if view.work else back
        flat, wrapped_ms = held(view), wrapped_by_ms(view)
        return [
            about(self.name, lot, clears=True)
            if lot.id in flat
            else self._of_lot(lot, view.now_ms, leaves if lot.fresh and lot.open else back, wrapped_ms)
            for lot in view.lots or ()
        ]

    def _of_lot(self, lot: LotView, now_ms: int, until_ms: int, wrapped_ms: int | None = None) -> Finding:
        p, course = self._own, lot.course("as-it-lies")
        if course is None or lot.cup_mm is None:
            return about(self.name, lot, clears=lot.worked_out)
        worst, tolerance = course.worst_cup(until_ms).middle, lot.tolerance_mm
        grows = worst - lot.cup_mm.middle
        if worst <= p.clear_share * tolerance or grows <= 0.3 * p.grow_mm:
            # Of open milled stock after work nothing more is foreseen here; what was said stands until it is seen to.
            return about(self.name, lot, clears=until_ms > now_ms or worst <= p.clear_share * tolerance)
        way, kept = best_way(lot, until_ms)
        if way == "wrapped" and wrapped_ms is not None and wrapped_ms < until_ms:
            return self._of_lot(lot, now_ms, wrapped_ms)  # from then on the alert about the time away speaks
        return about(
            self.name, lot, raises=worst > tolerance and grows >= p.grow_mm, word="act" if kept else "look",
            values={
                "deed": way, "cup_mm": round(worst, 1), "tolerance_mm": tolerance, "width_mm": round(lot.width_mm),
                "hollow": lot.hollow or "top", "by_ms": until_ms,
            },
            raise_after_s=60 * p.raise_after_min, stays="act" if best_way(lot, until_ms, NEARLY)[1] else None,
        )  # fmt: skip
