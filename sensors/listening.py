"""Listening for a while, to what nobody has configured yet: a serial port, or a broker's topics.

Nothing is ever sent. A serial port is opened only because a person asked for it, since opening resets many boards; it
stays so between two rates, because the driver leaves DTR alone. A bus whose devices speak only when asked (Modbus)
cannot be heard like this.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from sensors.decoding import Decoded, Unreadable
from sensors.driver import Driver, LinkLost, LinkRefused, Now
from sensors.guessing import is_text
from sensors.line_formats import LineFormat
from sensors.mqtt.overhearing import Overhearing
from sensors.mqtt.source import MqttSource
from sensors.sample import Heard
from sensors.serial_lines import SerialLines

BAUDS = (9600, 115200, 57600, 38400, 19200, 4800, 2400)
"""The rates tried, the commonest first."""
ENOUGH_LINES = 8
MOST_LINES = 50
MOST_BYTES = 8192
NOISE_BYTES = 16
"""So many bytes of which too few are text are a wrong rate."""
TEXT_SHARE = 0.8
MOST_MESSAGES = 5000
MOST_TOPICS = 200
KEPT_OF_A_TOPIC = 5

Line = Callable[[str, int, LineFormat], Driver]
"""Makes the driver that reads a port (name, baud, what to do with a line)."""


@dataclass(frozen=True, slots=True)
class HeardPort:
    """What one port said: whole lines, oldest first, the newest bytes of any kind, the rate at which that was text
    (None where nothing was), and why it could not be heard ("" if it could)."""

    port: str
    baud: int | None
    lines: tuple[bytes, ...]
    last_bytes: bytes
    error: str = ""


@dataclass(frozen=True, slots=True)
class HeardBroker:
    """What a broker handed out: the newest payloads of each topic, oldest first, how many messages came in all, how
    many of them on topics beyond :data:`MOST_TOPICS`, and why it could not be heard ("" if it could)."""

    where: str
    said: dict[str, tuple[bytes, ...]]
    messages: int
    left_out: int
    error: str = ""


async def hear_port(
    port: str, seconds: float, now: Now, *, bauds: Sequence[int] = BAUDS, line: Line | None = None
) -> HeardPort:
    """Listen to a port for at most so many seconds, at one rate after the other until text comes. Returns earlier with
    :data:`ENOUGH_LINES`. Another rate is tried only once bytes came: silence is the same at every rate."""

    def serial_line(name: str, baud: int, line_format: LineFormat) -> Driver:
        return SerialLines("listening", name, baud=baud, line_format=line_format, settle_s=0.0, now=now)

    ends_s = asyncio.get_running_loop().time() + seconds
    noise = b""
    for baud in bauds:
        ear = _LineEar()
        error = await _until((line or serial_line)(port, baud, ear.read), ear, ends_s)
        if error or not ear.is_noise:
            rate = baud if ear.lines or (ear.raw and _is_mostly_text(ear.raw)) else None
            return HeardPort(port, rate, tuple(ear.lines), ear.raw or noise, error)
        noise = ear.raw
    return HeardPort(port, None, (), noise)


async def hear_broker(source: MqttSource, seconds: float) -> HeardBroker:
    """Listen to a broker for so many seconds, or until :data:`MOST_MESSAGES` came. Of ``source`` only the broker and
    the topic filters are used."""
    ear = _TopicEar()
    where = f"{source.host}:{source.broker_port}"
    try:
        driver = Overhearing(source, ear.message)
    except ValueError as err:  # a secret that went away since it was checked
        return HeardBroker(where, {}, 0, 0, str(err))
    error = await _until(driver, ear, asyncio.get_running_loop().time() + seconds)
    said = {topic: tuple(payloads) for topic, payloads in sorted(ear.said.items())}
    return HeardBroker(where, said, ear.messages, ear.left_out, error)


class _Ear:
    """A listener that says when it has heard enough."""

    def __init__(self) -> None:
        self.enough = asyncio.Event()

    def connected(self) -> None:
        pass

    def bytes_heard(self, payload: bytes, topic: str = "") -> None:
        pass

    def heard(self, item: Heard) -> None:
        pass

    def dropped(self, count: int) -> None:
        pass


class _LineEar(_Ear):
    def __init__(self) -> None:
        super().__init__()
        self.raw = b""
        self.lines: deque[bytes] = deque(maxlen=MOST_LINES)

    @property
    def is_noise(self) -> bool:
        """Whether enough came to say that this is no text."""
        return len(self.raw) >= NOISE_BYTES and not _is_mostly_text(self.raw)

    def read(self, line: bytes) -> Decoded:
        """Stands where a format would: keeps the line."""
        if is_text(line):
            self.lines.append(line)
        if len(self.lines) >= ENOUGH_LINES:
            self.enough.set()
        raise Unreadable("found a line; would be right: a format, which is what we look for")

    def bytes_heard(self, payload: bytes, topic: str = "") -> None:  # noqa: ARG002 - a port has none
        self.raw = (self.raw + payload)[-MOST_BYTES:]
        if self.is_noise:
            self.enough.set()


@dataclass
class _TopicEar(_Ear):
    said: dict[str, deque[bytes]] = field(default_factory=dict)
    messages: int = 0
    left_out: int = 0

    def __post_init__(self) -> None:
        super().__init__()

    def message(self, topic: str, payload: bytes) -> None:
        """One message came. What comes in the same breath as the last one that counts is passed over."""
        if self.enough.is_set():
            return
        self.messages += 1
        if topic in self.said or len(self.said) < MOST_TOPICS:
            self.said.setdefault(topic, deque(maxlen=KEPT_OF_A_TOPIC)).append(payload[:MOST_BYTES])
        else:
            self.left_out += 1
        if self.messages >= MOST_MESSAGES:
            self.enough.set()


def _is_mostly_text(raw: bytes) -> bool:
    text = raw.decode("utf-8", "replace")
    return sum(c != "�" and (c.isprintable() or c in "\r\n\t") for c in text) >= TEXT_SHARE * len(text)


async def _until(driver: Driver, ear: _Ear, ends_s: float) -> str:
    """Run the driver until it has heard enough or the time is over; why it ended by itself, "" if it did not."""
    loop = asyncio.get_running_loop()
    running = loop.create_task(driver.run(ear), name="listening")
    enough = loop.create_task(ear.enough.wait(), name="enough")
    try:
        await asyncio.wait(
            {running, enough}, timeout=max(0.0, ends_s - loop.time()), return_when=asyncio.FIRST_COMPLETED
        )
        if not running.done():
            return ""
        error = running.exception()
        if isinstance(error, LinkLost | LinkRefused):
            return str(error)
        if error is not None:
            raise error
        return ""
    finally:
        for task in (running, enough):
            task.cancel()
        with contextlib.suppress(asyncio.CancelledError, LinkLost, LinkRefused):
            await asyncio.gather(running, enough, return_exceptions=True)
