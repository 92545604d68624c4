"""A lifecycle driven turn by turn: one (rule, subject), both clocks moved alike, ids counted."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count

from server.alerts.book import AlertBook
from server.alerts.lifecycle import apply
from server.reading import Alert, Finding
from server.rules.damp_limit import DampLimit, DampLimitParameters
from server.rules.dry_limit import DryLimit, DryLimitParameters
from tests.unit.rules.views import view

START_MS = 1_799_757_720_000
TIMES = {"raise_after_min": 30.0, "clear_after_min": 60.0, "clear_inside_pct": 0.3}
"""Of its own, so that what is said of an alert's life does not move with the rules' defaults."""


class Turns:
    """Applies findings of the real dry and damp rules, and keeps every change."""

    def __init__(self, book: AlertBook | None = None, at_min: float = 0.0, boot_mono_s: float = 1000.0) -> None:
        self.book = book or AlertBook()
        self.at_min = at_min
        self.changes: list[Alert] = []
        self._boot_mono_s = boot_mono_s - at_min * 60.0
        self._ids = count(1)

    @property
    def now_ms(self) -> int:
        return START_MS + round(self.at_min * 60_000)

    @property
    def mono_s(self) -> float:
        return self._boot_mono_s + self.at_min * 60.0

    @property
    def alert(self) -> Alert:
        (alert,) = self.book.alerts
        return alert

    @property
    def states(self) -> list[str]:
        return [change.state for change in self.changes]

    def apply(self, findings: Sequence[Finding]) -> list[Alert]:
        self.book, changes = apply(
            self.book, findings, self.now_ms, self.mono_s, new_id=lambda: f"spell-{next(self._ids)}"
        )
        self.changes += changes
        return changes

    def air(self, emc_pct: float | None, minutes: float = 0.0) -> list[Alert]:
        """This air for so many minutes from now, a turn a minute; the first turn is now. What changed."""
        before = len(self.changes)
        seen = view(emc_pct)
        dry, damp = DryLimit(DryLimitParameters(**TIMES)), DampLimit(DampLimitParameters(**TIMES))
        findings = [*dry.findings(seen), *damp.findings(seen)]
        self.apply(findings)
        end_min = self.at_min + minutes
        while self.at_min < end_min:
            self.at_min = min(self.at_min + 1.0, end_min)
            self.apply(findings)
        return self.changes[before:]
