"""A sensor that was checked over a salt so long ago that the check says little of today."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.instrument import InstrumentParameters, instrument_finding


class CheckDueParameters(InstrumentParameters):
    """``[rules.check-due]`` has none: how long a check is good for is ``[salt_check] due_days``."""


class CheckDue:
    """One subject a sensor that ever had a check; nobody is nagged into the first one."""

    name: str = "check-due"
    schema: type[BaseModel] = CheckDueParameters

    def __init__(self, parameters: CheckDueParameters | None = None) -> None:
        self.parameters: BaseModel = parameters or CheckDueParameters()

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a sensor; its subject is the sensor's id, its zone is among the values. Before the clock is set
        nobody knows how old a check is."""
        return [
            instrument_finding(
                self.name,
                sensor.sensor,
                raises=view.clock_is_set and view.now_ms >= sensor.check_due_ms,
                clears=view.now_ms < sensor.check_due_ms,
                values={"zone": sensor.zone},
            )
            for sensor in view.sensors
            if sensor.check_due_ms is not None
        ]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if any(s.check_due_ms is not None for s in view.sensors) else "not-watched-no-check"
