"""Devices that announce themselves at a broker: from a configuration message to what is worth subscribing to.

The scheme is an open, documented one that many gateways write: a JSON object at
``<prefix>/<component>/[<node_id>/]<object_id>/config``, with long or short keys, says where a device's state is
published, in which unit, and where in the payload it stands. The prefix is ``homeassistant`` unless somebody changed
it. Taken are sensors of temperature and humidity; an empty message takes an announcement back.

Pure: nothing is subscribed here, and nothing that came over the wire is evaluated.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from sensors.decoding import (
    Decoded,
    Field,
    TemperatureUnit,
    Unreadable,
    device_name,
    is_heating,
    json_object,
    json_value,
    measure,
    once_each,
    stated_ms,
    text_of,
)
from sensors.payloads import PAYLOAD_LIMIT, check_pattern, odd_character
from sensors.places import Place, template
from sensors.sample import Quantity

COMPONENT = "sensor"
_PART = re.compile(r"[A-Za-z0-9_-]{1,64}", re.ASCII)
_LONG = {
    "stat_t": "state_topic",
    "val_tpl": "value_template",
    "unit_of_meas": "unit_of_measurement",
    "dev_cla": "device_class",
    "dev": "device",
    "ids": "identifiers",
}
"""Short keys of the scheme for the long ones that are read here."""
_FIELDS: Mapping[tuple[str, str], Field] = {
    ("temperature", "°C"): "temperature_c",
    ("temperature", "C"): "temperature_c",
    ("temperature", "°F"): "temperature_f",
    ("temperature", "F"): "temperature_f",
    ("temperature", ""): "temperature",
    ("humidity", "%"): "humidity_pct",
    ("humidity", ""): "humidity_pct",
}
_CLASSES = ("temperature", "humidity")


@dataclass(frozen=True, slots=True)
class Discovered:
    """One quantity of one device.

    ``device`` is what it is known by (see :mod:`sensors.discovered_names`), ``name`` what its maker or owner calls it,
    ``object_id`` tells the quantities of one device apart. ``field`` "temperature" is one whose unit was not announced.
    ``twin`` is "" for a device with an identifier; of others with one name it tells one from the next.
    """

    topic: str
    device: str
    name: str
    object_id: str
    field: Field
    place: Place
    twin: str = ""

    @property
    def quantity(self) -> Quantity:
        """What it measures."""
        return "humidity_pct" if self.field == "humidity_pct" else "temperature_c"


@dataclass(frozen=True, slots=True)
class NotTaken:
    """Why nothing comes of a message: ``removed`` takes an announcement back, ``other`` is none of our business (a
    light, a battery), ``mistaken`` would be a sensor of ours but for what ``reason`` says."""

    kind: Literal["removed", "other", "mistaken"]
    reason: str


def filters(prefix: str) -> tuple[str, str]:
    """What to subscribe to for the announcements of sensors below ``prefix``."""
    return f"{prefix}/{COMPONENT}/+/config", f"{prefix}/{COMPONENT}/+/+/config"


def check_prefix(prefix: str) -> str | None:
    """Why ``prefix`` is none, with what would be right; None if it is one."""
    if is_plain_topic(prefix) and all(prefix.split("/")):
        return None
    return f"found {prefix[:40]!r}; would be right: the first level of the announcements, such as homeassistant"


def is_plain_topic(topic: str) -> bool:
    """Whether subscribing to ``topic`` brings that one topic: no wildcard, nothing of the broker's own ($SYS), no
    shared subscription ($share)."""
    return check_pattern(topic) is None and not set(topic) & {"+", "#"} and not topic.startswith("$")


def is_announcement(prefix: str, topic: str) -> bool:
    """Whether a message on ``topic`` configures something, sensor or not, and so is no reading."""
    return _ids(prefix, topic) is not None


def discovered(prefix: str, topic: str, payload: bytes) -> Discovered | NotTaken:
    """What an announcement comes to. Never raises: a payload that cannot be read is ``mistaken``."""
    ids = _ids(prefix, topic)
    if ids is None:
        return NotTaken("other", f"found topic {topic[:80]!r}; would be right: {prefix}/{COMPONENT}/.../config")
    component, node_and_object = ids[0], ids[1:]
    if component != COMPONENT:
        return NotTaken("other", f"found a {component}; would be right: a {COMPONENT}")
    if not payload.strip():
        return NotTaken("removed", "the announcement is taken back")
    try:
        return _read(prefix, node_and_object, payload)
    except Unreadable as err:
        return NotTaken("mistaken", str(err))


def read_state(
    announced: Sequence[tuple[str, Discovered]], payload: bytes, temperature_unit: TemperatureUnit = "C"
) -> list[Decoded]:
    """A message on a state topic, as one sample a device; ``announced`` holds (device name, quantity) of that topic.
    What is not in this message is left out. Raises :class:`sensors.decoding.Unreadable`."""
    text = text_of(payload, PAYLOAD_LIMIT)
    value = json_value(text) if any(one.place.steps for _, one in announced) else None
    whole = value if isinstance(value, dict) else {}
    own_ms, heating = stated_ms(whole), is_heating(whole)
    by_device: dict[str, list[tuple[str, tuple[Quantity, float]]]] = {}
    for device, one in announced:
        raw = one.place.look_up(value) if one.place.steps else text
        if raw is not None:
            measured = measure(one.field, raw, one.place.text, temperature_unit)
            by_device.setdefault(device, []).append((one.place.text, measured))
    if not by_device:
        places = ", ".join(sorted({one.place.text for _, one in announced}))
        raise Unreadable(f"found {text[:40]!r}; would be right: something at {places[:200]}, as was announced")
    return [Decoded(device, once_each(measured), own_ms, heating) for device, measured in by_device.items()]


def _ids(prefix: str, topic: str) -> tuple[str, ...] | None:
    """Component, node id if there is one, and object id."""
    if not topic.startswith(f"{prefix}/") or not topic.endswith("/config"):
        return None
    levels = tuple(topic[len(prefix) + 1 : -len("/config")].split("/"))
    return levels if len(levels) in {2, 3} and all(map(_PART.fullmatch, levels)) else None


def _read(prefix: str, ids: tuple[str, ...], payload: bytes) -> Discovered | NotTaken:
    said = _with_long_keys(json_object(text_of(payload, PAYLOAD_LIMIT)))
    kind = said.get("device_class")
    if kind not in _CLASSES:
        return NotTaken("other", f"found device_class {str(kind)[:40]!r}; would be right: {' or '.join(_CLASSES)}")
    field = _field(str(kind), said)
    topic = _state_topic(prefix, said)
    where = said.get("value_template", "{{ value }}")
    if not isinstance(where, str):
        raise Unreadable(f"value_template: found {str(where)[:40]!r}; would be right: {{{{ value_json.a.b }}}}")
    device, name, is_identified = _device(ids, said)
    place = template(where)
    twin = "" if is_identified else _twin(ids, topic, place)
    return Discovered(topic, device, name, ids[-1], field, place, twin)


def _with_long_keys(entries: Mapping[str, object]) -> dict[str, object]:
    long: dict[str, object] = {}
    for key, value in entries.items():
        full = _LONG.get(key, key)
        if full in long:
            raise Unreadable(f"found {full} twice, long and short; would be right: once")
        long[full] = value
    return long


def _field(kind: str, said: Mapping[str, object]) -> Field:
    unit = said.get("unit_of_measurement") or ""
    # ℃ is one character that means the two of °C.
    written = unicodedata.normalize("NFKC", unit).strip() if isinstance(unit, str) else str(unit)
    field = _FIELDS.get((kind, written))
    if field is None:
        right = "%" if kind == "humidity" else "°C or °F"
        raise Unreadable(f"unit_of_measurement: found {written[:20]!r} for {kind}; would be right: {right}")
    return field


def _state_topic(prefix: str, said: Mapping[str, object]) -> str:
    """The state topic, with the base topic put in for a ``~`` at its beginning or end."""
    topic, base = said.get("state_topic"), said.get("~", "")
    if not isinstance(topic, str) or not isinstance(base, str):
        raise Unreadable(f"state_topic: found {str(topic)[:40]!r}; would be right: a topic, such as shop/loft/air")
    if base and topic.startswith("~"):
        topic = base + topic[1:]
    elif base and topic.endswith("~"):
        topic = topic[:-1] + base
    if reason := odd_character(topic):
        raise Unreadable(f"state_topic: {reason}")
    if not is_plain_topic(topic) or is_announcement(prefix, topic):
        raise Unreadable(f"state_topic: found {topic[:80]!r}; would be right: one topic without + and #, and not $...")
    return topic


def _twin(ids: tuple[str, ...], topic: str, place: Place) -> str:
    """What two devices without an identifier differ in: the node id, else where they publish. One that has a topic for
    each number has them side by side, below one level."""
    if len(ids) > 1:
        return ids[0]
    return topic if place.steps else topic.rpartition("/")[0] or topic


def _device(ids: tuple[str, ...], said: Mapping[str, object]) -> tuple[str, str, bool]:
    """By what the device is known here, its name for people, and whether it has an identifier: known by its first one,
    else its name, else the node id and at last the object id of the topic."""
    told = said.get("device") or {}
    if not isinstance(told, dict):
        raise Unreadable(f"device: found {str(told)[:40]!r}; would be right: an object with identifiers or a name")
    device = _with_long_keys(told)
    listed = device.get("identifiers")
    first = listed[0] if isinstance(listed, list) and listed else listed
    name = device.get("name") or said.get("name")
    known = first or device.get("name") or ids[0]
    called = device_name(known, "device")
    return called, called if name is None else device_name(name, "name"), bool(first)
