"""Lots of which nobody has said for too long how they lie: one alert for the shop, that the next round answers."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.lot_rule import LotParameters, LotRule

DAY_MS = 86_400_000
SUBJECT = "lots"


class LotsUnconfirmedParameters(LotParameters):
    """``[rules.lots-unconfirmed]``: when it is worth a word. One lot is, where its verdict may be another one if it
    lies otherwise; others are once there are many, long past their limit. Defaults: common practice, no source."""

    many_lots: int = Field(5, ge=1, le=10_000, description="so many lots long past their limit are worth a word")
    late_days: float = Field(7.0, ge=0.0, le=365.0, description="days past a lot's limit that are long")
    clear_after_h: float = Field(12.0, ge=0.0, le=168.0, description="hours without a reason before it is over")


class LotsUnconfirmed(LotRule):
    """One subject, the shop's lots together. It can wait for the closing round, so it does not ring."""

    name: str = "lots-unconfirmed"
    schema: type[BaseModel] = LotsUnconfirmedParameters

    def __init__(self, parameters: LotsUnconfirmedParameters | None = None) -> None:
        self._own = parameters or LotsUnconfirmedParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding, while there is any lot."""
        if not view.lots:
            return []
        p = self._own
        past = sorted((lot for lot in view.lots if lot.holds_ms < view.now_ms), key=lambda lot: lot.holds_ms)
        first = [lot for lot in past if lot.look] or past
        late = [lot for lot in past if view.now_ms - lot.holds_ms >= p.late_days * DAY_MS]
        worth = any(lot.look for lot in past) or len(late) >= p.many_lots
        values: dict[str, float | int | str] = {}
        if first:
            values = {"count": len(past), "lot": first[0].id, "name": first[0].name, "lying": first[0].lying}
        return [
            Finding(
                self.name, SUBJECT, raise_holds=worth, clear_holds=not worth, word="look", lean="none", values=values,
                raise_after_s=3600.0, clear_after_s=3600 * p.clear_after_h if past else 0.0, asks="round",
            )
        ]  # fmt: skip
