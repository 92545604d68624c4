"""A zone whose air draws wood to above the aim's damp limit."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel

from server.reading import Finding
from server.rules.base import RuleView
from server.rules.past_limit import PastLimitParameters, past_limit_finding
from server.rules.suppressing import Suppressor, away_wrapped, off_season, over_salt
from server.rules.unwatched import without_air


class DampLimitParameters(PastLimitParameters):
    """``[rules.damp-limit]``: how long and how far the air must be above its damp limit."""


class DampLimit:
    """EMC of a zone's air above the aim's damp limit: raised after a while past it, cleared well inside."""

    name: str = "damp-limit"
    schema: type[BaseModel] = DampLimitParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, away_wrapped)

    def __init__(self, parameters: DampLimitParameters | None = None) -> None:
        self._own = parameters or DampLimitParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone."""
        return [past_limit_finding(self.name, zone, "damp", self._own) for zone in view.zones]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return without_air(view)
