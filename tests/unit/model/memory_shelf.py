"""A shelf in memory: checkpoints of the last hundred days, and one in thirty before."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from server.model.course import DAY_MS, Course
from server.model.woods import Wood, Woods, of_each

DAILY_FOR_DAYS = 100
MONTH_DAYS = 30


@dataclass(slots=True)
class MemoryShelf:
    """Keeps what each course made, and drops what it found stale."""

    kept: dict[int, dict[str, Wood]] = field(default_factory=dict)

    def edges(self, before_ms: int) -> list[int]:
        """See :class:`server.model.course.Shelf`."""
        return sorted((edge for edge in self.kept if edge <= before_ms), reverse=True)

    def at(self, edge_ms: int, lots: Collection[str]) -> Woods:
        """See :class:`server.model.course.Shelf`."""
        return of_each({name: wood for name, wood in self.kept.get(edge_ms, {}).items() if name in lots})

    def keep(self, course: Course) -> None:
        """What came of its last change."""
        if course.stale is not None:
            lots, from_ms = course.stale
            for edge_ms, there in self.kept.items():
                if edge_ms > from_ms:
                    for lot in lots & there.keys():
                        del there[lot]
        for run in course.made:
            there = self.kept.setdefault(run.at_ms, {})
            there |= {name: run.woods.one(name) for name in run.woods.names}
        recent_ms = course.at_ms - DAILY_FOR_DAYS * DAY_MS
        for edge_ms in [e for e in self.kept if e < recent_ms and e // DAY_MS % MONTH_DAYS]:
            del self.kept[edge_ms]
