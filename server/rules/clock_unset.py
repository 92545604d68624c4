"""The machine does not know the time: everything is kept and marked, but nothing can be dated."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.instrument import AlwaysWatched, InstrumentParameters, instrument_finding


class ClockUnsetParameters(InstrumentParameters):
    """``[rules.clock-unset]``: how long a start may take to learn the time."""

    raise_after_min: float = Field(5.0, ge=0.0, le=1440.0, description="minutes without a set clock before it is said")


class ClockUnset(AlwaysWatched):
    """One subject, ``clock``."""

    name: str = "clock-unset"
    schema: type[BaseModel] = ClockUnsetParameters

    def __init__(self, parameters: ClockUnsetParameters | None = None) -> None:
        self._own = parameters or ClockUnsetParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding."""
        is_set, after_s = view.clock_is_set, self._own.raise_after_min * 60.0
        return [instrument_finding(self.name, "clock", raises=not is_set, clears=is_set, raise_after_s=after_s)]
