"""What the tests of the wires share: a listener that keeps everything, and waiting for a condition with a deadline."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress

from sensors.driver import Driver
from sensors.sample import Heard, RawSample, RefusedPayload


class Notes:
    """A listener that writes down what it is told, and on which thread."""

    def __init__(self) -> None:
        self.events: list[str] = []
        self.items: list[Heard] = []
        self.raw = b""
        self.lost = 0
        self.threads: set[int] = set()

    def connected(self) -> None:
        self._note("connected")

    def bytes_heard(self, payload: bytes) -> None:
        self.raw += payload
        self._note("bytes")

    def heard(self, item: Heard) -> None:
        self.items.append(item)
        self._note("heard")

    def dropped(self, count: int) -> None:
        self.lost += count
        self._note("dropped")

    def _note(self, event: str) -> None:
        self.events.append(event)
        self.threads.add(threading.get_ident())

    @property
    def samples(self) -> list[RawSample]:
        return [item for item in self.items if isinstance(item, RawSample)]

    @property
    def refusals(self) -> list[RefusedPayload]:
        return [item for item in self.items if isinstance(item, RefusedPayload)]

    @property
    def temperatures(self) -> list[float]:
        return [dict(sample.values)["temperature_c"] for sample in self.samples]


def real_now() -> tuple[int, float]:
    return time.time_ns() // 1_000_000, time.monotonic()


async def until(condition: Callable[[], object], within_s: float = 10.0, what: str = "") -> None:
    """Wait for ``condition``; fail with ``what`` when it has not come true in time."""
    deadline = time.monotonic() + within_s
    while not condition():
        assert time.monotonic() < deadline, f"not within {within_s} s: {what or condition}"
        await asyncio.sleep(0.005)


@asynccontextmanager
async def running(driver: Driver, notes: Notes) -> AsyncIterator[asyncio.Task[None]]:
    """The driver at work, connected; cancelled at the end."""
    before = notes.events.count("connected")
    task = asyncio.create_task(driver.run(notes))
    try:
        await until(lambda: notes.events.count("connected") > before or task.done(), what="connected")
        yield task
    finally:
        if not task.done():
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
