"""The model and the record: the air of a span, and the checkpoints that lie there."""

from __future__ import annotations

import asyncio
from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from server.bins import BIN_MS, HOLD_MS
from server.model.air import ShopAir
from server.model.course import DAY_MS, Course
from server.model.half_hours import HalfHours, half_hours
from server.model.run import Run
from server.model.woods import Wood, Woods, of_each
from server.reading import Checkpoint
from server.stores.port import History, Store

KEPT_AT_ONCE = 200
"""So many checkpoints, half a megabyte, go into one transaction."""


def recorded_air(history: History, zones: Sequence[str], from_ms: int, to_ms: int) -> ShopAir:
    """The air of the zones between two edges. A zone that was silent at the beginning has its last air from before.

    Raises StoreError, ValueError as :meth:`ShopAir.of`.
    """
    return ShopAir.of(zones, {zone: zone_half_hours(history, zone, from_ms, to_ms) for zone in zones}, from_ms, to_ms)


def last_week(history: History, zone: str, until_ms: int) -> ShopAir:
    """The last week of a zone's half hours up to an edge. Raises StoreError."""
    return recorded_air(history, [zone], until_ms - 7 * DAY_MS, until_ms)


def zone_half_hours(history: History, zone: str, from_ms: int, to_ms: int) -> HalfHours:
    """The half hours of a zone between two edges, and those before them from its last air on."""
    names = [f"zone:{zone}/{quantity}" for quantity in ("temperature_c", "vapour_pressure_pa")]
    last = history.last_before(names[0], from_ms - BIN_MS)
    begin_ms = from_ms - 2 * BIN_MS if last is None else (last.t_ms // BIN_MS - 1) * BIN_MS
    (times, warmth), (others, pressure) = (history.arrays(name, begin_ms - HOLD_MS, to_ms) for name in names)
    if not np.array_equal(times, others):
        times, here, there = np.intersect1d(times, others, assume_unique=True, return_indices=True)
        warmth, pressure = warmth[here], pressure[there]
    return half_hours(times, warmth, pressure, begin_ms, to_ms)


@dataclass(frozen=True, slots=True)
class RecordedShelf:
    """Checkpoints as the record keeps them: implements :class:`server.model.course.Shelf`."""

    history: History

    def edges(self, before_ms: int) -> list[int]:
        """See there."""
        return self.history.checkpoint_edges(before_ms)

    def at(self, edge_ms: int, lots: Collection[str]) -> Woods:
        """See there. One that an earlier Stillstack kept in another form counts as none, and is made again."""
        found: dict[str, Wood] = {}
        for kept in self.history.checkpoints(edge_ms, lots):
            with suppress(ValueError):
                found[kept.lot] = Wood.from_bytes(kept.state)
        return of_each(found)


async def keep_made(store: Store, course: Course, mark: str | None) -> None:
    """Keep the checkpoints that came of a course's last change, some at a time: readings are kept in between. Where a
    past was changed since ``mark`` the record refuses them, and they are made again. Raises StoreFull."""
    while course.made and await store.forget_stale():
        pass
    for run in course.made:
        states = await asyncio.to_thread(_states, run)
        for first in range(0, len(states), KEPT_AT_ONCE):
            if not await store.keep_checkpoints(states[first : first + KEPT_AT_ONCE], mark):
                return


def _states(run: Run) -> list[Checkpoint]:
    each = zip(run.woods.names, run.woods.each_to_bytes(), strict=True)
    return [Checkpoint(run.at_ms, name, state) for name, state in each]
