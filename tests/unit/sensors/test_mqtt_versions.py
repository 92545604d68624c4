"""MQTT 5 first, 3.1.1 where a broker takes only that: against mosquitto, which takes both, and amqtt, which does
not."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import pytest

from sensors.driver import LinkLost, LinkRefused
from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt import link as link_module
from sensors.mqtt.reasons import NoAnswer, VersionRefused
from sensors.mqtt.versions import DOUBTED_AFTER, Version, Versions, opened
from server.broker import Broker
from tests.unit.sensors.brokers import a_mosquitto, an_old_broker
from tests.unit.sensors.helpers import Cable, Notes, a_broker, free_port, running, until
from tests.unit.sensors.test_mqtt import acknowledge, publish, subscription


@pytest.fixture
async def broker(tmp_path: Path) -> AsyncIterator[Broker]:
    async with a_broker(tmp_path / "broker") as one:
        yield one


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a test need not wait as long as a slow broker may take."""
    monkeypatch.setattr(link_module, "IMPATIENT_S", 1.0)


class Tried:
    """Remembers which versions the links of a driver spoke."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.versions: list[Version] = []
        before = link_module.Link.open

        async def open_and_note(link: link_module.Link, *, patient: bool = True) -> None:
            self.versions.append(link._version)
            await before(link, patient=patient)

        monkeypatch.setattr(link_module.Link, "open", open_and_note)


@pytest.fixture
def tried(monkeypatch: pytest.MonkeyPatch) -> Tried:
    return Tried(monkeypatch)


@pytest.mark.parametrize("protocol", ["auto", "5", "3.1.1"])
async def test_a_broker_of_both_is_heard_in_either(broker: Broker, tried: Tried, protocol: str) -> None:
    notes = Notes()
    async with running(subscription(broker.port, protocol=protocol), notes):
        await publish(broker.port, 20.4, retain=True)
        await until(lambda: notes.samples)
    assert tried.versions[0] == ("3.1.1" if protocol == "3.1.1" else "5")
    assert not notes.samples[0].retained


async def test_in_the_old_version_a_session_goes_on_and_what_waited_comes(broker: Broker) -> None:
    first, second = Notes(), Notes()
    async with Cable(broker.port) as cable:
        ours = subscription(cable.port, protocol="3.1.1")
        async with running(ours, first) as task:
            await publish(broker.port, 1, 2)
            await until(lambda: len(first.samples) == 2)
            acknowledge(first.items[0])
            await publish(broker.port, 3)  # sent after the acknowledgement, so that has reached the broker too
            await until(lambda: len(first.samples) == 3)
            cable.break_off()
            with pytest.raises(LinkLost, match="connection lost"):
                await task
        assert not first.samples[0].backlog
        await publish(broker.port, 4)
        async with running(ours, second):
            await until(lambda: len(second.samples) == 3)
    assert second.temperatures == [2, 3, 4]
    assert [sample.redelivered for sample in second.samples] == [True, True, False]
    assert all(sample.backlog for sample in second.samples)


async def test_in_the_old_version_reading_stops_at_the_bound_and_the_link_holds(broker: Broker) -> None:
    """Asking the broker not to give up on us may not bring the retained values again: 3.1.1 has no option for that."""
    notes, loop = Notes(), asyncio.get_running_loop()
    await publish(broker.port, 0, retain=True)
    ours = subscription(broker.port, protocol="3.1.1", unacknowledged_limit=5, keepalive_s=1)
    async with running(ours, notes) as task:
        await publish(broker.port, *range(1, 20))
        await until(lambda: len(notes.items) == 5)
        held_s = loop.time()
        while loop.time() - held_s < 3.5:  # longer than three keepalives of ours and one and a half of the broker's
            await asyncio.sleep(0.1)
            assert not task.done()
        done = 0
        while done < 20:
            await until(lambda: len(notes.items) > done)  # noqa: B023 - awaited before it changes
            acknowledge(notes.items[done])
            done += 1
    assert notes.temperatures == list(range(20))


@pytest.mark.usefixtures("impatient")
async def test_a_broker_of_the_old_version_alone_is_found_out_and_remembered(tried: Tried) -> None:
    async with an_old_broker() as port:
        ours, notes = subscription(port), Notes()
        for temperature in (20.4, 20.5, 20.6):
            # This broker may end a link because it clears away the one before it, of the same id: then another try.
            while temperature not in notes.temperatures:
                await heard_once(ours, notes, port, temperature)
            acknowledge(notes.items[-1])
    # Each device's link is one try of 3.1.1. Ours tried both twice, since a broker going down is as silent, then knew.
    assert tried.versions[:6] == ["5", "3.1.1", "3.1.1", "5", "3.1.1", "3.1.1"]
    assert set(tried.versions[6:]) == {"3.1.1"}


async def heard_once(ours: MqttSubscription, notes: Notes, port: int, temperature: float) -> None:
    """One link of ours, on which a device speaks; until that is heard or the link is over."""
    async with running(ours, notes) as task:
        async with Publisher("127.0.0.1", port, protocol="3.1.1") as device:
            device.publish("shop/loft/temperature", str(temperature))
            await device.flushed()
        await until(lambda: temperature in notes.temperatures or task.done())
        if task.done():
            assert isinstance(task.exception(), LinkLost)


@pytest.mark.usefixtures("impatient")
async def test_a_publisher_finds_it_out_too() -> None:
    async with an_old_broker() as port:
        notes = Notes()
        async with running(subscription(port, protocol="3.1.1"), notes), Publisher("127.0.0.1", port) as device:
            device.publish("shop/loft/temperature", "20.4")
            await device.flushed()
            await until(lambda: notes.samples)


async def test_a_chosen_version_is_kept_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(link_module, "ANSWER_WITHIN_S", 1.0)
    async with an_old_broker() as port:
        with pytest.raises(LinkLost, match="no answer to the connection"):
            await asyncio.wait_for(subscription(port, protocol="5").run(Notes()), 30)


@asynccontextmanager
async def a_broker_that_says(answer: bytes, *, hangs_up: bool = True) -> AsyncIterator[tuple[int, list[int]]]:
    """Answers every CONNECT with these bytes; its port, and the protocol levels that were asked for."""
    levels: list[int] = []
    writers: list[asyncio.StreamWriter] = []

    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writers.append(writer)
        begun = await reader.readexactly(9)  # type, length, 00 04 M Q T T, level
        levels.append(begun[8])
        writer.write(answer)
        if not hangs_up:
            await reader.read()
        writer.close()

    server = await asyncio.start_server(serve, "127.0.0.1", 0)
    async with server:
        yield server.sockets[0].getsockname()[1], levels
        for writer in writers:
            writer.close()
            with suppress(OSError):
                await writer.wait_closed()


@pytest.mark.parametrize(
    "answer",
    [
        pytest.param(bytes.fromhex("20 02 00 01"), id="code 1 of MQTT 3.1.1 section 3.2.2.3"),
        pytest.param(bytes.fromhex("20 03 00 84 00"), id="code 0x84 of MQTT 5.0 section 3.2.2.2"),
        pytest.param(b"", id="silence"),
    ],
)
async def test_a_broker_that_takes_neither_is_asked_once_a_version(answer: bytes) -> None:
    async with a_broker_that_says(answer) as (port, levels):
        with pytest.raises((LinkLost, LinkRefused), match=r"MQTT 5 and 3\.1\.1 were both tried"):
            await subscription(port).run(Notes())
    assert levels == [5, 4]


async def test_a_version_refused_by_choice_says_what_to_change() -> None:
    async with a_broker_that_says(bytes.fromhex("20 02 00 01")) as (port, levels):
        with pytest.raises(LinkRefused, match='would be right: protocol = "auto", or a broker that speaks'):
            await subscription(port, protocol="5").run(Notes())
    assert levels == [5]


async def test_a_broker_that_is_down_decides_nothing(tmp_path: Path, tried: Tried) -> None:
    """Field pitfall 8: the broker is not there at the start; then it is, and it is spoken to as it likes best."""
    ours = subscription(port := free_port())
    for _ in range(5):
        with pytest.raises(LinkLost, match="cannot connect"):
            await ours.run(Notes())
    async with a_mosquitto(tmp_path, "allow_anonymous true", port=port), running(ours, Notes()):
        pass
    assert tried.versions == ["5"] * 6


class ScriptedLink:
    """A link whose opening ends as the script says for its version."""

    def __init__(self, version: Version, script: dict[str, Exception | None], tried: list[str]) -> None:
        self.where, self.version = "broker:1883", version
        self._script, self._tried = script, tried

    async def open(self, *, patient: bool = True) -> None:
        self._tried.append(self.version)
        if (error := self._script[self.version]) is not None:
            raise error

    def close(self) -> None:
        self._tried.append("closed")


SILENCE, NO, DOWN = NoAnswer("nothing"), VersionRefused("no"), LinkLost("down")


async def tries(versions: Versions, five: Exception | None, three: Exception | None) -> list[str]:
    """Which versions one attempt tried."""
    tried: list[str] = []
    with suppress(LinkLost, LinkRefused):
        await opened(lambda version: ScriptedLink(version, {"5": five, "3.1.1": three}, tried), versions)
    assert tried.count("closed") in {len(tried) / 2, (len(tried) - 1) / 2}, "whatever failed is closed"
    return [one for one in tried if one != "closed"]


async def test_a_plain_no_is_believed_at_once() -> None:
    versions = Versions()
    assert await tries(versions, NO, None) == ["5", "3.1.1"]
    assert await tries(versions, None, None) == ["3.1.1"]


async def test_silence_is_believed_the_second_time_so_that_a_broker_going_down_does_not_set_the_version() -> None:
    versions = Versions()
    assert await tries(versions, SILENCE, None) == ["5", "3.1.1"]
    assert await tries(versions, None, None) == ["5"], "it was only going down"
    assert await tries(versions, SILENCE, None) == ["5"], "and from now on it is known"
    old = Versions()
    assert [await tries(old, SILENCE, None) for _ in range(3)] == [["5", "3.1.1"], ["5", "3.1.1"], ["3.1.1"]]


async def test_what_is_known_is_doubted_only_after_a_long_silence_and_never_flaps() -> None:
    versions = Versions()
    assert await tries(versions, None, None) == ["5"]
    told = [await tries(versions, SILENCE, SILENCE) for _ in range(2 * DOUBTED_AFTER)]
    assert all(one in (["5"], ["5", "3.1.1"]) for one in told)
    assert told[: DOUBTED_AFTER - 1] == [["5"]] * (DOUBTED_AFTER - 1)
    assert await tries(versions, DOWN, DOWN) == ["5"], "a broker that is not there says nothing about versions"
    assert await tries(versions, SILENCE, None) == ["5", "3.1.1"], "another broker stands there now"
    assert versions.first == "5", "which is not believed at once"


async def test_an_old_broker_that_was_replaced_is_found_out() -> None:
    versions = Versions()
    await tries(versions, NO, None)
    assert await tries(versions, None, NO) == ["3.1.1", "5"]
    assert versions.first == "5"


def test_a_chosen_version_has_no_second() -> None:
    versions = Versions("3.1.1")
    assert (versions.first, versions.has_second, versions.second(NO)) == ("3.1.1", False, None)


async def test_the_keepalive_the_broker_asks_for_counts() -> None:
    """MQTT 5.0 section 3.2.2.3.14: a client uses the broker's keepalive. So must what watches over silence."""
    a_minute = bytes.fromhex("20 06 00 00 03 13 00 3c")  # success, Server Keep Alive 60 s
    async with (
        a_broker_that_says(a_minute, hangs_up=False) as (port, _),
        Publisher("127.0.0.1", port, keepalive_s=1) as device,
    ):
        link = device._living()
        link.heard_s -= 100.0
        link.each_second()
        assert not link.ended.done()
        link.heard_s -= 100.0
        link.each_second()
        assert link.ended.done()
