"""What the rules about panels share: whom they watch."""

from __future__ import annotations

from server.rules.base import RuleView
from server.rules.lot_rule import LotRule


class PanelRule(LotRule):
    """A rule that looks at panels. They are lots: it is asked when rules about those are."""

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        return None if view.panels else "not-watched-no-panel"
