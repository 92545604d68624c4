"""What is said about an alert in the list: its name, its reason, since when, and the caution that goes with it."""

from __future__ import annotations

import math

from server.reading import OVER_MS, Alert
from server.reason import Reason
from server.words.of_room import own_words, room_caution
from server.words.sentence import Sentence, Value
from server.words.telling import Telling, limit, zone_of

STEMS = {"dry-limit": "dry", "damp-limit": "damp", "falling-fast": "falling", "sensor-silent": "silent"}
"""Rule to the part of a key that stands for it. A new rule is a line here and its sentences in the Fluent files."""
CAUTIONS = {
    "dry": "caution-heater", "falling": "caution-heater", "damp": "caution-unvented", "check-due": "caution-salt",
    "sensors-parting": "caution-salt",
}  # fmt: skip


def stem(alert: Alert) -> str:
    """The part of a key that stands for this alert's rule."""
    return STEMS.get(alert.rule, alert.rule)


def alert_title(telling: Telling, alert: Alert) -> Sentence:
    """The zone, and what is the matter."""
    if own := own_words(telling, alert):
        return own.title
    values: dict[str, Value] = {"zone": telling.name(zone_of(alert))}
    if stem(alert) == "silent" and "sensors" not in alert.values:
        values["sensor"] = telling.name(alert.subject)
    return Sentence(f"alert-{key_part(alert)}-title", values)


def alert_why(telling: Telling, alert: Alert) -> Sentence:
    """The figures behind it; once it is over, that it is."""
    if alert.state == "returned" or alert.over_unseen:
        return _over(telling, alert)
    if alert.suppressed_by is not None:
        return reason_words(telling, alert.suppressed_by)
    if own := own_words(telling, alert):
        return own.why
    if stem(alert) == "falling":
        fall = given(alert, from_pct="from_pct", to_pct="to_pct")
        return Sentence("alert-falling-why", {**fall, **crossing(telling, alert)})
    if stem(alert) == "silent":
        return silence(telling, alert, "alert")
    return Sentence(f"alert-{key_part(alert)}-why", past_limit(alert))


def _over(telling: Telling, alert: Alert) -> Sentence:
    at: dict[str, Value] = {"at": telling.at(int(alert.values.get(OVER_MS, alert.changed_ms)))}
    stood = given(alert, stood_s="stood_s")
    if alert.over_unseen:
        return Sentence("suppressed-over-why", {**at, **stood})
    key = "alert-while-away-why" if "while_away" in alert.values else "alert-back-why"
    return Sentence(key if stood else "alert-returned-why", {**at, **stood})


def reason_words(telling: Telling, reason: Reason) -> Sentence:
    """Why nobody is told of it now."""
    values: dict[str, Value] = {}
    for name, value in reason.values.items():
        match name:
            case "to_ms":
                values["at"] = telling.at(int(value))
            case "last_day_ms":
                values["date"] = telling.date(int(value))
            case "sensor" | "zone" | "source":
                values[name] = telling.name(str(value))
            case _:
                values[name] = value
    return Sentence(reason.key, values)


def alert_note(raises: int, *, stale: bool, chattering: bool) -> Sentence | None:
    """That it comes and goes, or has stood for more than a day."""
    if chattering:
        return Sentence("alert-chattering", {"times": raises})
    return Sentence("alert-stale") if stale else None


def unheard_why(telling: Telling, heard_ms: int | None) -> Sentence:
    """For an alert about air that nobody hears now: its figures are of the past and are not said as if present."""
    if heard_ms is None:
        return Sentence("alert-unheard-never-why")
    return Sentence("alert-unheard-why", {"at": telling.at(heard_ms)})


def alert_since(telling: Telling, alert: Alert) -> Sentence:
    """Since when it stands."""
    return Sentence("alert-since", {"at": telling.at(alert.raised_ms)})


def alert_caution(alert: Alert) -> Sentence | None:
    """What can hurt someone who mends it; None where nothing is asked but a look."""
    key = CAUTIONS.get(stem(alert)) or room_caution(alert)
    return None if key is None or alert.state == "returned" else Sentence(key)


def given(alert: Alert, **names: str) -> dict[str, Value]:
    """Values of an alert under the names a sentence has for them. One that an older version did not keep is left out:
    then that sentence shows as its key, and everything else stands."""
    return {name: alert.values[kept] for name, kept in names.items() if kept in alert.values}


def past_limit(alert: Alert) -> dict[str, Value]:
    """The figure and the limit it is past."""
    return {**given(alert, emc_pct="emc_pct"), **_limit(alert)}


def crossing(telling: Telling, alert: Alert) -> dict[str, Value]:
    """The limit and when it is reached at this pace."""
    at: dict[str, Value] = {}
    if "crosses_ms" in alert.values:
        at["at"] = telling.at(int(alert.values["crosses_ms"]))
    return {**_limit(alert), **at}


def _limit(alert: Alert) -> dict[str, Value]:
    return {"limit_pct": limit(float(alert.values["limit_pct"]))} if "limit_pct" in alert.values else {}


def is_inside(alert: Alert) -> bool:
    """Whether the alert of a limit stands and its air, by the figure that is shown, is back inside: it is not over
    until that has lasted, and nobody is told meanwhile that it is too dry or too damp."""
    if "past_limit_pct" not in alert.values or alert.state == "returned":
        return False
    emc_pct, limit_pct = float(alert.values.get("emc_pct", math.nan)), float(alert.values.get("limit_pct", math.nan))
    return emc_pct < limit_pct if alert.lean == "damp" else emc_pct > limit_pct


def key_part(alert: Alert) -> str:
    """The part of a key for a silent sensor: ``talking`` where something comes from it that is no air, ``all-silent``
    where it is all of a zone's; for a limit's alert whose air is back ``inside``; else the rule's."""
    if is_inside(alert):
        return "inside"
    if stem(alert) == "silent" and "sensors" in alert.values:
        return "all-silent"
    return "talking" if stem(alert) == "silent" and "talking" in alert.values else stem(alert)


def silence(telling: Telling, alert: Alert, part: str) -> Sentence:
    """Who is silent and since when, for the list (``alert``) or the ``band``."""
    values: dict[str, Value] = {"sensor": telling.name(alert.subject)}
    if "sensors" in alert.values:
        values, part = {"count": alert.values["sensors"]}, f"{part}-all"
    if "heard_ms" not in alert.values:
        return Sentence("alert-talking-never-why" if "talking" in alert.values else f"{part}-silent-never-why", values)
    if "talking" in alert.values:
        return Sentence("alert-talking-why", {**values, "at": telling.at(int(alert.values["heard_ms"]))})
    return Sentence(f"{part}-silent-why", {**values, "at": telling.at(int(alert.values["heard_ms"]))})
