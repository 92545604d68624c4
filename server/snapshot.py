"""The document the wall is drawn from: everything a screen needs, in one piece with a version.

:class:`ShopView` is the engine's state as values; :func:`document` says it in a language and in units. Figures are
rounded here to what can be seen, so that a version changes only when a picture would.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from server.alerts.marks import Marks
from server.alerts.shelving import DEEDS
from server.documents import (
    AimPart,
    AirPart,
    AlertPart,
    BandPart,
    ChangePart,
    EmptyPart,
    NoticePart,
    Said,
    ShopPart,
    SnapshotDocument,
    ZonePart,
    ZoneState,
)
from server.reading import Aim, Alert, ClosedBin, Flag, OutlookPoint, SourceState, ZoneAir
from server.ringing import rings_from_ms
from server.verdict import Notice, Verdict
from server.words import Sentence, Telling, Units, Words, render
from server.words.figures import stamp_text
from server.words.of_alert import alert_caution, alert_note, alert_since, alert_title, alert_why, unheard_why
from server.words.of_band import alert_words
from server.words.of_change import change_stood_s, change_text
from server.words.of_lot_alert import is_of_lot
from server.words.of_notice import empty_wall
from server.words.of_zone import aim_line, outlook_note, zone_age, zone_heard

DAY_MS = 86_400_000
BIN_MS = 1_800_000
AHEAD_STEP = 2
"""Every second hour of the outlook is drawn."""
AIR_DECIMALS = {"temperature_c": 2, "humidity_pct": 1, "vapour_pressure_pa": 0, "emc_pct": 2}


@dataclass(frozen=True, slots=True)
class ZoneNow:
    """One zone at this moment. ``air`` is None unless it may be shown as present; ``bins`` are three days of half
    hours, oldest first."""

    zone: str
    name: str
    state: ZoneState
    heard_ms: int | None
    air: ZoneAir | None
    aim: Aim
    bins: Sequence[ClosedBin] = ()
    ahead: Sequence[OutlookPoint] = ()
    last_known: tuple[float, float] | None = None
    """°C and % RH that a broker has kept of a zone not heard yet, of an unknown time."""


@dataclass(frozen=True, slots=True)
class ShopView:
    """Everything the wall may say, as values."""

    now_ms: int
    clock_is_set: bool
    shop: str
    timezone: str
    zones: Sequence[ZoneNow]
    alerts: Sequence[Alert]
    verdict: Verdict
    notices: Sequence[Notice]
    sources: Sequence[SourceState]
    telling: Telling
    marks: Mapping[str, Marks] = field(default_factory=dict)
    """Of each alert."""
    recent: Sequence[Alert] = ()
    """The last changes of alerts, oldest first."""
    somebody_ms: int | None = None
    """When somebody is next at work; None while somebody is, and where the shop tells no hours."""
    first_steps: str | None = None
    """Where the configuration lies, while there is no sensor yet."""


@dataclass(frozen=True, slots=True)
class Speaker:
    """Says a sentence in one language and in one kind of units."""

    words: Words
    units: Units

    def say(self, sentence: Sentence) -> Said:
        """The sentence as documents carry it."""
        return Said.model_validate(render(sentence, self.words, self.units))

    def maybe(self, sentence: Sentence | None) -> Said | None:
        """The same where there may be nothing to say."""
        return None if sentence is None else self.say(sentence)


@cache
def _words(lang: str) -> Words:
    return Words(lang)


def document(view: ShopView, version: str, lang: str, units: Units) -> SnapshotDocument:
    """The view in a language and units. Raises WordsError for a language there is no file for."""
    speaker = Speaker(_words(lang), units)
    return SnapshotDocument(
        version=version,
        now_ms=view.now_ms,
        lang=lang,
        units=units,
        shop=ShopPart(
            name=view.shop,
            timezone=view.timezone,
            now_text=stamp_text(view.now_ms, view.timezone, speaker.words),
            clock_set=view.clock_is_set,
        ),
        band=_band(view.verdict, speaker),
        zones=[_zone(zone, view, speaker) for zone in view.zones],
        alerts=[_alert(alert, view, speaker) for alert in view.alerts],
        changes=[change_part(one, view.telling, speaker) for one in reversed(view.recent) if _is_news(one, view)],
        notices=[_notice(notice, speaker) for notice in view.notices],
        empty=None if view.first_steps is None else _empty(view.first_steps, speaker),
    )


def _band(verdict: Verdict, speaker: Speaker) -> BandPart:
    return BandPart(
        word=verdict.word,
        lean=verdict.lean,
        title=speaker.say(verdict.title),
        why=speaker.say(verdict.why),
        far=speaker.say(verdict.far),
        zone=verdict.zone,
        alert=verdict.alert,
    )


def _zone(zone: ZoneNow, view: ShopView, speaker: Speaker) -> ZonePart:
    age_s = (view.now_ms - zone.heard_ms) / 1000.0 if zone.heard_ms is not None else 0.0
    aged = zone.state in ("old", "silent") and zone.heard_ms is not None
    back = [(b.end_ms, round(b.emc_pct, 2)) for b in zone.bins if b.end_ms > view.now_ms - 3 * DAY_MS - BIN_MS]
    if zone.air is not None and zone.air.t_ms > (back[-1][0] if back else 0):
        back.append((zone.air.t_ms // 60_000 * 60_000, round(zone.air.emc_pct, 2)))
    ahead = [p for p in zone.ahead if p.t_ms > view.now_ms][::AHEAD_STEP] if zone.air is not None else []
    return ZonePart(
        id=zone.zone,
        name=zone.name,
        state=zone.state,
        state_text=speaker.say(zone_age(age_s)) if aged else None,
        heard_text=speaker.say(zone_heard(view.telling, zone.heard_ms, zone.last_known)),
        heard_ms=zone.heard_ms,
        air=None if zone.air is None else _air(zone.air),
        aim=AimPart(
            dry_limit_pct=zone.aim.dry_limit_pct,
            damp_limit_pct=zone.aim.damp_limit_pct,
            text=speaker.say(aim_line(zone.aim)),
            source=zone.aim.source,
        ),
        yesterday_emc_pct=_yesterday(zone.bins, view.now_ms),
        closed_bin_end_ms=zone.bins[-1].end_ms if zone.bins else None,
        back=back,
        ahead=[_ahead_row(p) for p in ahead],
        chart_note=speaker.maybe(outlook_note(view.telling, zone.air, zone.ahead)),
    )


def _air(air: ZoneAir) -> AirPart:
    figures = {name: round(getattr(air, name), digits) for name, digits in AIR_DECIMALS.items()}
    return AirPart(
        **figures,
        dew_point_c=None if math.isnan(air.dew_point_c) else round(air.dew_point_c, 1),
        emc_low_pct=round(air.emc_low_pct, 2),
        emc_high_pct=round(air.emc_high_pct, 2),
        t_ms=air.t_ms,
        flags=[(flag.name or "").lower().replace("_", "-") for flag in air.flags & ~Flag.CLOCK_UNSET],
    )


def _ahead_row(p: OutlookPoint) -> tuple[int, float, float, float]:
    return p.t_ms, round(p.emc_pct, 2), round(p.emc_low_pct, 2), round(p.emc_high_pct, 2)


def _yesterday(bins: Iterable[ClosedBin], now_ms: int) -> float | None:
    """The half hour that ended a day ago, if it was heard."""
    wanted = (now_ms - DAY_MS) // BIN_MS * BIN_MS
    return next((round(b.emc_pct, 2) for b in bins if b.end_ms == wanted), None)


def _alert(alert: Alert, view: ShopView, speaker: Speaker) -> AlertPart:
    telling = view.telling
    zone = None if is_of_lot(alert) else next((z for z in view.zones if z.zone == alert.subject), None)
    unheard = zone is not None and zone.air is None and alert.state not in ("returned", "suppressed")
    marks = view.marks.get(alert.id, Marks())
    return AlertPart(
        id=alert.id,
        rule=alert.rule,
        subject=alert.subject,
        state=alert.state,
        word=alert.word,
        lean=alert.lean,
        raised_ms=alert.raised_ms,
        raised_text=speaker.say(alert_since(telling, alert)),
        changed_ms=alert.changed_ms,
        asks=alert.asks,
        rings_from_ms=rings_from_ms(alert, view.somebody_ms),
        title=speaker.say(alert_title(telling, alert)),
        why=speaker.say(unheard_why(telling, zone.heard_ms) if zone and unheard else alert_why(telling, alert)),
        deed=None if alert.state == "returned" or unheard else speaker.say(alert_words(telling, alert).why),
        caution=speaker.maybe(alert_caution(alert)),
        note=speaker.maybe(alert_note(marks.raises, stale=marks.stale, chattering=marks.chattering)),
        stale=marks.stale,
        chattering=marks.chattering,
        raises_in_a_day=marks.raises,
        deeds=list(DEEDS[alert.state]),
        shelved_until_ms=alert.shelved_until_ms,
    )


def _is_news(change: Alert, view: ShopView) -> bool:
    """For a day. What a clock that ran ahead has dated is no news of later."""
    return abs(view.now_ms - change.changed_ms) < DAY_MS


def change_part(change: Alert, telling: Telling, speaker: Speaker) -> ChangePart:
    """A change of an alert as it goes out."""
    return ChangePart(
        alert=change.id,
        rule=change.rule,
        subject=change.subject,
        state=change.state,
        word=change.word,
        at_ms=change.changed_ms,
        raised_ms=change.raised_ms,
        stood_s=change_stood_s(change),
        title=speaker.say(alert_title(telling, change)),
        text=speaker.say(change_text(telling, change)),
    )


def _notice(notice: Notice, speaker: Speaker) -> NoticePart:
    return NoticePart(key=notice.key, word=notice.word, title=speaker.say(notice.title), why=speaker.say(notice.why))


def _empty(path: str, speaker: Speaker) -> EmptyPart:
    title, lines = empty_wall(path)
    return EmptyPart(title=speaker.say(title), lines=[speaker.say(line) for line in lines])
