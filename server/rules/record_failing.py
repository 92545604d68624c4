"""The record cannot be written: the one thing of the instrument that is ``act``, since what is heard is being lost."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.instrument import AlwaysWatched, InstrumentParameters, Values, instrument_finding


class RecordFailingParameters(InstrumentParameters):
    """``[rules.record-failing]``: how long the record may refuse rows before it is said."""

    raise_after_s: float = Field(10.0, ge=0.0, le=3600.0, description="seconds without writing, without a break")
    clear_after_s: float = Field(30.0, ge=0.0, le=3600.0, description="seconds of writing again before it is cleared")


class RecordFailing(AlwaysWatched):
    """Disk full, read-only or broken: rows wait in memory, and a broker keeps what it has."""

    name: str = "record-failing"
    schema: type[BaseModel] = RecordFailingParameters

    def __init__(self, parameters: RecordFailingParameters | None = None) -> None:
        self._own = parameters or RecordFailingParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding, about the record."""
        record = view.surroundings.record
        values: Values = {"given_up": record.ring_dropped} if record.ring_dropped else {}
        one = instrument_finding(
            self.name,
            "record",
            raises=not record.writable,
            clears=record.writable,
            values=values,
            raise_after_s=self._own.raise_after_s,
            clear_after_s=self._own.clear_after_s,
            word="act",
        )
        return [one]
