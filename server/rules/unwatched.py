"""Why a rule that looks at zones has nothing to look at: the reasons every such rule shares."""

from __future__ import annotations

from server.rules.base import RuleView


def without_air(view: RuleView) -> str | None:
    """The key of the reason why no zone's air can be watched, None when at least one can."""
    if not view.zones:
        return "not-watched-no-zone"
    if all(zone.air is None for zone in view.zones):
        return "not-watched-no-air"
    return None
