"""A wire that has been away for some minutes, or that only a person can mend."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding, SourceState
from server.rules.base import RuleView
from server.rules.instrument import InstrumentParameters, Values, instrument_finding, reason, to_minute

LOST = "source-lost"


class SourceLostParameters(InstrumentParameters):
    """``[rules.source-lost]``: how long a wire may be away."""

    raise_after_min: float = Field(2.0, ge=0.0, le=1440.0, description="minutes away, without a break")
    clear_after_min: float = Field(1.0, ge=0.0, le=1440.0, description="minutes back, without a break")


class SourceLost:
    """Lost or refused. One that is only starting says neither, so that a restart ends no alert by itself."""

    name: str = LOST
    schema: type[BaseModel] = SourceLostParameters

    def __init__(self, parameters: SourceLostParameters | None = None) -> None:
        self._own = parameters or SourceLostParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a source; its subject is the source's id."""
        return [self._of_source(source) for source in view.surroundings.sources]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.surroundings.sources else "not-watched-no-source"

    def _of_source(self, source: SourceState) -> Finding:
        down = source.state in {"lost", "refused"}
        values: Values = {}
        if down:
            values = {"kind": source.kind, "since_ms": to_minute(source.since_ms)}
        elif source.state == "listening":  # until it has been back for long enough to be over
            values = {"kind": source.kind, "back_ms": to_minute(source.since_ms)}
        if source.state == "refused":
            values["reason"] = reason(source.last_error) or "no"
        return instrument_finding(
            self.name,
            source.source,
            raises=down,
            clears=source.state == "listening",
            values=values,
            raise_after_s=self._own.raise_after_min * 60.0,
            clear_after_s=self._own.clear_after_min * 60.0,
        )
