"""Checksums against published values: the check values of the CRC RevEng catalogue (the sum over the ASCII digits
"123456789"), NMEA 0183 sentences as published with an open NMEA library's tests and in D. DePriest's description of the
sentences, and pymodbus as an independent implementation."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pymodbus.framer.rtu import FramerRTU

from sensors.catalog import SerialSource
from sensors.checksums import Checksum, checked, crc8_smbus, crc16_modbus, xor_of
from sensors.decoding import Decoded, Unreadable
from sensors.line_formats import pairs

BENCH = (("temperature_c", 20.4), ("humidity_pct", 41.2))
DIGITS = b"123456789"


def test_the_published_check_values() -> None:
    """CRC RevEng catalogue: CRC-8/SMBUS check 0xF4, CRC-16/MODBUS check 0x4B37."""
    assert crc8_smbus(DIGITS) == 0xF4
    assert crc16_modbus(DIGITS) == 0x4B37
    assert xor_of(DIGITS) == 0x31  # by hand: 1^2^3 = 0, 4^5^6^7 = 0, 8^9 = 1; nine times 0x30 leaves 0x30


@pytest.mark.parametrize(
    ("sentence", "published"),
    [
        (b"GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,", 0x47),
        (b"GPGSV,4,1,13,07,18,322,29,08,19,273,,16,74,204,35,18,34,115,28", 0x7B),
        (b"PORZD,A,004.4", 0x3C),
    ],
)
def test_published_sentences_of_nmea_0183(sentence: bytes, published: int) -> None:
    assert xor_of(sentence) == published


@given(st.binary(max_size=300))
def test_the_modbus_sum_is_that_of_another_implementation(content: bytes) -> None:
    # pymodbus gives the two bytes as they stand on the wire, the least significant first.
    assert crc16_modbus(content).to_bytes(2, "little") == FramerRTU.compute_CRC(content).to_bytes(2, "big")


@given(st.binary(max_size=60))
def test_a_line_followed_by_its_own_sum_leaves_nothing(content: bytes) -> None:
    """A property of both polynomials: the sum over content and sum is 0."""
    assert crc8_smbus(content + bytes([crc8_smbus(content)])) == 0
    assert crc16_modbus(content + crc16_modbus(content).to_bytes(2, "little")) == 0


@pytest.mark.parametrize(
    ("checksum", "line"),
    [
        ("none", b"T=20.4 RH=41.2"),
        ("xor-hex", b"T=20.4 RH=41.2*6F"),
        ("xor-hex", b"$T=20.4 RH=41.2*6F\r"),
        ("crc8-smbus", b"T=20.4 RH=41.2*%02x" % crc8_smbus(b"T=20.4 RH=41.2")),
        ("crc16-modbus", b"T=20.4 RH=41.2*%04X" % crc16_modbus(b"T=20.4 RH=41.2")),
    ],
)
def test_a_line_with_its_sum_is_read(checksum: Checksum, line: bytes) -> None:
    assert checked(pairs(), checksum)(line) == Decoded("", BENCH)


@pytest.mark.parametrize("checksum", ["xor-hex", "crc8-smbus", "crc16-modbus"])
def test_every_changed_bit_and_every_missing_byte_is_found(checksum: Checksum) -> None:
    """Field pitfall 5: a torn line must not pass for a reading."""
    content = b"T=20.4 RH=41.2"
    total = {"xor-hex": xor_of, "crc8-smbus": crc8_smbus, "crc16-modbus": crc16_modbus}[checksum](content)
    line = content + b"*%0*X" % (4 if checksum == "crc16-modbus" else 2, total)
    decode = checked(pairs(), checksum)
    assert decode(line).values == BENCH
    changed = [
        bytes([*line[:n], line[n] ^ (1 << bit), *line[n + 1 :]]) for n in range(len(content)) for bit in range(8)
    ]
    for bad in [*changed, *(line[n:] for n in range(1, len(line))), *(line[:n] for n in range(len(line)))]:
        with pytest.raises(Unreadable, match=r"checksum .*; would be right: "):
            decode(bad)


def test_what_is_missing_or_wrong_is_said() -> None:
    decode = checked(pairs(), "xor-hex")
    with pytest.raises(Unreadable, match=r"^found checksum 5D; would be right: 6F; a byte was lost or changed"):
        decode(b"T=20.4 RH=41.2*5d")
    with pytest.raises(
        Unreadable, match=r"^found no checksum in '20\.4 RH=41\.2'; would be right: \* and 2 hexadecimal"
    ):
        decode(b"T=20.4 RH=41.2")
    with pytest.raises(Unreadable, match=r"found no checksum in '\.4 RH=41\.2\*g'"):
        decode(b"T=20.4 RH=41.2*g")
    with pytest.raises(Unreadable, match="neither a temperature nor a humidity"):
        decode(b"volts=2*%02X" % xor_of(b"volts=2"))


@pytest.mark.parametrize(
    ("options", "content"),
    [
        ({"format": "key=value"}, b"T=20.4 RH=41.2"),
        ({"format": "numbers"}, b"20.4,41.2"),
        ({"format": "json"}, b'{"t": 20.4, "h": 41.2}'),
    ],
)
def test_every_format_may_carry_one(options: dict[str, str], content: bytes) -> None:
    table = {"id": "bench", "kind": "serial", "port": "/dev/serial/by-id/usb-x", "checksum": "crc16-modbus", **options}
    decode = SerialSource.model_validate(table).line_format()
    assert decode(content + b"*%04X" % crc16_modbus(content)).values == BENCH
    with pytest.raises(Unreadable, match="found no checksum"):
        decode(content)
