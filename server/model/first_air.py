"""The first air of a zone, which counts for what lay there before it, too (:mod:`server.model.air`).

Until it comes such lots stand in a room's air; so once its half hour has closed they are run again, as a run from
scratch would have them.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field

from server.bins import BIN_MS
from server.model.course import Course
from server.shop.acts import Lie, edge_of
from server.stores.port import History, StoreError

HOUR_MS = 3_600_000
NEVER_MS = 4_102_444_800_000
"""The year 2100."""


@dataclass(slots=True)
class FirstAir:
    """Told of every zone's air as it is stored; says which zones' first half hour has closed since it was last
    asked."""

    _first_ms: dict[str, int] = field(default_factory=dict)
    _open: dict[str, int] = field(default_factory=dict)

    def taken_up(self, history: History, zones: Iterable[str], at_ms: int) -> None:
        """After a start: what the newest checkpoints are of may have been run before the first air of a zone that is no
        older than they are, and then nobody came to run it again. Raises StoreError."""
        newest_ms = next(iter(history.checkpoint_edges(at_ms)), None)
        if newest_ms is None:
            return
        for zone in zones:
            edge_ms = edge_of(_first_ms(history, zone, NEVER_MS))
            if newest_ms - BIN_MS <= edge_ms < NEVER_MS - BIN_MS:
                self._open[zone] = edge_ms

    def heard(self, history: History, zone: str, t_ms: int) -> None:
        """Air of that moment; the record is asked once a zone, and again where it could not be read."""
        if t_ms >= self._first_ms.get(zone, t_ms + 1):
            return
        with suppress(StoreError):  # who keeps the record says so; live air never waits for this
            self._first_ms[zone] = _first_ms(history, zone, t_ms)
            if self._first_ms[zone] == t_ms:
                self._open[zone] = edge_of(t_ms)

    def closed(self, course: Course) -> dict[str, int]:
        """Zones, each with the edge from which on any lot lay there."""
        found: dict[str, int] = {}
        for zone in [zone for zone, edge_ms in self._open.items() if edge_ms < course.at_ms]:
            found[zone] = _first_lain_ms(course, zone, self._open[zone])
            del self._open[zone]
        return found

    def felt_from_ms(self, history: History, zone: str, from_ms: int, course: Course) -> int:
        """From which edge on lots feel it where a zone's air becomes another from a moment on. Raises StoreError."""
        self._first_ms.pop(zone, None)  # it may be another one then
        edge_ms = edge_of(from_ms)
        is_first = _first_ms(history, zone, from_ms) >= from_ms
        return min(edge_ms, _first_lain_ms(course, zone, edge_ms)) if is_first else edge_ms


def _first_lain_ms(course: Course, zone: str, none_ms: int) -> int:
    """From which edge on any lot lay in a zone; ``none_ms`` where none did."""
    acts = (done for program in course.programs.values() for done in program)
    return min((d.edge_ms for d in acts if isinstance(d.act, Lie) and d.act.zone == zone), default=none_ms)


def _first_ms(history: History, zone: str, at_most_ms: int) -> int:
    """When the first air of a zone was that is on record, at the latest the moment given."""
    series = f"zone:{zone}/temperature_c"
    for day in history.rollups(series, "day", 0, at_most_ms)[:1]:
        for hour in history.rollups(series, "hour", day.start_ms, min(day.start_ms + 25 * HOUR_MS, at_most_ms))[:1]:
            times, _ = history.columns(series, hour.start_ms, min(hour.start_ms + HOUR_MS, at_most_ms))
            return times[0] if times else min(hour.start_ms, at_most_ms)
    return at_most_ms
