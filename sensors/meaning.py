"""Which of the numbers on a wire is the temperature, in which unit, and which is the humidity.

Three things tell: the unit written behind a number, the key it stands at, and whether it is plausible for the air of a
room people work in. The first two are facts; the last is a comparison of how ordinary each reading of the numbers would
be (common practice, no source), so what rests on it alone is never called sure.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from statistics import fmean
from typing import Literal

from sensors.decoding import ALIASES, Field

Unit = Literal["C", "F", "%"]
Sure = Literal["sure", "likely", "unsure"]
By = Literal["unit", "key", "value"]
SURENESS: tuple[Sure, ...] = ("unsure", "likely", "sure")

ROOM_C, ROOM_SPREAD_C = 18.0, 8.0
ROOM_PCT, ROOM_SPREAD_PCT = 45.0, 18.0
COLDEST_C, WARMEST_C, WETTEST_PCT = -40.0, 60.0, 105.0
FAHRENHEIT_IS_RARER = 0.5
TEMPERATURE_COMES_FIRST = 0.7
LIKELY_BY = 1.0
"""How much more ordinary (difference of log densities) one reading of the numbers must be than the next."""
SAME_C, SAME_PCT = 0.5, 0.5
CANDIDATES = 24
"""Of columns that nothing names: every pair of them is compared, and a gateway may send a thousand keys."""

_TEMPERATURE = {"t", "tc", "tf", "temp", "tmp", "temperature", "temperatur", "degc", "degf", "celsius", "fahrenheit"}
_HUMIDITY = {"h", "rh", "hum", "humid", "humidity", "hygro", "feuchte"}
_CELSIUS, _FAHRENHEIT = {"c", "tc", "degc", "celsius"}, {"f", "tf", "degf", "fahrenheit"}
_OTHER = {
    *("dew", "dewpoint", "soil", "set", "setpoint", "target", "limit", "alarm", "min", "max", "offset", "calibration"),
    *("cpu", "chip", "core", "board", "absolute", "abs", "feels", "heat", "index", "battery", "batt", "voltage", "v"),
    *("pressure", "p", "rssi", "snr", "linkquality", "lqi", "uptime", "time", "timestamp", "ts", "co2", "lux", "power"),
    *("interval", "count", "seq", "wind", "water", "wood", "moisture", "id", "version", "channel", "port"),
}
"""Words in a key that say: not the air's temperature or humidity, whatever the number looks like."""
_WORDS = re.compile(r"[A-Z]?[a-z]+\d*|[A-Z]+(?![a-z])\d*|\d+")
_NUMBER = re.compile(r"\s*([+-]?\d+(?:\.\d*)?(?:[eE][+-]?\d+)?)\s*(°?[CcFf]|%)?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Column:
    """Numbers that stood at one place (a key, a path, a column's number) and the unit written behind them, if any."""

    key: str
    values: tuple[float, ...]
    unit: str = ""
    named: bool = True
    """Whether the key is a word of the device's, not a number of ours."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What stands at one place. ``example`` is the newest number as it was written, ``unit`` what it is in, ``by`` what
    told that; ``field`` is how the configuration calls it."""

    key: str
    field: Field
    unit: Unit
    example: float
    by: By


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the columns, and how sure it is."""

    temperature: Meaning | None
    humidity: Meaning | None
    sure: Sure

    @property
    def meanings(self) -> tuple[Meaning, ...]:
        """Those that there are, temperature first."""
        return tuple(m for m in (self.temperature, self.humidity) if m is not None)


def number_of(raw: object) -> tuple[float, str] | None:
    """A finite number with the unit written behind it ("", C, F, %); None for anything else, also true and false."""
    unit = ""
    if isinstance(raw, str):
        match = _NUMBER.fullmatch(raw)
        if match is None:
            return None
        raw, unit = float(match[1]), (match[2] or "").lstrip("°").upper()
    if isinstance(raw, bool) or not isinstance(raw, int | float) or abs(raw) > 1e12 or not math.isfinite(raw):
        return None
    return float(raw), unit


def column(key: str, raws: Sequence[object], *, named: bool = True) -> Column | None:
    """The column of what stood at ``key``, oldest first; None unless all of it are numbers with one unit."""
    found = [number_of(raw) for raw in raws]
    if not found or None in found:
        return None
    pairs = [pair for pair in found if pair is not None]
    units = {unit for _, unit in pairs}
    return Column(key, tuple(value for value, _ in pairs), units.pop(), named) if len(units) == 1 else None


def named_field(key: str) -> Field | None:
    """What a key says it is: one that is understood without configuration, or one with such a word in it."""
    if (alias := ALIASES.get(key.lower())) is not None:
        return alias
    words = [word.lower() for word in _WORDS.findall(key)]
    if set(words) & _OTHER:
        return None
    if set(words) & _HUMIDITY:
        return "humidity_pct"
    if not set(words) & _TEMPERATURE:
        return None
    if set(words) & _FAHRENHEIT:
        return "temperature_f"
    return "temperature_c" if set(words) & _CELSIUS else "temperature"


def is_of_something_else(key: str) -> bool:
    """Whether a key names what is neither temperature nor humidity of the air."""
    return named_field(key) is None and bool({word.lower() for word in _WORDS.findall(key)} & _OTHER)


def meaning_of(columns: Sequence[Column]) -> Reading | None:
    """The best reading of the columns; None where none of them can be the air's. What keys and written units say
    stands; only where they say nothing at all is a pair chosen by its numbers."""
    fields = [(c, _told(c)) for c in columns]
    warm = _first([c for c, f in fields if f is not None and f != "humidity_pct"])
    damp = _first([c for c, f in fields if f == "humidity_pct" and min(c.values) >= 0 and max(c.values) <= WETTEST_PCT])
    if warm is None and damp is None:
        return _by_value([c for c, _ in fields if not (c.named and is_of_something_else(c.key)) and c.unit == ""])
    humidity = None if damp is None else Meaning(damp.key, "humidity_pct", "%", damp.values[-1], _by(damp))
    if warm is None:
        return Reading(None, humidity, "sure")
    temperature, sure = _temperature(warm)
    return None if temperature is None else Reading(temperature, humidity, sure)


def _told(one: Column) -> Field | None:
    if one.named and is_of_something_else(one.key):
        return None
    if one.unit:
        return "humidity_pct" if one.unit == "%" else "temperature"
    return named_field(one.key) if one.named else None


def _by(one: Column) -> By:
    return "unit" if one.unit else "key"


def _first(columns: Sequence[Column]) -> Column | None:
    """A key understood as it stands goes before one that has to be configured, then the order heard."""
    return min(columns, key=lambda c: c.key.lower() not in ALIASES, default=None)


def _temperature(warm: Column) -> tuple[Meaning | None, Sure]:
    field, example = named_field(warm.key) if warm.named else None, warm.values[-1]
    written = warm.unit or {"temperature_c": "C", "temperature_f": "F"}.get(field or "", "")
    if written in {"C", "F"}:
        unit: Literal["C", "F"] = "F" if written == "F" else "C"
        kept: Field = "temperature" if field is None or field == "humidity_pct" else field
        return (Meaning(warm.key, kept, unit, example, _by(warm)) if _warmth(warm, unit) > -math.inf else None), "sure"
    scores = {unit: _warmth(warm, unit) for unit in ("C", "F")}
    best: Literal["C", "F"] = "C" if scores["C"] >= scores["F"] else "F"
    if scores[best] == -math.inf:
        return None, "unsure"
    # A kiln at 45 °C is no less ordinary as a shed at 45 °F: the unit rests on the value alone.
    return Meaning(warm.key, "temperature", best, example, "value"), _by_value_alone(abs(scores["C"] - scores["F"]))


def _by_value(columns: Sequence[Column]) -> Reading | None:
    """The pair of columns, and the unit, that makes the most ordinary air. Nothing is written, so it is never sure."""
    possible = [c for c in columns if _may_be_air(c)]
    scored = sorted(_pairs(possible[:CANDIDATES]), key=lambda found: -found[0])
    if not scored:
        return None
    score, warm, damp, unit = scored[0]
    rivals = [other[0] for other in scored[1:] if not _same(scored[0], other)]
    sure = _by_value_alone(score - max(rivals, default=-math.inf))
    field: Field = "temperature_f" if unit == "F" else "temperature_c"
    return Reading(
        Meaning(warm.key, field, unit, warm.values[-1], "value"),
        Meaning(damp.key, "humidity_pct", "%", damp.values[-1], "value"),
        "unsure" if len(possible) > CANDIDATES else sure,
    )


_Pair = tuple[float, Column, Column, Literal["C", "F"]]
"""How ordinary it is, the temperature's column, the humidity's, and the unit."""


def _pairs(columns: Sequence[Column]) -> Iterator[_Pair]:
    units: tuple[Literal["C", "F"], ...] = ("C", "F")
    for (i, warm), (j, damp), unit in product(enumerate(columns), enumerate(columns), units):
        if i != j and min(damp.values) > 0.0 and max(damp.values) <= WETTEST_PCT:
            score = _warmth(warm, unit) + _dampness(damp) - (TEMPERATURE_COMES_FIRST if i > j else 0.0)
            if score > -math.inf:
                yield score, warm, damp, unit


def _may_be_air(one: Column) -> bool:
    """Whether the numbers could be a temperature in either unit (in °F the limits lie further apart) or a humidity."""
    return max(one.values) <= WARMEST_C * 1.8 + 32.0 and min(one.values) >= COLDEST_C


def _same(one: _Pair, other: _Pair) -> bool:
    """Whether two pairs say the same air: a device may send °C and °F side by side."""
    (warm_c, damp_pct), (other_c, other_pct) = (
        (celsius(warm.values[-1], unit), damp.values[-1]) for _, warm, damp, unit in (one, other)
    )
    return abs(warm_c - other_c) <= SAME_C and abs(damp_pct - other_pct) <= SAME_PCT


def celsius(value: float, unit: str) -> float:
    """°C of a number in C or F."""
    return (value - 32.0) / 1.8 if unit == "F" else value


def _warmth(one: Column, unit: str) -> float:
    """How ordinary these are as a workroom's temperature, as the log of an unscaled density."""
    degrees = [celsius(value, unit) for value in one.values]
    if min(degrees) < COLDEST_C or max(degrees) > WARMEST_C:
        return -math.inf
    rarer = FAHRENHEIT_IS_RARER if unit == "F" else 0.0
    return -fmean((t - ROOM_C) ** 2 for t in degrees) / (2.0 * ROOM_SPREAD_C**2) - rarer


def _dampness(one: Column) -> float:
    return -fmean((rh - ROOM_PCT) ** 2 for rh in one.values) / (2.0 * ROOM_SPREAD_PCT**2)


def _by_value_alone(margin: float) -> Sure:
    return "likely" if margin >= LIKELY_BY else "unsure"


def least(*sureness: Sure) -> Sure:
    """The least sure of several."""
    return min(sureness, key=SURENESS.index)
