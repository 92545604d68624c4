"""A wrapped lot whose film falls below the dew point of the air within as its zone cools: it wets the boards."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.lot_rule import LotParameters, LotRule, about
from server.rules.lot_view import LotView


class WrapSweatingParameters(LotParameters):
    """``[rules.wrap-sweating]``: how far from the dew point counts. Defaults: common practice, no source."""

    act_k: float = Field(2.0, ge=0.0, le=30.0, description="so far below the dew point, K, something is to be done")
    clear_k: float = Field(1.0, ge=0.0, le=30.0, description="so far above it, K, it is over")
    raise_after_min: float = Field(60.0, ge=0.0, le=1440.0, description="minutes foreseen so, without a break")


class WrapSweating(LotRule):
    """One subject a wrapped lot."""

    name: str = "wrap-sweating"
    schema: type[BaseModel] = WrapSweatingParameters

    def __init__(self, parameters: WrapSweatingParameters | None = None) -> None:
        self._own = parameters or WrapSweatingParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a lot; of one that lies open it is that nothing is wrong."""
        return [self._of_lot(lot) for lot in view.lots or ()]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        wrapped = any(lot.wrap is not None for lot in view.lots or ())
        return super().unwatched(view) or (None if wrapped else "not-watched-no-wrap")

    def _of_lot(self, lot: LotView) -> Finding:
        p, wrap = self._own, lot.wrap
        if wrap is None:
            return about(self.name, lot, clears=lot.worked_out)
        margin = wrap.margin_k.middle
        if margin >= p.clear_k:
            return about(self.name, lot, clears=True)
        return about(
            self.name, lot, raises=margin < 0.0, word="act" if margin <= -p.act_k else "look",
            stays="act" if margin <= p.clear_k - p.act_k else "look", lean="damp",
            values={
                "deed": "cover", "below_k": round(max(-margin, 0.0)), "dew_point_c": round(wrap.dew_point_c),
                "film_c": round(wrap.film_c), "at_ms": wrap.at_ms, "measured": "yes" if wrap.measured else "no",
            },
            raise_after_s=60 * p.raise_after_min,
        )  # fmt: skip
