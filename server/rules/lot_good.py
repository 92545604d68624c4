"""A lot that has become good to mill: good news, once, that asks for nothing."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.lot_rule import LotParameters, LotRule, about
from server.rules.lot_view import LotView

HOUR_MS = 3_600_000


class LotGoodParameters(LotParameters):
    """``[rules.lot-good]``: for how long it is news. Defaults: common practice, no source."""

    steady_h: float = Field(6.0, ge=0.0, le=168.0, description="hours good to mill before it is said")
    wavers_h: float = Field(24.0, ge=0.0, le=168.0, description="hours no longer good before it is taken back")
    stands_h: float = Field(48.0, gt=0.0, le=720.0, description="hours after it became so for which it is news")


class LotGood(LotRule):
    """One subject a lot."""

    name: str = "lot-good"
    schema: type[BaseModel] = LotGoodParameters

    def __init__(self, parameters: LotGoodParameters | None = None) -> None:
        self._own = parameters or LotGoodParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a lot that is no panel."""
        return [self._of_lot(lot, view) for lot in view.lots or () if not lot.panel]

    def _of_lot(self, lot: LotView, view: RuleView) -> Finding:
        p = self._own
        if not lot.good or lot.good_since_ms is None:
            # Whether it is even wavers with its air: what was said stands through that, and not once it is milled.
            clears = lot.good is False or (lot.good is None and lot.worked_out)
            waits_s = 0.0 if lot.fresh else 3600.0 * p.wavers_h
            return about(self.name, lot, clears=clears, word="ready", asks="nothing", clear_after_s=waits_s)
        hours = (view.now_ms - lot.good_since_ms) / HOUR_MS
        if hours > p.stands_h:
            return about(self.name, lot, clears=True, word="ready", asks="nothing")
        values: dict[str, float | int | str] = {}
        if lot.mean_pct is not None:
            values["mean_pct"] = round(lot.mean_pct.middle, 1)
        return about(
            self.name, lot, raises=hours >= p.steady_h, word="ready", values=values, asks="nothing"
        )  # fmt: skip
