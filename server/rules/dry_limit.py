"""A zone whose air draws wood to below the aim's dry limit."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.past_limit import PastLimitParameters, past_limit_finding
from server.rules.suppressing import Suppressor, away_wrapped, off_season, over_salt
from server.rules.unwatched import without_air


class DryLimitParameters(PastLimitParameters):
    """``[rules.dry-limit]``: how long and how far the air must be below its dry limit."""


class DryLimit:
    """EMC of a zone's air below the aim's dry limit: raised after a while past it, cleared well inside."""

    name: str = "dry-limit"
    schema: type[BaseModel] = DryLimitParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, away_wrapped)

    def __init__(self, parameters: DryLimitParameters | None = None) -> None:
        self._own = parameters or DryLimitParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone."""
        return [past_limit_finding(self.name, zone, "dry", self._own) for zone in view.zones]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return without_air(view)
