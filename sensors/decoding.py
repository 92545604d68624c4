"""What lines and payloads have in common: from text or JSON to named SI numbers, or a reason why not.

A *field* is what a key stands for. ``temperature`` is a temperature whose unit the key does not tell: the unit written
behind the number decides, else the unit configured for the source.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NoReturn

from sensors.sample import Quantity

Field = Literal["temperature", "temperature_c", "temperature_f", "humidity_pct"]
TemperatureUnit = Literal["C", "F"]

ALIASES: Mapping[str, Field] = {
    **dict.fromkeys(("t", "temp", "temperature"), "temperature"),
    **dict.fromkeys(("t_c", "temp_c", "temperature_c"), "temperature_c"),
    **dict.fromkeys(("t_f", "temp_f", "temperature_f"), "temperature_f"),
    **dict.fromkeys(("h", "hum", "humidity", "rh", "humidity_pct", "rh_pct"), "humidity_pct"),
}
"""Keys understood without configuration, in lower case."""
DEVICE_KEYS = ("id", "name")
HEATING_KEYS = ("heater", "heating")
"""Keys that say whether the sensor's own heater runs."""
DEPTH_LIMIT = 32
"""Levels of objects and lists in a JSON value."""
LATEST_MS = 253_402_300_799_999
"""The end of the year 9999, where Python's calendar ends."""

_NUMBER = re.compile(r"[+-]?(?:\d{1,40}(?:\.\d{0,40})?|\.\d{1,40})(?:[eE][+-]?\d{1,3})?", re.ASCII)
_MEASURE = re.compile(rf"({_NUMBER.pattern})\s*(°?[CcFf]|%)?", re.ASCII)


class Unreadable(ValueError):
    """Bytes that are no sample. The text names what was found and what would be right."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """What one line or payload says. ``device`` is "" where it names none; ``own_ms`` is None where it states no
    time; ``heating`` where it says that the sensor's own heater runs."""

    device: str
    values: tuple[tuple[Quantity, float], ...]
    own_ms: int | None = None
    heating: bool = False


def text_of(payload: bytes, limit: int) -> str:
    """The payload as text without blanks around it. Raises :class:`Unreadable` if longer than ``limit`` bytes or not
    UTF-8."""
    if len(payload) > limit:
        raise Unreadable(f"found {len(payload)} bytes; would be right: at most {limit}")
    try:
        return payload.decode("utf-8").strip()
    except UnicodeDecodeError as err:
        found = payload[err.start : err.start + 4].hex(" ")
        hint = "would be right: UTF-8 text; on a serial port this is often a wrong baud rate"
        raise Unreadable(f"found bytes {found} at {err.start}; {hint}") from None


def measure(field: Field, raw: object, key: str, unit: TemperatureUnit = "C") -> tuple[Quantity, float]:
    """One quantity in °C or %, from a number or from text such as ``68.5F``. ``unit`` is for a temperature that does
    not say its own. Fahrenheit is (F - 32) / 1.8, exact by definition of the scale.

    Raises :class:`Unreadable` for anything that is no finite number, and for a unit that contradicts the key.
    """
    value, written = _number_and_unit(raw, key)
    if field == "humidity_pct":
        if written not in {"", "%"}:
            raise Unreadable(f"{key}: found unit {written}; would be right: % or none")
        return "humidity_pct", value
    if written == "%":
        raise Unreadable(f"{key}: found unit %; would be right: C, F or none")
    known = {"temperature_c": "C", "temperature_f": "F"}.get(field, "")
    if known and written and known != written:
        raise Unreadable(f"{key}: found unit {written}; would be right: {known}, as the key says")
    fahrenheit = (known or written or unit) == "F"
    return "temperature_c", (value - 32.0) / 1.8 if fahrenheit else value


def _number_and_unit(raw: object, key: str) -> tuple[float, str]:
    unit = ""
    if isinstance(raw, str):
        match = _MEASURE.fullmatch(raw.strip())
        if match is None:
            raise Unreadable(f"{key}: found {raw[:40]!r}; would be right: a number such as 20.4")
        raw, unit = float(match[1]), (match[2] or "").lstrip("°").upper()
    return finite(raw, key), unit


def finite(raw: object, key: str) -> float:
    """A finite number, from a number (not true or false). Raises :class:`Unreadable`."""
    if isinstance(raw, bool) or not isinstance(raw, (int, float)):
        raise Unreadable(f"{key}: found {str(raw)[:40]!r}; would be right: a number such as 20.4")
    try:
        value = float(raw)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise Unreadable(f"{key}: found {value}; would be right: a finite number")
    return value


def once_each(measured: Iterable[tuple[str, tuple[Quantity, float]]]) -> tuple[tuple[Quantity, float], ...]:
    """Values by quantity, from (key, measurement). Raises :class:`Unreadable` when a quantity comes twice or none
    comes."""
    values: dict[Quantity, float] = {}
    by_key: dict[Quantity, str] = {}
    for key, (quantity, value) in measured:
        if quantity in values:
            raise Unreadable(f"found {quantity} twice, as {by_key[quantity]} and {key}; would be right: once")
        values[quantity], by_key[quantity] = value, key
    if not values:
        raise Unreadable("found neither a temperature nor a humidity; would be right: at least one of them")
    return tuple(values.items())


def device_name(raw: object, key: str) -> str:
    """A device's own name: 1 to 64 printable characters (a whole number is taken as its digits). Raises
    :class:`Unreadable`."""
    name = str(raw).strip() if isinstance(raw, (str, int)) and not isinstance(raw, bool) else ""
    if not 1 <= len(name) <= 64 or not name.isprintable():
        raise Unreadable(f"{key}: found {str(raw)[:40]!r}; would be right: a name of 1 to 64 printable characters")
    return name


def own_time_ms(raw: object, key: str) -> int:
    """A payload's own time, ms since 1970 UTC: from ISO 8601 text with its zone, or from seconds since 1970. Raises
    :class:`Unreadable`."""
    if isinstance(raw, str):
        try:
            moment = datetime.fromisoformat(raw.strip())
        except ValueError:
            raise Unreadable(f"{key}: found {raw[:40]!r}; would be right: 2027-01-12T07:42:00Z") from None
        if moment.tzinfo is None:
            raise Unreadable(f"{key}: found {raw[:40]!r} without a zone; would be right: 2027-01-12T07:42:00Z")
        return within_calendar(moment.timestamp() * 1000.0, key)
    return within_calendar(finite(raw, key) * 1000.0, key)


def within_calendar(ms: float, key: str) -> int:
    """``ms`` as a whole number, if it lies in the years 1970 to 9999. Whether it is believable is screening's
    business. Raises :class:`Unreadable`."""
    if not 0 <= ms <= LATEST_MS:
        raise Unreadable(f"{key}: found {ms:.6g} ms; would be right: a time between the years 1970 and 9999")
    return round(ms)


def json_value(text: str) -> object:
    """The JSON in ``text``; NaN, infinities, double keys and towers of brackets are refused as :class:`Unreadable`."""
    try:
        value = json.loads(text, parse_constant=_no_constant, object_pairs_hook=_no_double_keys)
    except Unreadable:
        raise
    except RecursionError:
        raise _too_deep(text) from None
    except ValueError as err:
        raise Unreadable(f"found {text[:40]!r} ({err}); would be right: one JSON value") from None
    _check_depth(value, text)
    return value


def _check_depth(value: object, text: str) -> None:
    """What is just flat enough to be parsed could still be too deep to be put into words."""
    if text.count("[") + text.count("{") <= DEPTH_LIMIT:
        return
    layer = [value]
    for _ in range(DEPTH_LIMIT):
        layer = [inner for one in layer if isinstance(one, dict | list) for inner in _entries(one)]
        if not layer:
            return
    raise _too_deep(text)


def _too_deep(text: str) -> Unreadable:
    return Unreadable(f"found {text[:40]!r}, deeper than {DEPTH_LIMIT} levels; would be right: a flatter JSON value")


def _entries(one: dict[str, object] | list[object]) -> Iterable[object]:
    return one.values() if isinstance(one, dict) else one


def _no_constant(name: str) -> NoReturn:
    raise Unreadable(f"found {name}; would be right: a finite number")


def _no_double_keys(pairs: list[tuple[str, object]]) -> dict[str, object]:
    result = dict(pairs)
    if len(result) != len(pairs):
        double = next(name for name, count in Counter(name for name, _ in pairs).items() if count > 1)
        raise Unreadable(f"found the key {double[:40]!r} twice; would be right: once")
    return result


def json_object(text: str) -> dict[str, object]:
    """The JSON object in ``text``. Raises :class:`Unreadable` for any other JSON."""
    value = json_value(text)
    if not isinstance(value, dict):
        raise Unreadable(f'found {text[:40]!r}; would be right: an object such as {{"temperature": 20.4}}')
    return value


def flat_object(
    entries: Mapping[str, object],
    keys: Mapping[str, Field],
    unit: TemperatureUnit,
    *,
    device_keys: Iterable[str] = DEVICE_KEYS,
    time_key: str | None = None,
) -> Decoded:
    """A flat object as a sample: known keys are read (in any case of letters), others are left alone. ``t_ms`` is
    always the payload's own time; ``time_key`` names another that holds ISO 8601 or seconds. Raises
    :class:`Unreadable`."""
    values = once_each(
        (key, measure(keys[key.lower()], raw, key, unit)) for key, raw in entries.items() if key.lower() in keys
    )
    named = next((key for wanted in device_keys if (key := _one_of(entries, wanted)) is not None), None)
    device = "" if named is None else device_name(entries[named], named)
    if time_key is not None and (stated := _one_of(entries, time_key)) is not None:
        own_ms: int | None = own_time_ms(entries[stated], time_key)
    else:
        own_ms = stated_ms(entries)
    return Decoded(device, values, own_ms, is_heating(entries))


def is_heating(entries: Mapping[str, object]) -> bool:
    """Whether an object says that the sensor's heater runs: ``heater`` or ``heating`` is true, 1 or "on". Anything else
    under these keys (a power, a thermostat's mode) is somebody else's business."""
    said = (entries[key] for key in entries if key.lower() in HEATING_KEYS)
    return any(v is True or v == 1 or (isinstance(v, str) and v.strip().lower() in {"1", "on", "true"}) for v in said)


def _one_of(entries: Mapping[str, object], wanted: str) -> str | None:
    """The key that is ``wanted`` in any case of letters. Two of them would be a choice by chance."""
    found = [key for key in entries if key.lower() == wanted.lower()]
    if len(found) > 1:
        raise Unreadable(f"found {wanted} twice, as {' and '.join(found)}; would be right: once")
    return found[0] if found else None


def stated_ms(entries: Mapping[str, object]) -> int | None:
    """``t_ms`` of an object, or None. Raises :class:`Unreadable` when it is no time."""
    return within_calendar(finite(entries["t_ms"], "t_ms"), "t_ms") if "t_ms" in entries else None


def with_aliases(keys: Mapping[str, Field] | None) -> dict[str, Field]:
    """The built-in keys and the configured ones, which win; in lower case."""
    return {**ALIASES, **{key.lower(): field for key, field in (keys or {}).items()}}
