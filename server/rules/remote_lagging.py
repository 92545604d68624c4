"""The copy to a remote does not keep up, or is refused."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, Field

from server.reading import Finding, RemoteState
from server.rules.base import RuleView
from server.rules.instrument import InstrumentParameters, Values, instrument_finding, reason


class RemoteLaggingParameters(InstrumentParameters):
    """``[rules.remote-lagging]``: how far behind is too far."""

    behind_h: float = Field(6.0, gt=0.0, le=8760.0, description="hours that the oldest row may wait for its copy")
    raise_after_min: float = Field(10.0, ge=0.0, le=1440.0, description="minutes so far behind, without a break")


class RemoteLagging:
    """Behind and waiting, or refused. One that is sending is on its way, however much is left of old years."""

    name: str = "remote-lagging"
    schema: type[BaseModel] = RemoteLaggingParameters

    def __init__(self, parameters: RemoteLaggingParameters | None = None) -> None:
        self._own = parameters or RemoteLaggingParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a remote; its subject is the remote's id."""
        return [self._of_remote(remote) for remote in view.surroundings.remotes]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.surroundings.remotes else "not-watched-no-remote"

    def _of_remote(self, remote: RemoteState) -> Finding:
        late = remote.behind_s > self._own.behind_h * 3600.0
        raises = remote.state == "refused" or (late and remote.state == "held")
        clears = remote.state in {"idle", "sending"} and remote.behind_s < self._own.behind_h * 1800.0
        values: Values = {}
        if not clears:
            values = {"behind_h": round(remote.behind_s / 3600.0)}
            if remote.error:
                values["reason"] = reason(remote.error)
        return instrument_finding(
            self.name,
            remote.remote,
            raises=raises,
            clears=clears,
            values=values,
            raise_after_s=self._own.raise_after_min * 60.0,
        )
