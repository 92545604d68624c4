"""Sensors of one zone that have said different airs for hours: one of them is wrong, or hangs in other air."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding, Flag
from server.rules.base import RuleView, ZoneView
from server.rules.instrument import InstrumentParameters, instrument_finding
from server.rules.suppressing import Suppressor, off_season, over_salt
from server.rules.unwatched import without_air


class SensorsApartParameters(InstrumentParameters):
    """``[rules.sensors-apart]``: how long they may differ by more than 1 % EMC, as an opened door makes them."""

    raise_after_min: float = Field(120.0, ge=0.0, le=10080.0, description="minutes apart, without a break")
    clear_after_min: float = Field(60.0, ge=0.0, le=10080.0, description="minutes agreeing, without a break")


class SensorsApart:
    """One subject a zone. Without air nothing is known, so an alert stays as it is."""

    name: str = "sensors-apart"
    schema: type[BaseModel] = SensorsApartParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season)

    def __init__(self, parameters: SensorsApartParameters | None = None) -> None:
        self._own = parameters or SensorsApartParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone."""
        return [self._of_zone(zone) for zone in view.zones]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return without_air(view)

    def _of_zone(self, zone: ZoneView) -> Finding:
        apart = zone.air is not None and bool(zone.air.flags & Flag.WITNESSES_APART)
        return instrument_finding(
            self.name,
            zone.zone,
            raises=apart,
            clears=zone.air is not None and not apart,
            values={"zone": zone.zone},
            raise_after_s=self._own.raise_after_min * 60.0,
            clear_after_s=self._own.clear_after_min * 60.0,
            unknown=zone.air is None,
        )
