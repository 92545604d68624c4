"""What the kiosk relies on in a snapshot, looked at once where it enters. Keys it does not know are fine."""

from __future__ import annotations

from typing import Any

Document = dict[str, Any]

WORDS = ("ready", "wait", "look", "act")
STATES = ("fresh", "old", "silent", "waiting")


MISSING = object()


class DocumentError(ValueError):
    """A snapshot that cannot be shown: says where, what was found and what would be right."""

    def __init__(self, where: str, found: object, right: str) -> None:
        super().__init__(f"{where}: found {_short(found)}; would be right: {right}")


def _short(found: object) -> str:
    text = "nothing" if found is MISSING else repr(found)
    return text if len(text) <= 60 else text[:57] + "..."


def _need(holder: Document, key: str, where: str, kinds: tuple[type, ...], right: str) -> Any:
    if key not in holder:
        raise DocumentError(f"{where}.{key}", MISSING, right)
    value = holder[key]
    if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
        raise DocumentError(f"{where}.{key}", value, right)
    return value


def _sentence(holder: Document, key: str, where: str, *, optional: bool = False) -> None:
    if optional and holder.get(key) is None:
        return
    _need(_need(holder, key, where, (dict,), "a sentence"), "text", f"{where}.{key}", (str,), "a text")


def _word(holder: Document, where: str) -> None:
    if holder.get("word") not in WORDS:
        raise DocumentError(f"{where}.word", holder.get("word"), " or ".join(WORDS))


NUMBER = (int, float)


def _zone(zone: Document, where: str) -> None:
    for key in ("id", "name"):
        _need(zone, key, where, (str,), "a text")
    if zone.get("state") not in STATES:
        raise DocumentError(f"{where}.state", zone.get("state"), " or ".join(STATES))
    _sentence(zone, "state_text", where, optional=True)
    _sentence(zone, "heard_text", where, optional=True)
    _sentence(zone, "chart_note", where, optional=True)
    if zone.get("air") is not None:
        for key in ("temperature_c", "humidity_pct", "emc_pct", "emc_low_pct", "emc_high_pct"):
            _need(zone["air"], key, f"{where}.air", NUMBER, "a number")
    if zone.get("aim") is not None:
        for key in ("dry_limit_pct", "damp_limit_pct"):
            _need(zone["aim"], key, f"{where}.aim", NUMBER, "a number")
        _sentence(zone["aim"], "text", f"{where}.aim")
    for key, width in (("back", 2), ("ahead", 4)):
        for i, point in enumerate(zone.get(key) or ()):
            if len(point) != width or not all(isinstance(n, NUMBER) for n in point):
                raise DocumentError(f"{where}.{key}[{i}]", point, f"{width} numbers")


def _told(item: Document, where: str) -> None:
    _word(item, where)
    _sentence(item, "title", where)
    _sentence(item, "why", where)


def checked(document: Any) -> Document:
    """``document`` itself when everything the screens need is there; raises :class:`DocumentError` otherwise."""
    if not isinstance(document, dict):
        raise DocumentError("snapshot", document, "a JSON object")
    _need(document, "version", "snapshot", (str,), "a text")
    _need(document, "now_ms", "snapshot", (int,), "a whole number of ms")
    shop = _need(document, "shop", "snapshot", (dict,), "an object")
    for key in ("timezone", "now_text"):
        _need(shop, key, "shop", (str,), "a text")
    band = _need(document, "band", "snapshot", (dict,), "an object")
    _told(band, "band")
    _sentence(band, "far", "band")
    for i, zone in enumerate(_need(document, "zones", "snapshot", (list,), "a list")):
        _zone(zone, f"zones[{i}]")
    for i, alert in enumerate(_need(document, "alerts", "snapshot", (list,), "a list")):
        _need(alert, "id", f"alerts[{i}]", (str,), "a text")
        _told(alert, f"alerts[{i}]")
    for i, notice in enumerate(document.get("notices") or ()):
        _told(notice, f"notices[{i}]")
    if document.get("empty") is not None:
        _sentence(document["empty"], "title", "empty")
    return document
