"""From some seconds of lines to how they are written: a guess, how sure it is, and what the configuration would say.

A guess is tried before it is told: the very decoder that the configuration would make has to read what was heard.
:mod:`sensors.guessing_topics` does the same for a broker's messages.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from sensors import line_formats
from sensors.decoding import ALIASES, DEVICE_KEYS, Decoded, Unreadable, json_object, own_time_ms, text_of
from sensors.guess import Guess, Options, Reason, shown
from sensors.guessing_devices import device_column, telling_key, warned
from sensors.line_formats import LINE_LIMIT, LineFormat
from sensors.meaning import Column, Reading, celsius, column, least, meaning_of, named_field

READABLE_SHARE = 0.8
"""Of lines (and of bytes in a line) that must be plain text; a wrong baud rate makes noise."""
READ_SHARE = 0.5
"""Of lines that the guess must read; the rest may be boot text, or half a line."""
TIME_KEYS = ("time", "timestamp", "ts", "datetime")
_EARLIEST_MS = 1_577_836_800_000
"""2020-01-01 UTC: a device's time before that is a clock nobody set, or no time at all."""

_NAME = re.compile(r"[A-Za-z][\w.-]{0,63}", re.ASCII)


def guess_lines(lines: Sequence[bytes]) -> Guess | Reason:
    """How a device writes its lines; else why nothing can be said."""
    if not lines:
        return Reason("listen-silent")
    texts = [line.decode("utf-8").strip() for line in lines if is_text(line)]
    if len(texts) < READABLE_SHARE * len(lines):
        return Reason("listen-unreadable", {"bytes": sum(map(len, lines))})
    refused = Reason("listen-no-format")
    for attempt in (_as_json, _as_pairs, _as_numbers):
        found = attempt(texts)
        if isinstance(found, Guess):
            return found
        refused = found or refused
    return refused


def is_text(line: bytes) -> bool:
    """Whether nearly all of it can be printed."""
    try:
        text = text_of(line, LINE_LIMIT)
    except Unreadable:
        return False
    return bool(text) and sum(c.isprintable() or c == "\t" for c in text) >= len(text)


def _as_json(texts: Sequence[str]) -> Guess | Reason | None:
    objects = [entries for text in texts if (entries := object_in(text)) is not None]
    if len(objects) < READ_SHARE * len(texts):
        return None
    if not (reading := meaning_of(columns_of(objects))):
        deep = any(isinstance(value, dict) for entries in objects for value in entries.values())
        return Reason("listen-nested-line") if deep else Reason("listen-no-air")
    options: Options = {"format": "json", **key_options(reading)}
    if (time_key := time_key_in(objects)) is not None:
        options["time_key"] = time_key
    decode = line_formats.json_lines(
        keys=options.get("keys"), temperature_unit=options.get("temperature_unit", "C"), time_key=time_key
    )
    return _warned(_tried(texts, options, reading, decode), objects, reading)


def _warned(found: Guess | Reason, objects: Sequence[Mapping[str, object]], reading: Reading) -> Guess | Reason:
    read = {*DEVICE_KEYS, *(meaning.key for meaning in reading.meanings)}
    return warned(found, telling_key(objects, read)) if isinstance(found, Guess) else found


def _as_pairs(texts: Sequence[str]) -> Guess | Reason | None:
    entries = [pairs for text in texts if (pairs := _pairs_in(text))]
    if len(entries) < READ_SHARE * len(texts):
        return None
    if not (reading := meaning_of(columns_of(entries))):
        return Reason("listen-no-air")
    options: Options = {"format": "key=value", **key_options(reading)}
    decode = line_formats.pairs(keys=options.get("keys"), temperature_unit=options.get("temperature_unit", "C"))
    return _warned(_tried(texts, options, reading, decode), entries, reading)


def _pairs_in(text: str) -> dict[str, object]:
    parts = [part.partition("=") for part in re.split(r"[\s,;]+", text.strip(" ,;\t"))]
    return {key: value for key, _, value in parts} if all(key and value for key, _, value in parts) else {}


def _as_numbers(texts: Sequence[str]) -> Guess | Reason | None:
    for separator in (";", ",", " "):
        rows = [text.split() if separator.isspace() else [c.strip() for c in text.split(separator)] for text in texts]
        width = max((len(row) for row in rows), key=[len(row) for row in rows].count)
        rows = [row for row in rows if len(row) == width]
        if width < 2 or len(rows) < READ_SHARE * len(texts):
            continue
        cells = [[row[n] for row in rows] for n in range(width)]
        labels = _labels(cells)
        numbers = [column(label, one, named=not label.isdigit()) for label, one in zip(labels, cells, strict=True)]
        reading = meaning_of([c for c in numbers if c is not None])
        if reading is not None:
            order, unread = _order(cells, labels, reading)
            options: Options = {"format": "numbers", "order": order, "separator": separator}
            found = _tried(texts, options, reading, line_formats.numbers(order=order, separator=separator))
            return warned(found, unread) if isinstance(found, Guess) else found
    return None


def _labels(cells: Sequence[Sequence[str]]) -> list[str]:
    """What each column is called: the word that always stands before it (``RH: 41.2``), else its number from 1."""
    labels = [str(n + 1) for n in range(len(cells))]
    for n, before in enumerate(cells[:-1]):
        word = before[0].strip(":=")
        if set(before) == {before[0]} and named_field(word) is not None and word not in labels:
            labels[n + 1] = word
    return labels


def _order(cells: Sequence[Sequence[str]], labels: Sequence[str], reading: Reading) -> tuple[list[Any], str | None]:
    """What each column is: the measured ones, the first that names a device, the rest left alone; and the column that
    may name one."""
    order = ["skip"] * len(cells)
    for meaning in reading.meanings:
        is_humidity = meaning.field == "humidity_pct"
        order[labels.index(meaning.key)] = "humidity_pct" if is_humidity else f"temperature_{meaning.unit.lower()}"
    for n, one in enumerate(cells):
        if all(_NAME.fullmatch(cell) and named_field(cell) is None for cell in one) and one[0].upper() not in {
            "C",
            "F",
        }:
            order[n] = "device"
            return order, None
    told, is_device = device_column(cells, [n for n, kind in enumerate(order) if kind == "skip"])
    if told is None or not is_device:
        return order, None if told is None else labels[told]
    order[told] = "device"
    return order, None


def _says_quantity(cell: str) -> bool:
    """A word for a quantity, or a unit that stands alone: no device's name."""
    return named_field(cell) is not None or cell.upper() in {"C", "F", "RH"}


def object_in(text: str) -> dict[str, object] | None:
    """The JSON object in a text, None if it is none."""
    try:
        return json_object(text)
    except Unreadable:
        return None


def columns_of(objects: Sequence[Mapping[str, object]]) -> list[Column]:
    """The numbers at each key of flat objects; keys that cannot be printed are left out."""
    keys = dict.fromkeys(key for entries in objects for key in entries if key and key.isprintable())
    found = (column(key, [entries[key] for entries in objects if key in entries]) for key in keys)
    return [one for one in found if one is not None]


def key_options(reading: Reading) -> Options:
    """``keys`` and ``temperature_unit`` of a source whose keys are read."""
    options: Options = {}
    keys = {m.key: m.field for m in reading.meanings if ALIASES.get(m.key.lower()) != m.field}
    if keys:
        options["keys"] = keys
    warm = reading.temperature
    if warm is not None and warm.field == "temperature" and warm.unit == "F" and warm.by == "value":
        options["temperature_unit"] = "F"
    return options


def time_key_in(objects: Sequence[Mapping[str, object]]) -> str | None:
    """The key at which every object states a believable time of its own, if there is one."""
    for key in dict.fromkeys(key for entries in objects for key in entries):
        if key.lower() in TIME_KEYS and all(_is_time(entries.get(key)) for entries in objects):
            return key
    return None


def _is_time(raw: object) -> bool:
    try:
        return own_time_ms(raw, "") >= _EARLIEST_MS
    except Unreadable:
        return False


def _tried(texts: Sequence[str], options: Options, reading: Reading, decode: LineFormat) -> Guess | Reason:
    return tried(options, reading, [lambda text=text: decode(text.encode()) for text in texts])  # type: ignore[misc]


def tried(options: Options, reading: Reading, decodings: Sequence[Callable[[], Decoded]]) -> Guess | Reason:
    """The guess, if the decoder that it would make reads enough of what was heard; else the decoder's own reason."""
    devices: dict[str, None] = {}
    read, refusal = 0, ""
    for decoding in decodings:
        try:
            devices[decoding().device] = None
            read += 1
        except Unreadable as err:
            refusal = str(err)
    if read == 0 or read < READ_SHARE * len(decodings):
        return Reason("listen-refused", {"reason": refusal})
    sure = reading.sure if read >= 0.9 * len(decodings) else least(reading.sure, "likely")
    why = (*_why(reading), Reason("guess-read", {"read": read, "heard": len(decodings)}))
    return Guess(options, reading, tuple(devices), sure, why, read, len(decodings))


def _why(reading: Reading) -> list[Reason]:
    """What told each field what it is. A key of digits is the number of a column."""
    reasons = []
    for one in reading.meanings:
        column_of_ours = "-column" if one.key.isdigit() else ""
        values: dict[str, float | int | str] = {"place": shown(one.key)}
        if one.field == "humidity_pct":
            what, name, figure = "humidity", "humidity_pct", one.example
        else:
            what, name, figure = "temperature", "temperature_c", round(celsius(one.example, one.unit), 1)
            values["unit"] = f"°{one.unit}"
        if one.by == "value":
            values |= {"raw": f"{one.example:g}", name: figure}
        reasons.append(Reason(f"guess-{what}-{one.by}{column_of_ours}", values))
    return reasons
