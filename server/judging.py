"""Every rule asked once a turn, and what that comes to for the alerts.

A rule about lots says the same until they are worked out again, or a minute has gone by: it is asked once for that, for
a shop may have thousands of them and many turns a second. What it says of lots of which nothing is the matter is kept
apart, to be looked up where an alert stands. A rule that cannot be asked yet, because no lot has been worked out since
the start, and one that a bug of ours stops, leave their alerts as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from server.faults import Faults
from server.reading import Finding
from server.rules.base import Rule, RuleView
from server.rules.lot_rule import LotRule
from server.rules.suppressing import Around, kept_back

MINUTE_MS = 60_000
Key = tuple[str, str]
"""(rule, subject)."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The findings of a turn, and the rules that could not be asked. A lot of which nothing is the matter, and nothing
    was at the turn before, is not among them."""

    findings: list[Finding]
    unjudged: frozenset[str] = frozenset()


@dataclass(slots=True)
class Judging:
    """Remembers what rules about lots said last, and what of."""

    _lots: object = None
    _with: tuple[object, ...] = ()
    _of_lots: Judged = field(default_factory=lambda: Judged([]))
    _quiet: Mapping[Key, Finding] = field(default_factory=dict)

    def judged(self, rules: Sequence[Rule], view: RuleView, faults: Faults, watched: Iterable[Key] = ()) -> Judged:
        """What all of them find; ``watched`` are those of which something was the matter at the turn before."""
        beside = tuple(map(id, rules)), view.work, view.away, view.now_ms // MINUTE_MS
        if view.lots is None or view.lots is not self._lots or beside != self._with:
            self._lots, self._with = view.lots, beside
            some = [rule for rule in rules if isinstance(rule, LotRule)]
            self._of_lots, self._quiet = _about_lots(some, view, faults)
        around = Around.of(view)
        said = {rule.name: _said(rule, view, around, faults) for rule in rules if not isinstance(rule, LotRule)}
        findings = [found for some in said.values() if some is not None for found in some]
        over = [self._quiet[key] for key in watched if key in self._quiet]
        unjudged = {name for name, some in said.items() if some is None}
        return Judged([*findings, *self._of_lots.findings, *over], self._of_lots.unjudged | unjudged)


def _said(rule: Rule, view: RuleView, around: Around, faults: Faults) -> Sequence[Finding] | None:
    """None where a bug of ours stops it: that must take no reading with it, and no other rule."""
    try:
        return kept_back(rule, rule.findings(view), around)
    except Exception as e:  # noqa: BLE001 - see above
        faults.note(f"rule {rule.name}", e, view.now_ms)
        return None


def _about_lots(
    rules: Sequence[LotRule], view: RuleView, faults: Faults
) -> tuple[Judged, Mapping[Key, Finding]]:  # fmt: skip
    """What they say that may matter, and of whom they only say that nothing is wrong."""
    findings: list[Finding] = []
    quiet: dict[Key, Finding] = {}
    unjudged: set[str] = set()
    around = Around.of(view)
    for rule in rules:
        if view.lots is None:
            unjudged.add(rule.name)
            continue
        said = _said(rule, view, around, faults)
        if said is None:
            unjudged.add(rule.name)
            continue
        for one in said:
            if one.clear_holds and not one.raise_holds:
                quiet[one.rule, one.subject] = one
            else:
                findings.append(one)
    return Judged(findings, frozenset(unjudged)), quiet
