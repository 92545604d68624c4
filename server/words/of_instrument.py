"""What is said about an alert of the instrument itself: its wires, record, clock, remotes and sensors.

Where a notice says the same thing at once, the alert that follows it uses the notice's sentences: a person who read one
must not wonder whether the other is something else.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from server.reading import Alert
from server.words.sentence import Sentence, Value
from server.words.telling import Telling, zone_of

LOST = {"mqtt": "source-lost", "serial": "port-lost", "modbus": "port-lost"}
"""Kind of source to the notice that it is lost; any other kind is a wire."""


@dataclass(frozen=True, slots=True)
class InstrumentWords:
    """A name, a reason, and the same for far away."""

    title: Sentence
    why: Sentence
    far: Sentence


def instrument_words(telling: Telling, alert: Alert) -> InstrumentWords | None:
    """The sentences; None for an alert about air."""
    make = _MAKERS.get(alert.rule)
    return None if make is None else make(telling, alert)


def is_instrument(alert: Alert) -> bool:
    """Whether it is about the instrument itself, not about air."""
    return alert.rule in _MAKERS


def lost_words(telling: Telling, source: str, kind: str, since_ms: int | None, reason: str | None) -> InstrumentWords:
    """A wire that is away, or refused for that reason."""
    name, far = telling.name(source), Sentence("band-source-far")
    if reason is not None:
        why = Sentence("notice-source-refused-why", {"reason": reason})
        return InstrumentWords(Sentence("notice-source-refused-title", {"source": name}), why, far)
    key = LOST.get(kind, "wire-lost")
    values: dict[str, Value] = {} if since_ms is None else {"at": telling.at(since_ms)}
    why = Sentence(f"notice-{key}-why", {"source": name, **values} if key == "port-lost" else values)
    return InstrumentWords(Sentence(f"notice-{key}-title", {"source": name}), why, far)


def back_words(telling: Telling, source: str, kind: str, since_ms: int) -> InstrumentWords:
    """A wire that was away until a moment ago."""
    title = Sentence("notice-source-back-title", {"source": telling.name(source), "at": telling.at(since_ms)})
    # A broker and its devices keep what they could not hand on; a serial line cannot.
    why = "notice-source-back-kept-why" if kind == "mqtt" else "notice-source-back-why"
    return InstrumentWords(title, Sentence(why), Sentence("band-source-back-far"))


def _source(telling: Telling, alert: Alert) -> InstrumentWords:
    values = alert.values
    if "back_ms" in values:
        return back_words(telling, alert.subject, str(values.get("kind", "")), int(values["back_ms"]))
    since_ms = int(values["since_ms"]) if "since_ms" in values else None
    reason = str(values["reason"]) if "reason" in values else None
    return lost_words(telling, alert.subject, str(values.get("kind", "")), since_ms, reason)


def _remote(telling: Telling, alert: Alert) -> InstrumentWords:
    title = Sentence("alert-remote-title", {"remote": telling.name(alert.subject)})
    if "reason" in alert.values:
        why = Sentence("alert-remote-refused-why", {"reason": alert.values["reason"]})
    else:
        why = Sentence("alert-remote-why", _given(alert, "behind_h"))
    return InstrumentWords(title, why, Sentence("band-remote-far"))


def _record(_telling: Telling, alert: Alert) -> InstrumentWords:
    why = Sentence("notice-store-full-why")
    if "given_up" in alert.values:
        why = Sentence("alert-record-given-up-why", {"count": alert.values["given_up"]})
    return InstrumentWords(Sentence("notice-store-full-title"), why, Sentence("band-store-far"))


def _space(_telling: Telling, alert: Alert) -> InstrumentWords:
    kept = "free_mb" if alert.subject == "disk" else "log_mb"
    title, why = f"alert-{alert.subject}-title", Sentence(f"alert-{alert.subject}-why", _given(alert, kept))
    return InstrumentWords(Sentence(title), why, Sentence("band-record-far"))


def _copies(telling: Telling, alert: Alert) -> InstrumentWords:
    at: dict[str, Value] = {"at": telling.at(int(alert.values["at_ms"]))} if "at_ms" in alert.values else {}
    why = Sentence(f"alert-{alert.subject}-why", at)
    if "reason" in alert.values:
        key = "alert-check-why" if alert.subject == "check" else "alert-backup-failed-why"
        why = Sentence(key, {"reason": alert.values["reason"]})
    return InstrumentWords(Sentence(f"alert-{alert.subject}-title"), why, Sentence("band-record-far"))


def _clock(_telling: Telling, _alert: Alert) -> InstrumentWords:
    why = Sentence("notice-clock-not-set-why")
    return InstrumentWords(Sentence("notice-clock-not-set-title"), why, Sentence("band-clock-far"))


def _stuck(telling: Telling, alert: Alert) -> InstrumentWords:
    key = "wet" if "wet" in alert.values else "stuck"
    title = Sentence(f"alert-{key}-title", {"zone": telling.name(zone_of(alert))})
    why = Sentence(f"alert-{key}-why", {"sensor": telling.name(alert.subject)})
    return InstrumentWords(title, why, Sentence("band-sensor-far"))


def _apart(telling: Telling, alert: Alert) -> InstrumentWords:
    title = Sentence("notice-sensors-apart-title", {"zone": telling.name(zone_of(alert))})
    return InstrumentWords(title, Sentence("notice-sensors-apart-why"), Sentence("band-sensor-far"))


def _parting(telling: Telling, alert: Alert) -> InstrumentWords:
    title = Sentence("alert-parting-title", {"zone": telling.name(zone_of(alert))})
    both = ((who, alert.values[who]) for who in ("sensor", "mate") if who in alert.values)
    pair: dict[str, Value] = {who: telling.name(str(name)) for who, name in both}
    why = Sentence("alert-parting-why", {**pair, **_given(alert, "month_pct")})
    return InstrumentWords(title, why, Sentence("band-sensor-far"))


def _check_due(telling: Telling, alert: Alert) -> InstrumentWords:
    title = Sentence("alert-check-due-title", {"zone": telling.name(zone_of(alert))})
    why = Sentence("alert-check-due-why", {"sensor": telling.name(alert.subject)})
    return InstrumentWords(title, why, Sentence("band-sensor-far"))


def _given(alert: Alert, name: str) -> dict[str, Value]:
    """One figure under its own name; left out where an older version did not keep it."""
    return {name: alert.values[name]} if name in alert.values else {}


_MAKERS: Mapping[str, Callable[[Telling, Alert], InstrumentWords]] = {
    "source-lost": _source,
    "remote-lagging": _remote,
    "record-failing": _record,
    "record-space": _space,
    "record-copies": _copies,
    "clock-unset": _clock,
    "sensor-stuck": _stuck,
    "sensors-apart": _apart,
    "sensors-parting": _parting,
    "check-due": _check_due,
}
"""Rule to what is said of it. A new rule about the instrument is a line here and its sentences in the Fluent files."""
