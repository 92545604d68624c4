"""What a step of the wall clock does to the shop (Field pitfall 3), between two turns.

While the clock is not set, the record goes on under labels of its own. Once it is set, all that was written since is
moved in one transaction, and the running state is made again from the record as a restart would make it; only the
alerts' book is kept, whose waits run on the monotonic clock, so that no alert comes twice. A step of a clock that was
set is an event: a line in the log, an entry in the journal, a count in the health document.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sensors.sample import Heard, RawSample
from sensors.threads import in_daemon_thread
from server.alerts.book import AlertBook, Key, Watch
from server.clock import Instant
from server.engine import Engine
from server.outlooks import refresh
from server.reading import Alert, JournalEntry
from server.restore import restore
from server.screening import FUTURE_LIMIT_MS
from server.shop_clock import Change, ShopClock
from server.stores.port import Boot, History, StoreBusy, StoreFull
from server.zones import Zones

log = logging.getLogger(__name__)

RETRY_S = 2.0
Moved = Sequence[Callable[[int], None]]
Stepped = Sequence[Callable[[], None]]
KIND = "clock-set"
SUBJECT = "clock"


@dataclass(frozen=True, slots=True)
class _Move:
    """By how much what was labelled from ``first_ms`` on was moved; the last such label and when it was given."""

    by_ms: int
    first_ms: int
    last_ms: int
    until_mono_s: float


def begin(clock: ShopClock, history: History, boot: str) -> None:
    """Decide at a start whether the wall clock is set, from what the record knows."""
    newest_ms = history.newest_label_ms()
    clock.begin(newest_ms, floor_ms(newest_ms, history.journal(KIND)), history.boot(), boot)


def floor_ms(newest_ms: int | None, steps: Sequence[JournalEntry]) -> int | None:
    """What a wall clock for which nobody vouches must not lie before: the newest label. Where that was written by a
    clock that ran ahead and was set back since, the time it was set back to: else a mistake of a month would keep the
    shop without a time for that month."""
    for step in steps:
        from_ms, to_ms = step.data.get("from_ms"), step.data.get("to_ms")
        if not isinstance(from_ms, int) or not isinstance(to_ms, int) or newest_ms is None:
            continue
        if to_ms < from_ms and to_ms < newest_ms <= from_ms + FUTURE_LIMIT_MS:
            return to_ms
    return newest_ms


class Boots:
    """Keeps the record's stretches of time and follows the clock. ``boot`` names this run of the monotonic clock. Its
    ``followers`` run on threads of their own: the first are told by how many ms what was labelled so far has been
    moved, the second that the journal tells of a clock that was set anew."""

    def __init__(
        self, engine: Engine, clock: ShopClock, boot: str, timezone: str, followers: tuple[Moved, Stepped] = ((), ())
    ) -> None:
        self._engine, self._clock, self._boot, self._timezone = engine, clock, boot, timezone
        self._moved, self._stepped = followers
        self._stretch: Boot | None = None
        self._untold: list[JournalEntry] = []
        self._last: _Move | None = None
        self._again_mono_s = 0.0
        self._failed = False

    async def before_turn(self, items: Sequence[Heard]) -> Sequence[Heard]:
        """Look at the clock, do what has to be done, and give the turn's items their right labels."""
        before = self._last
        if not (self._failed and self._clock.now().mono_s < self._again_mono_s):
            try:
                await self._follow()
                self._failed = False
            except (StoreFull, StoreBusy) as error:  # the keeper says so; until then labels go on as they are
                self._failed, self._again_mono_s = True, self._clock.now().mono_s + RETRY_S
                log.warning("The clock's state cannot be written yet: %s", error)
        if self._last is None:
            return items
        move, just_now = self._last, self._last is not before
        return [_relabelled(item, move, just_now=just_now) for item in items]

    async def _follow(self) -> None:
        if self._stretch is None:
            await self._begin()
        elif self._untold:
            await self._tell()
        change = self._clock.look()
        if change is None:
            return
        if change.what == "lost":
            log.warning("The wall clock lost its time: labels go on from %d and are marked", self._clock.first_ms)
            self._stretch = None
            await self._begin()
        elif change.what == "jumped":
            await self._jumped(change)
        elif not self._engine.keeper.ring.rows:  # those would miss the move
            await self._set(change)

    async def _begin(self) -> None:
        clock = self._clock
        first_ms = clock.now().wall_ms if clock.is_set else clock.first_ms
        self._stretch = await self._engine.store.begin_boot(
            self._boot, clock.wall_minus_mono_ms, first_ms, clock_set=clock.is_set
        )
        if not clock.is_set:
            log.warning("The wall clock is not set: labels go on from %d and are marked", first_ms)

    async def _jumped(self, change: Change) -> None:
        """Labels follow at once. What stood before the step holds until it, and no longer."""
        engine, now = self._engine, self._clock.now()
        log.warning("The wall clock was set from %d to %d", change.from_ms, change.to_ms)
        engine.counts.clock_jumps += 1
        for bins in engine.bins.values():
            bins.let_go(change.from_ms)
        self._untold.append(_entry(self._boot, change))
        async with engine.alerts_lock:
            book, shelved = _shelves_by(engine.book, now)
            if shelved:
                await engine.alert_keeper.settle(engine.store)
                await engine.store.put_alerts(shelved)
                engine.book = book
        await self._tell()

    async def _tell(self) -> None:
        """Write down the steps that are not yet, and have those look who read them there."""
        await self._engine.store.add_journal(self._untold)
        self._untold = []
        for stepped in self._stepped:
            await in_daemon_thread(stepped, "clock-step")

    async def _set(self, change: Change) -> None:
        """What was written since the start is moved, then the running state follows."""
        engine, clock, stretch = self._engine, self._clock, self._stretch
        assert stretch is not None  # noqa: S101  begun before the first look
        by_ms, first_ms = change.to_ms - change.from_ms, stretch.first_ms
        async with engine.alerts_lock:
            entry = _entry(self._boot, change)
            await engine.alert_keeper.settle(engine.store)  # what waits in memory would miss the move
            await engine.store.set_clock(stretch.id, stretch.wall_minus_mono_ms + by_ms, entry)
            last = clock.now()
            clock.adopt(change)
            self._last = _Move(by_ms, first_ms, last.wall_ms, clock.now().mono_s)
            self._stretch = replace(stretch, clock_set=True)
            log.warning("The wall clock is set: what was written since the start is moved by %.3f s", by_ms / 1000.0)
            engine.counts.clock_jumps += 1
            engine.counts.clock_moved_by_ms = by_ms
            await self._made_again(by_ms)
        await refresh(engine, clock, self._timezone)

    async def _made_again(self, by_ms: int) -> None:
        engine, now = self._engine, self._clock.now()
        zones = Zones([], engine.zones.started_mono_s)
        for ear in engine.zones.ears.values():
            zones.add_sensor(ear.sensor, ear.started_mono_s)
        fresh = replace(
            engine,
            zones=zones,
            bins={},
            air={},
            outlooks={},
            book=AlertBook(),
        )

        def again() -> list[Alert]:
            for moved in self._moved:
                moved(by_ms)
            engine.screening.forget()
            restore(fresh, now)
            return engine.history.alerts()

        kept = await in_daemon_thread(again, "restore")
        _made_meanwhile(engine.zones, zones)
        engine.bins = {zone: fresh.bins.get(zone, bins) for zone, bins in engine.bins.items()}
        engine.zones, engine.air, engine.outlooks = zones, fresh.air, {}
        engine.book, engine.recent = _with(engine.book, kept), fresh.recent
        if engine.keeper.since_ms is not None:
            engine.keeper.since_ms += by_ms


def _made_meanwhile(old: Zones, new: Zones) -> None:
    """Sensors that a person made or took away while the record was read."""
    for name, ear in old.ears.items():
        if name not in new.ears:
            new.add_sensor(ear.sensor, ear.started_mono_s)
    for name in new.ears.keys() - old.ears.keys():
        new.remove_sensor(name)


def _entry(boot: str, change: Change) -> JournalEntry:
    data: dict[str, object] = {"from_ms": change.from_ms, "to_ms": change.to_ms}
    return JournalEntry(f"{KIND}:{boot}:{change.from_ms}:{change.to_ms}", change.to_ms, KIND, SUBJECT, data)


def _relabelled(item: Heard, move: _Move, *, just_now: bool) -> Heard:
    """What was heard before the move and comes to its turn after it. A payload that could not be read has no monotonic
    time: of those, whatever bears a label from before."""
    if not move.first_ms <= item.heard_ms <= move.last_ms:
        return item
    # labels that were moved on are not given a second time
    before = item.heard_mono_s <= move.until_mono_s if isinstance(item, RawSample) else just_now or move.by_ms >= 0
    return replace(item, heard_ms=item.heard_ms + move.by_ms) if before else item


def _with(book: AlertBook, kept: Sequence[Alert]) -> AlertBook:
    """The same waits, with the alerts as the record has them now."""
    known = {alert.id: alert for alert in kept}
    watches: dict[Key, Watch] = {
        key: watch if watch.alert is None else replace(watch, alert=known.get(watch.alert.id, watch.alert))
        for key, watch in book.watches.items()
    }
    return AlertBook(watches)


def _shelves_by(book: AlertBook, now: Instant) -> tuple[AlertBook, list[Alert]]:
    """Shelved alerts with the end of their shelf as the clock has it now: it is as long off as before."""
    watches, changed = dict(book.watches), []
    for key, watch in book.watches.items():
        if watch.alert is not None and watch.alert.state == "shelved" and watch.shelf_ends_s is not None:
            until_ms = now.wall_ms + round((watch.shelf_ends_s - now.mono_s) * 1000.0)
            alert = replace(watch.alert, shelved_until_ms=until_ms)
            watches[key] = replace(watch, alert=alert)
            changed.append(alert)
    return AlertBook(watches), changed
