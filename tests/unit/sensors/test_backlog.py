"""When what a broker kept is over: after a pause in which something could have come."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from typing import Any

import pytest

from sensors.mqtt.backlog import LONGEST_S, LOOK_S, QUIET_S, Backlog


class HandLoop:
    """The two things of a loop that are asked for, moved by hand."""

    def __init__(self) -> None:
        self.now_s = 0.0
        self.due: list[tuple[float, Callable[[], Any]]] = []

    def time(self) -> float:
        return self.now_s

    def call_later(self, delay_s: float, call: Callable[[], Any]) -> asyncio.TimerHandle:
        entry = (self.now_s + delay_s, call)
        self.due.append(entry)
        return HandTimer(lambda: self.due.remove(entry))  # type: ignore[return-value]

    def go_on(self, seconds: float) -> None:
        """Call what falls due, each at its time."""
        end_s = self.now_s + seconds
        while self.due and self.due[0][0] <= end_s + 1e-9:
            due_s, call = self.due.pop(0)
            self.now_s = max(self.now_s, due_s)
            call()
        self.now_s = end_s

    def stand_still(self, seconds: float) -> None:
        """The loop is busy: time passes and nothing is called."""
        self.now_s += seconds


class HandTimer:
    def __init__(self, cancel: Callable[[], None]) -> None:
        self.cancel = cancel


@pytest.fixture
def loop() -> HandLoop:
    return HandLoop()


def begun(loop: HandLoop, held_back: Callable[[], bool] = lambda: False) -> Backlog:
    backlog = Backlog(loop, held_back)  # type: ignore[arg-type]
    assert not backlog.is_coming, "without a session from before nothing was kept"
    backlog.begin()
    return backlog


def test_a_pause_ends_it_and_nothing_begins_it_again(loop: HandLoop) -> None:
    backlog = begun(loop)
    loop.go_on(QUIET_S / 2)
    assert backlog.is_coming
    loop.go_on(QUIET_S + LOOK_S)
    assert not backlog.is_coming
    backlog.heard()
    assert not backlog.is_coming
    assert not loop.due, "no timer is left"


def test_it_lasts_as_long_as_something_comes(loop: HandLoop) -> None:
    backlog = begun(loop)
    for _ in range(50):
        loop.go_on(LOOK_S)
        backlog.heard()
    assert backlog.is_coming
    loop.go_on(QUIET_S + LOOK_S)
    assert not backlog.is_coming


def test_a_busy_loop_makes_no_pause(loop: HandLoop) -> None:
    """What waits in the socket is read before the look that is overdue."""
    backlog = begun(loop)
    for _ in range(5):
        loop.stand_still(3 * QUIET_S)
        backlog.heard()
        loop.go_on(0.0)
        assert backlog.is_coming


def test_a_broker_that_waits_for_us_makes_no_pause(loop: HandLoop) -> None:
    held_back = True
    backlog = begun(loop, lambda: held_back)
    loop.go_on(5.0)
    assert backlog.is_coming
    held_back = False
    loop.go_on(QUIET_S + LOOK_S)
    assert not backlog.is_coming


def test_a_shop_that_never_pauses_is_believed_in_the_end(loop: HandLoop) -> None:
    backlog = begun(loop)
    while loop.now_s < LONGEST_S - LOOK_S:
        assert backlog.is_coming
        loop.go_on(LOOK_S)
        backlog.heard()
    loop.go_on(2 * LOOK_S)
    assert not backlog.is_coming


def test_a_link_that_closes_leaves_no_timer(loop: HandLoop) -> None:
    backlog = begun(loop)
    backlog.end()
    backlog.end()
    assert not backlog.is_coming
    assert not loop.due


async def test_a_real_loop_reads_before_it_looks() -> None:
    """The order that :class:`Backlog` relies on: a socket that has something goes before a timer that is overdue."""
    loop, order, looked = asyncio.get_running_loop(), [], asyncio.Event()
    near, far = socket.socketpair()
    with near, far:
        loop.add_reader(far, lambda: order.append(far.recv(1)))
        loop.call_later(0.0, looked.set)
        looked_at = asyncio.create_task(looked.wait())
        near.send(b"x")
        await looked_at
        loop.remove_reader(far)
    assert order == [b"x"]
