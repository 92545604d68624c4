"""The record's own safety: a damaged file was replaced, or its backup fails or has grown old."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding, RecordState
from server.rules.base import RuleView
from server.rules.instrument import AlwaysWatched, InstrumentParameters, Values, instrument_finding, reason

DAY_MS = 86_400_000


class RecordCopiesParameters(InstrumentParameters):
    """``[rules.record-copies]``: how old a backup may be, and how long a salvage is said."""

    backup_days: float = Field(3.0, gt=0.0, le=365.0, description="days after which the newest backup is too old")
    salvage_days: float = Field(7.0, gt=0.0, le=365.0, description="days for which a replaced file is said")


class RecordCopies(AlwaysWatched):
    """Three subjects: ``backup``, ``salvage``, and ``check``, which is the weekly look through the whole file."""

    name: str = "record-copies"
    schema: type[BaseModel] = RecordCopiesParameters

    def __init__(self, parameters: RecordCopiesParameters | None = None) -> None:
        self._own = parameters or RecordCopiesParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding each."""
        record = view.surroundings.record
        return [self._backup(record, view.now_ms), self._salvage(record, view.now_ms), self._check(record)]

    def _backup(self, record: RecordState, now_ms: int) -> Finding:
        values: Values = {}
        if record.backup_ms is not None:
            values["at_ms"] = record.backup_ms
        if record.backup_error:
            values["reason"] = reason(record.backup_error)
        old = record.backup_ms is not None and now_ms - record.backup_ms > self._own.backup_days * DAY_MS
        bad = bool(record.backup_error) or old
        return instrument_finding(self.name, "backup", raises=bad, clears=not bad, values=values if bad else {})

    def _check(self, record: RecordState) -> Finding:
        bad = record.writable and bool(record.error)
        values: Values = {"reason": reason(record.error)} if bad else {}
        return instrument_finding(self.name, "check", raises=bad, clears=record.writable and not bad, values=values)

    def _salvage(self, record: RecordState, now_ms: int) -> Finding:
        at_ms = record.salvaged_ms
        news = at_ms is not None and now_ms - at_ms < self._own.salvage_days * DAY_MS
        values: Values = {"at_ms": at_ms} if news and at_ms is not None else {}
        return instrument_finding(self.name, "salvage", raises=news, clears=not news, values=values)
