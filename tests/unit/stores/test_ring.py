"""Rows in memory: whole and in order, bounded, the oldest given up, never what somebody waits to hear of."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.clock import Instant
from server.keeping import Keeper
from server.reading import Flag, Reading, Refused
from server.stores.port import StoreFull
from server.stores.ring import Ring

T0 = 1_799_755_200_000


def rows(first: int, count: int) -> list[Reading]:
    return [Reading("t1/temperature_c", T0 + first + n, 20.0 + n) for n in range(count)]


def test_what_goes_in_comes_out_in_order_and_whole() -> None:
    ring = Ring()
    odd = [Refused("line", T0, "/dev/x", b"\x00\xff", "no number")]
    first = [Reading("t1/humidity_pct", T0, 100.0, Flag.SATURATED, 102.5), Reading("t2/temperature_c", T0 + 1, -3.0)]
    assert ring.put(first, odd, owed=True) == 1
    assert ring.put(rows(0, 3), [], owed=False) == 2
    assert ring.put([], [], owed=True) == 3
    assert ring.rows == 6
    held = ring.oldest(2)
    assert held is not None
    assert (held.readings, held.refused, held.last) == (first, odd, 1), "a batch is never parted"
    ring.forget(1)
    held = ring.oldest(100)
    assert held is not None
    assert (held.readings, held.last) == (rows(0, 3), 2)
    ring.forget(2)
    assert (ring.oldest(1), ring.rows, ring.dropped) == (None, 0, 0)


def test_the_oldest_goes_when_it_is_full_but_not_what_somebody_waits_to_hear_of() -> None:
    ring = Ring(most_rows=10)
    ring.put(rows(0, 4), [], owed=True)
    ring.put(rows(10, 6), [], owed=False)
    ring.put(rows(20, 3), [], owed=False)
    assert (ring.rows, ring.dropped) == (10, 3)
    held = ring.oldest(100)
    assert held is not None
    assert [r.t_ms - T0 for r in held.readings] == [0, 1, 2, 3, 13, 14, 15, 20, 21, 22]
    ring.put(rows(30, 20), [], owed=True)
    assert (ring.rows, ring.dropped) == (24, 9), "what is owed stays, though it is more than the ring should hold"


@pytest.mark.parametrize("bad", [Reading("t1/x", T0, float("nan")), Reading("x", T0, 1.0)])
def test_what_the_store_would_refuse_is_refused_at_once(bad: Reading) -> None:
    ring = Ring()
    with pytest.raises(ValueError, match="would be right"):
        ring.put([*rows(0, 2), bad], [], owed=False)
    assert (ring.rows, ring.oldest(10)) == (0, None)


def test_a_ring_for_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="found 0; would be right: 1 or more"):
        Ring(0)


@settings(max_examples=40, deadline=None)
@given(
    batches=st.lists(st.tuples(st.integers(0, 12), st.booleans()), max_size=15),
    most=st.integers(1, 40),
    a_read=st.integers(1, 20),
)
def test_any_sequence_loses_only_what_it_counts(batches: list[tuple[int, bool]], most: int, a_read: int) -> None:
    ring, put = Ring(most), 0
    for count, owed in batches:
        ring.put(rows(put, count), [], owed=owed)
        put += count
    out: list[int] = []
    while (held := ring.oldest(a_read)) is not None:
        out += [r.t_ms for r in held.readings]
        ring.forget(held.last)
    assert out == sorted(set(out))
    assert len(out) + ring.dropped == put
    owed = sum(count for count, waits in batches if waits)
    assert len(out) <= max(most, owed)
    assert len(out) >= min(put, most)


class Shut:
    """A store that takes rows while it is open."""

    def __init__(self) -> None:
        self.open = True

    async def append(self, *_: object) -> None:
        if not self.open:
            raise StoreFull("no room")


async def test_what_an_earlier_failure_cost_is_not_counted_to_this_one() -> None:
    keeper, store, mono_s = Keeper(Ring(most_rows=10)), Shut(), 0.0
    given_up = []
    for failing in (True, False, True):
        store.open = not failing
        for _ in range(3 if failing else 1):
            mono_s += 100.0
            batch = rows(round(mono_s), 10 if not given_up else 2)
            await keeper.keep(store, batch, [], [], Instant(T0, mono_s))  # type: ignore[arg-type]
        given_up.append(keeper.given_up)
    assert given_up == [20, 22, 0], "two more while the disk was found open again"
    keeper.ring.close()
