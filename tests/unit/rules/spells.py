"""A rule and the real life of alerts, over many turns: how often it raised and cleared."""

from __future__ import annotations

from collections.abc import Iterable

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.rules.base import Rule, RuleView


def raised_and_over(rule: Rule, views: Iterable[RuleView]) -> list[tuple[str, int]]:
    """("raised" or "over", ms) of each change, the clock being that of the views."""
    book, found, number = AlertBook(), [], iter(range(10_000))
    for view in views:
        book, changes = apply(
            book, rule.findings(view), view.now_ms, view.now_ms / 1000.0, new_id=lambda: f"a{next(number)}"
        )
        heard = [one.state for one in changes if one.state in ("unacknowledged", "returned", "normal")]
        found += [("raised" if state == "unacknowledged" else "over", view.now_ms) for state in heard]
    return found
