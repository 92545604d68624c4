"""A panel that may be flattened: good news, once, that asks for nothing."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.lot_rule import LotParameters, about
from server.rules.panel_rule import PanelRule
from server.rules.panel_view import PanelView

HOUR_MS = 3_600_000


class PanelFlatParameters(LotParameters):
    """``[rules.panel-flat]``: for how long it is news. How long a panel rests is its adhesive's own. Defaults: common
    practice, no source."""

    steady_h: float = Field(1.0, ge=0.0, le=168.0, description="hours rested and even before it is said")
    wavers_h: float = Field(24.0, ge=0.0, le=168.0, description="hours uneven again before it is taken back")
    stands_h: float = Field(48.0, gt=0.0, le=720.0, description="hours after it became so for which it is news")


class PanelFlat(PanelRule):
    """One subject a panel."""

    name = "panel-flat"
    schema: type[BaseModel] = PanelFlatParameters

    def __init__(self, parameters: PanelFlatParameters | None = None) -> None:
        self._own = parameters or PanelFlatParameters()
        self.parameters = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a panel."""
        return [self._of_panel(panel, view) for panel in view.panels]

    def _of_panel(self, panel: PanelView, view: RuleView) -> Finding:
        p, since_ms = self._own, panel.flat_since_ms
        if not panel.flat or since_ms is None:
            # Whether it is even wavers with its air: what was said stands through that, and not once it is flattened.
            waits_s = 0.0 if panel.cure is None else 3600.0 * p.wavers_h
            return about(
                self.name, panel, clears=panel.worked_out, clear_after_s=waits_s, word="ready", asks="nothing"
            )  # fmt: skip
        low, high = panel.aim_pct or (0.0, 0.0)
        hours = (view.now_ms - since_ms) / HOUR_MS
        return about(
            self.name, panel, raises=p.steady_h <= hours <= p.stands_h, clears=hours > p.stands_h, word="ready",
            values={"rested_since_ms": since_ms, "low_pct": low, "high_pct": high}, asks="nothing",
        )  # fmt: skip
