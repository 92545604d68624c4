"""Announcements: what is taken of them, and the many that are not."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.decoding import Decoded, Unreadable
from sensors.discovered_names import names
from sensors.discovery import (
    Discovered,
    NotTaken,
    check_prefix,
    discovered,
    filters,
    is_announcement,
    is_plain_topic,
    read_state,
)
from sensors.payloads import check_pattern, plus_levels
from sensors.places import template

PREFIX = "homeassistant"
TOPIC = f"{PREFIX}/sensor/loft-1/temperature/config"
GOOD: dict[str, Any] = {
    "state_topic": "shop/loft-1/air",
    "value_template": "{{ value_json.temperature }}",
    "unit_of_measurement": "°C",
    "device_class": "temperature",
    "device": {"identifiers": ["loft-1"], "name": "Rack loft"},
}


def said(topic: str = TOPIC, drop: str = "", **more: Any) -> Discovered | NotTaken:
    content = {key: value for key, value in {**GOOD, **more}.items() if key != drop}
    return discovered(PREFIX, topic, json.dumps(content).encode())


def taken(topic: str = TOPIC, drop: str = "", **more: Any) -> Discovered:
    found = said(topic, drop, **more)
    assert isinstance(found, Discovered), found
    return found


def test_a_sensor_is_taken() -> None:
    assert taken() == Discovered(
        topic="shop/loft-1/air",
        device="loft-1",
        name="Rack loft",
        object_id="temperature",
        field="temperature_c",
        place=template("{{ value_json.temperature }}"),
    )


def test_short_keys_and_a_base_topic_mean_the_same() -> None:
    short = {
        "~": "shop/loft-1",
        "stat_t": "~/air",
        "val_tpl": "{{ value_json.temperature }}",
        "unit_of_meas": "°C",
        "dev_cla": "temperature",
        "dev": {"ids": "loft-1", "name": "Rack loft"},
        "avty_t": "~/lives",
        "uniq_id": "x",
    }
    assert discovered(PREFIX, TOPIC, json.dumps(short).encode()) == taken()
    assert taken(state_topic="air/~", **{"~": "shop"}).topic == "air/shop"


@pytest.mark.parametrize(
    ("kind", "unit", "field"),
    [
        ("temperature", "°C", "temperature_c"),
        ("temperature", "℃", "temperature_c"),
        ("temperature", "°F", "temperature_f"),
        ("temperature", None, "temperature"),
        ("humidity", "%", "humidity_pct"),
        ("humidity", None, "humidity_pct"),
    ],
)
def test_the_unit_decides(kind: str, unit: str | None, field: str) -> None:
    assert taken(device_class=kind, unit_of_measurement=unit).field == field


@pytest.mark.parametrize(
    ("device", "topic", "known", "called"),
    [
        ({"identifiers": ["0x00a1", "b"], "name": "Rack loft"}, TOPIC, "0x00a1", "Rack loft"),
        ({"identifiers": "0x00a1"}, TOPIC, "0x00a1", "0x00a1"),
        ({"identifiers": [17]}, TOPIC, "17", "17"),
        ({"name": "Rack loft"}, TOPIC, "Rack loft", "Rack loft"),
        ({"identifiers": []}, TOPIC, "loft-1", "loft-1"),
        (None, TOPIC, "loft-1", "loft-1"),
        (None, f"{PREFIX}/sensor/loft_t/config", "loft_t", "loft_t"),
    ],
)
def test_the_device_is_its_identifier_else_its_name_else_the_topics(
    device: Any, topic: str, known: str, called: str
) -> None:
    found = taken(topic, device=device)
    assert (found.device, found.name) == (known, called)


def test_without_a_template_the_whole_message_is_the_value() -> None:
    assert taken(drop="value_template").place == template("{{ value }}")


@pytest.mark.parametrize(
    ("options", "reason"),
    [
        ({"state_topic": None}, "state_topic: found 'None'; would be right: a topic"),
        ({"state_topic": 7}, "state_topic: found '7'"),
        ({"state_topic": ""}, "state_topic: found ''; would be right: one topic without"),
        ({"state_topic": "shop/#"}, "found 'shop/#'; would be right: one topic without + and #"),
        ({"state_topic": "shop/+/air"}, "would be right: one topic without + and #"),
        ({"state_topic": "$SYS/broker/uptime"}, "would be right: one topic without + and #, and not $"),
        ({"state_topic": "$share/us/shop/air"}, "would be right: one topic without + and #, and not $"),
        ({"state_topic": "a\0b"}, "would be right: one topic"),
        ({"state_topic": "/".join("a" * 60)}, "would be right: one topic"),
        ({"state_topic": TOPIC}, "would be right: one topic"),
        ({"state_topic": "~/air", "~": "#"}, "found '#/air'; would be right: one topic"),
        ({"~": 3}, "state_topic: found 'shop/loft-1/air'"),
        ({"value_template": "{{ value_json.t | float }}"}, "found '| float' in the template"),
        ({"value_template": "{{ ''.__class__ }}"}, "found the template"),
        ({"value_template": "value_json.t"}, "found the template"),
        ({"value_template": ["a"]}, "value_template: found \"['a']\""),
        ({"unit_of_measurement": "K"}, "unit_of_measurement: found 'K' for temperature; would be right: °C or °F"),
        ({"unit_of_measurement": "%"}, "unit_of_measurement: found '%' for temperature"),
        ({"unit_of_measurement": 5}, "unit_of_measurement: found '5'"),
        ({"device_class": "humidity"}, "unit_of_measurement: found '°C' for humidity; would be right: %"),
        ({"device": "loft"}, "device: found 'loft'; would be right: an object"),
        ({"device": {"identifiers": ["a" * 65]}}, "device: found 'aaaa"),
        ({"device": {"identifiers": [["a"]]}}, "device: found \"['a']\"; would be right: a name"),
        ({"device": {"identifiers": "a", "name": "tab\there"}}, "name: found 'tab\\there'"),
        ({"stat_t": "shop/x"}, "found state_topic twice, long and short; would be right: once"),
    ],
)
def test_a_sensor_that_is_announced_wrongly_says_why(options: dict[str, Any], reason: str) -> None:
    found = said(**options)
    assert isinstance(found, NotTaken)
    assert found.kind == "mistaken"
    assert reason in found.reason
    assert "would be right" in found.reason


@pytest.mark.parametrize(
    ("payload", "reason"),
    [
        (b"\xff\xfe", "would be right: UTF-8"),
        (b"20.4", "would be right: an object"),
        (b"[1]", "would be right: an object"),
        (b'{"device_class": "temperature"', "would be right: one JSON value"),
        (b'{"a": 1, "a": 2}', "found the key 'a' twice"),
        (b'{"a":' * 1600, "deeper than 32 levels; would be right: a flatter JSON value"),
        (b'{"a":' * 40 + b"1" + b"}" * 40, "deeper than 32 levels"),
        (b'{"a": NaN}', "found NaN"),
        (b'{"x": "' + b"a" * 9000 + b'"}', "would be right: at most 8192"),
    ],
)
def test_a_payload_that_cannot_be_read_says_why(payload: bytes, reason: str) -> None:
    found = discovered(PREFIX, TOPIC, payload)
    assert isinstance(found, NotTaken)
    assert (found.kind, reason in found.reason) == ("mistaken", True), found.reason


@pytest.mark.parametrize("kind", ["battery", "pressure", None, ["temperature"], {"a": 1}])
def test_what_measures_something_else_is_none_of_our_business(kind: Any) -> None:
    found = said(device_class=kind)
    assert isinstance(found, NotTaken)
    assert found.kind == "other"


@pytest.mark.parametrize(
    "topic",
    [
        f"{PREFIX}/light/loft/config",
        f"{PREFIX}/binary_sensor/loft/temperature/config",
        f"{PREFIX}/sensor/config",
        f"{PREFIX}/sensor/a/b/c/config",
        f"{PREFIX}/sensor/a b/config",
        f"{PREFIX}/sensor/loft/state",
        f"{PREFIX}/status",
        "other/sensor/loft/config",
        "shop/loft/air",
    ],
)
def test_other_topics_are_none_of_our_business(topic: str) -> None:
    found = said(topic)
    assert isinstance(found, NotTaken)
    assert found.kind == "other"


@pytest.mark.parametrize("payload", [b"", b"  \n"])
def test_an_empty_message_takes_it_back(payload: bytes) -> None:
    found = discovered(PREFIX, TOPIC, payload)
    assert isinstance(found, NotTaken)
    assert found.kind == "removed"


def test_the_filters_bring_every_announcement_of_a_sensor() -> None:
    for topic in (TOPIC, f"{PREFIX}/sensor/loft/config"):
        assert plus_levels(filters(PREFIX), topic) is not None
        assert is_announcement(PREFIX, topic)
    assert not is_announcement(PREFIX, "shop/loft/config")
    assert is_announcement("house/auto", "house/auto/sensor/loft/config")


@pytest.mark.parametrize("prefix", ["", "+", "a/#", "$SYS", "a//b", "a/"])
def test_a_prefix_is_checked(prefix: str) -> None:
    assert "would be right" in str(check_prefix(prefix))
    assert check_prefix("homeassistant") is None


def test_one_message_may_hold_both_quantities_and_several_devices() -> None:
    t, h = taken(), taken(device_class="humidity", unit_of_measurement="%", value_template="{{ value_json.h }}")
    other = taken(device={"identifiers": "rack"}, value_template="{{ value_json.rack.t }}", unit_of_measurement="°F")
    entities = [("loft-1", t), ("loft-1", h), ("rack", other)]
    payload = b'{"temperature": 20.4, "h": 41.2, "rack": {"t": 68}, "t_ms": 1799757720000}'
    assert read_state(entities, payload) == [
        Decoded("loft-1", (("temperature_c", 20.4), ("humidity_pct", 41.2)), 1_799_757_720_000),
        Decoded("rack", (("temperature_c", 20.0),), 1_799_757_720_000),
    ]
    assert read_state(entities, b'{"h": "41.2"}') == [Decoded("loft-1", (("humidity_pct", 41.2),))]


@pytest.mark.parametrize(
    ("payload", "reason"),
    [
        (b'{"battery": 90}', "found '{\"battery\": 90}'; would be right: something at {{ value_json.temperature }}"),
        (b'{"temperature": "unknown"}', "found 'unknown'; would be right: a number"),
        (b'{"temperature": [[[]]]}', "would be right: a number"),
        (b"20.4", "would be right: something at"),
        (b"", "would be right: one JSON value"),
    ],
)
def test_a_state_that_cannot_be_read_says_why(payload: bytes, reason: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_state([("loft-1", taken())], payload)
    assert reason in str(caught.value)


def test_a_plain_number_needs_no_json_and_takes_the_unit_of_the_source() -> None:
    plain = taken(drop="value_template", unit_of_measurement="")
    assert read_state([("a", plain)], b"20.4") == [Decoded("a", (("temperature_c", 20.4),))]
    assert read_state([("a", plain)], b"68", "F") == [Decoded("a", (("temperature_c", 20.0),))]


def test_a_device_that_measures_one_quantity_twice_keeps_them_apart_whatever_came_first() -> None:
    """The room's temperature and that of the device's own chip, both announced as temperatures of one device."""
    room, chip = TOPIC, TOPIC.replace("temperature", "chip_temperature")
    announced = {chip: taken(chip), room: taken(room)}
    told = {room: "loft-1", chip: "loft-1.chip_temperature"}
    assert names(announced) == names(dict(reversed(announced.items()))) == told
    assert names({chip: announced[chip]}) == {chip: "loft-1"}


def test_topics_are_told_from_filters() -> None:
    assert is_plain_topic("a/b c/ü")
    assert not any(map(is_plain_topic, ["", "a/+", "#", "$SYS/a"]))


@pytest.mark.parametrize("odd", ["\0", "\x01", "\x1f", "\x7f", "\x85", "\ud800", "\ufdd0", "\ufffe", "\U0010ffff"])
def test_a_topic_that_a_broker_may_hang_up_for_is_refused(odd: str) -> None:
    """MQTT 5.0 section 1.5.4: no surrogates and no U+0000; control characters and noncharacters may end the link."""
    assert not is_plain_topic(f"shop/{odd}")
    assert check_prefix(f"home{odd}") is not None
    assert f"U+{ord(odd):04X}" in str(check_pattern(f"shop/{odd}"))
    for more in ({"state_topic": f"shop/{odd}"}, {"state_topic": "~/air", "~": odd}):
        found = said(**more)
        assert isinstance(found, NotTaken)
        assert found.kind == "mistaken"
        assert f"U+{ord(odd):04X}" in found.reason


@pytest.mark.parametrize("odd", ["\x01", "\ud800"])
def test_a_place_that_cannot_be_written_down_is_refused(odd: str) -> None:
    found = said(value_template=f"{{{{ value_json['{odd}'] }}}}")
    assert isinstance(found, NotTaken)
    assert "printable" in found.reason


texts = st.text(
    st.characters(exclude_categories=()) | st.sampled_from("\ud800\udfff\0\x01\x7f\x85\ufffe~/+#$"), max_size=20
)
json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(st.sampled_from([*GOOD, "~", "stat_t", "dev", "name"]), json_values), st.binary(max_size=40))
def test_whatever_is_announced_is_judged(more: dict[str, Any], junk: bytes) -> None:
    """Field pitfall 4: any bytes end as taken or with a reason, and the reason can be written down."""
    for payload in (json.dumps({**GOOD, **more}).encode(), junk, json.dumps(GOOD).encode()[: len(junk)] + junk):
        found = discovered(PREFIX, TOPIC, payload)
        if isinstance(found, NotTaken):
            found.reason.encode()
        else:
            assert is_plain_topic(found.topic)
