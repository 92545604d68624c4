"""A sensor that has not been heard for three of its own periods, or never since the start."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict, Field

from server.reading import Finding
from server.rules.base import RuleView, SensorView
from server.rules.suppressing import Suppressor, off_season, over_salt


class SensorSilentParameters(BaseModel):
    """``[rules.sensor-silent]``: how long is too long. Defaults: common practice, no source."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    periods: float = Field(3.0, ge=1.0, le=100.0, description="how many of its learnt periods a sensor may miss")
    at_least_min: float = Field(10.0, ge=0.1, le=10080.0, description="minutes of quiet that are never too long")
    clear_after_min: float = Field(0.0, ge=0.0, le=1440.0, description="minutes it must be heard again to be cleared")


class SensorSilent:
    """Quiet for three learnt periods and at least ten minutes. Only good readings count as heard, so a sensor that is
    out of range falls silent too, and is said to talk; of one that is stuck another rule says so."""

    name: str = "sensor-silent"
    schema: type[BaseModel] = SensorSilentParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season)

    def __init__(self, parameters: SensorSilentParameters | None = None) -> None:
        self._own = parameters or SensorSilentParameters()
        self.parameters: BaseModel = self._own

    def limit_s(self, period_s: float | None) -> float:
        """How many seconds of quiet make a sensor with this learnt period silent."""
        return max(self._own.at_least_min * 60.0, self._own.periods * (period_s or 0.0))

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a sensor; its subject is the sensor's id, its zone is among the values."""
        return [self._of_sensor(sensor, view.now_ms) for sensor in view.sensors]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.sensors else "not-watched-no-sensor"

    def _of_sensor(self, sensor: SensorView, now_ms: int) -> Finding:
        limit_s = self.limit_s(sensor.period_s)
        # One that stands still is said to be stuck, until nothing comes from it at all.
        said_so = (sensor.stuck or sensor.wet) and sensor.quiet_for_s < limit_s
        silent = sensor.silent_for_s >= limit_s and not said_so
        # Just after a start nothing has been silent for long. A last word from before it does not clear an alert: only
        # one whose own time is recent does. A wall clock that steps can only delay that, never raise anything.
        heard_lately = sensor.heard_ms is not None and now_ms - sensor.heard_ms < limit_s * 1000.0
        values: dict[str, float | int | str] = {"zone": sensor.zone}
        if sensor.heard_ms is not None:
            values["heard_ms"] = sensor.heard_ms
        if silent and sensor.talking:
            values["talking"] = 1
        return Finding(
            self.name,
            sensor.sensor,
            raise_holds=silent,
            clear_holds=not silent and heard_lately,
            word="look",
            lean="none",
            values=values,
            clear_after_s=self._own.clear_after_min * 60.0,
        )
