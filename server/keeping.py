"""Keeps what a turn heard: on the disk, or in the ring while the disk takes nothing, and then on the disk in order.

An acknowledgement is given when its batch is on the disk, never for being in the ring: whoever kills the program
meanwhile loses nothing that was acknowledged. A broker then has our bound of unacknowledged messages outstanding and
holds the rest; rows of serial lines and buses, which nobody can send again, wait in the ring.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence

from sensors.sample import Acknowledge
from server.clock import Instant
from server.reading import Reading, Refused
from server.stores.port import Store, StoreBusy, StoreFull
from server.stores.ring import Ring

log = logging.getLogger(__name__)

RETRY_S = 2.0
WRITE_BACK_ROWS = 2_000
"""Rows of one transaction when the ring is written back, give or take a batch."""
WRITE_BACKS_A_TURN = 10
"""So that a long ring does not keep the wall waiting: a turn is at most this many transactions longer."""


class Keeper:
    """The engine's way to the record. ``error`` is empty while rows are written; ``since_ms`` is when that changed."""

    def __init__(self, ring: Ring | None = None) -> None:
        self.ring = ring or Ring()
        self.error = ""
        self.since_ms: int | None = None
        self._dropped_before = 0
        self._owed: list[tuple[int, Acknowledge]] = []
        self._again_mono_s = 0.0

    @property
    def given_up(self) -> int:
        """Rows that were given up since this failure began, or the last one where there is none."""
        return self.ring.dropped - self._dropped_before

    async def keep(
        self,
        store: Store,
        readings: Sequence[Reading],
        refused: Sequence[Refused],
        acknowledge: Sequence[Acknowledge],
        now: Instant,
    ) -> None:
        """Write a batch and acknowledge it; or hold it, behind what is held already, to be written when that is due.

        Raises what :meth:`Store.append` raises but StoreFull and StoreBusy.
        """
        held = bool(self.ring.rows or self._owed or self.error)
        if not held and await self._written(store, readings, refused, now):
            for done in acknowledge:
                done()
            return
        batch = self.ring.put(readings, refused, owed=bool(acknowledge))
        self._owed += [(batch, done) for done in acknowledge]
        if held:
            await self.write_back(store, now)

    async def write_back(self, store: Store, now: Instant) -> None:
        """Try the disk again, if that is due: what is held in order, bounded in transactions, then its
        acknowledgements. Without anything held this costs nothing."""
        if now.mono_s < self._again_mono_s:
            return
        for _ in range(WRITE_BACKS_A_TURN):
            oldest = self.ring.oldest(WRITE_BACK_ROWS)
            if oldest is None:
                self._settle(None)
                self._note("", now)
                return
            if not await self._written(store, oldest.readings, oldest.refused, now):
                return
            self.ring.forget(oldest.last)
            self._settle(oldest.last)

    async def finish(self, store: Store, now: Instant) -> None:
        """At a stop: one last try with everything; what cannot be written then is said."""
        while self.ring.rows or self._owed:
            self._again_mono_s = now.mono_s
            await self.write_back(store, now)
            if self.error:
                break
        if self.ring.rows:
            log.error("%d rows that waited in memory could not be written and end with the program", self.ring.rows)
        self.ring.close()

    def _settle(self, last: int | None) -> None:
        """Acknowledge the batches up to ``last``, or all: a batch may have had no rows."""
        done = [acknowledge for batch, acknowledge in self._owed if last is None or batch <= last]
        del self._owed[: len(done)]
        for acknowledge in done:
            acknowledge()

    async def _written(
        self, store: Store, readings: Sequence[Reading], refused: Sequence[Refused], now: Instant
    ) -> bool:
        try:
            await store.append(readings, refused)
        except (StoreFull, StoreBusy) as e:
            self._again_mono_s = now.mono_s + RETRY_S
            self._note(str(e) or "no room", now)
            return False
        self._note("", now)
        return True

    def _note(self, error: str, now: Instant) -> None:
        if bool(error) != bool(self.error):
            self.since_ms = now.wall_ms
            if error:
                self._dropped_before = self.ring.dropped
                log.error("The record cannot be written: %s", error)
            else:
                log.warning("The record is written again; %d rows wait in memory", self.ring.rows)
        self.error = error
