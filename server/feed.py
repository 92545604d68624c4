"""``stillstack feed FILE``: a recording played into the real sources, as if their devices spoke again.

What was heard on a broker is published there; what came from a serial line is written into a pseudo-terminal that
appears under the port's configured name, where the running server finds it. Nothing reaches the server by another way.
"""

from __future__ import annotations

import asyncio
import contextlib
import sys
from collections import Counter
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from sensors.discovery import is_plain_topic
from sensors.driver import LinkLost, SensorError
from sensors.mqtt import Publisher
from sensors.mqtt.source import MqttSource
from sensors.recording import Recorded, RecordingError, read_recording
from sensors.simulated import PtyPair
from server.clock import Clock, SystemClock
from server.config import Config

EMPTIES_WITHIN_S = 2.0
"""A reader that has the port open and did not empty it by then does not."""
READER_WITHIN_S = 60.0
"""So long may the server take to find the port; its supervisor looks at least every 30 s."""
AGAIN_S = 0.005
FLUSH_EVERY = 500
"""Messages handed over before the broker has to have taken them."""


class Outlet(Protocol):
    """Where a source's bytes go."""

    async def ready(self) -> None:
        """Wait until somebody listens. Raises :class:`RecordingError` when nobody comes, SensorError."""

    async def send(self, entry: Recorded) -> bool:
        """Send; whether it was taken."""

    async def flush(self) -> None:
        """Wait until all has left."""

    async def close(self) -> None:
        """Let the wire go."""


class SerialOutlet:
    """A pseudo-terminal under the configured name of the port, which must be free for it."""

    def __init__(self, source: str, port: Path, settle_s: float = 0.0) -> None:
        """``settle_s`` is how long the server lets a board settle after opening: what is said then is not read."""
        if port.exists():
            raise RecordingError(
                f"source {source}: found {port} there already; would be right: a port's name that is free, in a folder "
                "of your own, in the configuration of a server for trying out"
            )
        self.source, self._settle_s = source, settle_s
        try:
            self.pair = PtyPair(port.parent, port.name)
            self.pair.watch(on=True)
        except OSError as err:
            raise RecordingError(
                f"source {source}: {port.parent}: {err.strerror}; would be right: a folder to write in"
            ) from err

    async def ready(self) -> None:
        if not await self._read_within(READER_WITHIN_S):
            raise RecordingError(
                f"source {self.source}: nobody opened {self.pair.port} within {READER_WITHIN_S:.0f} s; would be right: "
                "a server that runs with this configuration"
            )
        # Opening a port empties it a moment later: what is sent in between would be lost.
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(EMPTIES_WITHIN_S):
                await _until(self.pair.was_emptied)
        self.pair.watch(on=False)
        await asyncio.sleep(1.1 * self._settle_s)

    async def _read_within(self, seconds: float) -> bool:
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                await _until(lambda: self.pair.is_read)
                return True
        return False

    async def send(self, entry: Recorded) -> bool:
        # A reader that lags leaves the kernel's buffer full: wait, as a device with flow control would.
        while self.pair.is_read:
            if self.pair.write_line(entry.content):
                return True
            await asyncio.sleep(AGAIN_S)
        return False

    async def flush(self) -> None:
        await _until(lambda: not self.pair.is_read or self.pair.flush())

    async def close(self) -> None:
        self.pair.close()


class BrokerOutlet:
    """The broker that the source listens to, with the source's own name and password."""

    def __init__(self, source: MqttSource) -> None:
        self.publisher = Publisher(
            source.host,
            source.broker_port,
            username=source.username,
            password=source.password(),
            tls=source.tls_files(),
            protocol=source.protocol,
        )
        self._unflushed = 0

    async def ready(self) -> None:
        await self.publisher.start()

    async def send(self, entry: Recorded) -> bool:
        self.publisher.publish(entry.topic, entry.content)
        self._unflushed += 1
        if self._unflushed >= FLUSH_EVERY:
            await self.flush()
        return True

    async def flush(self) -> None:
        self._unflushed = 0
        await self.publisher.flushed()

    async def close(self) -> None:
        await self.publisher.stop()


async def _until(condition: Callable[[], bool]) -> None:
    """Look again and again: the far side of a pseudo-terminal tells nobody."""
    while True:
        if condition():
            return
        await asyncio.sleep(AGAIN_S)


@dataclass(slots=True)
class Fed:
    """What was played, by source; ``lost`` found nobody who read."""

    sent: Counter[str] = field(default_factory=Counter)
    lost: Counter[str] = field(default_factory=Counter)

    def lines(self) -> list[str]:
        """For people."""
        return [
            f"{source}: {self.sent[source]:,} played"
            + (f", {self.lost[source]:,} lost because nobody read" if self.lost[source] else "")
            for source in sorted(self.sent | self.lost)
        ]


async def feed(path: Path, config: Config, speed: float = 1.0, clock: Clock | None = None) -> Fed:
    """Play ``path`` at ``speed`` times its own pace (above 0) into the sources it names. All of it is read once before
    anything is played.

    Raises :class:`RecordingError` for a file that is wrong, a source the configuration lacks, or one that nobody reads;
    SensorError for a broker that cannot be reached.
    """
    known = {str(getattr(source, "id")): source for source in config.sources}  # noqa: B009 - every schema has one
    names = await asyncio.to_thread(_checked, path, known)
    async with _outlets({name: known[name] for name in sorted(names)}) as outlets:
        return await _play(path, outlets, speed, clock or SystemClock())


def _checked(path: Path, known: Mapping[str, Any]) -> set[str]:
    """The sources a recording names, once all of it has been looked at."""
    names: set[str] = set()
    for number, entry in enumerate(read_recording(path), 1):
        if entry.source not in known:
            right = f"one of {', '.join(known)}" if known else "a source in the configuration"
            raise RecordingError(f"{path}:{number}: found the source {entry.source!r}; would be right: {right}")
        if entry.topic and not (entry.topic.isprintable() and is_plain_topic(entry.topic)):
            found = f"found the topic {entry.topic[:40]!r}"
            raise RecordingError(f"{path}:{number}: {found}; would be right: one that may be published to")
        names.add(entry.source)
    if not names:
        raise RecordingError(f"{path}: found nothing in it; would be right: at least one line")
    return names


@contextlib.asynccontextmanager
async def _outlets(sources: Mapping[str, Any]) -> AsyncIterator[dict[str, Outlet]]:
    outlets: dict[str, Outlet] = {}
    try:
        for name, source in sources.items():
            outlets[name] = _outlet(name, source)
        for outlet in outlets.values():
            await outlet.ready()
        yield outlets
    finally:
        for outlet in outlets.values():
            await outlet.close()


def _outlet(name: str, source: Any) -> Outlet:
    if isinstance(source, MqttSource):
        return BrokerOutlet(source)
    if source.kind == "serial":
        return SerialOutlet(name, Path(source.port), source.settle_s)
    raise RecordingError(
        f"source {name}: found kind {source.kind!r}; would be right: serial or mqtt: a device that only answers cannot "
        "be played from what it answered"
    )


async def _play(path: Path, outlets: Mapping[str, Outlet], speed: float, clock: Clock) -> Fed:
    fed = Fed()
    began_s = clock.now().mono_s
    for entry in read_recording(path):
        if entry.topic == "" and isinstance(outlets[entry.source], BrokerOutlet):
            continue  # heard there without being news: a retained value
        wait_s = entry.t_s / speed - (clock.now().mono_s - began_s)
        if wait_s > 0:
            await clock.sleep(wait_s)
        count = fed.sent if await outlets[entry.source].send(entry) else fed.lost
        count[entry.source] += 1
    for outlet in outlets.values():
        await outlet.flush()
    return fed


async def feed_command(path: Path, config: Config, speed: float) -> int:
    """The command: plays, says how much, 0. Refusals are said on standard error: 2, a lost link: 1."""
    try:
        fed = await feed(path, config, speed)
    except RecordingError as err:
        sys.stderr.write(f"{err}\n")
        return 2
    except LinkLost as err:
        sys.stderr.write(f"{err}\n")
        return 1
    except SensorError as err:
        sys.stderr.write(f"{err}\n")
        return 2
    sys.stdout.writelines(f"{line}\n" for line in fed.lines())
    return 0
