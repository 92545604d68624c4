"""Gathers what the running server knows of itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sensors.queue import HeardQueue
from server.broker import Broker
from server.clock import Clock
from server.engine import Engine
from server.health import Vitals
from server.reading import SourceState
from server.rules.catalog import WatchingRule, not_watched


@dataclass(frozen=True, slots=True)
class Watcher:
    """Gathers what the server knows of itself, for the health document."""

    clock: Clock
    restarted: bool
    engine: Engine
    sources: Callable[[], Sequence[SourceState]]
    rules: list[WatchingRule]
    queue: HeardQueue
    broker: Broker | None

    def vitals(self) -> Vitals:
        """The figures of this moment."""
        now, counts = self.clock.now(), self.engine.counts
        states: Sequence[SourceState] = self.sources()
        return Vitals(
            version=self.engine.board.version,
            now_ms=now.wall_ms,
            up_s=now.mono_s - self.engine.zones.started_mono_s,
            clock_is_set=now.wall_is_set,
            store="full" if counts.store_error else "writing",
            store_error=counts.store_error,
            queued=len(self.queue),
            dropped=sum(state.dropped for state in states),
            turns=counts.turns,
            readings=counts.readings,
            sources={s.source: s.state for s in states},
            broker=self.broker.told if self.broker else None,
            restarted=self.restarted,
            rejected=self.engine.screening.rejected,
            clock_jumps=counts.clock_jumps,
            clock_moved_by_ms=counts.clock_moved_by_ms,
            faults=self.engine.faults.all(),
            not_watched=not_watched(self.rules, self.engine.rule_view(now)),
        )
