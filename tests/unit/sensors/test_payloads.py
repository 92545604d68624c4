"""Topics and payloads to numbers. Topic matching is checked on the examples of MQTT 5.0 (OASIS 2019) section 4.7.1."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.decoding import Decoded, Unreadable, json_value
from sensors.payloads import check_pattern, json_payload, number_payload, plus_levels

BENCH = (("temperature_c", 20.4), ("humidity_pct", 41.2))


@pytest.mark.parametrize(
    ("pattern", "topic", "matches"),
    [
        ("sport/tennis/player1/#", "sport/tennis/player1", True),
        ("sport/tennis/player1/#", "sport/tennis/player1/ranking", True),
        ("sport/tennis/player1/#", "sport/tennis/player1/score/wimbledon", True),
        ("sport/#", "sport", True),
        ("#", "sport/tennis", True),
        ("sport/tennis/+", "sport/tennis/player1", True),
        ("sport/tennis/+", "sport/tennis/player1/ranking", False),
        ("sport/+", "sport", False),
        ("sport/+", "sport/", True),
        ("+/+", "/finance", True),
        ("/+", "/finance", True),
        ("+", "/finance", False),
    ],
)
def test_topics_match_as_the_standard_says(pattern: str, topic: str, matches: bool) -> None:
    assert (plus_levels([pattern], topic) is not None) is matches


@pytest.mark.parametrize("pattern", ["sport/tennis#", "sport/tennis/#/ranking", "sport+", ""])
def test_the_filters_the_standard_forbids_are_refused(pattern: str) -> None:
    assert "would be right" in str(check_pattern(pattern))


@pytest.mark.parametrize("pattern", ["sport/#", "+", "+/tennis/#", "sport/+/player1", "#"])
def test_the_filters_the_standard_allows_are_taken(pattern: str) -> None:
    assert check_pattern(pattern) is None


def test_the_plus_level_names_the_device() -> None:
    decode = json_payload(patterns=["shop/+/air"])
    assert decode("shop/loft/air", b'{"temperature": 20.4, "humidity": 41.2}') == Decoded("loft", BENCH)


def test_several_plus_levels_are_joined_so_that_two_lofts_stay_two() -> None:
    assert json_payload(patterns=["x/+/+/air"])("x/barn/loft/air", b'{"t": 20.4}').device == "barn.loft"


def test_nested_places_and_times_are_configured() -> None:
    decode = json_payload(
        patterns=["gateway/#"],
        paths={"temperature_f": "climate.air.t", "humidity_pct": "climate.rh"},
        device_path="node.name",
        time_path="node.when",
    )
    payload = b'{"node": {"name": "rack", "when": "2027-01-12T12:42:36Z"}, "climate": {"air": {"t": 68}, "rh": 41.2}}'
    told = decode("gateway/in", payload)
    assert told == Decoded("rack", (("temperature_c", 20.0), ("humidity_pct", 41.2)), 1799757756000)


def test_without_a_level_the_payload_may_name_the_device() -> None:
    assert json_payload(patterns=["gateway"])("gateway", b'{"id": 7, "t": 20.4}').device == "7"


def test_one_number_a_topic() -> None:
    decode = number_payload(patterns=["shop/+/temperature", "shop/+/humidity"])
    assert decode("shop/loft/temperature", b"20.4") == Decoded("loft", (("temperature_c", 20.4),))
    assert decode("shop/loft/humidity", b"41.2 %") == Decoded("loft", (("humidity_pct", 41.2),))
    assert number_payload(patterns=["shop/+/+"])("shop/loft/RH", b"41.2") == Decoded("loft", (("humidity_pct", 41.2),))
    told = number_payload(patterns=["attic/+"], field="temperature", temperature_unit="F")("attic/north", b"68")
    assert told == Decoded("north", (("temperature_c", 20.0),))


@pytest.mark.parametrize(
    ("topic", "payload", "reason"),
    [
        ("shop/loft/air", b"20.4", "would be right: an object"),
        ("shop/loft/air", b"\xff", "would be right: UTF-8"),
        ("shop/loft/air", b"{}", "neither a temperature nor a humidity"),
        ("shop/loft/air", b" " * 9000, "found 9000 bytes; would be right: at most 8192"),
        ("shop/loft/light", b"{}", "found topic 'shop/loft/light'; would be right: one of shop/\\+/air"),
        ("shop//air", b'{"t": 20.4}', "topic shop//air: found ''; would be right: a name"),
        ("shop/loft/air", b'{"a":' * 1600, "deeper than 32 levels; would be right: a flatter JSON value"),
        ("shop/loft/air", b'{"t": ' + b"[" * 900 + b"]" * 900 + b"}", "deeper than 32 levels"),
        ("shop/loft/air" + "/a" * 57, b'{"t": 20.4}', "found 60 levels in the topic .*would be right: at most 32"),
    ],
)
def test_payloads_say_why_they_are_refused(topic: str, payload: bytes, reason: str) -> None:
    with pytest.raises(Unreadable, match=reason):
        json_payload(patterns=["shop/+/air"])(topic, payload)


@pytest.mark.parametrize("levels", [33, 999, 1001, 100_000])
@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ('{"a":', "}")])
def test_towers_of_any_height_are_refused_in_the_same_words(levels: int, opening: str, closing: str) -> None:
    with pytest.raises(Unreadable, match="deeper than 32 levels; would be right: a flatter JSON value"):
        json_value(opening * levels + "1" + closing * levels)


def test_a_topic_that_names_no_quantity_is_refused() -> None:
    with pytest.raises(Unreadable, match="found topic 'shop/loft/light'; would be right: one that ends in h, hum"):
        number_payload(patterns=["shop/+/+"])("shop/loft/light", b"300")


def test_lists_and_templates_are_places_too() -> None:
    decode = json_payload(
        patterns=["gateway"], paths={"temperature": "air.0.t", "humidity_pct": "{{ value_json.h[1] }}"}
    )
    told = decode("gateway", b'{"air": [{"t": 20.4}], "h": [0, 41.2]}')
    assert told.values == BENCH


def test_a_place_that_is_none_is_refused_at_once() -> None:
    with pytest.raises(Unreadable, match="without filters or sums"):
        json_payload(patterns=["gateway"], paths={"temperature": "{{ value_json.t | float }}"})
    assert "at most 32" in str(check_pattern("/".join("+" * 60)))


@given(st.binary(max_size=200) | st.text(max_size=60).map(str.encode), st.text(max_size=30))
def test_any_payload_on_any_topic_ends_as_numbers_or_with_a_reason(payload: bytes, topic: str) -> None:
    """Field pitfall 4: what a wire carries never ends the reading of it, and can be written down."""
    for decode in (
        json_payload(patterns=["#"]),
        json_payload(patterns=["#"], paths={"temperature": "a.b"}, device_path="d", time_path="t"),
        number_payload(patterns=["#"], field="temperature"),
        number_payload(patterns=["+/+", "#"]),
    ):
        try:
            said = decode(topic, payload)
        except Unreadable as err:
            reason = str(err)
        else:
            assert all(math.isfinite(value) for _, value in said.values)
            reason = said.device
        reason.encode()
