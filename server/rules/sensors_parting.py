"""Two sensors of one zone that part, week after week: one of them creeps, as contamination makes them (Field pitfall
15). Too slow for the eye, and long before they are far enough apart to disagree."""

from __future__ import annotations

from collections.abc import Sequence
from math import copysign

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import NeighbourView, RuleView
from server.rules.instrument import InstrumentParameters, instrument_finding

CLEARS_AT = 0.6
"""Of the limit: a trend made anew each day wavers."""


class SensorsPartingParameters(InstrumentParameters):
    """``[rules.sensors-parting]``: 1 % RH a month is 0.15 % in what the air of a heated room draws wood to."""

    month_pct: float = Field(0.08, gt=0.0, le=5.0, description="% a month by which they part")
    least_days: int = Field(21, ge=14, le=30, description="days of the last month that both were heard")


class SensorsParting:
    """One subject a pair."""

    name: str = "sensors-parting"
    schema: type[BaseModel] = SensorsPartingParameters

    def __init__(self, parameters: SensorsPartingParameters | None = None) -> None:
        self._own = parameters or SensorsPartingParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a pair; its subject is both ids, the zone is among the values."""
        return [self._of_pair(pair) for pair in view.neighbours]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        long_enough = any(pair.trend_emc_pct_per_month is not None for pair in view.neighbours)
        return None if long_enough else "not-watched-no-pair"

    def _of_pair(self, pair: NeighbourView) -> Finding:
        trend = pair.trend_emc_pct_per_month
        known = trend is not None and pair.days >= self._own.least_days
        # One that comes nearer to the other mends what was wrong, or is dragged along by the season.
        month_pct = copysign(1.0, pair.apart_emc_pct) * (trend or 0.0)
        return instrument_finding(
            self.name,
            f"{pair.sensor}/{pair.mate}",
            raises=known and month_pct >= self._own.month_pct,
            # After a salt check or a move the days are counted anew: that is what was asked for.
            clears=not known or month_pct <= CLEARS_AT * self._own.month_pct,
            values={
                "zone": pair.zone,
                "sensor": pair.sensor,
                "mate": pair.mate,
                "month_pct": round(max(month_pct, 0.0), 2),
            },
        )
