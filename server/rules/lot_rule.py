"""What the rules about lots share: their parameters' manners, whom they watch, and a finding about one lot."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict

from server.reading import Finding
from server.rules.base import RuleView

Values = dict[str, float | int | str]


class LotParameters(BaseModel):
    """Parameters of a rule about lots. Defaults: common practice, no source."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class LotRule(ABC):
    """A rule that looks at what is worked out of lots beside the loop: it is asked only once there is some, and again
    only when that, or the minute, is another. A lot of which a figure is missing raises and clears nothing."""

    name: str
    schema: type[BaseModel]
    parameters: BaseModel

    @abstractmethod
    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding for every subject it watches, whether or not anything is wrong with it."""

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.lots else "not-watched-no-lot"
