"""A sensor that sends the same figures for longer than its noise allows, or stands at 100 % for hours: it no longer
measures the air."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.instrument import InstrumentParameters, instrument_finding
from server.rules.suppressing import Suppressor, off_season, over_salt


class SensorStuckParameters(InstrumentParameters):
    """``[rules.sensor-stuck]`` has none: how long is too long is screening's to know, ``[screening] stuck_after_h`` and
    ``wet_after_h``."""


class SensorStuck:
    """Screening says who stands still; its silence then says nothing on top."""

    name: str = "sensor-stuck"
    schema: type[BaseModel] = SensorStuckParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season)

    def __init__(self, parameters: SensorStuckParameters | None = None) -> None:
        self.parameters: BaseModel = parameters or SensorStuckParameters()

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a sensor; its subject is the sensor's id, its zone is among the values."""
        return [
            instrument_finding(
                self.name,
                sensor.sensor,
                raises=sensor.stuck or sensor.wet,
                clears=not (sensor.stuck or sensor.wet),
                values={"zone": sensor.zone, "wet": 1} if sensor.wet else {"zone": sensor.zone},
            )
            for sensor in view.sensors
        ]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.sensors else "not-watched-no-sensor"
