"""The supervisor, over a driver that does what the test says: the driver is the seam here."""

import asyncio
import logging
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import fields

import pytest

from sensors.driver import LinkLost, LinkRefused, Listener
from sensors.queue import HeardQueue
from sensors.sample import Heard, RawSample, RefusedPayload
from sensors.supervise import LinkState, Supervisor, pause_s, printable
from server.reading import SourceState
from tests.unit.sensors.helpers import until

Act = Callable[[Listener], Awaitable[None]]


class Scripted:
    """A driver that plays one act a run; after the last it does ``then`` at each, or listens for ever."""

    def __init__(self, *acts: Act, then: Act | None = None) -> None:
        self._acts = list(acts)
        self._then = then or listens
        self.runs = 0

    async def run(self, listener: Listener) -> None:
        self.runs += 1
        await (self._acts.pop(0) if self._acts else self._then)(listener)


class Hands:
    """A clock moved by hand, both its numbers."""

    def __init__(self) -> None:
        self.wall_ms, self.mono_s = 1_799_757_720_000, 100.0

    def now(self) -> tuple[int, float]:
        return self.wall_ms, self.mono_s


@asynccontextmanager
async def supervised(
    *acts: Act, then: Act | None = None, clock: Hands | None = None, sink: Callable[[Heard], None] = lambda _: None
) -> AsyncIterator[tuple[Supervisor, Scripted]]:
    driver = Scripted(*acts, then=then)
    now = (clock or Hands()).now
    supervisor = Supervisor("line", "serial", "/dev/x", driver, sink, now, pause=lambda failures, refused: 0.0)
    task = asyncio.create_task(supervisor.run())
    try:
        yield supervisor, driver
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
    assert supervisor.state().state == "stopped"


def fails(error: Exception, *, connect: bool = False) -> Act:
    async def act(listener: Listener) -> None:
        if connect:
            listener.connected()
        raise error

    return act


async def listens(listener: Listener) -> None:
    listener.connected()
    await asyncio.Event().wait()


def test_its_state_is_the_servers_field_for_field() -> None:
    assert [field.name for field in fields(LinkState)] == [field.name for field in fields(SourceState)]


async def test_a_lost_link_is_tried_again_and_told_once_each_way(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO)
    lost = LinkLost("/dev/x: unplugged")
    async with supervised(fails(lost, connect=True), fails(lost), fails(lost)) as (supervisor, driver):
        await until(lambda: driver.runs == 4)
        state = supervisor.state()
    assert (state.state, state.reconnects, state.last_error) == ("listening", 1, "/dev/x: unplugged")
    assert [record.message for record in caplog.records] == [
        "Source line is lost: /dev/x: unplugged",
        "Source line is back: /dev/x",
    ]


async def test_a_refusal_is_a_state_of_its_own() -> None:
    async def refused_for_ever(listener: Listener) -> None:
        raise LinkRefused("/dev/x: held by another program")

    async with supervised(then=refused_for_ever) as (supervisor, driver):
        await until(lambda: driver.runs > 2)
        state = supervisor.state()
    assert (state.state, state.last_error) == ("refused", "/dev/x: held by another program")


async def test_a_bug_is_told_with_its_traceback_and_the_wire_goes_on(caplog: pytest.LogCaptureFixture) -> None:
    async with supervised(fails(ZeroDivisionError("division")), clock=Hands()) as (supervisor, _):
        await until(lambda: supervisor.state().state == "listening")
        assert supervisor.state().last_error == "ZeroDivisionError: division"
    assert any(record.exc_info for record in caplog.records)


async def test_a_driver_that_just_ends_is_no_silent_end() -> None:
    async def ends(listener: Listener) -> None:
        pass

    async with supervised(ends) as (supervisor, driver):
        await until(lambda: driver.runs == 2)
        assert "ended without a reason" in supervisor.state().last_error


async def test_counts_last_bytes_and_the_sink() -> None:
    queue = HeardQueue()

    async def speaks(listener: Listener) -> None:
        listener.connected()
        listener.bytes_heard(b"x" * 200 + b"T=20.4\r\n\xff")
        listener.heard(RawSample("line", "", (("temperature_c", 20.4),), 0, 0.0))
        listener.heard(RefusedPayload("line", "/dev/x", b"?", "why", 0))
        listener.dropped(3)
        await listens(listener)

    async with supervised(speaks, sink=queue.put) as (supervisor, _):
        await until(lambda: supervisor.state().dropped)
        state = supervisor.state()
    assert (state.heard, state.refused, state.dropped, len(queue)) == (1, 1, 3, 2)
    assert state.last_bytes.endswith("xxT=20.4\\r\\n\\xff")
    assert state.last_bytes.count("x") <= 120 + 1


async def test_silence_is_measured_on_the_monotonic_clock() -> None:
    clock, speak = Hands(), asyncio.Event()

    async def speaks_once(listener: Listener) -> None:
        await speak.wait()
        listener.connected()
        listener.bytes_heard(b"T=20.4\n")
        await asyncio.Event().wait()

    async with supervised(speaks_once, clock=clock) as (supervisor, driver):
        assert supervisor.state().silent_since_ms is None
        await until(lambda: driver.runs)
        assert supervisor.state().silent_since_ms == clock.wall_ms
        clock.mono_s += 60
        clock.wall_ms += 60_000
        speak.set()
        await until(lambda: supervisor.state().last_bytes)
        clock.mono_s += 10
        clock.wall_ms += 30 * 86_400_000  # the wall clock is set, a month on
        state = supervisor.state()
        assert state.silent_since_ms == clock.wall_ms - 10_000
        assert state.since_ms == clock.wall_ms - 10_000


def test_pauses_begin_short_grow_and_stay_capped() -> None:
    assert pause_s(1, False) == 0.2
    for failures in range(2, 2000):
        assert 1.0 <= pause_s(failures, False) <= 30.0
    assert len({pause_s(9, False) for _ in range(5)}) == 5
    assert pause_s(3, True) >= 15.0


def test_bytes_are_shown_as_they_are_or_escaped() -> None:
    assert printable("20 °C\t\x1b[0m".encode() + b"\xc3") == "20 °C\\t\\x1b[0m\\xc3"


async def test_of_a_long_refused_payload_the_beginning_is_kept_and_its_length_said() -> None:
    """It goes into the record whole otherwise, and a picture a second fills the disk."""
    sunk: list[Heard] = []

    async def act(listener: Listener) -> None:
        listener.connected()
        listener.heard(RefusedPayload("line", "t/" * 9000, b"x" * 30_000, "found " + "y" * 5000, 0))
        listener.heard(RefusedPayload("line", "t", b"x" * 4096, "found x", 0))
        await asyncio.Event().wait()

    async with supervised(act, sink=sunk.append) as (supervisor, _):
        await until(lambda: len(sunk) == 2)
    long, short = sunk
    assert isinstance(long, RefusedPayload)
    assert long.payload == b"x" * 4096
    assert "of 30000 bytes the first 4096" in long.reason
    assert len(long.reason) <= 1000 >= len(long.where)
    assert short == RefusedPayload("line", "t", b"x" * 4096, "found x", 0)
    assert supervisor.state().refused == 2
