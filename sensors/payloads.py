"""How an MQTT device writes: from topic and payload to what they say. Made once from options, then a pure function."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

from sensors.decoding import (
    DEVICE_KEYS,
    Decoded,
    Field,
    TemperatureUnit,
    Unreadable,
    device_name,
    flat_object,
    is_heating,
    json_object,
    measure,
    once_each,
    own_time_ms,
    stated_ms,
    text_of,
    with_aliases,
)
from sensors.places import json_place

PAYLOAD_LIMIT = 8192
"""Bytes. Gateways that send everything they know stay below 2 kB."""

LEVELS_LIMIT = 32
"""Levels of a topic. What people name has a handful; a tower of them is a mistake or a mischief."""

_NO_TEXT = re.compile(
    r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef"
    + "".join(f"\\U{plane << 16 | 0xFFFE:08x}\\U{plane << 16 | 0xFFFF:08x}" for plane in range(17))
    + "]"
)
"""What a string of MQTT may not or should not hold (5.0 section 1.5.4): for each of them a broker may hang up."""

PayloadFormat = Callable[[str, bytes], Decoded]
"""Topic and payload to what they say. Raises :class:`sensors.decoding.Unreadable`."""


def plus_levels(patterns: Sequence[str], topic: str) -> tuple[str, ...] | None:
    """What stands at the ``+`` levels of the first pattern that matches ``topic``; None if none does.

    Matching is that of MQTT 5.0 section 4.7: ``+`` is one level, ``#`` the rest, the parent included.
    """
    return next((levels for pattern in patterns if (levels := _match(pattern, topic)) is not None), None)


@lru_cache(4096)  # the same few topics all day
def _match(pattern: str, topic: str) -> tuple[str, ...] | None:
    wanted, given = pattern.split("/"), topic.split("/")
    if wanted[-1] == "#":
        wanted, given = wanted[:-1], given[: len(wanted) - 1]
    if len(wanted) != len(given):
        return None
    if any(want not in {"+", have} for want, have in zip(wanted, given, strict=True)):
        return None
    return tuple(have for want, have in zip(wanted, given, strict=True) if want == "+")


def odd_character(text: str) -> str | None:
    """Why ``text`` is no string for a topic (MQTT 5.0 section 1.5.4), with what would be right; None if it is one."""
    odd = _NO_TEXT.search(text)
    if odd is None:
        return None
    found = f"found the character U+{ord(odd[0]):04X} in {text[:40]!r}"
    return f"{found}; would be right: one topic, in UTF-8 text that can be seen"


def check_pattern(pattern: str) -> str | None:
    """Why ``pattern`` is no topic filter (MQTT 5.0 section 4.7), with what would be right; None if it is one."""
    levels = pattern.split("/")
    if reason := odd_character(pattern):
        return reason
    if not pattern or len(pattern.encode()) > 65535:
        return f"found {pattern[:40]!r}; would be right: a topic filter such as shop/+/air"
    if "#" in "/".join(levels[:-1]) or any(len(level) > 1 and set(level) & {"+", "#"} for level in levels):
        return f"found {pattern[:80]!r}; would be right: + for one whole level, # for the rest as the last level"
    if len(levels) > LEVELS_LIMIT:
        return f"found {len(levels)} levels in {pattern[:40]!r}; would be right: at most {LEVELS_LIMIT}"
    return None


def _key_of(topic: str) -> str:
    """A topic as a key in a reason: its beginning, and nothing that cannot be printed or written down."""
    start = topic[:80]
    return f"topic {start if start.isprintable() else start.encode('unicode_escape').decode('ascii')}"


def _device_of(levels: Sequence[str], topic: str) -> str:
    return device_name(".".join(levels), _key_of(topic)) if levels else ""


def _levels(patterns: Sequence[str], topic: str) -> tuple[str, ...]:
    if (count := topic.count("/") + 1) > LEVELS_LIMIT:
        raise Unreadable(f"found {count} levels in the topic {topic[:80]!r}; would be right: at most {LEVELS_LIMIT}")
    levels = plus_levels(patterns, topic)
    if levels is None:
        raise Unreadable(f"found topic {topic[:80]!r}; would be right: one of {', '.join(patterns)}")
    return levels


def json_payload(
    *,
    patterns: Sequence[str],
    keys: Mapping[str, Field] | None = None,
    paths: Mapping[Field, str] | None = None,
    device_path: str | None = None,
    time_path: str | None = None,
    temperature_unit: TemperatureUnit = "C",
) -> PayloadFormat:
    """A JSON object a message. Flat by default, with the keys of the serial formats; ``paths`` names places in a nested
    one instead (``{"temperature": "climate.t"}``; see :mod:`sensors.places`).

    The device is what stands at the pattern's ``+`` levels (several are joined by a point), or at ``device_path``;
    without either, ``id`` or ``name`` of a flat object.
    ``t_ms`` is the payload's own time; ``time_path`` names another place, holding ISO 8601 or seconds since 1970.
    Raises :class:`sensors.decoding.Unreadable` for a place that is none.
    """
    known = with_aliases(keys)
    places = [(field, json_place(path)) for field, path in (paths or {}).items()]
    device_place = None if device_path is None else json_place(device_path)
    time_place = None if time_path is None else json_place(time_path)

    def decode(topic: str, payload: bytes) -> Decoded:
        levels = _levels(patterns, topic)
        entries = json_object(text_of(payload, PAYLOAD_LIMIT))
        if places:
            found = ((at.text, field, at.look_up(entries)) for field, at in places)
            values = once_each((p, measure(f, raw, p, temperature_unit)) for p, f, raw in found if raw is not None)
            said = Decoded("", values, stated_ms(entries), is_heating(entries))
        else:
            said = flat_object(entries, known, temperature_unit, device_keys=() if levels else DEVICE_KEYS)
        device = _device_of(levels, topic) or said.device
        if device_place is not None and (named := device_place.look_up(entries)) is not None:
            device = device_name(named, device_place.text)
        own_ms = said.own_ms
        if time_place is not None and (stated := time_place.look_up(entries)) is not None:
            own_ms = own_time_ms(stated, time_place.text)
        return Decoded(device, said.values, own_ms, said.heating)

    return decode


def number_payload(
    *,
    patterns: Sequence[str],
    field: Field | None = None,
    keys: Mapping[str, Field] | None = None,
    temperature_unit: TemperatureUnit = "C",
) -> PayloadFormat:
    """One number a topic (``shop/loft/humidity`` carrying ``41.2``). The quantity is ``field``, or else what the
    topic's last level names; that level is then no part of the device's name."""
    known = with_aliases(keys)

    def decode(topic: str, payload: bytes) -> Decoded:
        levels = _levels(patterns, topic)
        text = text_of(payload, PAYLOAD_LIMIT)
        meant = field
        if meant is None:
            last = topic.rpartition("/")[2]
            meant = known.get(last.lower())
            levels = levels[:-1] if levels and levels[-1] == last else levels
        if meant is None:
            raise Unreadable(f"found topic {topic[:80]!r}; would be right: one that ends in {', '.join(sorted(known))}")
        value = measure(meant, text, _key_of(topic), temperature_unit)
        return Decoded(_device_of(levels, topic), once_each([(topic, value)]))

    return decode
