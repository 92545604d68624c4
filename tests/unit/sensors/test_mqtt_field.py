"""What brokers and networks do in the field, each against the real broker. The rows are those of the field notes."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager, suppress
from pathlib import Path

import pytest

from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt import listening as listening_module
from sensors.payloads import json_payload
from sensors.supervise import Supervisor
from server.clock import Instant
from server.config import ScreeningTable, Sensor
from server.reading import Flag
from server.screening import Screening
from tests.unit.sensors.brokers import a_mosquitto, an_old_broker
from tests.unit.sensors.helpers import Notes, free_port, real_now, running, until
from tests.unit.sensors.test_mqtt import publish, subscription

VERSIONS = pytest.mark.parametrize("protocol", ["5", "3.1.1"])
PLAIN = ("allow_anonymous true", "persistence false")


def quickly(_failures: int, _refused: bool) -> float:
    return 0.05


@asynccontextmanager
async def supervised(driver: MqttSubscription, notes: Notes) -> AsyncIterator[Supervisor]:
    wire = Supervisor("shop", "mqtt", "the broker", driver, notes.heard, real_now, pause=quickly)
    task = asyncio.create_task(wire.run())
    try:
        yield wire
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


@VERSIONS
async def test_a_retained_value_moves_nothing_unless_it_says_when_it_was_measured(
    tmp_path: Path, protocol: str
) -> None:
    """Field pitfall 16: after a restart an old value counts as new. Contract of driver and screening, with the real
    retained bit: the last known value is kept with its flag and is no news, but for one that brings its own time."""
    notes, patterns = Notes(), ["shop/+/air"]
    async with a_mosquitto(tmp_path, *PLAIN) as port:
        async with Publisher("127.0.0.1", port) as device:
            wall_ms, _ = real_now()
            device.publish("shop/loft/air", '{"temperature": 20.4, "humidity": 41.2}', retain=True)
            stated = {"temperature": 17.5, "humidity": 52.0, "t_ms": wall_ms - 60_000}
            device.publish("shop/rack/air", json.dumps(stated), retain=True)
            await device.flushed()
        ours = subscription(port, topics=patterns, decode=json_payload(patterns=patterns), protocol=protocol)
        async with running(ours, notes):
            await until(lambda: len(notes.samples) == 2)
    sensors = [Sensor(id=name, source="shop", device=name, zone="bench") for name in ("loft", "rack")]
    found = Screening(ScreeningTable(), sensors).screen(notes.samples, Instant(*real_now()))
    flags = {reading.series: reading.flags for reading in found.readings}
    assert flags == {
        "loft/temperature_c": Flag.RETAINED,
        "loft/humidity_pct": Flag.RETAINED,
        "rack/temperature_c": Flag.NONE,
        "rack/humidity_pct": Flag.NONE,
    }
    assert set(found.heard) == {"rack"}, "a retained value does not end a sensor's silence"
    by_series = {reading.series: reading for reading in found.readings}
    assert by_series["rack/temperature_c"].t_ms == wall_ms - 60_000


@VERSIONS
async def test_a_broker_restarted_without_memory_is_subscribed_to_again(tmp_path: Path, protocol: str) -> None:
    """Field pitfall 7: after a reconnect nothing arrives, because the broker has forgotten who wanted what."""
    notes, port = Notes(), free_port()
    async with supervised(subscription(port, protocol=protocol), notes) as wire:
        for temperature in (20.4, 20.5):
            async with a_mosquitto(tmp_path, *PLAIN, port=port):
                await until(lambda: wire.state().state == "listening")
                await publish(port, temperature)
                await until(lambda: temperature in notes.temperatures)  # noqa: B023 - awaited before it changes
            await until(lambda: wire.state().state == "lost")
        assert "connection lost" in wire.state().last_error or "cannot connect" in wire.state().last_error
        assert wire.state().reconnects == 1


async def test_another_client_with_our_id_is_told_by_name(tmp_path: Path) -> None:
    """Field pitfall 7: two installations throw each other off the broker in a loop."""
    async with (
        a_mosquitto(tmp_path, *PLAIN) as port,
        supervised(subscription(port, client_id="twin"), Notes()) as first,
        supervised(subscription(port, client_id="twin"), Notes()) as second,
    ):
        told = "another client may use the id twin; would be right: an id of its own for each"
        await until(lambda: told in first.state().last_error + second.state().last_error, 30)


@VERSIONS
async def test_a_broker_that_comes_later_is_found(tmp_path: Path, protocol: str) -> None:
    """Field pitfall 8: never connects when the broker was down at boot."""
    notes, port = Notes(), free_port()
    async with supervised(subscription(port, protocol=protocol), notes) as wire:
        await until(lambda: "cannot connect" in wire.state().last_error)
        assert wire.state().state == "lost"
        async with a_mosquitto(tmp_path, *PLAIN, port=port):
            await until(lambda: wire.state().state == "listening")
            await publish(port, 20.4)
            await until(lambda: notes.samples)


async def test_an_old_broker_that_restarts_is_found_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Field pitfalls 7 and 8 with a broker of MQTT 3.1.1 alone, which remembers nothing."""
    monkeypatch.setattr("sensors.mqtt.link.IMPATIENT_S", 1.0)
    notes, port = Notes(), free_port()
    async with supervised(subscription(port), notes) as wire:
        for temperature in (20.4, 20.5):
            async with an_old_broker(port):
                await until(lambda: wire.state().state == "listening", 30)
                async with Publisher("127.0.0.1", port, protocol="3.1.1") as device:
                    device.publish("shop/loft/temperature", str(temperature))
                    await until(lambda: temperature in notes.temperatures)  # noqa: B023 - awaited before it changes
            await until(lambda: wire.state().state == "lost")


@contextmanager
def links_counted(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[object]]:
    """The client objects of the links that are made meanwhile."""
    clients: list[object] = []
    before = listening_module.ListeningLink.__init__

    def made(link: listening_module.ListeningLink, *arguments: object) -> None:
        before(link, *arguments)  # type: ignore[arg-type]
        clients.append(link.client)

    with monkeypatch.context() as patch:
        patch.setattr(listening_module.ListeningLink, "__init__", made)
        yield clients


async def test_every_connection_has_a_client_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Field pitfall 8: nothing of a broken link is left over in the next one."""
    port = free_port()
    with links_counted(monkeypatch) as clients:
        async with supervised(subscription(port, protocol="5"), Notes()) as wire:
            for _ in range(2):
                async with a_mosquitto(tmp_path, *PLAIN, port=port):
                    await until(lambda: wire.state().state == "listening")
                await until(lambda: wire.state().state == "lost")
    assert len({id(client) for client in clients}) == len(clients) >= 2


async def test_payloads_of_any_kind_end_as_refused_and_nothing_stops(tmp_path: Path) -> None:
    """Field pitfall 4: data stops and the process looks healthy. Whatever comes is told, and the next is heard."""
    notes, patterns = Notes(), ["shop/#"]
    junk = [
        b"",
        b"\0" * 100,
        b"\xff\xfe\xfd",
        b"{" * 4000,
        b'{"t": ' + b"[" * 900 + b"]" * 900 + b"}",
        b'{"t": 1e999}',
        b'{"t": NaN}',
        b'{"t": "' + b"9" * 5000 + b'"}',
        b'{"t": ' + b"9" * 5000 + b"}",
        b'{"t": true}',
        b'{"t": 20, "t": 21}',
        b'{"t": 20, "t_ms": -1}',
        b"x" * 100_000,
        '{"t": "20,4 \ud83d\ude00"}'.encode("utf-16", "surrogatepass"),
    ]
    async with a_mosquitto(tmp_path, *PLAIN) as port:
        ours = subscription(port, topics=patterns, decode=json_payload(patterns=patterns))
        async with running(ours, notes) as task, Publisher("127.0.0.1", port) as device:
            for payload in junk:
                device.publish("shop/loft/air", payload)
            device.publish("shop" + "/a" * 59, '{"t": 20.4}')
            device.publish("shop/loft/air", '{"t": 20.4}')
            await device.flushed()
            await until(lambda: notes.samples)
            assert not task.done()
    assert [told.payload for told in notes.refusals] == [*junk, b'{"t": 20.4}']
    assert all("would be right" in told.reason for told in notes.refusals)
    assert notes.refusals[-1].reason.startswith("found 60 levels in the topic")


async def test_a_link_that_a_person_must_mend_is_not_hammered(tmp_path: Path) -> None:
    """Field pitfall 4, the broker's side: one that refuses is told as refused, once, and asked again later."""
    tries: list[bool] = []

    def pause(_failures: int, refused: bool) -> float:
        tries.append(refused)
        return 0.05

    async with a_mosquitto(tmp_path, "allow_anonymous false") as port:
        wire = Supervisor("shop", "mqtt", "the broker", subscription(port), Notes().heard, real_now, pause=pause)
        task = asyncio.create_task(wire.run())
        await until(lambda: len(tries) >= 2)
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
    assert all(tries)
    assert (
        "Not authorized; would be right: the user name and password that this broker knows" in wire.state().last_error
    )
