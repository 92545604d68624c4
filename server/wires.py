"""From the configured sources to supervised drivers that fill the queue."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sensors.catalog import SOURCE_KINDS
from sensors.first_there import FirstThereFile, OneName
from sensors.queue import HeardQueue
from sensors.sample import Heard
from sensors.strangers import Strangers
from sensors.supervise import Supervisor, Tap
from server.clock import Clock
from server.config import Config


class _WireClock:
    """The clock as drivers take it: called for the moment, and slept on by those that ask their devices in turn."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self.sleep = clock.sleep

    def __call__(self) -> tuple[int, float]:
        instant = self._clock.now()
        return instant.wall_ms, instant.mono_s


def make_wires(
    config: Config, state: Path, clock: Clock, queue: HeardQueue, tap: Tap | None = None
) -> dict[str, Supervisor]:
    """A supervised driver for every configured source; ``tap`` is told of all bytes they hear."""

    now = _WireClock(clock)
    wires = {}
    for source in config.sources:
        name, kind = str(getattr(source, "id")), str(getattr(source, "kind"))  # noqa: B009 - every schema has them
        entry = SOURCE_KINDS[kind]
        driver = entry.build(source, now, state)
        placed = {sensor.device for sensor in config.sensors if sensor.source == name}
        admit: Callable[[Heard], Heard] = Strangers(placed)
        if entry.one_device and "" in placed:
            admit = OneName(FirstThereFile(name, entry.where(source), state), placed)
        wires[name] = Supervisor(name, kind, entry.where(source), driver, queue.put, now, admit=admit, tap=tap)
    return wires
