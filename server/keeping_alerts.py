"""Keeps the changes of alerts: in the record, or in memory while it takes none, and then first of all.

An alert that cannot be kept is on the wall all the same: that the record cannot be written is itself one. Of each alert
the newest change waits; how it came there in between is lost to the history, not to anybody who looked.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence

from server.clock import Instant
from server.reading import Alert
from server.stores.port import Store, StoreBusy, StoreFull

log = logging.getLogger(__name__)

RETRY_S = 2.0
MOST_WAITING = 1_000
"""Alerts whose change may wait; there is one a rule and subject, so that only years of coming and going reach it."""


class AlertKeeper:
    """The engine's way to the record for alerts. ``error`` is empty while their changes are written; ``dropped`` counts
    what was given up in memory: first alerts that are over, then the oldest."""

    def __init__(self, most: int = MOST_WAITING) -> None:
        self.error = ""
        self.dropped = 0
        self._most = most
        self._waiting: dict[str, Alert] = {}
        self._again_mono_s = 0.0

    @property
    def waiting(self) -> list[Alert]:
        """The newest change of each alert that is not in the record yet, oldest first."""
        return list(self._waiting.values())

    async def keep(self, store: Store, changes: Sequence[Alert], now: Instant) -> None:
        """Write these changes after those that wait, or let them wait too."""
        for alert in changes:
            self._waiting.pop(alert.id, None)
            self._waiting[alert.id] = alert
        if changes and not self.error:
            self._again_mono_s = now.mono_s
        await self.write_back(store, now)

    async def write_back(self, store: Store, now: Instant, *, at_once: bool = False) -> None:
        """Try the record again with what waits, if that is due or ``at_once``. Without anything waiting it costs
        nothing."""
        if not self._waiting or not (at_once or now.mono_s >= self._again_mono_s):
            return
        try:
            await self.settle(store)
        except (StoreFull, StoreBusy) as e:
            self._again_mono_s = now.mono_s + RETRY_S
            self.error = str(e) or "no room"
            self._give_up()

    async def settle(self, store: Store) -> None:
        """Write what waits, now: nobody's deed may be kept before what it was done about. Raises what
        :meth:`Store.put_alerts` raises; then all of it waits on."""
        if self._waiting:
            await store.put_alerts(self.waiting)
            self._waiting.clear()
        self.error = ""

    async def finish(self, store: Store, now: Instant) -> None:
        """At a stop: one last try; what cannot be written then is said."""
        await self.write_back(store, now, at_once=True)
        if self._waiting:
            log.error("%d changes of alerts could not be written and end with the program", len(self._waiting))

    def _give_up(self) -> None:
        too_many = len(self._waiting) - self._most
        over_first = sorted(self._waiting.values(), key=lambda alert: alert.state != "normal")
        for alert in over_first[: max(0, too_many)]:
            del self._waiting[alert.id]
            self.dropped += 1
