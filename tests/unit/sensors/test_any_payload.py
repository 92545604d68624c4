"""Ten thousand made-up payloads for every parser: finite numbers, or a reason that can be written down.

The payloads come from one seed, so a run is like any other. They are made from what real lines hold, cut, doubled,
swapped and sprinkled with what breaks parsers.
"""

import json
import math
import random
import sys
from collections.abc import Callable

import pytest

from sensors.checksums import Checksum, checked, crc8_smbus, crc16_modbus, xor_of
from sensors.decoding import Decoded, Unreadable
from sensors.discovery import Discovered, discovered, is_plain_topic
from sensors.line_formats import LINE_LIMIT, json_lines, numbers, pairs
from sensors.payloads import PAYLOAD_LIMIT, json_payload, number_payload

EACH = 10_000
Parser = Callable[[str, bytes], Decoded]


def on_line(line_format: Callable[[bytes], Decoded]) -> Parser:
    return lambda _topic, payload: line_format(payload)


PARSERS: dict[str, Parser] = {
    "pairs": on_line(pairs(keys={"Luft": "temperature_f", "ß": "humidity_pct"})),
    "numbers": on_line(numbers(order=["device", "temperature_f", "humidity_pct"])),
    "numbers by blanks": on_line(numbers(order=["temperature_c", "skip", "humidity_pct"], separator=" ")),
    "json_lines": on_line(json_lines(temperature_unit="F", time_key="when")),
    "json_payload": json_payload(patterns=["#"], device_path="node.id", time_path="when"),
    "json_payload by paths": json_payload(
        patterns=["+/#"], paths={"temperature": "air.t", "humidity_pct": "air.h"}, time_path="air.when"
    ),
    "number_payload": number_payload(patterns=["#"], temperature_unit="F"),
    "number_payload of one field": number_payload(patterns=["+/+/#"], field="humidity_pct"),
    **{f"with {sum_}": on_line(checked(pairs(), sum_)) for sum_ in ("xor-hex", "crc8-smbus", "crc16-modbus")},
}

GOOD = ["20.4", "-40", "41.2%", "68F", "20.4C", "0", "2.04e1"]
NUMBERS = [
    *("1e308", "-1e309", "1e-400", "NaN", "Infinity", "-inf", "0x1F", "1_000", "٣٫٥", "²", "", "+", ".", "--1", "1e+"),
    *("1" * 41, "9" * 400, "1." + "0" * 60, "20,4", "true", "null", "41C"),
]
KEYS = [
    *("T", "t", "RH", "temperature", "temperature_c", "temp_f", "id", "ID", "name", "t_ms", "when", "node", "air", "h"),
    *("heater", "Luft", "ß", "İ", "\u2028", "", "a.b"),
]
TIMES = ["2027-01-12T07:42:00Z", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "2027-02-30", "T", "\ud800"]
HOSTILE = [
    *(
        b"\xff",
        b"\x00",
        b"\xed\xa0\x80",
        b"\xc0\xaf",
        b"\r",
        b"\\ud800",
        b"\\u0000",
        b"*",
        b"=",
        b"{",
        b"[",
        b'"',
        b",",
    ),
    *(b"\xe2\x80\xa8", b"\xef\xbb\xbf", b"\x1b[2J"),
]


def number(draw: random.Random) -> str:
    return draw.choice(GOOD if draw.random() < 0.7 else NUMBERS)


def value(draw: random.Random, depth: int = 0) -> object:
    """A value of JSON, now and then an absurd one."""
    kind = draw.randrange(10)
    if kind < 3:
        return draw.choice([20.4, 68, -0.0, 1e308, float("nan"), float("inf"), 10**400, -(10**40), True, False, None])
    if kind < 6:
        return draw.choice(NUMBERS + TIMES + ["loft", "x" * 65, "\ud800", "a\nb"])
    if depth > 3 or kind < 8:
        return draw.random() * 100
    if kind == 8:
        return [value(draw, depth + 1) for _ in range(draw.randrange(4))]
    return {draw.choice(KEYS): value(draw, depth + 1) for _ in range(draw.randrange(5))}


def as_json(draw: random.Random) -> bytes:
    members = [(draw.choice(KEYS), value(draw)) for _ in range(draw.randrange(6))]
    if draw.random() < 0.3:
        when = {"when": draw.choice(TIMES)} if draw.random() < 0.3 else {}
        members.append(("air", {"t": number(draw), "h": draw.random() * 100, **when}))
    content = ", ".join(f"{json.dumps(key)}: {json.dumps(one)}" for key, one in members)  # keys may come twice
    return f"{{{content}}}".encode()


def as_pairs(draw: random.Random) -> bytes:
    parts = (f"{draw.choice(KEYS)}={number(draw)}" for _ in range(draw.randrange(5)))
    return draw.choice([" ", ",", ";", "  ", "\t"]).join(parts).encode()


def as_columns(draw: random.Random) -> bytes:
    return draw.choice([",", " "]).join(number(draw) for _ in range(draw.choice([1, 2, 3, 3, 3, 4]))).encode()


def as_noise(draw: random.Random) -> bytes:
    return draw.randbytes(draw.randrange(99))


def torn(draw: random.Random, payload: bytes) -> bytes:
    """Now and then cut, doubled, or with something in it that belongs nowhere."""
    while draw.random() < 0.4:
        at = draw.randrange(len(payload) + 1)
        payload = draw.choice(
            [payload[:at], payload[at:], payload + payload[:at], payload[:at] + draw.choice(HOSTILE) + payload[at:]]
        )
    return payload


def summed(draw: random.Random, payload: bytes) -> bytes:
    """With a checksum behind it, mostly the right one."""
    sum_of = draw.choice([xor_of, crc8_smbus, crc16_modbus])
    wrong = draw.random() < 0.2
    return payload + (b"*%04X" if sum_of is crc16_modbus else b"*%02X") % (sum_of(payload) ^ wrong)


def topic(draw: random.Random) -> str:
    levels = ["shop", "loft", "temperature", "RH", "h", "h", "temp", "", " ", "\u2028", "\ud800", "x" * 70]
    return "/".join(draw.choice(levels) for _ in range(draw.choice([1, 2, 3, 60])))


def judge(parser: Parser, at: str, payload: bytes) -> bool:
    """Whether it was read; what is not may raise nothing but a reason."""
    reason = ""
    try:
        said = parser(at, payload)
    except Unreadable as err:
        reason = str(err)
    if reason:
        assert "would be right" in reason
        assert len(reason) < 1000, "a reason is for a person"
        reason.encode()  # it is stored: nothing half a character may be in it
        return False
    assert said.values
    assert all(type(number) is float and math.isfinite(number) for _, number in said.values)
    assert len({quantity for quantity, _ in said.values}) == len(said.values)
    assert said.device.isprintable()
    assert len(said.device) <= 64
    said.device.encode()
    assert said.own_ms is None or type(said.own_ms) is int
    return True


@pytest.mark.parametrize("name", PARSERS)
def test_whatever_comes_is_a_finite_number_or_a_reason(name: str) -> None:
    """Field pitfall 5, and 4: a parser that raises anything else takes its wire's thread or task along."""
    draw = random.Random(f"still {name}")
    makers = (as_json, as_pairs, as_columns, as_noise, as_pairs, lambda d: number(d).encode())
    read = 0
    for n in range(EACH):
        payload = makers[n % len(makers)](draw)
        if name.startswith("with "):
            payload = summed(draw, payload)
        read += judge(PARSERS[name], topic(draw), torn(draw, payload))
    assert read > EACH // 400, "made-up payloads that are nearly all unreadable test little"


def test_whatever_is_announced_is_taken_or_a_reason() -> None:
    """Field pitfall 4: an announcement is the one message that makes us ask the broker for something."""
    draw = random.Random("still announced")
    keys = ["state_topic", "~", "value_template", "unit_of_measurement", "device", "name", "dev_cla"]
    taken = 0
    for _ in range(EACH):
        said = {"device_class": "humidity", "state_topic": topic(draw)}
        said |= {draw.choice(keys): draw.choice([topic, value])(draw) for _ in range(draw.randrange(3))}  # type: ignore[operator]
        found = discovered("home", "home/sensor/loft/h/config", torn(draw, json.dumps(said).encode()))
        if isinstance(found, Discovered):
            taken += 1
            assert is_plain_topic(found.topic)
            (found.topic + found.device + found.name + found.place.text).encode()
        else:
            found.reason.encode()
            assert len(found.reason) < 1000
    assert taken > EACH // 400


def absurd(limit: int) -> dict[str, bytes]:
    """As long as is taken at all, and made to be slow or deep."""
    deep = limit // 2 - 8
    return {
        "digits": b"1" * limit,
        "points": b"." * limit,
        "digits in a pair": b"T=" + b"1" * (limit - 2),
        "an exponent without an end": b"T=1e" + b"9" * (limit - 4),
        "blanks": b"T=20.4" + b" " * (limit - 7) + b"x",
        "commas": b"," * limit,
        "equals": b"=" * limit,
        "stars": b"*" * limit,
        "many pairs": (b"a=1," * limit)[:limit],
        "many keys": b"{" + b",".join(b'"k%d":1' % n for n in range(limit // 12)) + b"}",
        "keys twice": b"{" + b",".join([b'"k":1'] * (limit // 8)) + b',"t":1}',
        "a tower of lists": b"[" * deep + b"]" * deep,
        "a tower under a key": b'{"t":' + b"[" * deep + b"]" * deep + b"}",
        "a tower as a name": b'{"t":1,"id":' + b"[" * deep + b"]" * deep + b"}",
        "a tower of objects": b'{"a":' * (limit // 7) + b"1" + b"}" * (limit // 7),
        "brackets without an end": b'{"t":' * (limit // 5),
        "an integer too long for Python": b'{"t":' + b"7" * (limit - 6) + b"}",
        "a name of digits": b'{"t":1,"id":' + b"7" * (limit - 14) + b"}",
        "quotes": b'"' * limit,
        "escapes": b'{"t":"' + b"\\ud800" * ((limit - 8) // 6) + b'"}',
        "half of a character as a key": b'{"\\ud800":1,"\\ud800":2,"t":20.4}',
        "half of a character as a name": b'{"t":20.4,"id":"\\udfff"}',
        "one byte too many": b"1" * (limit + 1),
        "nothing": b"",
    }


@pytest.mark.parametrize("what", absurd(LINE_LIMIT))
@pytest.mark.parametrize("name", PARSERS)
def test_what_is_made_to_be_slow_or_deep_is_judged_like_the_rest(name: str, what: str) -> None:
    """Field pitfall 4. Whatever is slow to read must be short: both limits are tried at their full length."""
    for limit in (LINE_LIMIT, PAYLOAD_LIMIT):
        for at in ("shop/loft/temperature", "/".join(["x"] * 60), "y" * 60_000 + "/h"):
            judge(PARSERS[name], at, absurd(limit)[what])


@pytest.mark.parametrize("name", ["json_lines", "json_payload", "json_payload by paths"])
def test_a_tower_of_brackets_is_judged_at_every_height(name: str) -> None:
    """Reading a tower may just fit where walking through it does not any more."""
    for height in [*range(1, 200), *range(200, 1100, 7), *range(900, 1010)]:
        tower = b"[" * height + b"]" * height
        for payload in (b'{"t":%b}', b'{"t":1,"id":%b}', b'{"air":{"t":%b}}', b'{"t":1,"when":%b}'):
            judge(PARSERS[name], "loft/t", payload % tower)


def test_a_deep_caller_changes_nothing() -> None:
    """The server's own calls stand below a parser's."""

    def below(calls: int) -> None:
        if calls:
            below(calls - 1)
        else:
            for height in range(1, 400):
                judge(PARSERS["json_payload"], "loft", b'{"t":' + b"[" * height + b"]" * height + b"}")

    below(sys.getrecursionlimit() // 2)


def test_sums_are_quick_to_compute_for_the_longest_line() -> None:
    sums: tuple[Checksum, ...] = ("xor-hex", "crc8-smbus", "crc16-modbus")
    for sum_ in sums:
        assert not judge(on_line(checked(pairs(), sum_)), "", b"T=1 " * 127 + b"*0000")
