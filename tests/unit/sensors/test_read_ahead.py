"""Bytes read ahead of a client that asks for few at a time: none lost, none twice, and the kernel asked seldom."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.mqtt.sockets import AHEAD_BYTES, ReadAhead


class Wire:
    """A socket that holds ``said`` and gives at most ``at_once`` bytes a call; then it would block."""

    def __init__(self, said: bytes, at_once: int) -> None:
        self.said, self.at_once, self.asked = said, at_once, 0

    def read(self, most: int) -> bytes:
        self.asked += 1
        if not self.said:
            raise BlockingIOError
        part, self.said = self.said[: min(most, self.at_once)], self.said[min(most, self.at_once) :]
        return part


@given(said=st.binary(max_size=2000), at_once=st.integers(1, 300), asks=st.lists(st.integers(1, 90), min_size=1))
def test_whatever_is_asked_for_comes_in_order_and_once(said: bytes, at_once: int, asks: list[int]) -> None:
    wire, ahead, got = Wire(said, at_once), ReadAhead(), b""
    while True:
        try:
            part = ahead.take(asks[len(got) % len(asks)], wire.read)
        except BlockingIOError:
            break
        assert part
        got += part
    assert got == said
    assert len(ahead) == 0


def test_the_kernel_is_asked_once_for_many_small_asks() -> None:
    wire, ahead = Wire(bytes(3000), AHEAD_BYTES), ReadAhead()
    assert len(b"".join(ahead.take(1, wire.read) for _ in range(3000))) == 3000
    assert wire.asked == 1


def test_the_end_of_the_wire_is_handed_on() -> None:
    ahead = ReadAhead()
    assert ahead.take(1, lambda _: b"") == b""
    with pytest.raises(ConnectionResetError):
        ahead.take(1, _broken)


def _broken(_most: int) -> bytes:
    raise ConnectionResetError
