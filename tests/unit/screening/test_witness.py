"""A jump and its second witness: the sensor's own next word, or a neighbour that moved likewise (Field pitfall 11)."""

from __future__ import annotations

import pytest

from sensors.sample import RawSample
from server.config import ScreeningTable, Sensor
from server.reading import Flag
from server.screening import Screening
from tests.unit.screening.said import NOW, sample


def room(*more: Sensor) -> Screening:
    pair = [Sensor(id=name, source="line", device=name, zone="bench") for name in ("a", "b")]
    return Screening(ScreeningTable(), [*pair, *more])


def judged(one: Screening, said: RawSample) -> Flag:
    return one.screen([said], NOW).readings[-1].flags


def test_a_door_moves_both_and_the_second_is_believed_at_once() -> None:
    one = room()
    for n in range(3):
        judged(one, sample(n, device="a"))
        judged(one, sample(n + 0.5, device="b"))
    assert judged(one, sample(3, 20.0, 62.0, "a")) == Flag.RATE
    assert judged(one, sample(3.5, 20.0, 58.0, "b")) == Flag.NONE
    assert judged(one, sample(4, 20.0, 61.0, "a")) == Flag.NONE


def test_a_slow_neighbour_that_moved_witnesses_a_quick_one() -> None:
    one = room()
    for minute in (0, 5):
        judged(one, sample(minute, device="b"))
    judged(one, sample(9.0, device="a"))
    assert judged(one, sample(9.8, 20.0, 60.0, "b")) == Flag.NONE, "so much in five minutes is allowed anyway"
    assert judged(one, sample(10.0, 20.0, 61.0, "a")) == Flag.NONE


@pytest.mark.parametrize(
    ("neighbour", "why"),
    [
        (20.0, "the other way"),
        (45.0, "a quarter as far"),
        (99.0, "three times as far"),
        (40.0, "not at all"),
    ],
)
def test_a_neighbour_that_did_something_else_is_no_witness(neighbour: float, why: str) -> None:
    one = room()
    judged(one, sample(0, device="a"))
    judged(one, sample(0, device="b"))
    judged(one, sample(1, 20.0, neighbour, "b"))
    assert judged(one, sample(1.1, 20.0, 60.0, "a")) == Flag.RATE, why


def test_nor_is_one_of_another_zone_or_of_an_hour_ago() -> None:
    one = room(Sensor(id="c", source="line", device="c", zone="loft"))
    for name in "ac":
        judged(one, sample(0, device=name))
    judged(one, sample(1, 20.0, 60.0, "c"))
    assert judged(one, sample(1.1, 20.0, 60.0, "a")) == Flag.RATE
    late = room()
    for name in "ab":
        judged(late, sample(0, device=name))
    judged(late, sample(1, 20.0, 60.0, "b"))
    for minute in range(1, 30):
        judged(late, sample(minute + 0.1, device="a"))
    assert judged(late, sample(30.1, 20.0, 60.0, "a")) == Flag.RATE


def test_zeros_of_a_dead_neighbour_witness_nothing() -> None:
    one = room()
    for name in "ab":
        judged(one, sample(0, device=name))
    assert judged(one, sample(1, 0.0, 0.0, "b")) == Flag.SENTINEL
    assert judged(one, sample(1.1, 2.0, 1.0, "a")) == Flag.RATE


def test_a_sensor_made_later_finds_a_witness_in_the_one_that_hung_there_alone() -> None:
    said = [sample(m, 20.0, 40.0, "a") for m in range(3)]
    a, c = (Sensor(id=name, source="line", device=name, zone="bench") for name in ("a", "c"))
    one = Screening(ScreeningTable(), [a])
    for item in said:
        judged(one, item)
    one.add_sensor(c)
    for m in range(3, 30):
        judged(one, sample(m, 20.0, 40.0, "a"))
        judged(one, sample(m + 0.1, 20.0, 40.0, "c"))
    assert judged(one, sample(30, 20.0, 75.0, "a")) == Flag.RATE
    assert judged(one, sample(31, 20.0, 75.0, "a")) == Flag.NONE
    assert judged(one, sample(31.2, 20.0, 75.0, "c")) == Flag.NONE
