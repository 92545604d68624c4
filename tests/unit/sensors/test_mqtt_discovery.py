"""Devices that announce themselves, against the real broker."""

from __future__ import annotations

import json
import logging
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from sensors.decoding import Unreadable
from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt.announced import Announced
from sensors.mqtt.source import MqttSource, build_mqtt
from sensors.sample import Heard
from server.broker import Broker
from tests.unit.sensors.brokers import DYNAMIC_SECURITY, a_mosquitto, topic_rights
from tests.unit.sensors.helpers import Notes, a_broker, real_now, running, until

PREFIX = "homeassistant"
VERSIONS = pytest.mark.parametrize("protocol", ["5", "3.1.1"])


@pytest.fixture
async def broker(tmp_path: Path) -> AsyncIterator[Broker]:
    async with a_broker(tmp_path / "broker") as one:
        yield one


def config_topic(device: str, kind: str) -> str:
    return f"{PREFIX}/sensor/{device}/{kind}/config"


def announcement(device: str, kind: str, topic: str = "", **more: Any) -> bytes:
    unit = {"temperature": "°C", "humidity": "%"}.get(kind)
    said = {
        "stat_t": topic or f"gateway/{device}",
        "val_tpl": f"{{{{ value_json.{kind} }}}}",
        "dev_cla": kind,
        "unit_of_meas": unit,
        "dev": {"ids": [device], "name": f"Sensor {device}"},
    }
    return json.dumps({**said, **more}).encode()


def ours(port: int, folder: Path, **options: Any) -> MqttSubscription:
    table = {"id": "shop", "kind": "mqtt", "port": port, "discovery": PREFIX, **options}
    driver = build_mqtt(MqttSource.model_validate(table), real_now, folder)
    assert isinstance(driver, MqttSubscription)
    return driver


async def announce(device: Publisher, name: str, *kinds: str, retain: bool = True) -> None:
    for kind in kinds:
        device.publish(config_topic(name, kind), announcement(name, kind), retain=retain)
    await device.flushed()


def acknowledge_all(items: list[Heard]) -> None:
    for item in items:
        if item.acknowledge is not None:
            item.acknowledge()


async def says_on(device: Publisher, notes: Notes, topic: str, humidity: float) -> None:
    """Until it is heard: the topic may not be subscribed to yet."""

    def again() -> bool:
        device.publish(topic, str(humidity), 0)
        return any(dict(sample.values).get("humidity_pct") == humidity for sample in notes.samples)

    await until(again)


async def says(device: Publisher, notes: Notes, name: str, **values: Any) -> None:
    """Publish until it is heard: when the subscription stands, only the broker knows."""
    before = len(notes.items)

    async def once() -> None:
        device.publish(f"gateway/{name}", json.dumps(values))
        await device.flushed()

    await once()
    while len(notes.items) == before:
        try:
            await until(lambda: len(notes.items) > before, 0.5)
        except AssertionError:
            await once()


@VERSIONS
async def test_what_is_announced_is_heard_and_the_announcement_is_no_reading(
    broker: Broker, tmp_path: Path, protocol: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sensors.mqtt.listening.SAVE_EVERY_S", 0.0)
    notes = Notes()
    async with Publisher("127.0.0.1", broker.port) as device:
        await announce(device, "loft", "temperature", "humidity", "battery")
        async with running(ours(broker.port, tmp_path, protocol=protocol), notes):
            await says(device, notes, "loft", temperature=20.4, humidity=41.2, battery=90)
            await announce(device, "rack", "temperature", retain=False)
            await until(lambda: (tmp_path / "announced-shop.json").read_text().count("dev_cla") == 3)
            before = len(notes.items)
            await says(device, notes, "rack", temperature=17.5)
    assert notes.refusals == []
    first, last = notes.samples[0], notes.samples[before]
    assert (first.device, first.values) == ("loft", (("temperature_c", 20.4), ("humidity_pct", 41.2)))
    assert (last.device, last.values) == ("rack", (("temperature_c", 17.5),))
    assert b"dev_cla" not in notes.raw


async def test_an_empty_announcement_ends_it(broker: Broker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sensors.mqtt.listening.SAVE_EVERY_S", 0.0)
    notes, driver = Notes(), ours(broker.port, tmp_path)
    assert driver.announced is not None
    async with Publisher("127.0.0.1", broker.port) as device, running(driver, notes):
        await announce(device, "loft", "temperature")
        await says(device, notes, "loft", temperature=20.4)
        device.publish(config_topic("loft", "temperature"), b"", retain=True)
        await until(lambda: not driver.announced.topics)  # type: ignore[union-attr]
        await until(lambda: json.loads((tmp_path / "announced-shop.json").read_text()) == {})
    assert driver.announced_topics() == frozenset()


@VERSIONS
async def test_what_waited_while_we_were_away_is_read_after_a_restart(
    broker: Broker, tmp_path: Path, protocol: str
) -> None:
    """The broker sends it before it sends the announcements again, so what was announced is kept on the disk."""
    before, after = Notes(), Notes()
    async with Publisher("127.0.0.1", broker.port) as device:
        await announce(device, "loft", "temperature")
        async with running(ours(broker.port, tmp_path, protocol=protocol), before):
            await says(device, before, "loft", temperature=20.4)
            acknowledge_all(before.items)
            await says(device, before, "loft", temperature=20.5)
        device.publish(config_topic("loft", "temperature"), b"", qos=0, retain=True)
        device.publish("gateway/loft", '{"temperature": 20.6}')
        await device.flushed()
        async with running(ours(broker.port, tmp_path, protocol=protocol), after):
            await until(lambda: 20.6 in after.temperatures)
    assert after.refusals == []
    assert all(sample.backlog or sample.redelivered for sample in after.samples)


async def test_a_mistaken_announcement_is_told_once(broker: Broker, tmp_path: Path) -> None:
    notes, driver = Notes(), ours(broker.port, tmp_path)
    mistaken = announcement("loft", "temperature", "gateway/#")
    async with Publisher("127.0.0.1", broker.port) as device:
        device.publish(config_topic("loft", "temperature"), mistaken, retain=True)
        await device.flushed()
        for _ in range(2):
            async with running(driver, notes):
                await until(lambda: notes.refusals)
                await announce(device, "rack", "temperature")
                await says(device, notes, "rack", temperature=20.4)
    (told,) = notes.refusals
    assert told.where == config_topic("loft", "temperature")
    assert told.payload == mistaken
    assert "would be right: one topic without + and #" in told.reason


async def test_what_the_configuration_asks_for_itself_is_read_as_it_says(broker: Broker, tmp_path: Path) -> None:
    notes = Notes()
    driver = ours(broker.port, tmp_path, topics=["#"], paths={"temperature_f": "temperature"}, device_path="named")
    async with Publisher("127.0.0.1", broker.port) as device, running(driver, notes):
        await announce(device, "loft", "temperature")
        await says(device, notes, "loft", temperature=68, named="mine")
    assert driver.announced_topics() == frozenset()
    assert [(sample.device, sample.values) for sample in notes.samples] == [("mine", (("temperature_c", 20.0),))]


async def test_two_devices_on_one_topic_are_acknowledged_together(broker: Broker, tmp_path: Path) -> None:
    notes, again = Notes(), Notes()
    async with Publisher("127.0.0.1", broker.port) as device:
        for name in ("loft", "rack"):
            template = f"{{{{ value_json.{name}.t }}}}"
            content = announcement(name, "temperature", "gateway/all", val_tpl=template)
            device.publish(config_topic(name, "temperature"), content, retain=True)
        await device.flushed()
        async with running(ours(broker.port, tmp_path), notes):
            await says(device, notes, "all", loft={"t": 20.4}, rack={"t": 17.5})
            await until(lambda: len(notes.samples) % 2 == 0)
            taken = list(notes.items)
            acknowledge_all(taken[:-1])
        async with running(ours(broker.port, tmp_path), again):
            await until(lambda: len(again.samples) == 2)
    assert [sample.device for sample in notes.samples[-2:]] == ["loft", "rack"]
    assert all(sample.redelivered for sample in again.samples), "half of it was not in the store yet"


@pytest.mark.skipif(not DYNAMIC_SECURITY, reason="needs the plugin of Debian's mosquitto package for rights by topic")
@VERSIONS
async def test_an_announced_topic_that_is_not_granted_is_told_and_ends_nothing(tmp_path: Path, protocol: str) -> None:
    notes = Notes()
    lines = topic_rights(tmp_path, "kiosk", "right", f"{PREFIX}/#", "gateway/loft")
    password = tmp_path / "password"
    password.write_text("right")
    password.chmod(0o600)
    login = {"username": "kiosk", "password_file": str(password), "protocol": protocol}
    async with (
        a_mosquitto(tmp_path, *lines) as port,
        Publisher("127.0.0.1", port, username="kiosk", password="right") as device,
    ):
        await announce(device, "rack", "temperature")
        await announce(device, "loft", "temperature")
        async with running(ours(port, tmp_path, **login), notes):
            await until(lambda: notes.refusals)
            await says(device, notes, "loft", temperature=20.4)
    assert [(told.where, told.payload) for told in notes.refusals] == [("gateway/rack", b"")]
    assert "a right to read th" in notes.refusals[0].reason


def heard(announced: Announced, name: str, kind: str = "temperature", **more: Any) -> str | None:
    return announced.hear(config_topic(name, kind), announcement(name, kind, **more))


async def test_what_changes_all_the_time_is_not_written_all_the_time(
    broker: Broker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A memory card wears out by it. What counts is followed at once, and kept at the end."""
    saved = 0
    save = Announced.save

    def counted(announced: Announced) -> None:
        nonlocal saved
        saved += 1
        save(announced)

    monkeypatch.setattr(Announced, "save", counted)
    notes, driver, path = Notes(), ours(broker.port, tmp_path), tmp_path / "announced-shop.json"
    async with Publisher("127.0.0.1", broker.port) as device, running(driver, notes):
        for n in range(12):
            changes = {"state_topic": f"gateway/{n}", "device_class": "humidity", "seen": n}
            device.publish(config_topic("loft", "humidity"), json.dumps(changes))
            await until(lambda: driver.announced.topics == {f"gateway/{n}"})  # type: ignore[union-attr]  # noqa: B023
            same = {**changes, "seen": -n}
            device.publish(config_topic("loft", "humidity"), json.dumps(same))
            if n in {0, 11}:
                await says_on(device, notes, f"gateway/{n}", 40.0 + n)
        assert saved == 1
    await until(lambda: saved == 2)
    await until(lambda: "gateway/11" in path.read_text())


def test_an_announcement_that_says_the_same_is_not_written_again(tmp_path: Path) -> None:
    path = tmp_path / "announced.json"
    announced = Announced(PREFIX, path)
    assert heard(announced, "a") is None
    announced.save()
    assert heard(announced, "a", seen=5) is None
    assert announced.is_saved


THERMOMETER = {"dev": {"name": "Thermometer"}}


def devices(announced: Announced, topic: str, **values: float) -> dict[str, dict[str, float]]:
    return {one.device: dict(one.values) for one in announced.read(topic, json.dumps(values).encode())}


def told(announced: Announced, node: str, kind: str, **more: Any) -> str:
    topic = f"{PREFIX}/sensor/{node}/{more.pop('object_id', kind)}/config"
    said = {"device_class": kind, "state_topic": f"s/{node}", "value_template": f"{{{{ value_json.{kind} }}}}"}
    announced.hear(topic, json.dumps({**said, **THERMOMETER, **more}).encode())
    return topic


def test_two_devices_of_one_name_are_two() -> None:
    """Without identifiers only the node id, or the topic, tells the loft's from the yard's."""
    announced = Announced(PREFIX)
    for node, kind in [("loft", "temperature"), ("yard", "temperature"), ("yard", "humidity"), ("zoo", "humidity")]:
        told(announced, node, kind)
    assert devices(announced, "s/yard", temperature=-3, humidity=95) == {
        "Thermometer": {"temperature_c": -3.0, "humidity_pct": 95.0}
    }
    assert devices(announced, "s/loft", temperature=21) == {"Thermometer.loft": {"temperature_c": 21.0}}
    assert devices(announced, "s/zoo", humidity=33) == {"Thermometer.zoo": {"humidity_pct": 33.0}}


def test_a_name_that_was_given_stays(tmp_path: Path) -> None:
    """A sensor of the configuration finds its device by it, also after a restart."""
    path = tmp_path / "announced.json"
    announced = Announced(PREFIX, path)
    ids = {"dev": {"ids": ["d1"]}, "value_template": "{{ value_json.indoor }}"}
    told(announced, "dev", "humidity", object_id="humidity_indoor", **ids)
    assert devices(announced, "s/dev", indoor=45) == {"d1": {"humidity_pct": 45.0}}
    told(announced, "dev", "humidity", object_id="humidity", **ids | {"value_template": "{{ value_json.out }}"})
    both = {"d1": {"humidity_pct": 45.0}, "d1.humidity": {"humidity_pct": 92.0}}
    assert devices(announced, "s/dev", indoor=45, out=92) == both
    announced.save()
    assert devices(Announced(PREFIX, path), "s/dev", indoor=45, out=92) == both


def test_a_file_from_before_names_were_kept_is_read(tmp_path: Path) -> None:
    path = tmp_path / "announced.json"
    said = json.dumps({"device_class": "humidity", "state_topic": "s/a", "device": {"identifiers": "a"}})
    path.write_text(json.dumps({f"{PREFIX}/sensor/a/config": said}))
    announced = Announced(PREFIX, path)
    assert announced.topics == {"s/a"}
    assert not announced.is_saved


def test_their_number_is_bounded() -> None:
    announced = Announced(PREFIX, limit=3)
    assert [heard(announced, f"device-{n}") for n in range(3)] == [None] * 3
    assert "found one more announced quantity after 3 others; would be right" in str(heard(announced, "device-3"))
    assert heard(announced, "device-3") is None, "told once"
    assert len(announced.topics) == 3
    announced.hear(config_topic("device-0", "temperature"), b"")
    assert heard(announced, "device-3") is None
    assert announced.brings("gateway/device-3")


def test_what_is_told_is_bounded_too() -> None:
    announced = Announced(PREFIX)
    told = [announced.hear(config_topic(f"device-{n}", "temperature"), b"junk") for n in range(2000)]
    assert sum(reason is not None for reason in told) == 500


def test_a_topic_that_nothing_announces_is_refused() -> None:
    announced = Announced(PREFIX)
    with pytest.raises(Unreadable, match=r"found topic 'gateway/old', which nothing announces; would be right: one a"):
        announced.read("gateway/old", b"{}")


def test_a_damaged_file_is_kept_aside_and_said(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """Field pitfall 33: the file is written aside, flushed and renamed; one that is damaged all the same stops
    nothing."""
    path = tmp_path / "announced-shop.json"
    first = Announced(PREFIX, path)
    heard(first, "loft")
    assert not first.is_saved
    first.save()
    assert first.is_saved
    assert Announced(PREFIX, path).topics == {"gateway/loft"}
    for damage in (b"\0\0\0", b"[]", b'{"a": 1}', path.read_bytes()[:-5]):
        path.write_bytes(damage)
        caplog.clear()
        with caplog.at_level(logging.WARNING):
            assert Announced(PREFIX, path).topics == frozenset()
        assert "was unreadable" in caplog.text
        assert path.with_suffix(".unreadable").read_bytes() == damage
        assert not path.exists()


def test_a_kept_file_that_says_what_no_broker_takes_is_not_followed(tmp_path: Path) -> None:
    """MQTT 5.0 section 1.5.4: such a topic raised in the client at every connection, for ever."""
    path = tmp_path / "announced.json"
    for odd in ("\ud800", "\x01", "\ufffe"):
        kept = json.dumps({"device_class": "humidity", "state_topic": f"shop/{odd}"}, ensure_ascii=True)
        raw = f'{{"device_class": "humidity", "state_topic": "shop/{odd}"}}'
        path.write_text(json.dumps({f"{PREFIX}/sensor/a/config": kept, f"{PREFIX}/sensor/{odd}/config": raw}))
        announced = Announced(PREFIX, path)
        assert announced.topics == frozenset()
        announced.save()
        assert json.loads(path.read_text()) == {}


async def test_a_disk_that_takes_nothing_does_not_stop_the_hearing(
    broker: Broker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def full(_announced: Announced) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Announced, "save", full)
    notes = Notes()
    async with Publisher("127.0.0.1", broker.port) as device, running(ours(broker.port, tmp_path), notes):
        await announce(device, "loft", "temperature")
        await says(device, notes, "loft", temperature=20.4)
    assert "What devices announced could not be kept: [Errno 28] No space left" in caplog.text
