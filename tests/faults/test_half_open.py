"""A broker behind a network that swallows packets without a word, as a pulled cable behind a switch does."""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import subprocess
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import pytest

from sensors.mqtt import MqttSubscription, Publisher
from sensors.mqtt.listening import ListeningLink
from sensors.payloads import number_payload
from sensors.supervise import Supervisor
from tests.unit.sensors.helpers import Notes, real_now, until

TOPICS = ["shop/+/temperature"]
KEEPALIVE_S = 1
PORT = 1883


def _ip(*words: str, check: bool = True) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["ip", *words], check=check, capture_output=True, text=True)


class Far:
    """A network namespace with a host in it, joined to ours by a pair of virtual cards."""

    def __init__(self) -> None:
        part = os.getpid() % 250
        self.name = f"stillstack-{os.getpid()}"
        # 198.18.0.0/15 is for tests of networks (RFC 2544); a part of it of our own, should two tests run at once.
        self.ours, self.host = f"198.18.{part}.1", f"198.18.{part}.2"
        self._cards = f"sa{os.getpid()}"[:15], f"sb{os.getpid()}"[:15]

    def lay(self) -> None:
        near, far = self._cards
        _ip("netns", "add", self.name)
        _ip("link", "add", near, "type", "veth", "peer", "name", far, "netns", self.name)
        _ip("address", "add", f"{self.ours}/30", "dev", near)
        _ip("link", "set", near, "up")
        self._inside("address", "add", f"{self.host}/30", "dev", far)
        self._inside("link", "set", far, "up")

    def swallow(self) -> None:
        """From now on nothing comes back, and nobody is told."""
        self._inside("route", "add", "blackhole", f"{self.ours}/32")

    def mend(self) -> None:
        self._inside("route", "delete", "blackhole", f"{self.ours}/32")

    def remove(self) -> None:
        _ip("netns", "delete", self.name, check=False)
        _ip("link", "delete", self._cards[0], check=False)

    def _inside(self, *words: str) -> None:
        _ip("-netns", self.name, *words)


@pytest.fixture
def far() -> Iterator[Far]:
    if os.geteuid() != 0 or shutil.which("ip") is None:
        pytest.skip("needs root and iproute2: it lays a network of its own")
    one = Far()
    try:
        one.lay()
    except subprocess.CalledProcessError as err:
        one.remove()
        pytest.skip(f"this machine lays no network of its own: {err.stderr.strip()}")
    try:
        yield one
    finally:
        one.remove()


@asynccontextmanager
async def a_broker_there(far: Far, folder: Path) -> AsyncIterator[None]:
    conf = folder / "conf"
    lines = [f"listener {PORT} {far.host}", "allow_anonymous true", "persistence false", "log_dest none", "user root"]
    conf.write_text("\n".join(lines) + "\n")
    child = await asyncio.create_subprocess_exec("ip", "netns", "exec", far.name, "/usr/sbin/mosquitto", "-c", conf)
    try:
        yield
    finally:
        if child.returncode is None:
            child.terminate()
        await child.wait()


@pytest.mark.parametrize("protocol", ["5", "3.1.1"])
async def test_packets_swallowed_in_silence_end_the_link_within_three_keepalives(
    far: Far, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, protocol: str
) -> None:
    """Field pitfall 8: "connected" for hours with no data. The watchdog ends it, and a new client object is made."""
    links: list[ListeningLink] = []
    before: Callable[..., None] = ListeningLink.__init__

    def made(link: ListeningLink, *arguments: object) -> None:
        before(link, *arguments)
        links.append(link)

    monkeypatch.setattr(ListeningLink, "__init__", made)
    notes = Notes()
    driver = MqttSubscription(
        "shop", far.host, PORT, topics=TOPICS, decode=number_payload(patterns=TOPICS), client_id="far",
        keepalive_s=KEEPALIVE_S, protocol=protocol, now=real_now,
    )  # fmt: skip
    wire = Supervisor("shop", "mqtt", far.host, driver, notes.heard, real_now, pause=lambda _failures, _refused: 0.1)
    async with a_broker_there(far, tmp_path):
        task = asyncio.create_task(wire.run())
        try:
            await until(lambda: wire.state().state == "listening")
            held = links[-1]
            await _say(far, notes, 20.4)
            far.swallow()
            # Three keepalives and a tick, and however late this machine is; TCP alone would take a quarter of an hour.
            await until(held.ended.done, 30)
            assert re.search(r"nothing heard for \d+ s|no answer to a ping", str(held.ended.result()))
            await until(lambda: wire.state().state == "lost")
            far.mend()
            await until(lambda: wire.state().state == "listening", 30)
            assert links[-1].client is not held.client
            await _say(far, notes, 20.5)
        finally:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task


async def _say(far: Far, notes: Notes, temperature: float) -> None:
    async with Publisher(far.host, PORT) as device:
        device.publish("shop/loft/temperature", str(temperature))
        await device.flushed()
        await until(lambda: temperature in notes.temperatures)
