"""From a snapshot to everything a screen shows, as texts and numbers. No Kivy: what the wall says is tested here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from kiosk import figures as times
from kiosk.client import Update
from kiosk.figures import METRIC, Figures, Units
from kiosk.views import (
    AirView,
    BandView,
    ChartView,
    DayMark,
    EmptyView,
    FigureView,
    LookItem,
    Wall,
    ZoneCard,
)
from kiosk.words import Words

HOUR_MS = 3_600_000
BACK_MS = 72 * HOUR_MS
AHEAD_MS = 96 * HOUR_MS
RESTARTED_FOR_MS = 10 * 60_000
SEVERITY = ("act", "look", "wait", "ready")
SHELVE_HOURS = 8
SAID_STATES = {"acknowledged", "returned", "suppressed"}  # that nobody has seen it yet is what its place says

Document = dict[str, Any]


def build(
    update: Update,
    words: Words,
    *,
    units: Units = METRIC,
    chosen: str | None = None,
    restarted_ms: int | None = None,
) -> Wall:
    """The whole wall. ``chosen`` is the zone a person touched; ``restarted_ms`` is the first snapshot's time when the
    window was restarted, else None."""
    doc, figures = update.snapshot, Figures(words.language, units)
    away = update.link.state == "away"
    if doc is None:
        return _before(update.link.reason if away else "", words)
    zone = chosen_zone(doc, chosen)
    now_ms, timezone = int(doc["now_ms"]), str(doc["shop"]["timezone"])
    at = str(doc["shop"]["now_text"]).split("·")[-1].strip() or figures.clock(now_ms, timezone)
    return Wall(
        version=str(doc["version"]),
        clock=str(doc["shop"]["now_text"]),
        clock_note="" if doc["shop"].get("clock_set", True) else words("clock-not-set"),
        away_since=words("server-away", at=at) if away else "",
        away_reason=update.link.reason if away else "",
        band=_band(doc["band"], words),
        air=_air(zone, words, figures) if zone else None,
        chart=_chart(zone, now_ms, timezone, words) if zone else None,
        zones=tuple(_card(z, words, figures, chosen=z is zone) for z in doc["zones"]),
        look=_look(doc, words, figures, restarted_ms),
        empty=_empty(doc.get("empty")),
    )


def chosen_zone(doc: Document, chosen: str | None) -> Document | None:
    """The zone touched last, else the one the band speaks of, else the first."""
    zones: Sequence[Document] = doc["zones"]
    for wanted in (chosen, doc["band"].get("zone")):
        for zone in zones:
            if wanted is not None and zone["id"] == wanted:
                return zone
    return zones[0] if zones else None


def _text(holder: Document | None, key: str) -> str:
    sentence = holder.get(key) if holder else None
    return str(sentence["text"]) if sentence else ""


def _before(reason: str, words: Words) -> Wall:
    """Nothing was ever heard: say so, and why."""
    title = words("waiting-for-server")
    band = BandView("wait", "none", title, reason, title, words("word-wait"))
    return Wall(
        version=None, band=band, away_reason=reason, empty=EmptyView(title, (words("waiting-hint"),) if reason else ())
    )


def _band(band: Document, words: Words) -> BandView:
    return BandView(
        word=band["word"],
        lean=band.get("lean", "none"),
        title=_text(band, "title"),
        why=_text(band, "why"),
        far=_text(band, "far"),
        word_text=words(f"word-{band['word']}"),
    )


def _standing(zone: Document, words: Words) -> str:
    """What stands in a figure's place: nothing while the air may be believed, else that it is silent or awaited."""
    if zone["state"] == "waiting":
        return words("waiting")
    return words("silent") if zone["state"] == "silent" or zone.get("air") is None else ""


def _air(zone: Document, words: Words, figures: Figures) -> AirView:
    aim, air, standing = zone.get("aim"), zone.get("air"), _standing(zone, words)
    yesterday = zone.get("yesterday_emc_pct")
    shared: dict[str, Any] = {
        "zone": zone["id"],
        "heading": words("draws-to"),
        "heard": _text(zone, "heard_text"),
        "age": _text(zone, "state_text") if zone["state"] in {"old", "silent"} else "",
        "aim_text": _text(aim, "text"),
        "dry_limit_pct": aim["dry_limit_pct"] if aim else None,
        "damp_limit_pct": aim["damp_limit_pct"] if aim else None,
        "yesterday_pct": yesterday,
        "yesterday": words("yesterday", emc=figures.pct(yesterday)) if yesterday is not None else "",
    }
    if standing or air is None:
        return AirView(number=standing, live=False, **shared)
    return AirView(
        number=figures.number(air["emc_pct"], 1),
        live=True,
        unit="%",
        spread=figures.spread(air["emc_low_pct"], air["emc_high_pct"]),
        emc_pct=float(air["emc_pct"]),
        figures=(
            FigureView(figures.temperature(air["temperature_c"]), words("air")),
            FigureView(figures.pct(air["humidity_pct"], 0), words("humidity")),
            FigureView(figures.temperature(air.get("dew_point_c")), words("dew-point")),
        ),
        **shared,
    )


def _chart(zone: Document, now_ms: int, timezone: str, words: Words) -> ChartView:
    aim = zone.get("aim")
    from_ms, to_ms = now_ms - BACK_MS, now_ms + AHEAD_MS
    edges = [(from_ms, times.local(from_ms, timezone).weekday()), *times.midnights(from_ms, to_ms, timezone)]
    ends = [t for t, _ in edges[1:]] + [to_ms]
    air = zone.get("air") if not _standing(zone, words) else None
    return ChartView(
        zone=zone["id"],
        heading=words("outlook"),
        now_ms=now_ms,
        from_ms=from_ms,
        to_ms=to_ms,
        back=tuple((int(t), float(v)) for t, v in zone.get("back") or () if from_ms <= t <= now_ms),
        ahead=tuple(
            (int(t), float(v), float(lo), float(hi)) for t, v, lo, hi in zone.get("ahead") or () if now_ms <= t <= to_ms
        ),
        emc_pct=float(air["emc_pct"]) if air else None,
        dry_limit_pct=aim["dry_limit_pct"] if aim else None,
        damp_limit_pct=aim["damp_limit_pct"] if aim else None,
        days=tuple(
            DayMark(t, end, words("weekday-short", day=day + 1)) for (t, day), end in zip(edges, ends, strict=True)
        ),
        note=_text(zone, "chart_note"),
        aim_label=words("aim"),
        now_label=words("now"),
    )


def _card(zone: Document, words: Words, figures: Figures, *, chosen: bool) -> ZoneCard:
    standing, air = _standing(zone, words), zone.get("air")
    if standing or air is None:
        line, age = _text(zone, "heard_text"), _text(zone, "state_text")
        return ZoneCard(zone["id"], zone["name"], standing, False, line, age, chosen, zone["state"] != "waiting")
    line = f"{figures.temperature(air['temperature_c'])} · {figures.pct(air['humidity_pct'], 0)}"
    age = _text(zone, "state_text") if zone["state"] == "old" else ""
    return ZoneCard(zone["id"], zone["name"], figures.pct(air["emc_pct"]), True, line, age, chosen, False)


def _look(doc: Document, words: Words, figures: Figures, restarted_ms: int | None) -> tuple[LookItem, ...]:
    timezone = str(doc["shop"]["timezone"])

    def clock(t_ms: int) -> str:
        return figures.clock(t_ms, timezone)

    sources = {z["id"]: str((z.get("aim") or {}).get("source") or "") for z in doc["zones"]}
    items = [_alert(a, words, sources, clock) for a in doc["alerts"] if a.get("state") != "normal"]
    items += [
        LookItem(
            f"notice:{n.get('key', '')}:{_text(n, 'title')}",  # one key may speak of several wires or zones
            "notice",
            n["word"],
            n.get("lean", "none"),
            _text(n, "title"),
            why=_text(n, "why"),
        )
        for n in doc.get("notices") or ()
    ]
    items.sort(key=lambda i: (i.state in {"shelved", "suppressed"}, SEVERITY.index(i.word), i.state == "acknowledged"))
    if restarted_ms is not None and 0 <= doc["now_ms"] - restarted_ms < RESTARTED_FOR_MS:
        at = words("at", at=figures.clock(restarted_ms, timezone))
        items.append(LookItem("window", "notice", "ready", "none", words("restarted"), at, words("restarted-why")))
    return tuple(items)


def _alert(alert: Document, words: Words, sources: dict[str, str], clock: Callable[[int], str]) -> LookItem:
    state = str(alert.get("state", "unacknowledged"))
    until_ms = alert.get("shelved_until_ms")
    at = clock(until_ms) if until_ms is not None else "?"
    source = str(alert.get("source") or sources.get(str(alert.get("subject")), ""))
    deeds = ("unshelve",) if state == "shelved" else ("shelve",)
    return LookItem(
        id=alert["id"],
        kind="alert",
        word=alert["word"],
        lean=alert.get("lean", "none"),
        title=_text(alert, "title"),
        since=_text(alert, "raised_text"),
        why=_text(alert, "why"),
        caution=_text(alert, "caution"),
        source=words("source-of-limit", source=source) if source else "",
        state=state,
        state_text=_state_text(state, at, words),
        deeds=("acknowledge", *deeds) if state in {"unacknowledged", "returned"} else deeds,
    )


def _state_text(state: str, at: str, words: Words) -> str:
    if state == "shelved":
        return words("shelved-until", at=at)
    return words(f"state-{state}") if state in SAID_STATES else ""


def _empty(empty: Document | None) -> EmptyView | None:
    if not empty:
        return None
    return EmptyView(_text(empty, "title"), tuple(str(line["text"]) for line in empty.get("lines") or ()))
