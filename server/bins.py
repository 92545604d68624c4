"""Half hours of a zone's air: the fixed grid on which all slow things are computed, and which the charts draw.

A bin holds the time-weighted mean of the zone's air between two half hours of UTC. It closes when a value from beyond
its end comes or, failing that, two minutes after its end. Between two values the earlier one holds, for at most half an
hour: after that the air is not known, and the bin says how much of it was covered.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field

from server.reading import ClosedBin, ZoneAir

BIN_MS = 1_800_000
CLOSES_AFTER_MS = 120_000
HOLD_MS = 1_800_000
KEPT = 3 * 48 + 2
"""Three days back, as the wall draws them."""


@dataclass(slots=True)
class _Open:
    """The bin being filled: the value that holds, since when, and how far it has been counted."""

    start_ms: int
    since_ms: int
    counted_to_ms: int
    air: tuple[float, float, float]
    sums: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    known_ms: int = 0


@dataclass(slots=True)
class Bins:
    """The fold of a zone's air into bins. Same air, same bins, whatever the batches it came in."""

    zone: str
    closed: deque[ClosedBin] = field(default_factory=lambda: deque(maxlen=KEPT))
    _open: _Open | None = None

    def add(self, air: Iterable[ZoneAir]) -> list[ClosedBin]:
        """Take values in time order; returns the bins that closed. One from before what is counted is passed over."""
        return [
            done for a in air for done in self.add_value(a.t_ms, (a.temperature_c, a.vapour_pressure_pa, a.emc_pct))
        ]

    def add_value(self, t_ms: int, air: tuple[float, float, float]) -> list[ClosedBin]:
        """The same for one value: temperature °C, vapour pressure Pa, EMC %."""
        if self._open is None:
            self._open = _Open(t_ms - t_ms % BIN_MS, t_ms, t_ms, air)
            return []
        if t_ms < self._open.counted_to_ms:
            return []
        done = self._count_to(self._open, t_ms)
        self._open.since_ms, self._open.air = t_ms, air
        return done

    def follow_clock(self, now_ms: int) -> None:
        """Told before values are added, while the wall clock is set: where it went back, what lies in its future is
        given up, and counting begins anew with the next value. A step forward is a gap."""
        if self._open is not None and now_ms < self._open.counted_to_ms - CLOSES_AFTER_MS:
            self._open = None
            while self.closed and self.closed[-1].end_ms > now_ms:
                self.closed.pop()

    def let_go(self, at_ms: int) -> list[ClosedBin]:
        """The clock jumps at this moment of its old count: the standing value held until here, and what comes after is
        another time of which nothing is known yet."""
        if self._open is None:
            return []
        done = self._count_to(self._open, at_ms) if at_ms > self._open.counted_to_ms else []
        self._open.since_ms = min(self._open.since_ms, self._open.counted_to_ms - HOLD_MS)
        return done

    def close_due(self, now_ms: int) -> list[ClosedBin]:
        """Close every bin whose end lies two minutes back, though nothing new came."""
        edge_ms = (now_ms - CLOSES_AFTER_MS) // BIN_MS * BIN_MS
        if self._open is None or edge_ms < self._open.start_ms + BIN_MS:
            return []
        return self._count_to(self._open, edge_ms)

    def _count_to(self, o: _Open, t_ms: int) -> list[ClosedBin]:
        """Count the standing value up to ``t_ms``, closing every bin whose end that reaches."""
        done: list[ClosedBin] = []
        while True:
            stop = min(t_ms, o.start_ms + BIN_MS)
            known = max(0, min(stop, o.since_ms + HOLD_MS) - o.counted_to_ms)
            o.sums = [s + v * known for s, v in zip(o.sums, o.air, strict=True)]
            o.known_ms += known
            o.counted_to_ms = stop
            if stop < o.start_ms + BIN_MS:
                break
            if o.known_ms:
                t, p, emc = (s / o.known_ms for s in o.sums)
                done.append(ClosedBin(self.zone, stop, t, p, emc, o.known_ms / BIN_MS))
            o.start_ms, o.sums, o.known_ms = stop, [0.0, 0.0, 0.0], 0
            if o.since_ms + HOLD_MS < stop:  # nothing is known from here on: go straight to the bin that holds t_ms
                o.start_ms = max(o.start_ms, t_ms - t_ms % BIN_MS)
                o.counted_to_ms = max(o.counted_to_ms, o.start_ms)
            if o.counted_to_ms >= t_ms:
                break
        self.closed.extend(done)
        return done
