"""What the rules about panels share: whom they watch, and a finding about one panel."""

from __future__ import annotations

from server.reading import Asks, Finding, Lean, Word
from server.rules.base import RuleView
from server.rules.lot_rule import LotRule, Values
from server.rules.panel_view import PanelView


class PanelRule(LotRule):
    """A rule that looks at panels. They are lots: it is asked when rules about those are."""

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.panels else "not-watched-no-panel"


def about_panel(
    rule: str,
    panel: PanelView,
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
    """One finding about a panel, or about ``which`` of the things a rule says of it."""
    named: Values = {"lot": panel.id, "name": panel.name, "zone": panel.zone}
    subject = f"{panel.id}-{which}" if which else panel.id
    return Finding(
        rule, subject, raise_holds=raises, clear_holds=clears and not raises, word=word, lean=lean,
        values={} if values is None else {**named, **values}, raise_after_s=raise_after_s,
        clear_after_s=clear_after_s, asks=asks, stays=stays, urgent=urgent,
    )  # fmt: skip
