"""What the tests of the wires share: a listener that keeps everything, and waiting for a condition with a deadline."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Self

from sensors.driver import Driver
from sensors.sample import Heard, RawSample, RefusedPayload
from server.broker import Broker


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

    def bytes_heard(self, payload: bytes, topic: str = "") -> None:
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


@asynccontextmanager
async def a_broker(folder: Path, port: int | None = None) -> AsyncIterator[Broker]:
    """The real broker, answering."""
    broker = Broker(folder, port or free_port())
    task = asyncio.create_task(broker.run())
    try:
        await until(lambda: broker.ready.is_set() or task.done(), what="the broker")
        yield broker
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


class Cable:
    """A TCP relay that can be cut without anybody being told, as a pulled plug does, or broken off."""

    def __init__(self, to_port: int) -> None:
        self.port = free_port()
        self.cut = False
        self._to_port = to_port
        self._writers: list[asyncio.StreamWriter] = []

    async def __aenter__(self) -> Self:
        self._server = await asyncio.start_server(self._serve, "127.0.0.1", self.port)
        return self

    async def __aexit__(self, *_: object) -> None:
        self.break_off()
        self._server.close()
        await self._server.wait_closed()

    def break_off(self) -> None:
        """Close every connection, as the death of a process does: no goodbye of MQTT."""
        for writer in self._writers:
            writer.transport.abort()
        self._writers.clear()

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        far_reader, far_writer = await asyncio.open_connection("127.0.0.1", self._to_port)
        self._writers += [writer, far_writer]
        async with asyncio.TaskGroup() as group:
            group.create_task(self._relay(reader, far_writer))
            group.create_task(self._relay(far_reader, writer))

    async def _relay(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with suppress(OSError):
            while content := await reader.read(65536):
                if not self.cut:
                    writer.write(content)
        writer.close()
