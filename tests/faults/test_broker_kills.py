"""kill -9 of the broker, twenty times under load: what it had acknowledged is in the record but for its last 5 s.

It writes its store every few seconds (``autosave_interval``, mosquitto.conf(5)), and what came since dies with it. Most
kills meet a server that listens, a few one that is away, when everything lies at the broker alone.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import random
import signal
import subprocess
import sys
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from sensors.driver import SensorError
from sensors.mqtt import MqttSubscription, Publisher
from sensors.payloads import json_payload
from sensors.queue import HeardQueue
from sensors.supervise import Supervisor
from server.broker_folder import CONFIGURATION, STORE, keep_configuration
from server.clock import SystemClock
from tests.unit.sensors.brokers import MOSQUITTO, answers
from tests.unit.sensors.helpers import free_port, until
from tests.unit.spine import Bench

pytestmark = pytest.mark.whole
KILLS = 20
CLIENT = b"spine-of-the-shop"
AWAY = {5, 11, 17}
"""The kills that meet a server that is away."""
SEED = 20270113
LAST_S = 5.0
ALONE_S = 2 * LAST_S
"""So long the broker has everything to itself: more than once it must have written its store meanwhile."""


class KilledBroker:
    """The broker with the product's own settings, started again as soon as it was killed."""

    def __init__(self, folder: Path) -> None:
        self.port, self.folder = free_port(), folder
        keep_configuration(folder, self.port)
        self.process: subprocess.Popen[bytes]

    async def start(self) -> None:
        self.process = self._begun()
        await until(lambda: answers(self.port), 20.0, "the broker")

    def _begun(self) -> subprocess.Popen[bytes]:
        return subprocess.Popen([MOSQUITTO, "-c", str(self.folder / CONFIGURATION)], stderr=subprocess.DEVNULL)

    def stop(self) -> None:
        """An orderly end: it writes down what it holds."""
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(20)

    def kill(self) -> float:
        """When, in seconds on the wall clock."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(10)
        return time.time()


class Device:
    """Says something new all the time. What the broker has not acknowledged is said again; ``acknowledged`` is what it
    has, with the moment it was sent: its answer may lie unread here while a kill is waited for."""

    def __init__(self, broker: KilledBroker) -> None:
        self.broker = broker
        self.acknowledged: dict[int, float] = {}
        self._t_ms = time.time_ns() // 1_000_000 - 60_000

    async def run(self) -> None:
        unheard: list[int] = []
        while True:
            with contextlib.suppress(SensorError):
                async with Publisher("127.0.0.1", self.broker.port) as publisher:
                    while True:
                        unheard, sent = unheard or self._next(), time.time()
                        for t_ms in unheard:
                            publisher.publish("shop/loft-1/air", f'{{"temperature": 20.0, "t_ms": {t_ms}}}')
                        await publisher.flushed()
                        self.acknowledged.update(dict.fromkeys(unheard, sent))
                        unheard = []
                        await asyncio.sleep(0.01)
            await asyncio.sleep(0.02)

    def _next(self) -> list[int]:
        self._t_ms += 4
        return [self._t_ms - n for n in (3, 2, 1)]


class Server:
    """The spine with its wire: a real record, a real driver. It looks for the broker more often than in a shop."""

    def __init__(self, folder: Path, broker: KilledBroker) -> None:
        self.bench, self.queue, self.broker = Bench(folder, clock=None), HeardQueue(), broker
        self.bench.spine.engine.clock = SystemClock()
        self.heard: set[int] = set()

    @asynccontextmanager
    async def listening(self) -> AsyncIterator[None]:
        def now() -> tuple[int, float]:
            return time.time_ns() // 1_000_000, time.monotonic()

        driver = MqttSubscription(
            "mq", "127.0.0.1", self.broker.port, topics=["shop/+/air"], decode=json_payload(patterns=["shop/+/air"]),
            client_id=CLIENT.decode(), now=now,
        )  # fmt: skip
        wire = Supervisor(
            "mq", "mqtt", "there", driver, self.queue.put, now, pause=lambda _, refused: 0.05, tap=self._hears
        )
        work = [asyncio.create_task(wire.run()), asyncio.create_task(self.bench.spine.engine.run(self.queue.take))]
        try:
            await until(lambda: wire.state().state == "listening", 20.0, "the wire")
            yield
        finally:
            for task in work:
                task.cancel()
            await asyncio.wait(work)

    def _hears(self, _source: str, _topic: str, said: bytes) -> None:
        self.heard.add(int(json.loads(said)["t_ms"]))

    def kept(self) -> set[int]:
        rows = self.bench.spine.history.readings("loft-1/temperature_c", 0, 2**53, good_only=False)
        found = [row.t_ms for row in rows]
        assert len(found) == len(set(found))
        return set(found)


async def until_said(device: Device, more: int) -> None:
    wanted = len(device.acknowledged) + more
    await until(lambda: len(device.acknowledged) >= wanted, 30.0, f"{more} more messages")


@pytest.mark.timeout(240)
async def test_twenty_kills_of_the_broker_cost_at_most_its_last_seconds(tmp_path: Path) -> None:
    chance, broker = random.Random(SEED), KilledBroker(tmp_path / "broker")
    server, device, kills = Server(tmp_path / "state", broker), Device(broker), []
    await broker.start()
    async with server.listening():
        pass  # from now on the broker keeps what it misses, once it has written that down:
    # killed before, it does not know the session, and takes what comes between its start and our return for nobody
    store = broker.folder / STORE
    await until(lambda: store.exists() and CLIENT in store.read_bytes(), 20.0, "the session in the broker's store")
    speaking = asyncio.create_task(device.run())
    try:
        for number in range(KILLS):
            away = number in AWAY
            async with contextlib.nullcontext() if away else server.listening():
                await until_said(device, chance.randint(30, 90))
                begun = time.time()
                await until(lambda: not away or time.time() - begun > ALONE_S, 30.0)  # noqa: B023
                kills.append(broker.kill())
                await broker.start()
                await until_said(device, 10)
        speaking.cancel()
        await asyncio.wait({speaking})
        async with server.listening():
            newest = max(device.acknowledged)
            await until(lambda: newest in server.kept(), 30.0, "what was said last")
            await until(lambda: server.heard <= server.kept(), 30.0, "whatever reached the wire in the record")
    finally:
        speaking.cancel()
        broker.process.kill()
        broker.process.wait(10)
    kept = server.kept()
    assert server.heard <= kept, "whatever reached the wire is in the record"
    lost = {t_ms: said for t_ms, said in device.acknowledged.items() if t_ms not in kept}
    last = [sum(0 <= at - said <= LAST_S for said in lost.values()) for at in kills]
    sys.stdout.write(
        f"{len(device.acknowledged)} acknowledged by the broker, {len(lost)} lost with it; of its last seconds, by "
        f"kill (they overlap): {last}\n"
    )
    for t_ms, said in lost.items():
        assert any(0 <= at - said <= LAST_S for at in kills), f"{t_ms} was older than its last seconds"
    assert len(lost) - sum(last[number] for number in AWAY) <= 6 * KILLS, (
        "of a server that listens, what was on its way"
    )
    assert len(kept) > 0.5 * len(device.acknowledged)
    await server.bench.close()
