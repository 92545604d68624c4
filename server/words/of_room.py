"""What is said about an alert of a room: its outlook, extractor, shelf, iron and walls."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from server.reading import Alert
from server.words.of_instrument import InstrumentWords, instrument_words
from server.words.of_lot_alert import LONGEST_FAR_NAME, lot_caution, lot_words
from server.words.sentence import Sentence, Value
from server.words.telling import Telling, limit, zone_of

__all__ = ["LONGEST_FAR_NAME", "own_words", "room_caution"]


def own_words(telling: Telling, alert: Alert) -> InstrumentWords | None:
    """The sentences of an alert that has one set of them for band and list; None for one about a room's present air."""
    make = _MAKERS.get(alert.rule)
    if make is not None:
        return make(telling, alert)
    return lot_words(telling, alert) or instrument_words(telling, alert)


def room_caution(alert: Alert) -> str | None:
    """The key of the caution beside it; None where the alert is of another kind, or asks for nothing that can hurt."""
    return _CAUTIONS.get(alert.rule) or lot_caution(alert)


def _said(telling: Telling, alert: Alert, key: str, why: str, values: Mapping[str, Value]) -> InstrumentWords:
    zone = telling.name(zone_of(alert))
    far = f"band-{key}-far"
    return InstrumentWords(
        Sentence(f"alert-{key}-title", {"zone": zone}),
        Sentence(why, values),
        Sentence(f"{far}-short") if len(zone) > LONGEST_FAR_NAME else Sentence(far, {"zone": zone}),
    )


def _outlook(telling: Telling, alert: Alert) -> InstrumentWords:
    values: dict[str, Value] = _given(alert, "emc_pct")
    if "limit_pct" in alert.values:
        values["limit_pct"] = limit(float(alert.values["limit_pct"]))
    if "crosses_ms" in alert.values:
        values["at"] = telling.at(int(alert.values["crosses_ms"]))
    how = "sure" if alert.values.get("sure") else "end"
    return _said(telling, alert, alert.rule, f"alert-{alert.rule}-why", {**values, "how": how})


def _extractor(telling: Telling, alert: Alert) -> InstrumentWords:
    values = _given(alert, "outdoor_c", "incoming_pct", "emc_pct")
    if "limit_pct" in alert.values:
        values["limit_pct"] = limit(float(alert.values["limit_pct"]))
    key = "alert-extractor-why"
    if "until_ms" in alert.values:
        key, values = "alert-extractor-hours-why", {**values, "at": telling.at(int(alert.values["until_ms"]))}
    elif "rests" in alert.values:
        key = "alert-extractor-rests-why"
    return _said(telling, alert, "extractor", key, values)


def _shelf(telling: Telling, alert: Alert) -> InstrumentWords:
    key = "alert-shelf-ahead-why" if "in_h" in alert.values else "alert-shelf-why"
    return _said(telling, alert, "shelf", key, _given(alert, "temperature_c", "least_c", "in_h"))


def _iron(telling: Telling, alert: Alert) -> InstrumentWords:
    if "sweats" in alert.values:
        return _said(telling, alert, "iron", "alert-iron-sweats-why", _given(alert, "metal_c"))
    return _said(telling, alert, "iron", "alert-iron-why", _given(alert, "metal_c", "metal_rh_pct"))


def _mould(telling: Telling, alert: Alert) -> InstrumentWords:
    values = _given(alert, "surface_c", "surface_rh_pct", "limit_pct", "weeks")
    return _said(telling, alert, "mould", "alert-mould-why", values)


def _given(alert: Alert, *names: str) -> dict[str, Value]:
    """Figures under their own names; left out where an older version did not keep them."""
    return {name: alert.values[name] for name in names if name in alert.values}


_CAUTIONS = {
    "outlook-dry": "caution-heater",
    "outlook-damp": "caution-unvented",
    "extractor-cold": "caution-extractor",
    "shelf-freezing": "caution-heater",
    "iron-rusts": "caution-oily-rags",
    "mould-grows": "caution-mould",
}
_MAKERS: Mapping[str, Callable[[Telling, Alert], InstrumentWords]] = {
    "outlook-dry": _outlook,
    "outlook-damp": _outlook,
    "extractor-cold": _extractor,
    "shelf-freezing": _shelf,
    "iron-rusts": _iron,
    "mould-grows": _mould,
}
"""Rule to what is said of it. A new rule about a room is a line here and its sentences in the Fluent files."""
