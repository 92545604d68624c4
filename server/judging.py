"""Every rule asked once a turn, and what that comes to for the alerts.

A rule about lots says the same until they are worked out again, or a minute has gone by: it is asked once for that, for
a shop may have thousands of them and many turns a second. One that cannot be asked yet, because no lot has been worked
out since the start, and one that a bug of ours stops, leave their alerts as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from server.faults import Faults
from server.reading import Finding
from server.rules.base import Rule, RuleView
from server.rules.lot_rule import LotRule
from server.rules.suppressing import Around, kept_back

MINUTE_MS = 60_000


@dataclass(frozen=True, slots=True)
class Judged:
    """The findings of a turn, and the rules that could not be asked."""

    findings: list[Finding]
    unjudged: frozenset[str]


@dataclass(slots=True)
class Judging:
    """Remembers what rules about lots said last, and what of."""

    _lots: object = None
    _with: tuple[object, ...] = ()
    _said: dict[str, Sequence[Finding]] = field(default_factory=dict)

    def judged(self, rules: Sequence[Rule], view: RuleView, faults: Faults) -> Judged:
        """What all of them find."""
        beside = view.work, view.away, view.now_ms // MINUTE_MS
        if view.lots is not self._lots or beside != self._with:
            self._lots, self._with, self._said = view.lots, beside, {}
        findings: list[Finding] = []
        around = Around.of(view)
        unjudged: set[str] = set()
        for rule in rules:
            said = self._of_lots(rule, view, faults) if isinstance(rule, LotRule) else rule.findings(view)
            if said is None:
                unjudged.add(rule.name)
            else:
                findings += kept_back(rule, said, around)
        return Judged(findings, frozenset(unjudged))

    def _of_lots(self, rule: LotRule, view: RuleView, faults: Faults) -> Sequence[Finding] | None:
        if view.lots is None:
            return None
        if rule.name not in self._said:
            try:
                self._said[rule.name] = rule.findings(view)
            except Exception as e:  # noqa: BLE001 - what is said of lots must take no reading with it
                faults.note(f"rule {rule.name}", e, view.now_ms)
                return None
        return self._said[rule.name]
