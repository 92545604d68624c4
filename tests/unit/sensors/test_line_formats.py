"""Lines to numbers. The scale conversion is checked at the fixed points that define it (NIST SP 811 (2008), B.8:
t/°C = (t/°F - 32)/1.8); the rest is our own format."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.decoding import Decoded, Unreadable
from sensors.line_formats import json_lines, numbers, pairs

BENCH = (("temperature_c", 20.4), ("humidity_pct", 41.2))


@pytest.mark.parametrize(
    "line",
    [
        b"T=20.4 RH=41.2",
        b"  temp=20.4C,hum=41.2%  ",
        "Temperature=20.4°C; Humidity=41.2".encode(),
        b"t=2.04e1 h=+41.2 battery=2.9 rssi=-71",
        b"T=20.4\tRH=41.2\r",
    ],
)
def test_pairs_are_read_in_their_usual_spellings(line: bytes) -> None:
    assert pairs()(line) == Decoded("", BENCH)


def test_a_pair_may_name_the_device() -> None:
    assert pairs()(b"id=loft-2 T=20.4 RH=41.2") == Decoded("loft-2", BENCH)
    assert pairs()(b"name=7 RH=41.2") == Decoded("7", (("humidity_pct", 41.2),))


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (68.0, 20.0)])
def test_fahrenheit_is_converted_at_this_edge(fahrenheit: float, celsius: float) -> None:
    expected = (("temperature_c", pytest.approx(celsius, abs=1e-12)),)
    assert pairs()(f"T={fahrenheit}F".encode()).values == expected
    assert pairs(temperature_unit="F")(f"T={fahrenheit}".encode()).values == expected
    assert numbers(order=["temperature_f"])(str(fahrenheit).encode()).values == expected
    assert json_lines()(f'{{"temp_f": {fahrenheit}}}'.encode()).values == expected


def test_a_written_unit_wins_over_the_configured_one() -> None:
    assert pairs(temperature_unit="F")(b"T=20.4C").values == (("temperature_c", 20.4),)


def test_own_keys_can_be_named() -> None:
    assert pairs(keys={"Luft": "temperature_c", "Feuchte": "humidity_pct"})(b"Luft=20.4 Feuchte=41.2").values == BENCH


def test_columns_follow_the_configured_order() -> None:
    decode = numbers(order=["device", "humidity_pct", "skip", "temperature_c"], separator=";")
    assert decode(b"loft; 41.2; ok; 20.4") == Decoded("loft", (("humidity_pct", 41.2), ("temperature_c", 20.4)))
    assert numbers(order=["temperature_c", "humidity_pct"], separator=" ")(b" 20.4   41.2").values == BENCH


def test_json_lines_carry_device_and_time() -> None:
    line = b'{"name": "loft", "temperature": 20.4, "humidity": "41.2", "t_ms": 1799757720000}'
    assert json_lines()(line) == Decoded("loft", BENCH, 1799757720000)
    decode = json_lines(time_key="time")
    assert decode(b'{"t": 20.4, "time": "2027-01-12T07:42:36-05:00"}').own_ms == 1799757756000
    assert decode(b'{"t": 20.4, "time": 1799757720.5}').own_ms == 1799757720500


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b"T=nan", "T: found 'nan'; would be right: a number such as 20.4"),
        (b"T=20.4 RH=inf", "RH: found 'inf'; would be right: a number"),
        (b"T=20.4 RH=4T=20.4", "found 'RH=4T=20.4'; would be right: pairs"),
        (b"20.4 RH=41.2", "found '20.4'; would be right: pairs"),
        (b"T=20,4", "found '4'; would be right: pairs"),
        (b"T=20.4 temp=20.5", "found temperature_c twice, as T and temp; would be right: once"),
        (b"T=20.4 T=20.5", "found 'T' twice"),
        (b"T=20.4%", "T: found unit %; would be right: C, F or none"),
        (b"RH=41.2C", "RH: found unit C; would be right: % or none"),
        (b"t_c=68F", "t_c: found unit F; would be right: C, as the key says"),
        (b"volts=2.9", "neither a temperature nor a humidity"),
        (b"T=" + b"1" * 600, "found 602 bytes; would be right: at most 512"),
        (b"T=20\xff\xfe", "found bytes ff fe at 4; would be right: UTF-8 text"),
        (b"T=1e999", "T: found 'inf'|T: found inf"),
        (b"id=" + b"x" * 65 + b" T=20.4", "id: found .* would be right: a name of 1 to 64 printable characters"),
    ],
)
def test_pairs_say_why_they_refuse(line: bytes, reason: str) -> None:
    with pytest.raises(Unreadable, match=reason.replace("(", r"\(")):
        pairs()(line)


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b'{"t": NaN}', "found NaN"),
        (b'{"t": -Infinity}', "found -Infinity"),
        (b'{"t": true}', "t: found 'True'; would be right: a number"),
        (b'{"t": null}', "t: found 'None'"),
        (b'{"t": 1e999}', "t: found inf"),
        (b'{"t": 1' + b"0" * 400 + b"}", "t: found inf"),
        (b'{"t": 20.4', "would be right: one JSON value"),
        (b"[20.4, 41.2]", "would be right: an object"),
        (b'{"t": 20.4, "t": 20.5}', "found the key 't' twice"),
        (b"[" * 512, "would be right"),
        (b'{"t": ' + b"[" * 200 + b"]" * 200 + b"}", "deeper than 32 levels; would be right: a flatter JSON value"),
        (b'{"t": 20.4, "t_ms": -1}', "t_ms: found -1 ms; would be right: a time between"),
        (b'{"t": 20.4, "time": "2027-01-12T07:42:00"}', "without a zone; would be right: 2027-01-12T07:42:00Z"),
        (b'{"t": 20.4, "time": "noon"}', "time: found 'noon'"),
    ],
)
def test_json_lines_say_why_they_refuse(line: bytes, reason: str) -> None:
    with pytest.raises(Unreadable, match=reason):
        json_lines(time_key="time")(line)


def test_columns_say_why_they_refuse() -> None:
    decode = numbers(order=["temperature_c", "humidity_pct"])
    with pytest.raises(Unreadable, match=r"found 1 columns in '20.4'; would be right: 2"):
        decode(b"20.4")
    with pytest.raises(Unreadable, match="humidity_pct: found ''"):
        decode(b"20.4,")


@pytest.mark.parametrize("order", [["skip"], ["temperature_c", "temperature_f"], ["humidity_pct", "humidity_pct"]])
def test_an_order_that_gives_no_sample_is_refused(order: list[str]) -> None:
    with pytest.raises(ValueError, match=r"order: found .* would be right"):
        numbers(order=order)  # type: ignore[arg-type]


@given(st.binary(max_size=600))
def test_any_bytes_give_finite_numbers_or_a_reason(line: bytes) -> None:
    for decode in (pairs(), numbers(order=["temperature_c", "humidity_pct"]), json_lines(time_key="time")):
        try:
            decoded = decode(line)
        except Unreadable:
            continue
        assert decoded.values
        assert all(math.isfinite(value) for _, value in decoded.values)


@given(st.floats(-40, 85), st.floats(0, 105))
def test_what_is_written_comes_back(temperature_c: float, humidity_pct: float) -> None:
    line = f"T={temperature_c!r} RH={humidity_pct!r}".encode()
    assert pairs()(line).values == (("temperature_c", temperature_c), ("humidity_pct", humidity_pct))


@pytest.mark.parametrize(
    ("said", "heating"),
    [("heater=on", True), ("HEATER=1", True), ("heating=true", True), ("heater=off", False), ("heater=35", False)],
)
def test_a_line_says_whether_the_sensors_heater_runs(said, heating):
    """Field pitfall 15."""
    assert pairs()(f"T=20.4 RH=41.2 {said}".encode()).heating is heating


def test_a_json_line_says_it_too():
    assert json_lines()(b'{"t": 20.4, "heating": true}').heating
    assert not json_lines()(b'{"t": 20.4, "heating": "schedule"}').heating
    assert not json_lines()(b'{"t": 20.4}').heating
