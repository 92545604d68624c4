"""A sensor that has not been heard for three of its own periods, or never since the start; a zone of which none is.

Where another sensor of its zone is heard, its air is known all the same: then the silent one is for the next round.
Where none of several is, that is one thing to say, of the zone. And of a wire that is lost its own alert speaks:
silence is counted from when that is over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pydantic import BaseModel, ConfigDict, Field

from server.reading import Asks, Finding
from server.reason import Reason
from server.rules.base import RuleView, SensorView
from server.rules.instrument import Values
from server.rules.suppressing import Suppressor, off_season, over_salt, wire_lost

ALL_SILENT = "suppressed-all-silent"


class SensorSilentParameters(BaseModel):
    """``[rules.sensor-silent]``: how long is too long. Defaults: common practice, no source."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    periods: float = Field(3.0, ge=1.0, le=100.0, description="how many of its learnt periods a sensor may miss")
    pauses: float = Field(
        2.0, ge=1.0, le=100.0, description="and so many times its second longest pause of the last twenty"
    )
    at_least_min: float = Field(10.0, ge=0.1, le=10080.0, description="minutes of quiet that are never too long")
    clear_after_min: float = Field(0.0, ge=0.0, le=1440.0, description="minutes it must be heard again to be cleared")


@dataclass(frozen=True, slots=True)
class Heard:
    """One sensor, judged: whether it is ``silent``, surely is not (``back``), and speaks for its zone's air."""

    sensor: SensorView
    silent: bool
    back: bool

    @property
    def hangs(self) -> bool:
        return not self.sensor.over_salt

    @property
    def speaks(self) -> bool:
        return self.hangs and self.back and not self.sensor.stuck and not self.sensor.wet


class SensorSilent:
    """Quiet for three learnt periods, for twice what it has kept quiet twice before, and for at least ten minutes. Only
    good readings count as heard, so a sensor that is out of range falls silent too, and is said to talk; of one that is
    stuck another rule says so."""

    name: str = "sensor-silent"
    schema: type[BaseModel] = SensorSilentParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, wire_lost)

    def __init__(self, parameters: SensorSilentParameters | None = None) -> None:
        self._own = parameters or SensorSilentParameters()
        self.parameters: BaseModel = self._own

    def limit_s(self, period_s: float | None, pause_s: float | None = None) -> float:
        """How many seconds of quiet make a sensor with this learnt period, and this habit of pausing, silent."""
        p = self._own
        return max(p.at_least_min * 60.0, p.periods * (period_s or 0.0), p.pauses * (pause_s or 0.0))

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a sensor, its subject the sensor's id and its zone among the values; and one a zone with several,
        its subject ``zone:`` and the zone's id."""
        zones: dict[str, list[Heard]] = {}
        for sensor in view.sensors:
            zones.setdefault(sensor.zone, []).append(self._heard(sensor, view.now_ms))
        return [
            finding
            for zone, heard in zones.items()
            for finding in self._of_zone(zone, heard, stands=(self.name, f"zone:{zone}") in view.standing)
        ]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.sensors else "not-watched-no-sensor"

    def _heard(self, sensor: SensorView, now_ms: int) -> Heard:
        limit_s = self.limit_s(sensor.period_s, sensor.pause_s)
        # One that stands still is said to be stuck, until nothing comes from it at all.
        said_so = (sensor.stuck or sensor.wet) and sensor.quiet_for_s < limit_s
        waited_s = sensor.silent_for_s if sensor.wire_back_s is None else min(sensor.silent_for_s, sensor.wire_back_s)
        silent = waited_s >= limit_s and not said_so
        # Just after a start nothing has been silent for long. A last word from before it does not clear an alert: only
        # one whose own time is recent does. A wall clock that steps can only delay that, never raise anything.
        heard_lately = sensor.heard_ms is not None and now_ms - sensor.heard_ms < limit_s * 1000.0
        return Heard(sensor, silent, not silent and heard_lately)

    def _of_zone(self, zone: str, heard: Sequence[Heard], *, stands: bool) -> list[Finding]:
        hang = [one for one in heard if one.hangs]
        none = len(hang) > 1 and all(one.silent for one in hang)
        back = len(hang) < 2 or any(one.back for one in hang)
        speak = sum(one.speaks for one in heard)
        found = [self._of_sensor(one, speak, said=none or (stands and not back)) for one in heard]
        if len(heard) > 1:
            last_ms = max((one.sensor.heard_ms for one in heard if one.sensor.heard_ms is not None), default=None)
            found.append(self._said(f"zone:{zone}", none, back, _values(zone, last_ms, sensors=len(hang))))
        return found

    def _of_sensor(self, one: Heard, speak: int, *, said: bool) -> Finding:
        sensor, others = one.sensor, speak > one.speaks
        talks = {"talking": 1} if one.silent and sensor.talking else {}
        values, waits = _values(sensor.zone, sensor.heard_ms, **talks), one.hangs and (others or said)
        found = self._said(sensor.sensor, one.silent, one.back, values, asks="round" if waits else "now")
        return replace(found, suppressed_by=Reason(ALL_SILENT, {})) if said and one.hangs else found

    def _said(self, subject: str, silent: bool, back: bool, values: Values, asks: Asks = "now") -> Finding:
        return Finding(
            self.name, subject, silent, back, word="look", lean="none", values=values,
            clear_after_s=self._own.clear_after_min * 60.0, asks=asks,
        )  # fmt: skip


def _values(zone: str, heard_ms: int | None, **more: int) -> Values:
    return {"zone": zone, **({} if heard_ms is None else {"heard_ms": heard_ms}), **more}
