"""A lot whose shell dries so far ahead of its core that it is in danger of checks.

The index ranks dangers, one lot and one way of drying beside another; it foretells no check, and neither does this.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Self

from pydantic import BaseModel, Field, model_validator

from server.reading import Finding, Word
from server.rules.base import RuleView
from server.rules.leaving import curing, may_be_wrapped
from server.rules.lot_rule import LotParameters, LotRule, about
from server.rules.lot_view import Course, LotView

HOUR_MS = 3_600_000
HELPS = 0.8
"""A deed helps that leaves no more of the danger than so much."""
DAMPER_BY_PCT = 0.5

Deed = Literal["wrap", "move", "ends", "watch"]


class LotChecksParameters(LotParameters):
    """``[rules.lot-checks]``: how great a danger is said. A flatsawn board of black cherry has 0.6 for each 1 % MC by
    which its shell is below its mean; the index is elastic, and wood gives way to about half of it. Defaults: common
    practice, no source."""

    look_index: float = Field(2.0, gt=0.0, le=20.0, description="the danger index from which a lot is to be looked at")
    act_index: float = Field(3.0, gt=0.0, le=20.0, description="the danger index from which something is to be done")
    within_h: float = Field(24.0, ge=0.0, le=72.0, description="hours ahead in which it may come to that")
    clear_share: float = Field(0.8, gt=0.0, le=1.0, description="share of look_index below which it is over")
    raise_after_min: float = Field(60.0, ge=0.0, le=1440.0, description="minutes in danger, without a break")

    @model_validator(mode="after")
    def _act_is_graver(self) -> Self:
        if self.act_index < self.look_index:
            raise ValueError(
                f"act_index: found {self.act_index:g}; would be right: at least look_index ({self.look_index:g})"
            )
        return self


class LotChecks(LotRule):
    """One subject a lot."""

    name: str = "lot-checks"
    schema: type[BaseModel] = LotChecksParameters

    def __init__(self, parameters: LotChecksParameters | None = None) -> None:
        self._own = parameters or LotChecksParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a lot. Of a panel that cures another rule says what its air does."""
        cures = curing(view)
        return [
            about(self.name, lot, clears=True) if lot.id in cures else self._of_lot(lot, view)
            for lot in view.lots or ()
        ]

    def _of_lot(self, lot: LotView, view: RuleView) -> Finding:
        p, course = self._own, lot.course("as-it-lies")
        if course is None or lot.danger is None:
            return about(self.name, lot, clears=lot.worked_out)
        until_ms = view.now_ms + round(p.within_h * HOUR_MS)
        worst = max(lot.danger.middle, course.worst_danger(until_ms))
        if worst <= p.clear_share * p.look_index:
            return about(self.name, lot, clears=True)
        deed, to_zone = self._deed(lot, course, view, until_ms)
        word, stays = (self._word(worst, share * p.act_index, deed) for share in (1.0, p.clear_share))
        values: dict[str, float | int | str] = {
            "deed": deed, "index": round(worst, 1), "look_index": p.look_index,
            "ahead_pct": round(worst / lot.danger_per_pct, 1) if lot.danger_per_pct else 0.0,
            "ends": "open" if lot.ends_sealed is False else "sealed" if lot.ends_sealed else "not-told",
        }  # fmt: skip
        if to_zone:
            values["to_zone"] = to_zone
        return about(
            self.name, lot, raises=worst >= p.look_index, word=word, stays=stays, values=values,
            raise_after_s=60 * p.raise_after_min,
        )  # fmt: skip

    @staticmethod
    def _word(worst: float, limit: float, deed: Deed) -> Word:
        return "act" if worst >= limit and deed != "watch" else "look"

    def _deed(self, lot: LotView, course: Course, view: RuleView, until_ms: int) -> tuple[Deed, str]:
        """What is done about it with the least trouble, and where to for a move."""
        wrapped, as_it_lies = lot.course("wrapped"), course.by(until_ms).danger
        if lot.open and may_be_wrapped(lot) and wrapped is not None and as_it_lies is not None:
            left = wrapped.by(until_ms).danger
            if left is not None and left.middle <= HELPS * as_it_lies.middle:
                return "wrap", ""
        if to_zone := _damper_zone(lot, view):
            return "move", to_zone
        return ("ends", "") if lot.ends_sealed is False else ("watch", "")


def _damper_zone(lot: LotView, view: RuleView) -> str:
    """The dampest zone whose air is damper than the lot's own and still draws it to inside its aim; "" for none."""
    emc = {zone.zone: zone.air.emc_pct for zone in view.zones if zone.air is not None}
    if lot.zone not in emc:
        return ""
    low, high = emc[lot.zone] + DAMPER_BY_PCT, lot.aim.damp_limit_pct
    return max(((pct, zone) for zone, pct in emc.items() if low <= pct <= high), default=(0.0, ""))[1]
