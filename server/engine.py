"""The way of a sample, a batch a turn: screen -> store -> zone air -> half hours -> rules -> alerts -> the wall.

Each stage takes values and returns values; none reaches back. A turn takes all that is queued, at most a thousand
items; a clock tick runs the same turn without any, so that silence is noticed. Nothing is acknowledged before it is
on the disk. While the disk takes nothing, what is heard waits in memory and moves the wall all the same: a shop whose
disk is full still wants to know its air.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sensors.sample import Heard
from server.alerts.book import AlertBook, UnknownAlert
from server.alerts.lifecycle import apply
from server.alerts.marks import marks_of
from server.bins import Bins
from server.board import Board
from server.clock import Clock, Instant
from server.config import Sensor
from server.deeds import AlertCommand, CommandDone, answered_before, carried_out, entry_of, over_already
from server.documents import ZoneState
from server.engine_state import Counts, EngineState
from server.faults import Faults
from server.judging import Judging
from server.keeping import Keeper
from server.keeping_alerts import AlertKeeper
from server.reading import Aim, Alert, OutlookPoint, Surroundings, ZoneAir
from server.rules.base import NeighbourView, Rule, RuleView, Seen, SeenRooms, ShopFacts, ZoneView
from server.rules.source_lost import LOST
from server.screening import FUTURE_LIMIT_MS, Screening
from server.sensor_views import Wires, sensor_view
from server.snapshot import ShopView, ZoneNow
from server.stores.port import History, Store
from server.zones import Ear, Zones, as_readings

TURN_MOST = 1000
TICK_S = 1.0
SIX_HOURS_MS = 6 * 3_600_000
RECENT_MOST = 12
"""So many of the last changes of alerts hang in the view."""

Take = Callable[[int, float], Awaitable[Sequence[Heard]]]
"""Waits for items, at most so many and for at most so many real seconds; may come back empty-handed."""


@dataclass(slots=True)
class Engine:
    """The spine. Built by the app; :meth:`run` never ends by itself."""

    clock: Clock
    store: Store
    history: History
    board: Board
    screening: Screening
    zones: Zones
    rules: Sequence[Rule]
    aims: Mapping[str, Aim]
    zone_names: Mapping[str, str]
    frame: Callable[[EngineState], ShopView]
    """Adds what lies outside the spine (wires, shop, clock) and the verdict to the engine's state."""
    surroundings: Callable[[], Surroundings] = Surroundings
    """Wires, record and remotes as they are, for the rules. Set by the app once there are any."""
    facts: Callable[[int], ShopFacts] = lambda _: ShopFacts()
    """What the shop says of itself at a moment, likewise."""
    book: AlertBook = field(default_factory=AlertBook)
    recent: tuple[Alert, ...] = ()
    """The last changes of alerts, oldest first."""
    bins: dict[str, Bins] = field(default_factory=dict)
    air: dict[str, ZoneAir] = field(default_factory=dict)
    outlooks: dict[str, tuple[OutlookPoint, ...]] = field(default_factory=dict)
    neighbours: tuple[NeighbourView, ...] = ()
    rooms: SeenRooms = field(default_factory=SeenRooms)
    seen: Seen = field(default_factory=Seen)
    """Of lots, as rules see them: hung by what works it out beside the loop."""
    counts: Counts = field(default_factory=Counts)
    faults: Faults = field(default_factory=Faults)
    """Bugs of what works beside it."""
    keeper: Keeper = field(default_factory=Keeper)
    alert_keeper: AlertKeeper = field(default_factory=AlertKeeper)
    before_turn: Callable[[Sequence[Heard]], Awaitable[Sequence[Heard]]] | None = None
    """Looks at the clock between two turns, and gives back the items with their right labels. Set by the app."""
    air_heard: Callable[[Sequence[ZoneAir]], None] | None = None
    """Told of every zone's air once it is kept: what came late moves lots again. Set by the app."""
    between_turns: list[Callable[[], None]] = field(default_factory=list)
    """To be done before the next turn, once each: then all that was heard so far is kept, and nothing is on its way."""
    alerts_lock: asyncio.Lock = field(default_factory=asyncio.Lock)
    """Held while alerts change or anything is dated that must not be moved meanwhile."""

    judging: Judging = field(default_factory=Judging)
    wires: Wires = field(default_factory=Wires)

    def __post_init__(self) -> None:
        for zone in self.aims:
            self.bins.setdefault(zone, Bins(zone))

    async def run(self, take: Take) -> None:
        """Turn after turn: with what is queued, or with nothing once a second."""
        await self.turn(())
        while True:
            await self.turn(await take(TURN_MOST, TICK_S))

    async def turn(self, items: Sequence[Heard]) -> None:
        """One turn. Items that ask for it are acknowledged once they are on the disk, whatever they were worth."""
        if self.before_turn is not None:
            items = await self.before_turn(items)
        while self.between_turns:
            self.between_turns.pop(0)()
        now = self.clock.now()
        async with self.alerts_lock:
            await self.alert_keeper.write_back(self.store, now)
        screened = self.screening.screen(items, now)
        air = self.zones.combine(screened.readings, screened.measured)
        if items:
            acknowledge = [item.acknowledge for item in items if item.acknowledge is not None]
            rows = [*screened.readings, *as_readings(air)]
            await self.keeper.keep(self.store, rows, screened.refused, acknowledge, now)
            now = self.clock.now()  # a slow medium takes its time
        else:
            await self.keeper.write_back(self.store, now)
        self._move(air, now)
        if self.air_heard is not None:
            self.air_heard(air)
        async with self.alerts_lock:
            await self._judge(self.rule_view(now), now)
        self.counts.turns += 1
        self.counts.readings += len(screened.readings)
        self.counts.store_error = self.keeper.error or self.alert_keeper.error
        await self.publish()

    async def lay_down(self, items: Sequence[Heard]) -> None:
        """A turn of the past: screened, mixed, stored, but no rule runs on it and nothing is shown. Raises StoreFull:
        a past is laid down again from where its record ends."""
        screened = self.screening.screen(items, self.clock.now())
        air = self.zones.combine(screened.readings, screened.measured)
        await self.store.append([*screened.readings, *as_readings(air)], screened.refused)
        self.counts.readings += len(screened.readings)

    def _move(self, air: Sequence[ZoneAir], now: Instant) -> None:
        self.zones.tell_by(now)
        if now.wall_is_set:
            for bins in self.bins.values():
                bins.follow_clock(now.wall_ms)
        for one in air:
            if one.zone not in self.bins:  # taken away since
                continue
            present = self.air.get(one.zone)
            # What a device kept and sends late is of the past. A present further ahead of the clock than any device is
            # believed is none: the clock went back.
            if present is None or one.t_ms >= present.t_ms or present.t_ms > now.wall_ms + FUTURE_LIMIT_MS:
                self.air[one.zone] = one
            self.bins[one.zone].add((one,))
        for bins in self.bins.values():
            bins.close_due(now.wall_ms)

    async def _judge(self, view: RuleView, now: Instant) -> None:
        judged = self.judging.judged(self.rules, view, self.faults, self.book.watches)
        self.book, changes = apply(self.book, judged.findings, now.wall_ms, now.mono_s, unjudged=judged.unjudged)
        self.recent = (*self.recent, *changes)[-RECENT_MOST:]
        await self.alert_keeper.keep(self.store, changes, now)

    def add_zone(self, zone: str, name: str, aim: Aim) -> None:
        """One more zone. The mappings are replaced, not changed: somebody may be walking through them."""
        self.aims, self.zone_names = {**self.aims, zone: aim}, {**self.zone_names, zone: name}
        self.bins.setdefault(zone, Bins(zone))

    def rename_zones(self, names: Mapping[str, str], aims: Mapping[str, Aim]) -> None:
        """The zones that there are have other names or aims."""
        self.aims, self.zone_names = {zone: aims[zone] for zone in self.aims}, {**self.zone_names, **names}

    def remove_zone(self, zone: str) -> None:
        """It is there no more; no sensor stands in it. What was stored of it stays."""
        self.aims = {name: aim for name, aim in self.aims.items() if name != zone}
        for kept in (self.bins, self.air, self.outlooks):
            kept.pop(zone, None)

    def add_sensor(self, sensor: Sensor) -> None:
        """One more sensor; its zone is known."""
        self.screening.add_sensor(sensor)
        self.zones.add_sensor(sensor, self.clock.now().mono_s)

    def move_sensor(self, sensor: Sensor, since_ms: int) -> None:
        """It hangs in another zone, its table says which, from a time on. Between two turns; its zone is known."""
        self.screening.move_sensor(sensor)
        self.zones.move_sensor(sensor, since_ms)

    def remove_sensor(self, sensor: Sensor) -> None:
        """It is taken away: nobody waits for it any more. Alerts about it end with the next turn."""
        self.screening.remove_sensor(sensor)
        self.zones.remove_sensor(sensor.id)

    async def command(self, command: AlertCommand) -> CommandDone:
        """Carry out a person's deed once, kept with its reply before it is answered.

        Raises AlertError (unknown alert, wrong state, no such time), OtherCommand, StoreFull, StoreBusy.
        """
        async with self.alerts_lock:
            now = self.clock.now()
            earlier = await asyncio.to_thread(self.history.command, command.command_id)
            if earlier is not None:
                return answered_before(command, earlier, self.board.version)
            await self.alert_keeper.settle(self.store)
            try:
                book, alert, changed = carried_out(self.book, command, now)
            except UnknownAlert:
                kept = await asyncio.to_thread(self.history.alert, command.alert)
                book, alert, changed = self.book, over_already(command, kept), list[Alert]()
            done = CommandDone(done=True, repeated=False, alert=alert.id, state=alert.state, version=self.board.version)
            done.already = alert not in changed
            said = [] if done.already else [entry_of(command, alert, now)]
            earlier = await self.store.put_alerts(changed, (command.command_id, done.model_dump()), said)
            if earlier is not None:
                return answered_before(command, earlier, self.board.version)
            self.book, self.recent = book, (*self.recent, *changed)[-RECENT_MOST:]
        await self.publish()
        done.version = self.board.version
        return done

    async def publish(self) -> None:
        """Hang the view of this moment."""
        await self.board.publish(self.frame(self.state()))

    def rule_view(self, now: Instant) -> RuleView:
        """What the rules may look at."""
        around = self._around()
        self.wires.note((one.source for one in around.sources if self.book.stands(LOST, one.source)), now)
        return RuleView(
            now_ms=now.wall_ms,
            zones=[
                ZoneView(
                    zone,
                    aim,
                    self.present_air(zone, now),
                    tuple(
                        (b.end_ms, b.emc_pct) for b in self.bins[zone].closed if b.end_ms > now.wall_ms - SIX_HOURS_MS
                    ),
                    self.outlooks.get(zone, ()),
                )
                for zone, aim in self.aims.items()
                if zone not in self.rooms.outdoors
            ],
            sensors=[sensor_view(name, ear, self.screening, self.wires, now) for name, ear in self.zones.ears.items()],
            surroundings=around,
            clock_is_set=now.wall_is_set,
            neighbours=self.neighbours,
            lots=self.seen.lots,
            work=self.seen.work,
            panels=self.seen.panels,
            rooms=self.rooms.rooms,
            shelves=self.rooms.shelves,
            standing=self.book.standing,
            kept_back=self.book.kept_back,
            shop=self.facts(now.wall_ms),
        )

    def _around(self) -> Surroundings:
        """What the app tells, and whether rows and alerts can be written, which the engine knows itself."""
        around, error = self.surroundings(), self.keeper.error or self.alert_keeper.error
        if not error:
            return around
        return replace(around, record=replace(around.record, writable=False, error=error))

    def state(self) -> EngineState:
        """The engine's part of the view."""
        now = self.clock.now()
        zones = [self._zone_now(zone, aim, now) for zone, aim in self.aims.items()]
        marks = marks_of(self.book, now.mono_s)
        away = self.facts(now.wall_ms).away
        return EngineState(now, zones, self.book.alerts, self.counts.store_error, marks, self.recent, away)

    def _zone_now(self, zone: str, aim: Aim, now: Instant) -> ZoneNow:
        heard = self._heard_ears(zone)
        state: ZoneState
        if not heard:
            state = "waiting"
        elif all(e.is_silent(now.mono_s) for e in heard):
            state = "silent"
        else:
            state = "old" if all(e.is_old(now.mono_s) for e in heard) else "fresh"
        return ZoneNow(
            zone=zone,
            name=self.zone_names[zone],
            state=state,
            heard_ms=max((e.heard_ms for e in heard if e.heard_ms is not None), default=None),
            air=self.present_air(zone, now),
            aim=aim,
            bins=tuple(self.bins[zone].closed),
            ahead=self.outlooks.get(zone, ()),
            last_known=None if heard else self.zones.last_known(zone),
        )

    def present_air(self, zone: str, now: Instant) -> ZoneAir | None:
        """The zone's air, unless all that were heard there have fallen silent: no old figure stands as if fresh."""
        heard = self._heard_ears(zone)
        return None if all(e.is_silent(now.mono_s) for e in heard) else self.air.get(zone)

    def _heard_ears(self, zone: str) -> list[Ear]:
        return [ear for ear in self.zones.by_zone.get(zone, []) if ear.heard_ms is not None]
