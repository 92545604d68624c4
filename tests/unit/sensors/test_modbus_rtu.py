"""Frames of Modbus RTU against published values and an independent implementation."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pymodbus.framer import FramerRTU

from sensors.modbus.rtu import Ask, answer_in, closed, crc16, silence_s, why_none

BYTES = st.binary(min_size=1, max_size=40)


def test_the_crc_is_the_published_one() -> None:
    # CRC-16/MODBUS, check value over "123456789": 0x4B37, residue 0 (G. Cook, Catalogue of parametrised CRC algorithms;
    # from memory). The serial line guide V1.02, section 6.2.2, defines the same one and sends the low byte first.
    assert crc16(b"123456789") == 0x4B37
    assert closed(b"123456789")[-2:] == b"\x37\x4b"
    assert crc16(closed(b"123456789")) == 0


@given(BYTES)
def test_the_crc_is_what_another_implementation_says(content: bytes) -> None:
    assert crc16(content).to_bytes(2, "little") == FramerRTU.compute_CRC(content).to_bytes(2, "big")


@given(BYTES, st.data())
def test_no_single_bit_and_no_short_burst_passes_the_crc(content: bytes, data: st.DataObject) -> None:
    # A CRC of 16 bits finds every burst of up to 16 bits (W. W. Peterson, D. T. Brown: Cyclic Codes for Error
    # Detection, Proc. IRE 49, 1961; from memory).
    frame = int.from_bytes(closed(content), "big")
    burst = data.draw(st.integers(1, 0xFFFF)) << data.draw(st.integers(0, 8 * len(content)))
    assert crc16((frame ^ burst).to_bytes(len(content) + 2, "big")) != 0


def test_question_and_answer_are_those_of_the_specifications_examples() -> None:
    # Application protocol V1.1b3: section 6.3 reads 3 holding registers from 107 (555, 0, 100), section 6.4 one input
    # register from 8 (10); figures from memory. The address before and the CRC behind are the serial line guide's.
    holding, one_input = Ask(17, 3, 107, 3), Ask(17, 4, 8, 1)
    assert holding.frame[:-2] == bytes.fromhex("11 03 006B 0003")
    assert one_input.frame[:-2] == bytes.fromhex("11 04 0008 0001")
    said = closed(bytes.fromhex("11 03 06 022B 0000 0064"))
    assert answer_in(said, holding) == said
    assert answer_in(closed(bytes.fromhex("11 04 02 000A")), one_input) is not None
    assert answer_in(said, one_input) is None


def test_the_silence_between_frames_is_the_guides() -> None:
    # Serial line guide V1.02, section 2.5.1.1: 3.5 characters of 11 bits; above 19,200 baud fixed at 1.75 ms (from
    # memory).
    assert silence_s(9600) == pytest.approx(3.5 * 11 / 9600)
    assert silence_s(19_200) == pytest.approx(0.002005, abs=1e-6)
    assert silence_s(115_200) == 0.00175


@given(st.lists(st.integers(0, 0xFFFF), min_size=1, max_size=4), BYTES, BYTES)
def test_an_answer_is_found_between_noise_and_no_part_of_it_passes(
    words: list[int], before: bytes, after: bytes
) -> None:
    ask = Ask(7, 4, 0, len(words))
    answer = closed(bytes((7, 4, 2 * len(words))) + b"".join(word.to_bytes(2, "big") for word in words))
    assert answer_in(before + answer + after, ask) == answer
    for cut in range(len(answer)):
        assert answer_in(answer[:cut], ask) is None
        assert why_none(answer[:cut], ask).kind == ("torn" if cut else "timeout")


def test_why_nothing_could_be_read_is_told_apart() -> None:
    ask = Ask(1, 4, 0, 2)
    right = closed(bytes.fromhex("01 04 04 00CC 019C"))
    spike = b"\x00"
    for came, kind in {
        b"": "timeout",
        ask.frame: "timeout",  # an adapter that echoes, and nobody behind it
        ask.frame + right[:5]: "torn",
        right[:-1] + b"\x00": "crc",
        spike + right[:-1] + b"\x00": "crc",
        bytes(30): "crc",
        closed(bytes.fromhex("02 04 04 00CC 019C")): "foreign",
        closed(bytes.fromhex("01 03 04 00CC 019C")): "foreign",
        bytes.fromhex("01 84"): "torn",
        bytes.fromhex("01 84 02 00 00"): "crc",
    }.items():
        error = why_none(came, ask)
        assert (error.kind, error.received) == (kind, came), came
        assert "found " in str(error)
        assert "; would be right: " in str(error)
    assert "01 04 04 00 cc 01 9c 3a 00 with CRC 3a 00" in str(why_none(right[:-1] + b"\x00", ask))
