"""What suppresses an alert by design: a rule lists these in ``suppressed_by``, and its alert is kept back while one of
them gives a reason. The condition is watched all the while, so the alert comes out by itself when the reason goes. What
came and went while nobody was there is told afterwards, but for rules that look ahead (``told_after``): what they
announced has come, and its own alert tells it, or it has not."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from server.reading import Finding, Lean
from server.reason import Reason
from server.rules.base import Rule, RuleView, SensorView

AWAY, NOBODY, WIRE_LOST = "suppressed-away", "suppressed-nobody", "suppressed-source-lost"


@dataclass(frozen=True, slots=True)
class Around:
    """A view with what is looked up in it for every finding."""

    view: RuleView
    sensors: dict[str, SensorView]
    in_zone: dict[str, list[SensorView]]
    nobody_until_ms: int | None

    @staticmethod
    def of(view: RuleView) -> Around:
        """One a turn."""
        in_zone: dict[str, list[SensorView]] = {}
        for sensor in view.sensors:
            in_zone.setdefault(sensor.zone, []).append(sensor)
        return Around(view, {sensor.sensor: sensor for sensor in view.sensors}, in_zone, view.nobody_until_ms)

    def zone(self, finding: Finding) -> str:
        """The zone a finding is of: its subject, or where its sensor hangs."""
        sensor = self.sensors.get(finding.subject)
        return str(finding.values.get("zone", finding.subject)) if sensor is None else sensor.zone


Suppressor = Callable[[Around, Finding], Reason | None]


def over_salt(around: Around, finding: Finding) -> Reason | None:
    """The sensor it is about hangs over a salt; or the zone's sensors all do, so that nobody measures its air."""
    sensor = around.sensors.get(finding.subject)
    some = around.in_zone.get(around.zone(finding), []) if sensor is None else [sensor]
    if not some or not all(one.over_salt for one in some):
        return None
    return Reason("suppressed-over-salt", {"sensor": some[0].sensor})


def wire_lost(around: Around, finding: Finding) -> Reason | None:
    """The wire that its sensor is heard on, or those of all the zone's sensors, is lost and its own alert says so. What
    was kept back for that is still, until the rule would say it anew."""
    sensor = around.sensors.get(finding.subject)
    some = around.in_zone.get(around.zone(finding), []) if sensor is None else [sensor]
    if not some or any(one.wire_back_s is None for one in some):
        return None
    if all(one.wire_back_s == 0.0 for one in some):
        return Reason(WIRE_LOST, {"source": some[0].wire})
    unsure = not finding.raise_holds and not finding.clear_holds
    return _still(around.view, finding, WIRE_LOST) if unsure else None


def off_season(around: Around, finding: Finding) -> Reason | None:
    """The zone is switched off for the season, by ``off_season`` in its table."""
    zone = around.zone(finding)
    last_day_ms = around.view.shop.off_until_ms.get(zone)
    return None if last_day_ms is None else Reason("suppressed-off-season", {"zone": zone, "last_day_ms": last_day_ms})


def away_wrapped(around: Around, finding: Finding) -> Reason | None:
    """Nobody is in the shop, and every lot that lies in the zone is wrapped. Before the shop is known after a start,
    what was kept back for that is still."""
    view = around.view
    if not view.shop.known:
        return _still(view, finding, AWAY)
    until_ms = around.nobody_until_ms
    if until_ms is None or view.shop.open_lots.get(around.zone(finding), 0):
        return None
    return Reason(AWAY, {"to_ms": until_ms})


def nobody_there(around: Around, finding: Finding) -> Reason | None:
    """Nobody is in the shop, so nobody could do anything about it. Likewise before the shop is known."""
    view = around.view
    if not view.shop.known:
        return _still(view, finding, NOBODY)
    until_ms = around.nobody_until_ms
    return None if until_ms is None else Reason(NOBODY, {"to_ms": until_ms})


def _still(view: RuleView, finding: Finding, key: str) -> Reason | None:
    why = view.kept_back.get((finding.rule, finding.subject))
    return why if why is not None and why.key == key else None


def spoken_by(rule: str, lean: Lean) -> Suppressor:
    """The alert of another rule stands for the same subject, and has said that side of it."""

    def spoken(around: Around, finding: Finding) -> Reason | None:
        says_it = finding.lean in (lean, "none") and (rule, finding.subject) in around.view.standing
        return Reason(f"suppressed-{rule}", {}) if says_it else None

    return spoken


def kept_back(rule: Rule, found: Sequence[Finding], around: Around) -> Sequence[Finding]:
    """What the rule found, each finding with the first reason why nobody is to be told of it now."""
    suppressors: Sequence[Suppressor] = getattr(rule, "suppressed_by", ())
    if not suppressors:
        return found
    whys = ((one, next((why for by in suppressors if (why := by(around, one)) is not None), None)) for one in found)
    later = getattr(rule, "told_after", True)
    return [
        one if why is None else replace(one, suppressed_by=why, told_after=later and why.key in {AWAY, NOBODY})
        for one, why in whys
    ]
