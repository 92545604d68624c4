"""What is known of common sensor chips: where they measure, how well, and the values that a dead one says.

The table beside this file holds one row a type, each with its source. A type's name is the part's generic name. A
*sentinel* is a value that no air has and that a broken bus or an idle chip turns into: the end of a transfer curve, a
power-on value, zeros. ``-45/*`` is one of the temperature alone, ``*/-6`` of the humidity alone, ``0/0`` counts only
when both are said together: a lone 0.0 °C in winter is weather.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

GENERIC = "generic"
SENTINEL_WITHIN = 0.006
"""A sentinel may be said rounded to two decimals."""

Sentinel = tuple[float | None, float | None]
"""°C and % RH; None is any."""


@dataclass(frozen=True, slots=True)
class SensorType:
    """One row. Temperatures in °C, humidities in % RH; accuracies are the maker's typical limits (±), steps the finest
    change it can say; None where it does not measure that or the maker does not say. ``wet_end_pct`` is what it says
    when it is wet: where the curve of its sheet ends, 100 at most."""

    name: str
    temperature_c: tuple[float, float]
    humidity_pct: tuple[float, float] | None
    wet_end_pct: float
    accuracy_c: float
    accuracy_humidity_pct: float | None
    step_c: float | None
    step_humidity_pct: float | None
    sentinels: tuple[Sentinel, ...]
    why: str
    source: str


class UnknownType(ValueError):
    """No such type; the text names the nearest ones."""


@cache
def sensor_types() -> MappingProxyType[str, SensorType]:
    """All types by name, in the table's order."""
    text = files("server").joinpath("sensor_types.csv").read_text(encoding="utf-8")
    return MappingProxyType({row["type"]: _type(row) for row in csv.DictReader(text.splitlines())})


def sensor_type(name: str) -> SensorType:
    """The type of that name. Raises :class:`UnknownType`."""
    found = sensor_types().get(name)
    if found is None:
        near = difflib.get_close_matches(name.lower(), sensor_types(), n=2, cutoff=0.5) or list(sensor_types())
        raise UnknownType(" or ".join(near) if len(near) < 3 else "one of " + ", ".join(near))
    return found


def sentinel_of(text: str) -> Sentinel:
    """``-45/*`` and its like as a pair. Raises ValueError naming what was found."""
    t, slash, rh = text.partition("/")
    try:
        pair = (None if t == "*" else float(t), None if rh == "*" else float(rh))
    except ValueError:
        pair = (None, None)
    if not slash or pair == (None, None):
        raise ValueError(f"found {text!r}; would be right: temperature/humidity, such as -45/*, */-6 or 0/0")
    return pair


def is_sentinel(sentinels: Sequence[Sentinel], quantity: str, raw: float, other: float | None) -> bool:
    """Whether ``raw`` (°C or % RH) of a quantity is one of them; ``other`` is what the sensor last said of its other
    quantity, None if it is not known."""
    for t, rh in sentinels:
        mine, theirs = (t, rh) if quantity == "temperature_c" else (rh, t)
        if mine is None or abs(raw - mine) > SENTINEL_WITHIN:
            continue
        if theirs is None or (other is not None and abs(other - theirs) <= SENTINEL_WITHIN):
            return True
    return False


def _type(row: dict[str, str]) -> SensorType:
    def number(key: str) -> float | None:
        return float(row[key]) if row[key] else None

    low, high = number("humidity_min_pct"), number("humidity_max_pct")
    return SensorType(
        row["type"],
        (float(row["temperature_min_c"]), float(row["temperature_max_c"])),
        None if low is None or high is None else (low, high),
        number("wet_end_pct") or 100.0,
        float(row["accuracy_c"]),
        number("accuracy_humidity_pct"),
        number("step_c"),
        number("step_humidity_pct"),
        tuple(sentinel_of(text) for text in row["sentinels"].split()),
        row["why"],
        row["source"],
    )
