"""How a serial device writes its lines. Each format is made once from its options and is then a pure function."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Literal

from sensors.decoding import (
    Decoded,
    Field,
    TemperatureUnit,
    Unreadable,
    device_name,
    flat_object,
    json_object,
    measure,
    once_each,
    text_of,
    with_aliases,
)
from sensors.sample import Quantity

LINE_LIMIT = 512
"""Bytes. A sensor's line is some tens of bytes; longer means noise or a wrong baud rate."""

LineFormat = Callable[[bytes], Decoded]
"""One whole line without its end to what it says. Raises :class:`sensors.decoding.Unreadable`."""

Column = Literal["temperature_c", "temperature_f", "humidity_pct", "device", "skip"]
_MEASURED: Mapping[Column, Field] = {
    "temperature_c": "temperature_c",
    "temperature_f": "temperature_f",
    "humidity_pct": "humidity_pct",
}


def pairs(*, keys: Mapping[str, Field] | None = None, temperature_unit: TemperatureUnit = "C") -> LineFormat:
    """``T=20.4 RH=41.2``: pairs parted by blanks, commas or semicolons, in any order. A number may carry its unit (C,
    F, %), ``id=`` or ``name=`` names the device, other keys are left alone. ``keys`` adds names for the fields.

    Every part of the line must be a pair: half a line that was stuck to another must not pass for a reading.
    """
    known = with_aliases(keys)

    def decode(line: bytes) -> Decoded:
        entries: dict[str, object] = {}
        for part in re.split(r"[\s,;]+", text_of(line, LINE_LIMIT).strip(" ,;\t")):
            key, equals, value = part.partition("=")
            if not (key and equals and value) or "=" in value:
                raise Unreadable(f"found {part[:40]!r}; would be right: pairs such as T=20.4 RH=41.2")
            if key in entries:
                raise Unreadable(f"found {key[:40]!r} twice; would be right: once")
            entries[key] = value
        return flat_object(entries, known, temperature_unit)

    return decode


def numbers(*, order: Sequence[Column], separator: str = ",") -> LineFormat:
    """``68.7,41.2``: columns in a fixed ``order`` with one ``separator`` (a blank stands for any run of blanks).

    Raises ValueError for an order that can give no sample. A line must have exactly as many columns.
    """
    measured = [column for column in order if column in _MEASURED]
    if not measured or sum("temperature" in column for column in measured) > 1 or len(set(measured)) < len(measured):
        raise ValueError(f"order: found {list(order)}; would be right: temperature_c or temperature_f, humidity_pct")
    if not separator:
        raise ValueError("separator: found nothing; would be right: one such as ',' or ' '")

    def decode(line: bytes) -> Decoded:
        text = text_of(line, LINE_LIMIT)
        cells = text.split() if separator.isspace() else [cell.strip() for cell in text.split(separator)]
        if len(cells) != len(order):
            raise Unreadable(f"found {len(cells)} columns in {text[:40]!r}; would be right: {len(order)} ({order})")
        device = next((device_name(c, "device") for n, c in zip(order, cells, strict=True) if n == "device"), "")
        return Decoded(device, once_each(_measured_cells(order, cells)))

    return decode


def _measured_cells(order: Sequence[Column], cells: Sequence[str]) -> Iterator[tuple[str, tuple[Quantity, float]]]:
    for name, cell in zip(order, cells, strict=True):
        field = _MEASURED.get(name)
        if field is not None:
            yield name, measure(field, cell, name)


def json_lines(
    *, keys: Mapping[str, Field] | None = None, temperature_unit: TemperatureUnit = "C", time_key: str | None = None
) -> LineFormat:
    """``{"temperature": 20.4, "humidity": 41.2}``: one flat JSON object a line, keys as in :func:`pairs`; ``t_ms`` or
    ``time_key`` holds the device's own time."""
    known = with_aliases(keys)

    def decode(line: bytes) -> Decoded:
        return flat_object(json_object(text_of(line, LINE_LIMIT)), known, temperature_unit, time_key=time_key)

    return decode
