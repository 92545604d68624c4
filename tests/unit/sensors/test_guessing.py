"""From what is heard to what would read it. Devices, topics and figures are made up; how ordinary a room is, is common
practice without a source, so a guess that rests on it alone is never called sure."""

from __future__ import annotations

import json
from typing import Any

import pytest

from sensors import meaning
from sensors.guess import Guess, Reason
from sensors.guessing import guess_lines
from sensors.guessing_topics import guess_topics, why_not
from sensors.meaning import named_field, number_of
from server.heard import GuessPart, Place, Told
from server.snapshot import Speaker
from server.words import Words
from tests.flow.conftest import read_config

PORT = "/dev/serial/by-id/usb-fictional-1"


def lines(*texts: str) -> list[bytes]:
    return [text.encode() for text in texts]


def guess(*texts: str) -> Guess:
    found = guess_lines(lines(*texts))
    assert isinstance(found, Guess), found
    return found


def refusal(*texts: str) -> Reason:
    found = guess_lines(lines(*texts))
    assert isinstance(found, Reason), found
    return found


SERIAL: list[tuple[str, tuple[str, ...], dict[str, Any], str, tuple[str, ...]]] = [
    ("pairs", ("T=20.4 RH=41.2", "T=20.5 RH=41.0"), {"format": "key=value"}, "likely", ("",)),
    ("pairs in F", ("t=68.1 rh=40.2",), {"format": "key=value", "temperature_unit": "F"}, "likely", ("",)),
    ("written units", ("id=loft T=68.1F RH=40%",), {"format": "key=value"}, "sure", ("loft",)),
    (
        "own keys",
        ("tempF=68.1;relHum=40;batt=87",),
        {"format": "key=value", "keys": {"tempF": "temperature_f", "relHum": "humidity_pct"}},
        "sure",
        ("",),
    ),
    (
        "columns",
        ("20.4,41.2", "20.5,41.0"),
        {"format": "numbers", "order": ["temperature_c", "humidity_pct"], "separator": ","},
        "likely",
        ("",),
    ),
    (
        "columns in F",
        ("68.7,40.1",),
        {"format": "numbers", "order": ["temperature_f", "humidity_pct"], "separator": ","},
        "likely",
        ("",),
    ),
    (
        "the other way round",
        ("41.2;20.4",),
        {"format": "numbers", "order": ["humidity_pct", "temperature_c"], "separator": ";"},
        "likely",
        ("",),
    ),
    (
        "a name and more",
        ("loft 20.4 41.2 1013.2", "bench 19.0 44.0 1013.2"),
        {"format": "numbers", "order": ["device", "temperature_c", "humidity_pct", "skip"], "separator": " "},
        "likely",
        ("loft", "bench"),
    ),
    (
        "words between",
        ("Humidity: 41.20%  Temperature: 20.40°C",),
        {"format": "numbers", "order": ["skip", "humidity_pct", "skip", "temperature_c"], "separator": " "},
        "sure",
        ("",),
    ),
    ("json", ('{"temperature": 20.4, "humidity": 41.2}',), {"format": "json"}, "likely", ("",)),
    (
        "json in F with its own time",
        ('{"id": "n1", "temp": 68.0, "hum": 40, "battery": 91, "ts": 1799755200}',),
        {"format": "json", "temperature_unit": "F", "time_key": "ts"},
        "likely",
        ("n1",),
    ),
    ("a humidity alone", ("RH=41.2 dew=6.9",), {"format": "key=value"}, "sure", ("",)),
    ("a temperature alone", ("T=68.1",), {"format": "key=value", "temperature_unit": "F"}, "likely", ("",)),
]


@pytest.mark.parametrize(("said", "options", "sure", "devices"), [s[1:] for s in SERIAL], ids=[s[0] for s in SERIAL])
def test_lines(said: tuple[str, ...], options: dict[str, Any], sure: str, devices: tuple[str, ...]) -> None:
    found = guess(*said)
    assert found.options == options
    assert found.sure == sure
    assert found.devices == devices
    assert found.read == found.heard == len(said)


def test_68_with_40_beside_it_is_fahrenheit_and_says_why() -> None:
    """Fahrenheit to Celsius is exact by definition of the scale: 68 °F is 20 °C."""
    found = guess("T=68 RH=40")
    assert found.why[0] == Reason(
        "guess-temperature-value", {"place": "T", "unit": "°F", "raw": "68", "temperature_c": 20.0}
    )
    assert found.why[-1] == Reason("guess-read", {"read": 1, "heard": 1})


def test_half_a_line_makes_it_less_sure_and_boot_text_does_not_stop_it() -> None:
    assert guess("T=20.4 RH=41.2", "T=20.4 RH=41.2", "boot ok").sure == "likely"


def test_a_unit_that_rests_on_the_value_is_never_sure() -> None:
    """A kiln at 45 °C is as ordinary a number as a shed at 45 °F, and only a person knows which it is."""
    for said in ('{"temperature": 45.0, "humidity": 12}', "T=46.0 RH=15", "T=20.4 RH=41.2", "T=68.1 RH=40.2"):
        assert guess(*[said] * 8).sure == "likely"
    assert guess("T=45.0C RH=12").sure == guess('{"temp_c": 45.0, "rh": 12}').sure == "sure"


def test_a_thousand_keys_are_not_compared_with_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every pair in two units would be two million; what is left out makes the guess unsure."""
    compared = []
    weigh = meaning._dampness
    monkeypatch.setattr(meaning, "_dampness", lambda one: compared.append(one) or weigh(one))  # type: ignore[func-returns-value]
    payload = json.dumps({f"k{'abcdefghij'[n % 10]}x{n}": 20 + n % 40 for n in range(500)}).encode()
    ((_, found),) = guess_topics({"gw/status": [payload]})
    assert found.sure == "unsure"
    assert len(compared) <= 2 * meaning.CANDIDATES**2


def test_a_number_that_names_the_device_is_proposed_as_such() -> None:
    """Left alone, the bench's 20 °C and the yard's 5 °C would be one sensor's, turn by turn."""
    found = guess(*["1,20.4,41.2", "2,5.1,80.2"] * 4)
    assert found.options["order"] == ["device", "temperature_c", "humidity_pct"]
    assert found.devices == ("1", "2")
    assert guess(*(f"{n},20.4,41.2" for n in range(8))).options["order"][0] == "skip", "a count"
    said = [f'{{"node": {n}, "temperature": {t}, "humidity": 41.2}}'.encode() for n, t in ((1, 20.4), (2, 5.1))]
    ((_, found),) = guess_topics({"gw/up": said})
    assert (found.options["device_path"], found.devices) == ("node", ("1", "2"))


@pytest.mark.parametrize(
    ("said", "place"),
    [
        (('{"sensor": "a", "t": 20.4, "h": 41.2}', '{"sensor": "b", "t": 5.1, "h": 80.2}'), "sensor"),
        (("node=1 T=20.4C RH=41.2", "node=2 T=5.1C RH=80.2"), "node"),
        (("7,20.4,41.2", "3,5.1,80.2"), "1"),
    ],
)
def test_devices_that_a_format_cannot_tell_apart_make_it_unsure(said: tuple[str, ...], place: str) -> None:
    found = guess(*said)
    assert found.sure == "unsure"
    assert found.why[-1] == Reason("guess-several-devices", {"place": place})
    assert "guess-several-devices" not in [why.key for why in guess(*said[:1]).why]


def test_several_ids_at_one_topic_make_it_unsure() -> None:
    said = [f'{{"rx": {{"addr": {n}}}, "temp_c": 20.4, "rh": 41.2}}'.encode() for n in (1, 2)]
    ((_, found),) = guess_topics({"gw/up": said})
    assert (found.sure, found.why[-1]) == ("unsure", Reason("guess-several-devices", {"place": "rx.addr"}))


def test_numbers_that_could_be_either_are_unsure() -> None:
    assert guess("20.4,68.7,41.2").sure == "unsure"


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ((), "listen-silent"),
        (("hello", "world"), "listen-no-format"),
        (("uptime=3 rssi=-60",), "listen-no-air"),
        (('{"climate": {"t": 20.4}}',), "listen-nested-line"),
        (('{"pressure": 1013.2}',), "listen-no-air"),
        (("7000,9000",), "listen-no-format"),
        (("T=400 RH=40",), "listen-no-air"),
        (("dew_point=12.0C soil=40%",), "listen-no-air"),
    ],
)
def test_no_guess_says_why(said: tuple[str, ...], key: str) -> None:
    assert refusal(*said).key == key


def test_noise_is_called_noise() -> None:
    assert guess_lines([b"\xfe\x81\x00", b"\x00\x01\x02"]) == Reason("listen-unreadable", {"bytes": 6})


def test_what_a_decoder_would_refuse_is_no_guess() -> None:
    """Two keys for one quantity: the format says so, and it is that sentence which is passed on."""
    found = refusal("temp_c=20.4 temp_f=68.7 rh=41")
    assert found.key == "listen-refused"
    assert "twice" in str(found.values["reason"])


def test_keys_and_numbers() -> None:
    assert named_field("outdoorTempF") == "temperature_f"
    assert named_field("temp_c") == "temperature_c"
    assert named_field("Luft-Temperatur") == "temperature"
    assert named_field("rel_hum") == "humidity_pct"
    assert named_field("soil_humidity") is None
    assert named_field("temperature_offset") is None
    assert number_of("20.4 °C") == (20.4, "C")
    assert number_of("nan") is None
    assert number_of(True) is None
    assert number_of(10**400) is None


def topics(**said: str) -> dict[str, list[bytes]]:
    return {topic.replace("__", "/"): [text.encode()] for topic, text in said.items()}


def test_topics_of_one_kind_become_one_filter() -> None:
    air = '{"t": 20.1, "rh": 40}'
    ((covered, found),) = guess_topics(topics(shop__bench__air=air, shop__loft__air=air, shop__loft__status="online"))
    assert covered == ("shop/bench/air", "shop/loft/air")
    assert found.options == {"topics": ["shop/+/air"], "format": "json"}
    assert found.devices == ("bench", "loft")


def test_one_topic_alone_is_named_as_it_is() -> None:
    ((_, found),) = guess_topics(topics(shop__bench__air='{"t": 20.1, "rh": 40}'))
    assert found.options["topics"] == ["shop/bench/air"]
    assert found.devices == ("",)


def test_nested_json_with_other_figures_beside_it() -> None:
    said = json.dumps(
        {"climate": {"temperature": 68.2, "humidity": 33, "dew_point": 3}, "chip_temp": 41, "at": {"time": "x"}}
    )
    ((_, found),) = guess_topics(topics(gate__1=said, gate__2=said))
    assert found.options == {
        "topics": ["gate/+"],
        "format": "json",
        "paths": {"temperature": "climate.temperature", "humidity_pct": "climate.humidity"},
        "temperature_unit": "F",
    }
    assert found.devices == ("1", "2")


def test_both_scales_in_one_object_are_read_once() -> None:
    ((_, found),) = guess_topics(topics(a__x='{"temperature_c": 20.0, "temperature_f": 68.0, "humidity": 41}'))
    assert found.options["paths"] == {"temperature_c": "temperature_c", "humidity_pct": "humidity"}


def test_one_number_a_topic() -> None:
    said = topics(x__loft__temperature="20.1", x__loft__humidity="40.1", x__loft__rssi="-60", x__b__temperature="21.0")
    said |= topics(x__b__humidity="39")
    ((covered, found),) = guess_topics(said)
    assert found.options == {"topics": ["x/+/temperature", "x/+/humidity"], "format": "number"}
    assert found.devices == ("loft", "b")
    assert "x/loft/rssi" not in covered


def test_two_scales_on_one_tree_become_sources_of_their_own() -> None:
    said = topics(s__a__air='{"t":20,"rh":40}', s__b__air='{"t":21,"rh":44}', s__c__air='{"t":68,"rh":44}')
    found = [g.options for _, g in guess_topics(said)]
    assert [o["topics"] for o in found] == [["s/a/air"], ["s/b/air"], ["s/c/air"]]
    assert [o.get("temperature_unit") for o in found] == [None, None, "F"]


def test_a_device_named_in_the_payload_alone() -> None:
    ((_, found),) = guess_topics(topics(uplink='{"device": "bench-7", "temperature": 20.1, "humidity": 40}'))
    assert found.options["device_path"] == "device"
    assert found.devices == ("bench-7",)


def announcement(kind: str, unit: str, where: str) -> list[bytes]:
    told = {
        "state_topic": "gate/7",
        "device_class": kind,
        "unit_of_measurement": unit,
        "value_template": f"{{{{ value_json.{where} }}}}",
        "device": {"identifiers": ["loft-7"]},
    }
    return [json.dumps(told).encode()]


ANNOUNCED = {
    "homeassistant/sensor/7/t/config": announcement("temperature", "°F", "climate.t"),
    "homeassistant/sensor/7/h/config": announcement("humidity", "%", "climate.h"),
    "homeassistant/climate/8/config": [b'{"temp_step": 20.0}'],
    "gate/7": [b'{"climate": {"t": 68.0, "h": 41}}'],
}


def test_devices_that_announce_themselves_are_taken_at_their_word() -> None:
    ((covered, found),) = guess_topics(ANNOUNCED)
    assert found.options == {"discovery": "homeassistant"}
    assert found.devices == ("loft-7",)
    assert found.sure == "sure"
    assert "gate/7" in covered
    ((_, found),) = guess_topics({topic: said for topic, said in ANNOUNCED.items() if topic != "gate/7"})
    assert found.sure == "likely", "announced, but not heard"


@pytest.mark.parametrize(
    ("payload", "key"),
    [
        (b"\xff\x00", "listen-unreadable"),
        (b"{}", "listen-no-air"),
        (b"41", "listen-bare-number"),
        (b"on", "listen-no-payload"),
    ],
)
def test_a_topic_without_a_guess_says_why(payload: bytes, key: str) -> None:
    assert why_not([payload]).key == key
    assert guess_topics({"some/where": [payload]}) == []


TOPICS = [
    topics(shop__a__air='{"t": 20.1, "rh": 40}', shop__b__air='{"t": 20.1, "rh": 40}'),
    topics(gate__1='{"climate": {"temperature": 68.2, "humidity": 33}}'),
    topics(x__loft__temperature="20.1", x__loft__humidity="40.1"),
    {'odd/"quote"\\/ü': [b'{"temperature": 20.1, "humidity": 40, "device": "Knots & \\"Co\\""}']},
]
TOPICS.append(ANNOUNCED)
EMPTY = "[shop]\nname = 'Test shop'\n"
HALF = EMPTY + "[[destination]]\nid = 'rooms'\nname = 'rooms'\nregion = 'most-areas'\n"
WHOLE = HALF + "[[zone]]\nid = 'bench'\nname = 'Bench room'\ndestination = 'rooms'\n"


def parts(before: str) -> list[GuessPart]:
    """Every guess of this module as the wall gets it, in a shop that is configured like ``before``."""
    from sensors.listening import HeardBroker, HeardPort
    from sensors.mqtt.source import MqttSource

    told = Told(Speaker(Words("en", strict=True), "metric"), Place.of(read_config(before)))
    found = [told.port(HeardPort(PORT, 9600, tuple(lines(*said)), b"x")).guess for _, said, *_ in SERIAL]
    for said in TOPICS:
        heard = HeardBroker("127.0.0.1:1883", {topic: tuple(p) for topic, p in said.items()}, 9, 0)
        source = MqttSource.model_validate({"id": "x", "kind": "mqtt", "host": "127.0.0.1", "topics": ["#"]})
        found += told.broker(heard, source).guesses
    assert None not in found
    return [one for one in found if one is not None]


@pytest.mark.parametrize("before", [EMPTY, HALF, WHOLE], ids=["empty", "half", "whole"])
def test_the_lines_of_every_guess_are_a_configuration_and_say_what_the_guess_says(before: str) -> None:
    found = parts(before)
    assert len(found) == len(SERIAL) + len(TOPICS)
    for part in found:
        config = read_config(f"{before}\n{part.config_lines}")
        (source,), (zone,) = config.sources, config.zones
        assert source == type(source).model_validate(part.source)
        assert [(s.id, s.device, s.zone) for s in config.sensors] == [(s.id, s.device, zone.id) for s in part.sensors]


def test_no_name_is_proposed_twice() -> None:
    found = parts(WHOLE)
    names = [str(p.source["id"]) for p in found] + [s.id for p in found for s in p.sensors]
    assert len(names) == len(set(names))
    assert "bench" not in names, "a zone's"
