"""Halving, condemning and not condemning, on the seam itself."""

from __future__ import annotations

import random

import pytest

from server.stores.delivery import Delivery, Stopped
from server.stores.remote import Point, RemoteAway, RemoteRefuses, RowsRefused, TooMuch
from tests.remotes import FakeRemote


def points(count: int) -> list[Point]:
    return [Point("t/emc_pct", n, 8.0, 0, None) for n in range(count)]


def refusing(bad: set[int], status: int = 400):
    def answer(asked: list[Point]) -> None:
        if any(p.t_ms in bad for p in asked):
            raise RowsRefused("400 Bad Request: unable to parse", status)

    return answer


@pytest.mark.parametrize("seed", range(20))
def test_exactly_the_bad_rows_are_condemned_and_all_others_arrive(seed: int):
    chance = random.Random(seed)
    count = chance.randint(1, 300)
    bad = set(chance.sample(range(count), chance.randint(0, min(6, count - 1))))
    remote = FakeRemote(refusing(bad, 422))
    condemned = Delivery().deliver(remote, points(count))
    assert {one.point.t_ms for one in condemned} == bad
    assert all((one.status, one.reason) == (422, "400 Bad Request: unable to parse") for one in condemned)
    assert {t_ms for _, t_ms in remote.rows} == set(range(count)) - bad


def test_one_in_five_thousand_takes_few_writes():
    remote = FakeRemote(refusing({3777}))
    (one,) = Delivery().deliver(remote, points(5000))
    assert one.point.t_ms == 3777
    assert len(remote.rows) == 4999
    assert len(remote.writes) < 40


def test_a_remote_that_refuses_everything_condemns_nothing():
    remote = FakeRemote(refusing(set(range(5000))))
    delivery = Delivery()
    with pytest.raises(RemoteRefuses, match="every row is refused: 400 Bad Request"):
        delivery.deliver(remote, points(5000))
    assert len(remote.writes) < 40


def test_a_lone_row_is_condemned_once_the_remote_takes_again_what_it_took_before():
    remote = FakeRemote(refusing({7}))
    delivery = Delivery()
    assert delivery.deliver(remote, points(5)) == []
    (one,) = delivery.deliver(remote, points(8)[7:])
    assert one.point.t_ms == 7
    remote.answer = refusing(set(range(9)))  # now the remote itself is at fault
    with pytest.raises(RemoteRefuses):
        delivery.deliver(remote, points(9)[8:])


def test_too_much_is_halved_and_remembered():
    def small(asked: list[Point]) -> None:
        if len(asked) > 30:
            raise TooMuch("413 Request Entity Too Large")

    remote = FakeRemote(small)
    delivery = Delivery()
    assert delivery.deliver(remote, points(200)) == []
    assert len(remote.rows) == 200
    assert delivery.most is not None
    assert delivery.most <= 50
    remote.answer = lambda _: (_ for _ in ()).throw(TooMuch("413"))
    with pytest.raises(RemoteRefuses, match=r"413 \(for a single row"):
        delivery.deliver(remote, points(3))


def test_what_goes_wrong_on_the_way_is_told_and_nothing_condemned():
    calls = iter([RowsRefused("400", 400), None, RemoteAway("503", 5.0)])

    def answer(_: list[Point]) -> None:
        if (error := next(calls)) is not None:
            raise error

    with pytest.raises(RemoteAway):
        Delivery().deliver(FakeRemote(answer), points(4))


def test_a_stop_ends_between_two_writes():
    remote = FakeRemote(refusing({3}))
    with pytest.raises(Stopped):
        Delivery(lambda: len(remote.writes) >= 2).deliver(remote, points(100))
    assert len(remote.writes) == 2
