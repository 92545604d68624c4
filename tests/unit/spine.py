"""A spine without wires: a real record in a folder, a clock that moves when told, and samples as wires hand them on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import sin
from pathlib import Path
from typing import Any

from sensors.sample import RawSample
from server.app import Settings, Spine, build
from server.clock import Instant, ManualClock
from server.config import Config
from server.documents import SnapshotDocument
from server.restore import restore
from tests.flow.conftest import read_config

START_MS = 1_799_755_200_000
"""Tuesday 12 January 2027, 12:00 UTC: a full hour."""
MINUTE, HOUR, DAY = 60, 3600, 86_400

CONFIG = """
[shop]
name = "Test shop"
timezone = "Europe/Oslo"
[[destination]]
id = "heated"
name = "heated rooms"
region = "most-areas"
[[zone]]
id = "bench"
name = "Bench room"
destination = "heated"
[[zone]]
id = "loft"
name = "Rack loft"
destination = "heated"
[[source]]
id = "mq"
kind = "mqtt"
topics = ["shop/+/air"]
[[sensor]]
id = "bench-1"
source = "mq"
device = "bench-1"
zone = "bench"
[[sensor]]
id = "bench-2"
source = "mq"
device = "bench-2"
zone = "bench"
[[sensor]]
id = "loft-1"
source = "mq"
device = "loft-1"
zone = "loft"
"""


def config(more: str = "") -> Config:
    return read_config(CONFIG + more)


def sample(
    device: str,
    t_s: float,
    temperature_c: float = 20.0,
    humidity_pct: float = 45.0,
    *,
    acknowledge: Callable[[], None] | None = None,
    **more: Any,
) -> RawSample:
    """What a device says, heard ``t_s`` after :data:`START_MS`, when the monotonic clock stood at 0."""
    values = (("temperature_c", temperature_c), ("humidity_pct", humidity_pct))
    return RawSample("mq", device, values, START_MS + round(t_s * 1000), t_s, acknowledge=acknowledge, **more)


def story(to_s: float, every_s: float = 60.0) -> list[RawSample]:
    """Three devices in time order: the bench room dries past its limit and recovers, its second sensor hangs some
    seconds behind, the loft falls silent after two thirds."""
    said = []
    for n in range(int(to_s / every_s)):
        t_s = n * every_s
        swing = sin(t_s / 5000.0)
        said.append(sample("bench-1", t_s + 1, 20.0 + swing, 33.0 + 14.0 * swing))
        said.append(sample("bench-2", t_s + 24, 20.3 + swing, 32.5 + 14.0 * swing))
        if t_s < to_s * 2 / 3:
            said.append(sample("loft-1", t_s + 40, 17.0 + swing / 2, 52.0 - 6.0 * swing))
    return said


class UnsetClock(ManualClock):
    """A clock whose wall time nobody has set."""

    def now(self) -> Instant:
        return replace(super().now(), wall_is_set=False)


class Bench:
    """A spine on a folder. ``restart`` closes it and builds it anew from what the folder holds, on the same clock."""

    def __init__(self, folder: Path, settings: Config | None = None, clock: ManualClock | None = None) -> None:
        self.folder, self.config = folder, settings or config()
        self.clock = clock or ManualClock(START_MS)
        self.machine_boot = "machine-1"
        self.spine = self._built("boot-1")

    def _built(self, boot: str, *, restarted: bool = False) -> Spine:
        first_steps = None if self.config.sensors else "/shop/stillstack.toml"
        return build(
            Settings(
                self.config,
                self.folder,
                self.clock,
                restarted=restarted,
                first_steps=first_steps,
                boot=boot,
                machine_boot=self.machine_boot,
            )
        )

    async def restart(self, boot: str = "boot-2") -> None:
        await self.spine.store.close()
        self.spine = self._built(boot, restarted=True)
        restore(self.spine.engine, self.spine.engine.clock.now())
        await self.spine.engine.turn(())

    async def close(self) -> None:
        await self.spine.store.close()

    def until(self, t_s: float) -> None:
        """Let the clock stand ``t_s`` after :data:`START_MS`."""
        self.clock.advance(t_s - self.clock.now().mono_s)

    async def hear(self, items: Sequence[RawSample], a_turn: int = 1) -> None:
        """Feed the samples in turns of so many, each when its last one is heard."""
        for n in range(0, len(items), a_turn):
            batch = items[n : n + a_turn]
            self.until(batch[-1].heard_mono_s)
            await self.spine.engine.turn(batch)

    async def tick_until(self, t_s: float, every_s: float = 60.0) -> None:
        """Turns without samples, at multiples of ``every_s``."""
        while (now_s := self.clock.now().mono_s) < t_s:
            self.until(min((now_s // every_s + 1) * every_s, t_s))
            await self.spine.engine.turn(())

    @property
    def document(self) -> SnapshotDocument:
        found = self.spine.engine.board.rendered("en", "metric")
        assert found is not None
        return found

    def pictured(self) -> dict[str, Any]:
        """The document without what a restart may change: version, and the notice about it."""
        shown = self.document.model_dump(mode="json", exclude={"version"})
        shown["notices"] = [n for n in shown["notices"] if n["key"] != "server-restarted"]
        for alert in shown["alerts"]:
            del alert["id"]  # made by chance
        for change in shown["changes"]:
            del change["alert"]
        del shown["band"]["alert"]
        return shown

    def alert_story(self) -> list[tuple[int, str, str, str]]:
        """Every change of every alert: when, rule, subject, state."""
        changes = self.spine.history.alert_changes(0, 2**53)
        return [(a.changed_ms, a.rule, a.subject, a.state) for a in changes]


def with_store(bench: Bench, store: Any) -> None:
    """Put another store in front of the real one."""
    bench.spine = replace(bench.spine, store=store)
    bench.spine.engine.store = store
