"""What every driver keeps to, over the real wires and over the simplest honest fake."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from sensors.decoding import Decoded, Unreadable
from sensors.driver import Driver, LinkLost, Listener
from sensors.line_formats import pairs
from sensors.modbus.bus import ModbusBus
from sensors.modbus.registers import Figure, Probe
from sensors.mqtt import MqttSubscription, Publisher
from sensors.sample import RawSample, RefusedPayload
from sensors.serial_lines import SerialLines
from sensors.simulated import PtyPair
from sensors.simulated_probe import QUESTION_SIZE, SimulatedProbe, readable
from tests.unit.sensors.helpers import Cable, Notes, a_broker, running, until

WALL_MS, MONO_S = 1_799_757_720_000, 42.5
TOPIC = "shop/air"


def fixed_now() -> tuple[int, float]:
    return WALL_MS, MONO_S


class FakeDriver:
    """A wire made of a queue: what is put in is heard, None breaks it."""

    def __init__(self) -> None:
        self.wire: asyncio.Queue[bytes | None] = asyncio.Queue()

    async def run(self, listener: Listener) -> None:
        listener.connected()
        while (payload := await self.wire.get()) is not None:
            listener.bytes_heard(payload)
            try:
                said = pairs()(payload)
            except Unreadable as err:
                listener.heard(RefusedPayload("wire", "fake", payload, str(err), WALL_MS))
            else:
                listener.heard(RawSample("wire", said.device, said.values, *fixed_now(), said.own_ms))
        raise LinkLost("fake: broken")


@dataclass(frozen=True, slots=True)
class Wire:
    """A driver with the means to send to it and to break it; ``mend`` makes it whole again."""

    driver: Driver
    send: Callable[[bytes], Awaitable[bytes]]
    """Says what it put on the wire for a line: a bus carries registers."""
    break_off: Callable[[], None]
    mend: Callable[[], None]
    name: str


async def fake_wire(_folder: Path) -> AsyncIterator[Wire]:
    driver = FakeDriver()

    async def send(line: bytes) -> bytes:
        driver.wire.put_nowait(line)
        return line

    yield Wire(driver, send, lambda: driver.wire.put_nowait(None), lambda: None, "fake")


async def serial_wire(folder: Path) -> AsyncIterator[Wire]:
    pair = PtyPair(folder, "usb-fictional")
    driver = SerialLines("wire", pair.port, line_format=pairs(), settle_s=0.0, now=fixed_now)

    async def send(line: bytes) -> bytes:
        # An empty line first: what comes before the first newline is dropped.
        assert pair.write_line(b"\n" + line + b"\n")
        return line

    def mend() -> None:
        nonlocal pair
        pair = PtyPair(folder, "usb-fictional")

    yield Wire(driver, send, pair.close, mend, pair.port)
    pair.close()


async def mqtt_wire(folder: Path) -> AsyncIterator[Wire]:
    def decode(_topic: str, payload: bytes) -> Decoded:
        return pairs()(payload)

    async with a_broker(folder) as broker, Cable(broker.port) as cable, Publisher("127.0.0.1", broker.port) as device:
        driver = MqttSubscription(
            "wire", "127.0.0.1", cable.port, topics=[TOPIC], decode=decode, client_id="contract", now=fixed_now
        )

        async def send(payload: bytes) -> bytes:
            device.publish(TOPIC, payload)
            await device.flushed()
            return payload

        yield Wire(driver, send, cable.break_off, lambda: None, f"127.0.0.1:{cable.port}")


async def modbus_wire(folder: Path) -> AsyncIterator[Wire]:
    """A probe that takes its time: each question waits until there is something to say."""
    pair = PtyPair(folder, "usb-fictional")
    one = Probe("loft", 1, (("temperature_f", Figure(0)), ("humidity_pct", Figure(1, scale=0.1))))
    driver = ModbusBus("wire", pair.port, probes=[one], period_s=0.01, timeout_s=60.0, now=fixed_now)

    async def send(line: bytes) -> bytes:
        question = b""
        while len(question) < QUESTION_SIZE:
            await readable(pair)
            question += pair.read() or b""
        try:
            said = dict(pairs()(line).values)
        except Unreadable:
            answer = SimulatedProbe({0: 0, 1: 0}, "exception").answer(question)
        else:
            fahrenheit = round(said["temperature_c"] * 1.8 + 32)
            answer = SimulatedProbe({0: fahrenheit, 1: round(said.get("humidity_pct", 0) * 10)}).answer(question)
        pair.write(answer)
        return answer

    def mend() -> None:
        nonlocal pair
        pair = PtyPair(folder, "usb-fictional")

    yield Wire(driver, send, pair.close, mend, pair.port)
    pair.close()


@pytest.fixture(params=[fake_wire, serial_wire, mqtt_wire, modbus_wire], ids=["fake", "serial", "mqtt", "modbus"])
async def wire(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Wire]:
    async for one in request.param(tmp_path):
        yield one


async def test_a_sample_is_si_named_and_stamped_with_the_clock_it_was_given(wire: Wire) -> None:
    notes = Notes()
    async with running(wire.driver, notes):
        await wire.send(b"id=loft T=68F RH=41.2")
        await until(lambda: notes.samples)
    (sample,) = notes.samples
    assert (sample.source, sample.device) == ("wire", "loft")
    assert dict(sample.values) == {"temperature_c": pytest.approx(20.0, abs=1e-12), "humidity_pct": 41.2}
    assert (sample.heard_ms, sample.heard_mono_s, sample.own_ms) == (WALL_MS, MONO_S, None)
    assert not sample.retained
    assert not sample.redelivered


async def test_it_says_connected_then_bytes_then_what_they_were(wire: Wire) -> None:
    notes = Notes()
    async with running(wire.driver, notes):
        await wire.send(b"T=20.4")
        await until(lambda: notes.samples)
    order = list(dict.fromkeys(notes.events))
    assert order == ["connected", "bytes", "heard"]
    assert notes.threads == {threading.get_ident()}


async def test_what_cannot_be_read_is_kept_and_blocks_nothing(wire: Wire) -> None:
    notes = Notes()
    async with running(wire.driver, notes):
        unreadable = await wire.send(b"T=warm")
        await wire.send(b"T=20.4")
        await until(lambda: notes.samples)
    (refused,) = notes.refusals
    assert (refused.source, refused.payload, refused.heard_ms) == ("wire", unreadable, WALL_MS)
    assert "would be right" in refused.reason
    assert refused.where


async def test_a_broken_link_is_lost_by_name_and_the_same_driver_runs_again(wire: Wire) -> None:
    notes = Notes()
    async with running(wire.driver, notes) as task:
        wire.break_off()
        with pytest.raises(LinkLost, match=wire.name):
            await asyncio.wait_for(task, 10)
    wire.mend()
    async with running(wire.driver, notes):
        await wire.send(b"T=20.4")
        await until(lambda: notes.samples)


async def test_cancelling_ends_it_and_nothing_more_is_heard(wire: Wire) -> None:
    notes = Notes()
    async with running(wire.driver, notes) as task:
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            async with asyncio.timeout(20):
                await task
    before = len(notes.events)
    await asyncio.sleep(0)
    assert len(notes.events) == before
