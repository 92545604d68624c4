"""A broker keeps our session while we are away. It may not keep what nobody asks for any more."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import AsyncIterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt.kept_filters import KeptFilters
from sensors.mqtt.source import MqttSource, build_mqtt
from sensors.sample import Heard
from sensors.supervise import Supervisor
from server.broker import Broker
from tests.unit.sensors.helpers import Notes, a_broker, free_port, real_now, running, until

GOOD = b'{"temperature": 20.4}'
ALL, AIR = ("shop/#",), ("shop/+/air",)


@pytest.fixture
async def broker(tmp_path: Path) -> AsyncIterator[Broker]:
    async with a_broker(tmp_path / "broker") as one:
        yield one


def source(state: Path, port: int, topics: tuple[str, ...], protocol: str = "auto", **more: Any) -> MqttSubscription:
    table = {"id": "b", "kind": "mqtt", "port": port, "topics": topics, "protocol": protocol, **more}
    driver = build_mqtt(MqttSource.model_validate(table), real_now, state)
    assert isinstance(driver, MqttSubscription)
    return driver


async def said(port: int, *topics: str) -> None:
    """A message on each topic, and one at the end that every configuration here hears."""
    async with Publisher("127.0.0.1", port) as device:
        for topic in (*topics, "shop/last/air"):
            device.publish(topic, GOOD, 1)
        await device.flushed()


def taken(items: list[Heard]) -> None:
    for item in items:
        if item.acknowledge is not None:
            item.acknowledge()


@pytest.mark.parametrize("protocol", ["5", "3.1.1"])
async def test_what_the_configuration_does_not_ask_for_any_more_is_given_up(
    broker: Broker, tmp_path: Path, protocol: str
) -> None:
    """The session holds each filter until it is given up, whatever is subscribed to besides (MQTT 5.0 section 3.8.4,
    3.1.1 section 3.8.4)."""
    async with running(source(tmp_path, broker.port, ALL, protocol), Notes()):
        pass
    for _ in range(2):
        notes = Notes()
        async with running(source(tmp_path, broker.port, AIR, protocol), notes):
            await said(broker.port, "shop/cam", "shop/loft/cam")
            await until(lambda: notes.samples)  # noqa: B023 - awaited before it changes
            taken(notes.items)
        assert (len(notes.samples), notes.refusals) == (1, [])
    assert json.loads((tmp_path / "filters-b.json").read_text()) == ["shop/+/air"]


@pytest.mark.parametrize("protocol", ["5", "3.1.1"])
async def test_a_source_that_is_taken_away_leaves_no_session(broker: Broker, tmp_path: Path, protocol: str) -> None:
    """It would go on gathering for a day, and a source made anew under the name would get it all."""
    driver = source(tmp_path, broker.port, ALL, protocol, discovery="home")
    supervisor = Supervisor("b", "mqtt", "", driver, lambda item: taken([item]), real_now)
    task = asyncio.create_task(supervisor.run())
    await until(lambda: supervisor.state().state == "listening")
    async with Publisher("127.0.0.1", broker.port) as device:
        device.publish("home/sensor/h/config", b'{"device_class": "humidity", "state_topic": "x/h"}', 1)
        await device.flushed()
    await until((tmp_path / "announced-b.json").exists)
    task.cancel()
    with suppress(asyncio.CancelledError):
        await task
    await supervisor.forget()
    assert not list(tmp_path.glob("*-b.json"))  # noqa: ASYNC240 - a test
    await said(broker.port, "shop/cam", "shop/loft/air", "x/h")
    notes = Notes()
    async with running(source(tmp_path, broker.port, AIR, protocol), notes):
        await said(broker.port, "shop/cam", "x/h")
        await until(lambda: notes.items)
    assert [type(item).__name__ for item in notes.items] == ["RawSample"]


async def test_a_broker_that_is_away_is_not_waited_for(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    KeptFilters(tmp_path / "filters-b.json").keep(ALL)
    driver = source(tmp_path, free_port(), AIR)
    with caplog.at_level(logging.WARNING):
        await Supervisor("b", "mqtt", "", driver, taken, real_now).forget()  # type: ignore[arg-type]
    assert "its broker was not told" in caplog.text
    assert (tmp_path / "filters-b.json").exists(), "made anew, it gives them up"


def test_what_is_kept_is_whole_or_set_aside(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    path = tmp_path / "filters.json"
    kept = KeptFilters(path)
    assert kept.begin(ALL) == []
    assert kept.begin(AIR) == ["shop/#"]
    assert kept.begin(AIR) == ["shop/#"], "until the broker has given it up"
    kept.keep(AIR)
    assert kept.begin(AIR) == []
    for bad in ('["a/#/b"]', "[1]", "{}", "[" * 100_000, '["\\ud800"]', "\udcff"):
        path.write_bytes(bad.encode("utf-8", "surrogateescape"))
        with caplog.at_level(logging.WARNING):
            assert kept.begin(AIR) == []
        assert "unreadable" in caplog.text
        assert json.loads(path.read_text()) == list(AIR)
