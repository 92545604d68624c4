"""The MQTT driver against the real broker."""

import asyncio
import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import pytest

from sensors.driver import LinkLost, LinkRefused
from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt.backlog import QUIET_S
from sensors.payloads import number_payload
from sensors.sample import Heard
from server.broker import Broker
from tests.unit.sensors.helpers import Cable, Notes, a_broker, free_port, real_now, running, until

TOPICS = ["shop/+/temperature"]


@pytest.fixture
async def broker(tmp_path: Path) -> AsyncIterator[Broker]:
    async with a_broker(tmp_path / "broker") as one:
        yield one


def subscription(port: int, **options: Any) -> MqttSubscription:
    chosen = {"topics": TOPICS, "decode": number_payload(patterns=TOPICS), "client_id": "stillstack-test"}
    return MqttSubscription("shop", "127.0.0.1", port, **{**chosen, "now": real_now, **options})


def acknowledge(item: Heard) -> None:
    assert item.acknowledge is not None
    item.acknowledge()


async def publish(port: int, *temperatures: float, qos: int = 1, retain: bool = False) -> None:
    async with Publisher("127.0.0.1", port) as device:
        for temperature in temperatures:
            device.publish("shop/loft/temperature", str(temperature), qos, retain=retain)
        await device.flushed()


async def test_messages_become_samples_on_the_loop(broker: Broker) -> None:
    notes, before_s = Notes(), time.monotonic()
    async with running(subscription(broker.port), notes):
        await publish(broker.port, 20.4)
        await publish(broker.port, 20.5, qos=0)
        await until(lambda: len(notes.samples) == 2)
    first, second = notes.samples
    assert (first.source, first.device, first.values) == ("shop", "loft", (("temperature_c", 20.4),))
    assert first.acknowledge is not None
    assert second.acknowledge is None
    assert not any(sample.retained or sample.redelivered for sample in notes.samples)
    assert before_s <= first.heard_mono_s <= second.heard_mono_s <= time.monotonic()
    assert notes.raw == b"20.420.5"
    assert notes.threads == {threading.get_ident()}


async def test_what_was_not_acknowledged_comes_again_after_we_died(broker: Broker) -> None:
    before, after = Notes(), Notes()
    async with Cable(broker.port) as cable:
        async with running(subscription(cable.port), before) as task:
            await publish(broker.port, 1, 2, 3)
            await until(lambda: len(before.samples) == 3)
            acknowledge(before.items[0])
            await publish(broker.port, 4)  # sent after the acknowledgement, so that has reached the broker too
            await until(lambda: len(before.samples) == 4)
            cable.break_off()
            with pytest.raises(LinkLost, match="connection lost"):
                await task
        await publish(broker.port, 5)
        acknowledge(before.items[1])  # too late: that connection is gone
        async with running(subscription(cable.port), after):
            await until(lambda: len(after.samples) == 4)
    assert after.temperatures == [2, 3, 4, 5]
    assert [sample.redelivered for sample in after.samples] == [True, True, True, False]


async def test_what_waited_at_the_broker_is_told_apart_from_what_is_live(broker: Broker) -> None:
    ours, first, second = subscription(broker.port), Notes(), Notes()
    async with running(ours, first):
        await publish(broker.port, 1)
        await until(lambda: len(first.samples) == 1)
        acknowledge(first.items[0])
    assert not first.samples[0].backlog, "a session that is new has kept nothing"
    await publish(broker.port, 2, 3, 4, 5)
    async with running(ours, second):
        await until(lambda: len(second.samples) == 4)
        for item in second.items:
            acknowledge(item)
        sent, pause = 5, asyncio.Event()
        while second.samples[-1].backlog:  # live sensors make pauses; how long one lasts here, the machine decides
            asyncio.get_running_loop().call_later(2 * QUIET_S, pause.set)
            await pause.wait()
            pause.clear()
            sent += 1
            await publish(broker.port, sent)
            await until(lambda: second.temperatures[-1] == sent)  # noqa: B023 - awaited before it changes
    assert [sample.backlog for sample in second.samples][:4] == [True] * 4


async def test_a_retained_value_is_marked_and_a_live_one_is_not(broker: Broker) -> None:
    notes = Notes()
    await publish(broker.port, 1, retain=True)
    async with running(subscription(broker.port), notes):
        await until(lambda: notes.samples)
        await publish(broker.port, 2, retain=True)
        await until(lambda: len(notes.samples) == 2)
    assert [sample.retained for sample in notes.samples] == [True, False]


async def test_reading_stops_at_the_bound_and_goes_on_with_nothing_lost(broker: Broker) -> None:
    notes = Notes()
    total, limit = 600, 50
    sent = [float(n) for n in range(total)]
    async with running(subscription(broker.port, unacknowledged_limit=limit, keepalive_s=1), notes) as task:
        await publish(broker.port, *sent)
        await until(lambda: len(notes.items) == limit)
        held_s = time.monotonic()
        # Longer than the three keepalives after which a silent link is given up, and the broker's own one and a half.
        while time.monotonic() - held_s < 3.5:
            await asyncio.sleep(0.1)
            assert len(notes.items) == limit
            assert not task.done()
        acknowledged = 0
        while acknowledged < total:
            await until(lambda: len(notes.items) > acknowledged)  # noqa: B023 - awaited before it changes
            assert len(notes.items) - acknowledged <= limit
            acknowledge(notes.items[acknowledged])
            acknowledged += 1
        assert notes.temperatures == sent
        assert not task.done()
    assert not any(sample.redelivered for sample in notes.samples)


async def test_a_refused_payload_is_kept_acknowledged_and_blocks_nothing(broker: Broker) -> None:
    notes, again = Notes(), Notes()
    async with running(subscription(broker.port), notes):
        async with Publisher("127.0.0.1", broker.port) as device:
            device.publish("shop/loft/temperature", b"warm")
            device.publish("shop/loft/temperature", b"\xff\x00")
            device.publish("shop/loft/temperature", b"20.4")
            await device.flushed()
        await until(lambda: len(notes.items) == 3)
        for item in notes.items:
            acknowledge(item)
        await publish(broker.port, 20.5)
        await until(lambda: len(notes.items) == 4)
    assert [(item.where, item.payload) for item in notes.refusals] == [
        ("shop/loft/temperature", b"warm"),
        ("shop/loft/temperature", b"\xff\x00"),
    ]
    async with running(subscription(broker.port), again):
        await until(lambda: again.items)
    assert again.temperatures == [20.5]


async def test_a_killed_broker_is_lost_and_found_again_with_what_it_held(broker: Broker) -> None:
    notes, driver = Notes(), subscription(broker.port)
    async with running(driver, notes) as task:
        assert broker.status.pid is not None
        os.kill(broker.status.pid, signal.SIGKILL)
        with pytest.raises(LinkLost, match=f"127.0.0.1:{broker.port}: connection lost"):
            await task
    await until(lambda: broker.status.restarts == 1 and broker.ready.is_set())
    async with running(driver, notes):
        await publish(broker.port, 20.4)
        await until(lambda: notes.samples)
    await publish(broker.port, 20.5)  # while we are away
    async with running(driver, notes):
        await until(lambda: notes.temperatures[-1] == 20.5)


async def test_a_broker_that_is_not_there_is_named() -> None:
    port = free_port()
    with pytest.raises(LinkLost, match=f"127.0.0.1:{port}: cannot connect: .*Connection refused"):
        await subscription(port).run(Notes())
    with pytest.raises(LinkLost, match=r"no-such-host\.invalid:1883: cannot connect"):
        await MqttSubscription(
            "shop",
            "no-such-host.invalid",
            1883,
            topics=TOPICS,
            decode=number_payload(patterns=TOPICS),
            client_id="x",
            now=real_now,
        ).run(Notes())


async def test_something_else_on_the_port_is_lost_not_awaited_for_ever() -> None:
    async def chatter(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"HTTP/1.1 400 Bad Request\r\n\r\n")
        writer.close()

    server = await asyncio.start_server(chatter, "127.0.0.1", 0)
    async with server:
        with pytest.raises(LinkLost):
            await subscription(server.sockets[0].getsockname()[1]).run(Notes())


async def test_a_half_open_link_is_lost_within_three_keepalives(broker: Broker) -> None:
    async with Cable(broker.port) as cable, running(subscription(cable.port, keepalive_s=1), Notes()) as task:
        cable.cut = True
        with pytest.raises(LinkLost, match=r"nothing heard|no answer to a ping"):
            async with asyncio.timeout(30):  # the default keepalive of 25 s would take longer than this
                await task


async def test_two_clients_with_one_id_are_told_so(broker: Broker) -> None:
    driver = subscription(broker.port, client_id="same")
    for attempt in range(3):
        async with running(driver, Notes()) as task, Publisher("127.0.0.1", broker.port, client_id="same"):
            with pytest.raises(LinkLost) as caught:
                await task
        assert "connection lost" in str(caught.value)
        assert ("another client may use the id same; would be right" in str(caught.value)) == (attempt == 2)


@pytest.fixture
async def closed_broker(tmp_path: Path) -> AsyncIterator[int]:
    """The real broker with a password; the product's own has none, so it is configured here."""
    port, passwords = free_port(), tmp_path / "passwords"
    passwords.touch()
    subprocess.run(["mosquitto_passwd", "-b", str(passwords), "kiosk", "right"], check=True)  # noqa: ASYNC221
    user = ["user root"] if os.geteuid() == 0 else []
    lines = [
        f"listener {port} 127.0.0.1",
        "allow_anonymous false",
        f"password_file {passwords}",
        "log_dest none",
        *user,
    ]
    (tmp_path / "conf").write_text("\n".join(lines) + "\n")
    child = await asyncio.create_subprocess_exec("/usr/sbin/mosquitto", "-c", str(tmp_path / "conf"))
    await until(lambda: _answers(port))
    yield port
    child.terminate()
    await child.wait()


def _answers(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


async def test_a_wrong_password_is_refused_and_the_right_one_is_taken(closed_broker: int) -> None:
    with pytest.raises(LinkRefused, match="Not authorized; would be right: the user name and password"):
        await subscription(closed_broker, username="kiosk", password="wrong").run(Notes())
    async with running(subscription(closed_broker, username="kiosk", password="right"), Notes()) as task:
        assert not task.done()


async def test_a_bug_in_what_listens_is_raised_and_not_swallowed(broker: Broker) -> None:
    class Broken(Notes):
        def heard(self, item: Heard) -> None:
            raise ZeroDivisionError

    async with running(subscription(broker.port), Broken()) as task:
        await publish(broker.port, 20.4)
        with pytest.raises(ZeroDivisionError):
            await task


async def test_nothing_is_left_open(broker: Broker) -> None:
    async with running(subscription(broker.port), Notes()):
        pass
    handles = len(os.listdir("/proc/self/fd"))  # noqa: PTH208 - the kernel's list, not a folder of ours
    for _ in range(5):
        async with running(subscription(broker.port), Notes()):
            await publish(broker.port, 20.4, qos=0)
    assert len(os.listdir("/proc/self/fd")) == handles  # noqa: PTH208


async def test_stopping_while_connecting_ends_before_the_attempt_does(
    full_listener: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sensors.mqtt.link.CONNECT_WITHIN_S", 60.0)
    complaints: list[dict[str, Any]] = []
    asyncio.get_running_loop().set_exception_handler(lambda _loop, context: complaints.append(context))
    port = full_listener.getsockname()[1]
    task = asyncio.create_task(subscription(port).run(Notes()))
    await until(lambda: connecting(port), what="the thread that connects")
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert connecting(port), "it ended without waiting for the thread"
    full_listener.close()  # the next knock is refused
    await until(lambda: not connecting(port), 50, what="the end of the attempt")
    await asyncio.sleep(0)  # so that what the thread left behind has been called
    assert complaints == []


@pytest.fixture
def full_listener() -> Iterator[socket.socket]:
    """A port that takes no connection, because nobody fetches those that wait: a first packet stays unanswered."""
    with contextlib.ExitStack() as opened:
        listener = opened.enter_context(socket.socket())
        listener.bind(("127.0.0.1", 0))
        listener.listen(0)
        for _ in range(4):  # more than the kernel lets wait
            waiting = opened.enter_context(socket.socket())
            waiting.setblocking(False)
            waiting.connect_ex(listener.getsockname())
        yield listener


def connecting(port: int) -> bool:
    return any(thread.name == f"connect 127.0.0.1:{port}" for thread in threading.enumerate())


HANGS = """
import asyncio, contextlib, socket, threading
from sensors.driver import LinkLost
from sensors.mqtt import Publisher

asked = threading.Event()

def hang(*_args, **_named):
    asked.set()
    threading.Event().wait()

socket.getaddrinfo = hang

async def main():
    task = asyncio.create_task(Publisher("broker.invalid", 1883).start())
    while not asked.is_set():
        await asyncio.sleep(0.01)
    task.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await task
    print("stopped", flush=True)

asyncio.run(main())
"""


async def test_a_name_look_up_that_hangs_does_not_hold_the_exit() -> None:
    child = await asyncio.create_subprocess_exec(sys.executable, "-c", HANGS, stdout=asyncio.subprocess.PIPE)
    try:
        async with asyncio.timeout(30):  # it would be for ever
            said, _ = await child.communicate()
    finally:
        if child.returncode is None:
            child.kill()
            await child.wait()
    assert (child.returncode, said) == (0, b"stopped\n")


def test_topics_are_checked() -> None:
    with pytest.raises(ValueError, match="topics: found 'shop#'; would be right"):
        subscription(1883, topics=["shop#"])
    with pytest.raises(ValueError, match="topics: found none"):
        subscription(1883, topics=[])


async def test_a_publisher_says_what_is_wrong(broker: Broker) -> None:
    device = Publisher("127.0.0.1", broker.port)
    with pytest.raises(LinkLost, match="not started"):
        device.publish("a", b"1")
    async with device:
        with pytest.raises(ValueError, match="qos: found 2; would be right: 0 or 1"):
            device.publish("a", b"1", 2)
        with pytest.raises(ValueError, match="wildcards"):
            device.publish("a/+", b"1")
        await device.flushed()
        assert broker.status.pid is not None
        os.kill(broker.status.pid, signal.SIGKILL)
        await until(lambda: broker.status.restarts)

        def lost() -> bool:
            try:
                device.publish("a", b"1")
            except LinkLost as err:
                return "connection lost" in str(err)
            return False

        await until(lost)


@pytest.mark.parametrize(("protocol", "arrives"), [("5", False), ("3.1.1", True)])
async def test_what_no_sensor_says_is_not_sent_to_us(broker: Broker, protocol: str, arrives: bool) -> None:
    """MQTT 5.0 section 3.1.2.11.4, Maximum Packet Size; 3.1.1 has no such wish, so there it is refused when it came."""
    notes = Notes()
    async with running(subscription(broker.port, protocol=protocol), notes):
        async with Publisher("127.0.0.1", broker.port) as device:
            device.publish("shop/loft/temperature", b"x" * 300_000, 1)
            device.publish("shop/loft/temperature", b"20.4", 1)
            await device.flushed()
        await until(lambda: notes.samples)
    assert len(notes.refusals) == arrives
