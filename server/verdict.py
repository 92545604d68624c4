"""The one sentence on top of every screen: worst first, what nobody has seen before what somebody has.

``act`` is for a named piece that will be harmed and for a record that is being lost. Low air alone is ``look``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from server.alerts.lifecycle import RANK, WORSE_BY_PCT
from server.reading import Alert, Lean, SourceState, Word, ZoneAir
from server.rules.base import RuleView, ZoneView
from server.words import Sentence, Telling
from server.words.of_band import BandWords, alert_words, band, outside_words, ready_words, seen_words, shelved_words
from server.words.of_instrument import is_instrument
from server.words.of_lot_alert import is_of_lot
from server.words.of_notice import (
    Notice,
    apart_notice,
    back_notice,
    clock_notice,
    outside_fit_notice,
    restarted_notice,
    source_notice,
    store_notice,
)
from server.words.telling import zone_of

__all__ = ["Notice", "Verdict", "notices", "verdict"]

WORST_FIRST = {"dry-limit": 0, "damp-limit": 0, "falling-fast": 1, "outlook-dry": 1, "outlook-damp": 1}
"""Air past a limit, then air on its way there; other rules after these, silence of a sensor last."""
SILENCE = "sensor-silent"
LEISURE = ("remote-lagging", "sensors-parting", "check-due", "lots-unconfirmed")
"""What nobody loses a reading by: after everything else that asks for a look."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the band says. ``zone`` and ``alert`` are the ids a touch on it leads to."""

    word: Word
    lean: Lean
    title: Sentence
    why: Sentence
    far: Sentence
    zone: str | None = None
    alert: str | None = None


def verdict(
    telling: Telling,
    view: RuleView,
    alerts: Iterable[Alert],
    sources: Sequence[SourceState] = (),
    *,
    store_writable: bool = True,
    worse_pct: float = WORSE_BY_PCT,
) -> Verdict:
    """The band's verdict. A lost wire comes before the silence it causes; an alert somebody acknowledged or shelved
    speaks only when nothing else does, and calmly, and good news after that; one that returned does not speak here."""
    alerts = list(alerts)
    if not store_writable:
        failing = next((a.id for a in alerts if a.rule == "record-failing"), None)
        return replace(_said("act", "none", band("store")), alert=failing)
    # What was said of air that nobody hears now is no news of the present: its silence speaks instead.
    unheard = {zone.zone for zone in view.zones if zone.air is None}
    standing = sorted((a for a in alerts if a.subject not in unheard or is_of_lot(a)), key=_gravity)
    spoken_for = _spoken_for(standing)
    news = [a for a in standing if a.word == "ready"]
    standing = [a for a in standing if a.word != "ready"]
    loud = [a for a in standing if a.state == "unacknowledged"]
    by_rank = chain(
        (_of_alert(a, alert_words(telling, a)) for a in loud if a.rule != SILENCE),
        (_of_source(notice) for notice in _down(telling, sources) if notice.alert not in spoken_for),
        (_of_alert(a, alert_words(telling, a)) for a in loud if a.rule == SILENCE),
        (_of_alert(a, seen_words(telling, a, worse_pct)) for a in standing if a.state == "acknowledged"),
        (_of_alert(a, shelved_words(telling, a)) for a in standing if a.state == "shelved"),
    )
    return next(by_rank, None) or _with_news(telling, _without_alert(telling, view), news)


def notices(
    telling: Telling,
    view: RuleView,
    sources: Sequence[SourceState] = (),
    *,
    alerts: Iterable[Alert] = (),
    store_writable: bool = True,
    clock_is_set: bool = True,
    restarted_ms: int | None = None,
) -> list[Notice]:
    """What the instrument says about itself, worst first. ``restarted_ms`` is when it started over an older record,
    None once that is no news. What stands among the ``alerts`` already is not said a second time."""
    found: list[Notice | None] = []
    if not store_writable:
        found.append(store_notice())
    if not clock_is_set:
        found.append(clock_notice())
    found += [source_notice(telling, source) for source in sources]
    found += [back_notice(telling, source) for source in sources]
    found += [apart_notice(telling, zone.air) for zone in view.zones if zone.air is not None]
    found += [outside_fit_notice(telling, zone.air) for zone in view.zones if zone.air is not None]
    if restarted_ms is not None:
        found.append(restarted_notice(telling, restarted_ms))
    spoken_for = _spoken_for(alerts)
    return [notice for notice in found if notice is not None and notice.alert not in spoken_for]


def _spoken_for(alerts: Iterable[Alert]) -> set[tuple[str, str] | None]:
    """Rule and subject of what an alert says now; one that returned speaks of the past."""
    return {(a.rule, a.subject) for a in alerts if a.state != "returned"}


def _gravity(alert: Alert) -> tuple[int, int, float, int, str]:
    """Sort key, gravest first."""
    order = WORST_FIRST.get(alert.rule, max(WORST_FIRST.values()) + 1)
    if alert.rule == "record-failing":  # a lot that is told of a moment later is not lost by that; a reading is
        order = -1
    order += 2 * (alert.rule in LEISURE) + (alert.rule == SILENCE)
    past = alert.values.get("past_limit_pct", 0.0)
    past_pct = float(past) if isinstance(past, float | int) else 0.0
    return -RANK[alert.word], order, -past_pct, alert.raised_ms, alert.id


def _down(telling: Telling, sources: Sequence[SourceState]) -> Iterator[Notice]:
    for source in sorted(sources, key=lambda s: s.state != "refused"):  # only a person can mend a refusal
        if notice := source_notice(telling, source):
            yield notice


def _of_source(notice: Notice) -> Verdict:
    return Verdict(notice.word, "none", notice.title, notice.why, Sentence("band-source-far"))


def _without_alert(telling: Telling, view: RuleView) -> Verdict:
    if not view.sensors:
        return _said("wait", "none", band("empty"))
    if not view.zones:
        return _said("wait", "none", band("off"))
    airs = sorted(((zone, zone.air) for zone in view.zones if zone.air is not None), key=lambda za: _margin_pct(*za))
    if not airs:
        ever = any(sensor.heard_ms is not None for sensor in view.sensors)
        return _said("wait", "none", band("quiet" if ever else "waiting"))
    zone, air = airs[0]
    name = telling.name(zone.zone)
    if _margin_pct(zone, air) < 0:
        lean: Lean = "dry" if air.emc_pct < zone.aim.dry_limit_pct else "damp"
        return _said("wait", lean, outside_words(name, air.emc_pct, zone.aim), zone.zone)
    return _said("ready", "none", ready_words(name, air.emc_pct, zone.aim), zone.zone)


def _with_news(telling: Telling, rest: Verdict, news: Iterable[Alert]) -> Verdict:
    """Good news that nobody has seen yet, where there is nothing else to say than that all is well."""
    first = next((a for a in news if a.state == "unacknowledged"), None)
    return rest if first is None or rest.word != "ready" else _of_alert(first, alert_words(telling, first))


def _margin_pct(zone: ZoneView, air: ZoneAir) -> float:
    """How far inside its aim the air is, % EMC; negative outside. Judged by the figure that is shown, so that no "6.0"
    is called outside of 6; the rules judge by the figure itself."""
    emc_pct = round(air.emc_pct, 1)
    return min(emc_pct - zone.aim.dry_limit_pct, zone.aim.damp_limit_pct - emc_pct)


def _of_alert(alert: Alert, words: BandWords) -> Verdict:
    of_other = is_instrument(alert) or is_of_lot(alert)
    zone = None if of_other and "zone" not in alert.values else zone_of(alert)
    return Verdict(alert.word, alert.lean, words.title, words.why, words.far, zone, alert.id)


def _said(word: Word, lean: Lean, words: BandWords, zone: str | None = None) -> Verdict:
    return Verdict(word, lean, words.title, words.why, words.far, zone)
