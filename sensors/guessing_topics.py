"""From some seconds of a broker's messages to guesses: one for each way in which devices write there.

Topics are put together where the same configuration reads them: the level that differs from device to device becomes
the ``+`` of a topic filter, and so the device's name.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sensors import payloads
from sensors.decoding import DEVICE_KEYS, Unreadable, text_of
from sensors.guess import Guess, Options, Reason
from sensors.guessing import columns_of, key_options, object_in, time_key_in, tried
from sensors.guessing_announced import guess_announced, looks_announced
from sensors.guessing_devices import DEVICE_PATHS, is_name, telling_key, varies, warned
from sensors.meaning import Reading, column, meaning_of, named_field, number_of
from sensors.payloads import PAYLOAD_LIMIT, plus_levels

DEPTH = 6
"""Levels of nested JSON that are looked through."""

Said = Mapping[str, Sequence[bytes]]
"""Payloads by topic, oldest first."""


@dataclass(frozen=True, slots=True)
class _Way:
    """Topics that one configuration may read: ``stems`` are their levels, without ``tails`` where the last level names
    the quantity (then there is one number a topic)."""

    options: Options
    reading: Reading
    stems: list[tuple[str, ...]]
    tails: tuple[str, ...] = ()


def guess_topics(said: Said) -> list[tuple[tuple[str, ...], Guess]]:
    """For each way to write that was recognised: the topics it covers and the guess, which has ``topics`` among its
    options. Topics in none of them say nothing that can be read."""
    found = list(guess_announced(said))
    covered = {topic for topics, _ in found for topic in topics}
    rest = {topic: heard for topic, heard in said.items() if topic not in covered and not looks_announced(topic)}
    texts = {topic: readable for topic, heard in rest.items() if (readable := _texts(heard))}
    ways = _ways(texts)
    for way in ways:
        for part in _parted(way, ways):
            guess = _guess(part, texts)
            if isinstance(guess, Guess):
                found.append((tuple(_topics_of(part)), guess))
    return found


def why_not(heard: Sequence[bytes]) -> Reason:
    """Why a topic's payloads are in no guess."""
    texts = _texts(heard)
    if len(texts) < len(heard):
        return Reason("listen-unreadable", {"bytes": sum(map(len, heard))})
    if all(object_in(text) is not None for text in texts):
        return Reason("listen-no-air")
    if all(number_of(text) is not None for text in texts):
        return Reason("listen-bare-number")
    return Reason("listen-no-payload")


def _texts(heard: Sequence[bytes]) -> list[str]:
    texts = []
    for payload in heard:
        try:
            texts.append(text_of(payload, PAYLOAD_LIMIT))
        except Unreadable:
            continue
    return texts


def _ways(texts: Mapping[str, Sequence[str]]) -> list[_Way]:
    """Every topic to what would read it, the same ones together."""
    ways: dict[tuple[object, ...], _Way] = {}
    for stem, tails, options, reading in [*_json_topics(texts), *_number_topics(texts)]:
        key = (json.dumps(options, sort_keys=True), len(stem), tails)
        ways.setdefault(key, _Way(options, reading, [], tails)).stems.append(stem)
    return list(ways.values())


Found = tuple[tuple[str, ...], tuple[str, ...], Options, Reading]


def _json_topics(texts: Mapping[str, Sequence[str]]) -> Iterator[Found]:
    for topic, heard in texts.items():
        objects = [entries for text in heard if (entries := object_in(text)) is not None]
        if not objects or len(objects) < len(heard):
            continue
        leaves = [dict(_leaves(entries)) for entries in objects]
        if (reading := meaning_of(columns_of(leaves))) is None:
            continue
        options: Options = {"format": "json", **_places(reading, leaves)}
        if (time_path := time_key_in(leaves)) is not None:
            options["time_path"] = time_path
        levels = tuple(topic.split("/"))
        if (named := _device_path(leaves, levels)) is not None:
            options["device_path"] = named
        yield levels, (), options, reading


def _device_path(leaves: Sequence[Mapping[str, object]], levels: Sequence[str]) -> str | None:
    """Where the device's name stands, if the topic does not say it. A number that stays the same names nobody."""
    named = [path for path in DEVICE_PATHS if all(is_name(one.get(path)) for one in leaves)]
    if (telling := next((path for path in named if varies(leaves, path)), None)) is not None:
        return telling
    first = next((path for path in named if isinstance(leaves[-1][path], str)), None)
    return None if first is None or any(str(leaves[-1][first]) in level for level in levels) else first


def _leaves(entries: Mapping[str, object], before: str = "", depth: int = 0) -> Iterator[tuple[str, object]]:
    for key, value in entries.items():
        if isinstance(value, dict):
            if depth < DEPTH:
                yield from _leaves(value, f"{before}{key}.", depth + 1)
        else:
            yield before + key, value


def _places(reading: Reading, leaves: Sequence[Mapping[str, object]]) -> Options:
    """Keys where the object is flat and says each quantity once, else the paths."""
    keyed = key_options(reading)
    meant = {m.key for m in reading.meanings}
    lookalikes = {key for one in leaves for key in one if key not in meant and named_field(key) is not None}
    if not lookalikes and not any("." in key for key in meant):
        return keyed
    places: Options = {"paths": {m.field: m.key for m in reading.meanings}}
    return places | {name: keyed[name] for name in ("temperature_unit",) if name in keyed}


def _number_topics(texts: Mapping[str, Sequence[str]]) -> Iterator[Found]:
    """Topics with one number each, whose last level names it: a stem is read as an object is, by those names."""
    by_stem: dict[tuple[str, ...], dict[str, Sequence[str]]] = {}
    for topic, heard in texts.items():
        *stem, last = topic.split("/")
        if stem and named_field(last) is not None and all(number_of(text) is not None for text in heard):
            by_stem.setdefault(tuple(stem), {})[last] = heard
    for levels, named in by_stem.items():
        columns = [one for last, heard in named.items() if (one := column(last, heard)) is not None]
        if (reading := meaning_of(columns)) is not None:
            tails = tuple(m.key for m in reading.meanings)
            yield levels, tails, {"format": "number", **key_options(reading)}, reading


def _parted(way: _Way, ways: Sequence[_Way]) -> Iterator[_Way]:
    """The same, in as few parts as one filter each can read without reading another way's topics."""
    groups: dict[str, list[tuple[str, ...]]] = {}
    by_root = len({stem[1:] for stem in way.stems}) > 1
    for stem in way.stems:
        groups.setdefault(stem[0] if by_root else "", []).append(stem)
    others = [topic for other in ways if other is not way for topic in _topics_of(other)]
    for stems in groups.values():
        part = _Way(way.options, way.reading, stems, way.tails)
        if any(plus_levels(_filters(part), topic) is not None for topic in others):
            yield from (_Way(way.options, way.reading, [stem], way.tails) for stem in stems)
        else:
            yield part


def _filters(way: _Way) -> list[str]:
    """The topic filters of a part: ``+`` where its topics differ."""
    stem = "/".join(levels[0] if len(set(levels)) == 1 else "+" for levels in zip(*way.stems, strict=True))
    return [f"{stem}/{tail}" for tail in way.tails] or [stem]


def _topics_of(way: _Way) -> Iterator[str]:
    for stem in way.stems:
        yield from ("/".join((*stem, tail)) for tail in way.tails) if way.tails else ["/".join(stem)]


def _guess(way: _Way, texts: Mapping[str, Sequence[str]]) -> Guess | Reason:
    options = {"topics": _filters(way), **way.options}
    decode = _decoder(options)
    messages = [(topic, text.encode()) for topic in _topics_of(way) for text in texts.get(topic, ())]
    found = tried(options, way.reading, [lambda m=message: decode(*m) for message in messages])  # type: ignore[misc]
    if not isinstance(found, Guess) or way.tails or "device_path" in options:
        return found
    read = {meaning.key for meaning in way.reading.meanings}
    if "paths" not in options and not any("+" in one for one in options["topics"]):
        read |= {*DEVICE_KEYS}
    said = [[dict(_leaves(o)) for text in texts.get(t, ()) if (o := object_in(text))] for t in _topics_of(way)]
    return warned(found, next((key for one in said if (key := telling_key(one, read)) is not None), None))


def _decoder(options: Options) -> payloads.PayloadFormat:
    topics, unit, keys = options["topics"], options.get("temperature_unit", "C"), options.get("keys")
    if options["format"] == "number":
        return payloads.number_payload(patterns=topics, keys=keys, temperature_unit=unit)
    return payloads.json_payload(
        patterns=topics,
        keys=keys,
        paths=options.get("paths"),
        device_path=options.get("device_path"),
        time_path=options.get("time_path"),
        temperature_unit=unit,
    )
