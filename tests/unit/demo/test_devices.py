"""Live play: on a clock that jumps, on a broken wire, and over a real serial pair and a real broker."""

from __future__ import annotations

import asyncio
import socket
import subprocess
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest
import serial

from sensors.driver import LinkLost
from sensors.line_formats import pairs
from sensors.modbus.rtu import Ask, answer_in, why_none
from sensors.mqtt import Publisher
from sensors.payloads import json_payload
from sensors.queue import HeardQueue
from sensors.simulated import PtyPair
from server.clock import ManualClock, ScaledClock
from server.demo.bus import answer, asked
from server.demo.devices import SPEAKING, play, spoken
from server.demo.indoor import workshop_air
from server.demo.misbehaviour import FIRST_DAY, INDOORS, KINDS, misbehaviour
from server.demo.play import demo_config
from server.demo.probe import said
from server.demo.scenario import FIRST_START_MS, SENSORS, TEMPERATURE_REGISTER, TOPICS, UNIT_IDS, live_period_s
from server.demo.weather import HOUR_MS
from server.wires import make_wires
from tests.unit.sensors.helpers import Notes, until

BY_ID = {sensor.id: sensor for sensor in SPEAKING}
(PROBE,) = (sensor for sensor in SENSORS if sensor.wire == "modbus")


class Collected:
    """Both wires at once: keeps what was said, with the clock's time, and ends the play after ``enough`` messages."""

    def __init__(self, clock: ManualClock, enough: int) -> None:
        self.clock, self.enough = clock, enough
        self.said: dict[str, list[tuple[int, bytes]]] = defaultdict(list)
        self.done = asyncio.Event()

    def write_line(self, line: bytes) -> None:
        assert line.endswith(b"\n")
        self._keep("bench-1", line[:-1])

    def publish(self, topic: str, payload: bytes, qos: int, *, retain: bool) -> None:
        assert (qos, retain) == (1, False)
        self._keep(topic.split("/")[1], payload)

    def _keep(self, sensor: str, payload: bytes) -> None:
        self.said[sensor].append((self.clock.now().wall_ms, payload))
        if sum(map(len, self.said.values())) >= self.enough:
            self.done.set()


class TurnClock(ManualClock):
    """A clock for several sleepers: time moves to the earliest of them once all are asleep."""

    def __init__(self, start_ms: int, sleepers: int) -> None:
        super().__init__(start_ms)
        self.sleepers = sleepers
        self.waiting: list[tuple[float, asyncio.Future[None]]] = []

    async def sleep(self, seconds: float) -> None:
        future: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self.waiting.append((self.now().mono_s + seconds, future))
        if len(self.waiting) == self.sleepers:
            self.waiting.sort(key=lambda pair: pair[0])
            due_s, first = self.waiting.pop(0)
            self.advance(max(0.0, due_s - self.now().mono_s))
            first.set_result(None)
        await future


async def played(start_ms: int, enough: int, period_s: float = 20.0) -> dict[str, list[tuple[int, bytes]]]:
    clock = TurnClock(start_ms, len(SPEAKING))
    wires = Collected(clock, enough)
    task = asyncio.create_task(play(clock, wires, wires, period_s=period_s))
    await asyncio.wait_for(wires.done.wait(), 30)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    return wires.said


async def test_every_sensor_speaks_each_period_and_says_the_air_of_the_moment() -> None:
    said = await played(FIRST_START_MS, 40)
    assert set(said) == set(BY_ID)
    for sensor, messages in said.items():
        times = [t for t, _ in messages]
        assert times[0] == FIRST_START_MS + BY_ID[sensor].phase_s * 1000
        assert {b - a for a, b in pairwise(times)} == {20_000}
        assert all(payload == spoken(BY_ID[sensor], t) for t, payload in messages)
        if BY_ID[sensor].wire == "mqtt":  # so that what a broker kept while nobody listened keeps its time
            stated = [json_payload(patterns=[TOPICS])(BY_ID[sensor].topic, payload).own_ms for _, payload in messages]
            assert stated == times


async def test_a_silent_sensor_is_silent_and_the_others_go_on() -> None:
    days = map(misbehaviour, range(FIRST_DAY, FIRST_DAY + 35))
    bad = next(b for b in days if b.kind == "silent" and b.sensor in BY_ID)
    said = await played(bad.start_ms, 60, period_s=600.0)
    assert set(said) == set(BY_ID)
    assert all(not bad.start_ms <= t < bad.end_ms for t, _ in said[bad.sensor])


async def test_moments_slept_through_are_not_made_up_for() -> None:
    clock = TurnClock(FIRST_START_MS, len(SPEAKING))
    wires = Collected(clock, 12)
    keep = wires._keep

    def slow(sensor: str, payload: bytes) -> None:
        keep(sensor, payload)
        if len(wires.said["bench-1"]) == 2 and sensor == "bench-1":
            clock.advance(1000.0)  # the machine stood still

    wires._keep = slow  # type: ignore[method-assign]
    task = asyncio.create_task(play(clock, wires, wires, period_s=20.0))
    await asyncio.wait_for(wires.done.wait(), 30)
    task.cancel()
    times = [t for t, _ in wires.said["bench-1"]]
    assert times[2] - times[1] == 1_000_000
    assert len(set(times)) == len(times)


@pytest.mark.parametrize("error", [OSError("unplugged"), LinkLost("unplugged")], ids=["system", "wire"])
async def test_a_broken_wire_is_said_once_and_does_not_stop_the_sensor(
    error: Exception, caplog: pytest.LogCaptureFixture
) -> None:
    clock = TurnClock(FIRST_START_MS, len(SPEAKING))
    wires = Collected(clock, 10 * (len(SPEAKING) - 1))

    class Unplugged:
        tries = 0

        def write_line(self, line: bytes) -> None:
            self.tries += 1
            raise error

    unplugged = Unplugged()
    task = asyncio.create_task(play(clock, unplugged, wires, period_s=20.0))
    await asyncio.wait_for(wires.done.wait(), 30)
    task.cancel()
    assert unplugged.tries >= 9
    assert [r.getMessage() for r in caplog.records if "wire broken" in r.getMessage()] == [
        "bench-1: found its wire broken (unplugged); it goes on measuring"
    ]


async def test_no_period_is_refused() -> None:
    wires = Collected(ManualClock(), 1)
    with pytest.raises(ValueError, match="period_s: found 0; would be right: more than 0"):
        await play(ManualClock(FIRST_START_MS), wires, wires, period_s=0)


@pytest.mark.parametrize("sensor", [one for one in SPEAKING if one.id in INDOORS], ids=lambda sensor: sensor.id)
def test_a_garbled_hour_cannot_be_read_and_an_impossible_one_can(sensor: object) -> None:
    read = {
        "serial": lambda s, payload: pairs()(payload),
        "mqtt": lambda s, payload: json_payload(patterns=[TOPICS])(s.topic, payload),
    }
    seen = set()
    for day in range(FIRST_DAY, FIRST_DAY + 35):
        bad = misbehaviour(day)
        if bad.sensor != sensor.id:
            continue
        seen.add(bad.kind)
        payload = spoken(sensor, bad.start_ms + HOUR_MS // 2)
        if bad.kind == "silent":
            assert payload is None
        elif bad.kind == "garbled":
            with pytest.raises(ValueError, match="would be right"):
                read[sensor.wire](sensor, payload)
        else:
            values = dict(read[sensor.wire](sensor, payload).values)
            assert (values["humidity_pct"] == 130.0) == (bad.kind == "out-of-range")
            assert (values["temperature_c"] == pytest.approx(-45.0)) == (bad.kind == "out-of-range")
            assert (values["humidity_pct"] == 100.0) == (bad.kind == "saturated")
    assert seen >= set(KINDS) - {"saturated"}


@pytest.mark.parametrize("speed", [1.0, 60.0, 400.0, 1000.0, 3600.0])
def test_no_sensor_sends_more_than_twenty_messages_a_real_second(speed: float) -> None:
    assert speed / live_period_s(speed) <= 20.0
    assert live_period_s(speed) >= 20.0


def test_a_clock_that_stands_still_has_no_period() -> None:
    with pytest.raises(ValueError, match="speed: found 0"):
        live_period_s(0)


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[int]:
    """A real broker of our own on a free port, ready."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    (tmp_path / "broker.conf").write_text(
        f"listener {port} 127.0.0.1\nallow_anonymous true\npersistence false\nmax_queued_messages 0\nlog_dest none\n"
    )
    process = subprocess.Popen(["/usr/sbin/mosquitto", "-c", str(tmp_path / "broker.conf")])
    try:
        until = time.monotonic() + 10
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
                break
            except OSError:
                assert process.poll() is None
                assert time.monotonic() < until
        yield port
    finally:
        process.terminate()
        process.wait(10)


@pytest.mark.whole
async def test_over_a_real_serial_pair_and_a_real_broker(broker: int, tmp_path: Path) -> None:
    loop = asyncio.get_running_loop()
    listener = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
    heard: asyncio.Queue[tuple[str, bytes]] = asyncio.Queue()
    subscribed = asyncio.Event()
    listener.on_subscribe = lambda *_: loop.call_soon_threadsafe(subscribed.set)
    listener.on_message = lambda _c, _u, m: loop.call_soon_threadsafe(heard.put_nowait, (m.topic, m.payload))
    listener.connect("127.0.0.1", broker)
    listener.subscribe(TOPICS, qos=1)
    listener.loop_start()
    speed = 400.0
    pair = PtyPair(tmp_path, "usb-fictional-1")
    with closing(pair), closing(serial.Serial(pair.port, 9600, timeout=10)) as port:
        async with Publisher("127.0.0.1", broker) as publisher:
            await asyncio.wait_for(subscribed.wait(), 10)
            clock = ScaledClock(FIRST_START_MS, speed)
            task = asyncio.create_task(play(clock, pair, publisher, period_s=live_period_s(speed)))
            lines = [await asyncio.to_thread(port.readline) for _ in range(5)]
            topics = [await asyncio.wait_for(heard.get(), 10) for _ in range(15)]
            task.cancel()
            await asyncio.wait([task])
    listener.disconnect()
    listener.loop_stop()
    for payload in lines:
        values = dict(pairs()(payload.strip()).values)
        assert 19.0 < values["temperature_c"] < 21.0
        assert 25.0 < values["humidity_pct"] < 36.0
    assert {topic for topic, _ in topics} == {sensor.topic for sensor in SENSORS if sensor.wire == "mqtt"}
    for topic, payload in topics:
        assert json_payload(patterns=[TOPICS])(topic, payload).device == topic.split("/")[1]


def test_the_probe_on_the_bus_misbehaves_as_the_others_do() -> None:
    question = Ask(UNIT_IDS[PROBE.id], 4, TEMPERATURE_REGISTER, 2)
    seen = set()
    for bad in (b for b in map(misbehaviour, range(FIRST_DAY, FIRST_DAY + 35)) if b.sensor == PROBE.id):
        seen.add(bad.kind)
        said = asked(PROBE, bad.start_ms + HOUR_MS // 2).answer(question.frame)
        whole = answer_in(said, question)
        assert (whole is None) == (bad.kind in {"silent", "garbled"})
        if whole is None:
            assert why_none(said, question).kind == {"silent": "timeout", "garbled": "crc"}[bad.kind]
        elif bad.kind == "out-of-range":
            assert whole[3:7] == (-4500 % 65536).to_bytes(2, "big") + (1300).to_bytes(2, "big")
    assert seen >= set(KINDS) - {"saturated"}


async def test_the_probe_on_the_bus_is_asked_in_the_demos_own_time(tmp_path: Path) -> None:
    speed = 400.0
    clock, pair, notes = ScaledClock(FIRST_START_MS, speed), PtyPair(tmp_path, "usb-fictional-2"), Notes()
    await asyncio.to_thread(workshop_air().at, PROBE.zone, FIRST_START_MS)
    tables = demo_config(0, 1, "/dev/null", pair.port, live_period_s(speed))
    wire = make_wires(tables, tmp_path, clock, HeardQueue())[PROBE.source]
    tasks = [asyncio.create_task(answer(pair, clock)), asyncio.create_task(wire._driver.run(notes))]
    await until(lambda: len(notes.samples) >= 4)
    for task in reversed(tasks):
        task.cancel()
    await asyncio.wait(tasks)
    pair.close()
    assert not notes.refusals
    # Twenty seconds of the demo's clock apart, which are a twentieth of a real one; never more often.
    assert len(notes.samples) <= notes.samples[-1].heard_mono_s / 20.0 + 1
    for sample in notes.samples:
        what = said(PROBE, [sample.heard_ms])
        values = dict(sample.values)
        assert values["temperature_c"] == pytest.approx(float(what.temperature_c[0]), abs=0.5)
        assert values["humidity_pct"] == pytest.approx(float(what.humidity_pct[0]), abs=3.0)
