"""Hearing what nobody configured: a port at whatever rate it speaks, and a real broker's topics. Nothing is sent."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import pytest

from sensors import listening
from sensors.decoding import Unreadable
from sensors.driver import Driver, Listener
from sensors.line_formats import LineFormat
from sensors.listening import HeardBroker, hear_broker, hear_port
from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt.source import MqttSource
from sensors.payloads import json_payload
from sensors.ports import lasting_names
from sensors.simulated import PtyPair
from tests.unit.sensors.helpers import Notes, a_broker, free_port, real_now, running, until

WITHIN_S = 20.0


@asynccontextmanager
async def talking(pair: PtyPair, line: bytes, every_s: float = 0.02) -> AsyncIterator[None]:
    async def talk() -> None:
        while True:
            pair.write_line(line)
            await asyncio.sleep(every_s)

    task = asyncio.create_task(talk())
    try:
        yield
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


@pytest.fixture
def pair(tmp_path: Path):
    made = PtyPair(tmp_path / "by-id", "usb-fictional-1")
    yield made
    made.close()


async def test_a_device_is_heard_and_its_port_let_go(pair: PtyPair) -> None:
    async with talking(pair, b"T=20.4 RH=41.2\r\n"):
        heard = await hear_port(pair.port, WITHIN_S, real_now)
        assert heard.baud == 9600
        assert len(heard.lines) >= listening.ENOUGH_LINES
        assert set(heard.lines) == {b"T=20.4 RH=41.2"}
        assert heard.error == ""
        await until(lambda: not pair.is_read, what="the port is closed")


async def test_silence_is_waited_for_at_one_rate_only(pair: PtyPair) -> None:
    heard = await hear_port(pair.port, 0.3, real_now)
    assert (heard.baud, heard.lines, heard.last_bytes, heard.error) == (None, (), b"", "")


async def test_a_port_that_is_not_there(tmp_path: Path) -> None:
    heard = await hear_port(f"{tmp_path}/by-id/usb-none", 5.0, real_now)
    assert heard.error == f"{tmp_path}/by-id/usb-none: No such file or directory; is it plugged in?"


async def test_a_port_that_another_program_reads(pair: PtyPair) -> None:
    """Field pitfall 26: two readers of one port would each get half."""
    from sensors.serial_lines import SerialLines

    def fmt(line: bytes):
        raise Unreadable("not looked at")

    async with running(SerialLines("s", pair.port, line_format=fmt, now=real_now), Notes()):
        heard = await hear_port(pair.port, 5.0, real_now)
    assert "held by" in heard.error


class Rated:
    """A line that makes sense at one rate only: on a pseudo-terminal any rate will do."""

    def __init__(self, right: int, said: bytes = b"T=20.4 RH=41.2") -> None:
        self.right, self.said, self.tried = right, said, list[int]()

    def __call__(self, port: str, baud: int, read: LineFormat) -> Driver:
        self.tried.append(baud)
        return _Line(self.said if baud == self.right else b"\xfe\x80\x98\x00" * 8, read, port)


class _Line:
    def __init__(self, said: bytes, read: LineFormat, port: str) -> None:
        self.said, self.read, self.port = said, read, port

    async def run(self, listener: Listener) -> None:
        listener.connected()
        while True:
            listener.bytes_heard(self.said + b"\n")
            with suppress(Unreadable):
                self.read(self.said)
            await asyncio.sleep(0)


async def test_the_rate_is_found_by_trying(tmp_path: Path) -> None:
    rated = Rated(38400)
    heard = await hear_port("p", WITHIN_S, real_now, line=rated)
    assert heard.baud == 38400
    assert rated.tried == [9600, 115200, 57600, 38400]
    assert set(heard.lines) == {b"T=20.4 RH=41.2"}


async def test_no_rate_makes_sense(tmp_path: Path) -> None:
    rated = Rated(1)
    heard = await hear_port("p", WITHIN_S, real_now, line=rated)
    assert heard.baud is None
    assert heard.lines == ()
    assert heard.last_bytes.startswith(b"\xfe\x80")
    assert tuple(rated.tried) == listening.BAUDS


async def test_a_bug_of_a_driver_is_not_swallowed() -> None:
    class Bad:
        async def run(self, _: Listener) -> None:
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        await hear_port("p", WITHIN_S, real_now, line=lambda *_: Bad())


async def test_a_wire_that_breaks_while_listened_to(pair: PtyPair) -> None:
    hearing = asyncio.create_task(hear_port(pair.port, WITHIN_S, real_now))
    await until(lambda: pair.is_read, what="opened")
    pair.close()
    assert "is it unplugged?" in (await hearing).error


def test_each_port_goes_by_one_lasting_name(tmp_path: Path) -> None:
    for name in ("ttyUSB0", "ttyUSB1"):
        (tmp_path / name).touch()
    for kind, name, target in (("by-id", "usb-a", 0), ("by-path", "pci-1", 0), ("by-path", "pci-2", 1)):
        (tmp_path / kind).mkdir(exist_ok=True)
        (tmp_path / kind / name).symlink_to(tmp_path / f"ttyUSB{target}")
    assert lasting_names(tmp_path) == [f"{tmp_path}/by-id/usb-a", f"{tmp_path}/by-path/pci-2"]
    assert lasting_names(tmp_path / "nowhere") == []


def source(port: int, *topics: str, **more: object) -> MqttSource:
    return MqttSource.model_validate({"id": "x", "kind": "mqtt", "port": port, "topics": topics or ("#",), **more})


async def hear_while(port: int, deed: Callable[[], object], seconds: float = WITHIN_S) -> HeardBroker:
    hearing = asyncio.create_task(hear_broker(source(port), seconds))
    while not hearing.done():
        deed()
        await asyncio.sleep(0.02)
    return await hearing


async def test_topics_of_a_real_broker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is thrown off (field pitfall 7): a source that reads there stays connected."""
    monkeypatch.setattr(listening, "MOST_MESSAGES", 30)
    async with a_broker(tmp_path) as broker, Publisher("127.0.0.1", broker.port) as publisher:
        notes = Notes()
        own = MqttSubscription(
            "s", "127.0.0.1", broker.port, topics=["shop/+/air"], decode=json_payload(patterns=["shop/+/air"]),
            client_id="stillstack-s-1", now=real_now,
        )  # fmt: skip
        async with running(own, notes) as task:

            def say() -> None:
                publisher.publish("shop/bench/air", b'{"t": 20.4, "rh": 41}', qos=1)
                publisher.publish("shop/loft/air", b"\xff", qos=0)

            heard = await hear_while(broker.port, say)
            assert not task.done()
        assert notes.events.count("connected") == 1
    assert heard.where == f"127.0.0.1:{broker.port}"
    assert heard.error == ""
    assert set(heard.said) == {"shop/bench/air", "shop/loft/air"}
    assert set(heard.said["shop/bench/air"]) == {b'{"t": 20.4, "rh": 41}'}
    assert len(heard.said["shop/loft/air"]) == listening.KEPT_OF_A_TOPIC
    assert heard.messages == 30, "it ends early when that many came"


async def test_topics_beyond_the_bound_are_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "MOST_MESSAGES", 40)
    monkeypatch.setattr(listening, "MOST_TOPICS", 3)
    async with a_broker(tmp_path) as broker, Publisher("127.0.0.1", broker.port) as publisher:
        heard = await hear_while(broker.port, lambda: [publisher.publish(f"t/{n}", b"1") for n in range(10)])
    assert len(heard.said) == 3
    assert heard.messages >= 40
    assert heard.left_out >= 20


async def test_a_broker_that_is_not_there() -> None:
    port = free_port()
    heard = await hear_broker(source(port), 5.0)
    assert heard.error.startswith(f"127.0.0.1:{port}: cannot connect: ")
    assert heard.said == {}


async def test_a_secret_that_went_away(tmp_path: Path) -> None:
    file = tmp_path / "secret"
    file.write_text("x")
    file.chmod(0o600)
    gone = source(free_port(), username="u", password_file=file)
    file.unlink()
    assert (await hear_broker(gone, 1.0)).error.startswith("a text file of mode 600 that we may read")


async def test_stopping_early_lets_everything_go(pair: PtyPair) -> None:
    hearing = asyncio.create_task(hear_port(pair.port, 60.0, real_now))
    await until(lambda: pair.is_read, what="opened")
    hearing.cancel()
    with pytest.raises(asyncio.CancelledError):
        await hearing
    await until(lambda: not pair.is_read, what="closed")
