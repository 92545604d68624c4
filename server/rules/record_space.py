"""Room for the record is running out: the disk it lies on, or its own log that does not shrink."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.instrument import AlwaysWatched, InstrumentParameters, Values, instrument_finding

MB = 1_000_000
BACK = 1.25
"""A figure counts as well again this many times away from its limit, so that it does not come and go at it."""


class RecordSpaceParameters(InstrumentParameters):
    """``[rules.record-space]``: how little room is too little."""

    free_mb: float = Field(200.0, gt=0.0, description="megabytes free on the record's disk")
    log_mb: float = Field(64.0, gt=0.0, description="megabytes of the record's log: more means that it cannot shrink")
    raise_after_min: float = Field(5.0, ge=0.0, le=1440.0, description="minutes past a limit, without a break")


class RecordSpace(AlwaysWatched):
    """Two subjects, ``disk`` and ``log``; one whose figure the machine does not give is left out."""

    name: str = "record-space"
    schema: type[BaseModel] = RecordSpaceParameters

    def __init__(self, parameters: RecordSpaceParameters | None = None) -> None:
        self._own = parameters or RecordSpaceParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding for the disk, if its room is known, and one for the log."""
        p, record = self._own, view.surroundings.record
        found = []
        if record.free_bytes is not None:
            free_mb = record.free_bytes / MB
            values: Values = {"free_mb": round(free_mb, -1 if free_mb >= 10 else 0)}
            found.append(self._one("disk", free_mb < p.free_mb, free_mb > BACK * p.free_mb, values))
        log_mb = record.log_bytes / MB
        found.append(self._one("log", log_mb > p.log_mb, log_mb < p.log_mb / BACK, {"log_mb": round(log_mb, -1)}))
        return found

    def _one(self, subject: str, raises: bool, clears: bool, values: Values) -> Finding:
        after_s = self._own.raise_after_min * 60.0
        kept = {} if clears else values
        return instrument_finding(self.name, subject, raises=raises, clears=clears, values=kept, raise_after_s=after_s)
