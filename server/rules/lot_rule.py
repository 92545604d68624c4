"""What the rules about lots share: their parameters' manners, whom they watch, and a finding about one lot."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict

from server.reading import Asks, Finding, Lean, Word
from server.rules.base import RuleView
from server.rules.lot_view import LotView
from server.rules.panel_view import PanelView
from server.rules.suppressing import Suppressor, nobody_there

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
    suppressed_by: tuple[Suppressor, ...] = (nobody_there,)

    @abstractmethod
    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding for every subject it watches, whether or not anything is wrong with it."""

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.lots else "not-watched-no-lot"


def about(
    rule: str,
    lot: LotView | PanelView,
    which: str = "",
    *,
    raises: bool = False,
    clears: bool = False,
    word: Word = "look",
    lean: Lean = "none",
    values: Values | None = None,
    raise_after_s: float = 0.0,
    clear_after_s: float = 0.0,
    asks: Asks = "now",
    stays: Word | None = None,
    urgent: bool = False,
) -> Finding:
    """One finding about a lot or a panel, or about ``which`` of the things a rule says of it: its id is the subject,
    and its name and zone are among the values."""
    named: Values = {"lot": lot.id, "name": lot.name, "zone": lot.zone}
    subject = f"{lot.id}-{which}" if which else lot.id
    return Finding(
        rule, subject, raise_holds=raises, clear_holds=clears and not raises, word=word, lean=lean,
        values={} if values is None else {**named, **values}, raise_after_s=raise_after_s,
        clear_after_s=clear_after_s, asks=asks, stays=stays, urgent=urgent,
    )  # fmt: skip
