"""Ten thousand messages a second by a publisher of QoS 1 and one of QoS 0, each a process of its own.

Field pitfall 4. Scaled for every day: one second of it, where the issue speaks of a minute;
``STILLSTACK_BURST_SECONDS=60`` makes it the minute. Where the machine cannot send so fast the burst takes longer:
nothing here depends on how long.
"""

from __future__ import annotations

import asyncio
import os
import sqlite3
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, closing, suppress
from pathlib import Path

import pytest

from sensors.mqtt import MqttSubscription, Publisher
from sensors.payloads import json_payload
from sensors.queue import HeardQueue
from sensors.sample import Heard
from sensors.supervise import Supervisor
from server.broker import Broker
from server.stores.sqlite_file import FILE_NAME
from tests.unit.sensors.helpers import a_broker, until
from tests.unit.spine import START_MS, Bench

SECONDS = float(os.environ.get("STILLSTACK_BURST_SECONDS", "1"))
RATE = 10_000
COUNT = round(SECONDS * RATE)
UNACKNOWLEDGED = 500
QUEUE = 2000
WITHIN_S = 60 + 20 * SECONDS
FIRST_MS = START_MS - COUNT
RESIDENT_MB = 150
"""More than the queues hold by far; a minute's burst that was kept in memory would take five times as much."""

PUBLISHER = """
import collections, sys, time
import paho.mqtt.client as mqtt

port, topic, qos, count, rate, first_ms = int(sys.argv[1]), sys.argv[2], *map(int, sys.argv[3:])
client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2)
client.max_queued_messages_set(0)
client.max_inflight_messages_set(2000)
client.connect("127.0.0.1", port)
client.loop_start()
begun, under_way = time.monotonic(), collections.deque()
for number in range(count):
    said = '{"temperature": %.4f, "t_ms": %d}' % (20 + number % 9973 * 0.0001, first_ms + number)
    under_way.append(client.publish(topic, said, qos))
    if len(under_way) > 20000:  # a client has 65,535 numbers for what is under way
        under_way.popleft().wait_for_publish()
    if number % 100 == 99:
        time.sleep(max(0.0, begun + (number + 1) / rate - time.monotonic()))
for info in under_way:
    info.wait_for_publish()
client.disconnect()
client.loop_stop()
"""


class Watched(HeardQueue):
    """The queue, with the longest it ever was."""

    def __init__(self) -> None:
        super().__init__(QUEUE)
        self.longest = 0

    def put(self, item: Heard) -> None:
        super().put(item)
        self.longest = max(self.longest, len(self))


def resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


async def sending(port: int, source: str, qos: int) -> asyncio.subprocess.Process:
    numbers = [str(n) for n in (qos, COUNT, RATE, FIRST_MS)]
    return await asyncio.create_subprocess_exec(sys.executable, "-c", PUBLISHER, str(port), f"{source}/air", *numbers)


@asynccontextmanager
async def listening(bench: Bench, broker: Broker, queue: HeardQueue, *ids: str) -> AsyncIterator[dict[str, Supervisor]]:
    def now() -> tuple[int, float]:
        instant = bench.clock.now()
        return instant.wall_ms, instant.mono_s

    wires = {}
    for name in ids:
        driver = MqttSubscription(
            name, "127.0.0.1", broker.port, topics=[f"{name}/air"], decode=json_payload(patterns=[f"{name}/air"]),
            client_id=name, unacknowledged_limit=UNACKNOWLEDGED, now=now,
        )  # fmt: skip
        wires[name] = Supervisor(name, "mqtt", "the broker", driver, queue.put, now)
    tasks = [asyncio.create_task(wire.run()) for wire in wires.values()]
    try:
        await until(lambda: all(wire.state().state == "listening" for wire in wires.values()))
        yield wires
    finally:
        for task in tasks:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task


def rows(folder: Path, series: str) -> int:
    query = "SELECT count(*) FROM reading JOIN series ON series.id = reading.series WHERE name = ?"
    with closing(sqlite3.connect(folder / FILE_NAME)) as record:
        return int(record.execute(query, (series,)).fetchone()[0])


@pytest.mark.timeout(120 + 60 * SECONDS)
async def test_a_burst_loses_nothing_of_qos_1_counts_what_it_drops_and_starves_nobody(tmp_path: Path) -> None:
    bench, queue = Bench(tmp_path / "state"), Watched()
    before_mb = resident_mb()
    async with (
        a_broker(tmp_path / "broker") as broker,
        listening(bench, broker, queue, "kept", "loud", "quiet") as wires,
        Publisher("127.0.0.1", broker.port) as device,
    ):
        senders = [await sending(broker.port, "kept", 1), await sending(broker.port, "loud", 0)]
        # The engine stands still (a slow disk, say) until the queue's bound has really been met.
        await until(lambda: queue.dropped["loud"] > QUEUE, WITHIN_S, "the bound of the queue")
        await until(lambda: wires["kept"].state().heard, WITHIN_S, "anything of QoS 1")
        assert wires["kept"].state().heard <= UNACKNOWLEDGED, "the broker holds the rest"
        engine = asyncio.create_task(bench.spine.engine.run(queue.take))
        for number in range(10):
            device.publish("quiet/air", f'{{"temperature": {20 + number / 10}, "t_ms": {FIRST_MS + number}}}')
            await until(lambda: wires["quiet"].state().heard > number, WITHIN_S, "the quiet one")  # noqa: B023
        for sender in senders:
            assert await asyncio.wait_for(sender.wait(), WITHIN_S) == 0
        for name in ("kept", "loud"):
            await until(lambda: wires[name].state().heard == COUNT, WITHIN_S, name)  # noqa: B023
        await until(lambda: not len(queue), WITHIN_S, "the queue to empty")
        grown_mb = resident_mb() - before_mb
        engine.cancel()
        with suppress(asyncio.CancelledError):
            await engine
        assert [wire.state().reconnects for wire in wires.values()] == [0, 0, 0]
    await bench.close()
    assert queue.longest <= QUEUE + UNACKNOWLEDGED
    assert set(queue.dropped) == {"loud"}
    assert grown_mb < RESIDENT_MB
    assert rows(bench.folder, "kept:/temperature_c") == COUNT
    assert rows(bench.folder, "quiet:/temperature_c") == 10
    assert rows(bench.folder, "loud:/temperature_c") == COUNT - queue.dropped["loud"]
