"""The shop's lots at work: what people tell is checked, written down, and run; half hours that closed move every lot.

Telling is answered as soon as the record holds it. What it does to the lots is worked out by one runner beside the
loop, on values, and hung when it is done, so no reading waits for it.
"""

from __future__ import annotations

import asyncio
import gc
import logging
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial

from pydantic import ValidationError

from server.bins import BIN_MS, CLOSES_AFTER_MS
from server.clock import Clock, woken_within
from server.config import Config
from server.faults import Faults
from server.model.air import ShopAir
from server.model.air_kept import KeptAir
from server.model.course import Course, differences
from server.model.first_air import NEVER_MS, FirstAir
from server.model.present import Present
from server.model.recorded import RecordedShelf, keep_made
from server.model.run import needed, programs
from server.model.woods import Woods
from server.model.zone_season import ZoneSeasons
from server.reading import Aim, ZoneAir
from server.shop.destinations import numbers_aim
from server.shop.entries import KINDS, Entry
from server.shop.ground import Ground
from server.shop.journal import NotPossible
from server.shop.lot import Lot
from server.shop.lots import Shop
from server.shop.own_species import species_table
from server.shop.plausible import check_told
from server.shop.standing import Standing
from server.shop.zone_aims import destination_aims
from server.stores.port import History, Store, StoreError
from server.wood import species
from server.wood.species import Species, Table

log = logging.getLogger(__name__)


@dataclass(eq=False)
class OtherEntry(Exception):
    """An entry of this id was written before, and says something else."""

    entry: str


@dataclass(slots=True)
class Stockroom:
    """:meth:`run` opens it and goes on for ever; what is told waits until it is open. ``zones`` and ``destinations``
    are those there are now."""

    clock: Clock
    store: Store
    history: History
    zones: Callable[[], Sequence[str]]
    destinations: Callable[[], Mapping[str, Aim]]
    known: Table = field(default_factory=species.all_species)
    """The species that may be named."""
    timezone: str = "UTC"
    shop: Shop = field(default_factory=Shop)
    course: Course = field(default_factory=lambda: Course.begin(0))
    changed: Callable[[], None] = lambda: None
    """Called when lots are others, or stand otherwise."""
    faults: Faults = field(default_factory=Faults)
    _standing: Standing = field(default_factory=Standing)
    trouble: str = ""
    """Why the record's journal could not be taken up; then nothing is told and no lot is shown."""
    seasons: ZoneSeasons = field(default_factory=ZoneSeasons)
    _present: Present = field(default_factory=Present)
    _anew: bool = False
    _failed: str = ""
    _late: dict[str, int] = field(default_factory=dict)
    _first_air: FirstAir = field(default_factory=FirstAir)
    kept_air: KeptAir = field(default_factory=KeptAir)
    _woken: asyncio.Event = field(default_factory=asyncio.Event)
    _opened: asyncio.Event = field(default_factory=asyncio.Event)
    _telling: asyncio.Lock = field(default_factory=asyncio.Lock)

    @classmethod
    def of(
        cls, configured: Callable[[], Config], clock: Clock, store: Store, history: History,
        zones: Callable[[], Sequence[str]],
    ) -> Stockroom:  # fmt: skip
        """For a shop as it is configured at each moment, its own species among those it knows."""
        known, timezone = species_table(configured().species), configured().shop.timezone

        def aims() -> Mapping[str, Aim]:
            return destination_aims(configured())

        return cls(clock, store, history, zones, aims, known, timezone)

    def still(self) -> asyncio.Lock:
        """To be held by whoever looks at the lots and then changes what they rest on: nothing is told meanwhile."""
        return self._telling

    def find(self, key: str) -> Species:
        """A species. Raises UnknownSpecies with the nearest keys."""
        return species.find(key, self.known)

    def begin_anew(self) -> None:
        """Labels in the record were moved, or the clock went back: all is taken up at the next look. Any thread."""
        self._anew = True

    def open(self) -> None:
        """Take up what the record holds. Blocks. Raises StoreError. A journal that cannot hold (a species of the
        shop's own that is no longer configured) is left as it is, and :attr:`trouble` says what is wrong with it."""
        kept = [entry for entry in self.history.journal() if entry.kind in KINDS and "deed" in entry.data]
        try:
            entries = [Entry.of(entry) for entry in kept]
            self._standing = Standing({entry.id: entry for entry in entries})  # to be read even where it cannot hold
            self._standing = Standing().told(entries, self.find)
        except Exception as e:  # noqa: BLE001 - also a bug of ours must not end more than this
            self.trouble = str(e) or type(e).__name__
            if not isinstance(e, (NotPossible, ValidationError)):
                self.faults.note("lots", e, self.clock.now().wall_ms)
            log.error("The journal of the lots cannot be taken up: %s", e)
            return
        self.trouble, self.shop, self.kept_air = "", self._standing.shop, KeptAir()
        self.course = Course.begin(self._closed_ms())  # where a bug stands in the way it is tried again, and told of
        with self.faults.noted("lots", self.clock):
            told, shelf = programs(self.shop), RecordedShelf(self.history)
            self.course = Course.resumed(self.course.at_ms, told, self._air, shelf)
        self._first_air.taken_up(self.history, self.zones(), self.course.at_ms)

    async def tell(self, entry: Entry, *, timed: bool = True) -> bool:
        """Write one entry down; False where it had been written before. Where nobody said when (not ``timed``) it is
        now, and told again it is when it was. Raises NotPossible (nothing is written then), OtherEntry, StoreFull."""
        return await self.tell_all([entry], timed=timed)

    async def tell_all(self, entries: Sequence[Entry], *, timed: bool = True) -> bool:
        """Write several entries down in one transaction, or none of them; False where all had been written before.
        Raises as :meth:`tell`."""
        await self._opened.wait()
        async with self._telling:
            new = [entry for entry in entries if not self._written_before(entry, timed=timed)]
            if not new:
                return False
            new = self._in_turn(new, timed=timed)
            there = tuple(self.zones()), self.destinations(), self.history.has_picture
            ground = Ground(self.clock.now().wall_ms, *there, self._standing.entries)
            for entry in new:
                check_told(entry, ground.now_ms, self.shop.lots)
                await asyncio.to_thread(ground.check, entry)
            standing = await asyncio.to_thread(self._standing.told, new, self.find)
            shop = standing.shop
            ground.check_lots(new, self.shop, shop)
            lots, first_ms = differences(programs(self.shop), programs(shop), self._closed_ms() + BIN_MS)
            near = needed(lots, programs(self.shop)) | needed(lots, programs(shop))
            kept = [entry.kept() for entry in new]
            if await self.store.add_journal(kept, (near, first_ms) if lots else None) < len(kept):
                raise OtherEntry(new[0].id)  # an entry of a sensor, a source or an alert has this id
            self._standing, self.shop = standing, shop
        self._woken.set()
        self.changed()
        return True

    def _written_before(self, entry: Entry, *, timed: bool) -> bool:
        if self.trouble:
            raise NotPossible(entry.id, "journal", self.trouble, "a journal that holds; see the server's log")
        earlier = self._standing.entries.get(entry.id)
        if earlier is None:
            return False
        t_ms = entry.t_ms if timed else earlier.t_ms
        if earlier != entry.model_copy(update={"t_ms": t_ms, "recorded_ms": earlier.recorded_ms}):
            raise OtherEntry(entry.id)
        return True

    async def opened(self) -> None:
        """Once, in place of :meth:`run`: open it, and let things be told."""
        mark = await asyncio.to_thread(self.history.lots_mark)
        await asyncio.to_thread(self.open)
        gc.freeze()  # a large journal lives as long as we do; to look through it for garbage would hold up everything
        self._opened.set()
        self.changed()
        with suppress(StoreError):  # made again at the next start
            await keep_made(self.store, self.course, mark)

    def _in_turn(self, new: Sequence[Entry], *, timed: bool) -> list[Entry]:
        """What is told in the same moment counts in the order it is written: an entry goes before none that was."""
        newest_ms = max((one.recorded_ms for one in self._standing.entries.values()), default=-1)
        now_ms, found = self.clock.now().wall_ms, []
        for entry in new:
            newest_ms = max(entry.recorded_ms, newest_ms + 1)
            t_ms = entry.t_ms if timed else max(entry.t_ms, now_ms)
            found.append(entry.model_copy(update={"t_ms": t_ms, "recorded_ms": newest_ms}))
        return found

    def air_heard(self, air: Sequence[ZoneAir]) -> None:
        """Told of every zone's air as it is stored; what lies in a half hour that has moved lots is run again."""
        for one in air:
            edge_ms = one.t_ms - one.t_ms % BIN_MS
            self._first_air.heard(self.history, one.zone, one.t_ms)
            if edge_ms < max(self.course.at_ms, self._closed_ms()):  # it may be worked out just now
                self._late[one.zone] = min(edge_ms, self._late.get(one.zone, edge_ms))
                self.kept_air.forget(one.zone, edge_ms, edge_ms + 2 * BIN_MS)  # a value holds on into the next one
                self._woken.set()

    def felt_from_ms(self, zone: str, from_ms: int) -> int:
        """From which edge on lots feel another air of a zone: its first air counts for what lay there before it."""
        return self._first_air.felt_from_ms(self.history, zone, from_ms, self.course)

    def air_remade(self, zones: Iterable[str], from_ms: int) -> None:
        """Told when the stored air of some zones has become another from a moment on."""
        for zone in zones:
            edge_ms = self.felt_from_ms(zone, from_ms)
            self._late[zone] = min(edge_ms, self._late.get(zone, edge_ms))
            self.kept_air.forget(zone, edge_ms, NEVER_MS)
        self._woken.set()

    async def run(self) -> None:
        """For ever: what was told, air that came late, half hours that closed. Opens it first."""
        await self.opened()
        while True:
            try:
                await self.catch_up()
                self._failed = ""
            except StoreError as e:  # the keeper says so on the wall; it is tried again
                if str(e) != self._failed:
                    log.warning("What becomes of lots cannot be read or kept: %s", e)
                self._failed = str(e)
            except Exception as e:  # noqa: BLE001 - a bug of ours: lots wait where they are, and no reading with them
                self.faults.note("lots", e, self.clock.now().wall_ms)
            self._woken.clear()
            await woken_within(self._woken, self.clock, CLOSES_AFTER_MS / 4000)

    async def catch_up(self) -> None:
        """Until nothing is left to do at this moment."""
        if self._anew:
            async with self._telling:
                self._anew = False
                try:
                    await self.opened()
                except BaseException:
                    self._anew = True
                    raise
        while not self.trouble:
            mark = await asyncio.to_thread(self.history.lots_mark)  # before what is due: what comes after is refused
            for zone, since_ms in self._first_air.closed(self.course).items():
                self._late[zone] = min(since_ms, self._late.get(zone, since_ms))
            late, self._late = self._late, {}
            change = self._due(late)
            if change is None:
                return
            try:
                self.course = await asyncio.to_thread(change)
            except BaseException:
                for zone, edge_ms in late.items():  # still to be done
                    self._late[zone] = min(edge_ms, self._late.get(zone, edge_ms))
                raise
            self.changed()
            await keep_made(self.store, self.course, mark)  # nobody waits for that: what is not kept is made again

    def _due(self, late: Mapping[str, int]) -> Callable[[], Course] | None:
        """The next change of the course, to be worked out elsewhere; None where there is none."""
        course, shelf, told = self.course, RecordedShelf(self.history), programs(self.shop)
        if late:
            return partial(course.reaired, tuple(late), min(late.values()), self._air, shelf)
        if course.programs != told:
            return partial(course.retold, told, self._air, shelf)
        to_ms = self._closed_ms()
        return partial(course.moved_on, self._air, to_ms) if to_ms > course.at_ms else None

    def _closed_ms(self) -> int:
        """The last edge of the grid whose half hour counts as closed."""
        return (self.clock.now().wall_ms - CLOSES_AFTER_MS) // BIN_MS * BIN_MS

    def _air(self, from_ms: int, to_ms: int) -> ShopAir:
        there = {done.act.zone for lot in self.shop.lots.values() for done in lot.acts if hasattr(done.act, "zone")}
        return self.kept_air.between(self.history, sorted({*self.zones(), *there}), from_ms, to_ms)

    def aim_of(self, lot: Lot, known: Mapping[str, Aim] | None = None) -> Aim:
        """Where a lot's moisture belongs: its two numbers, or what its destination asks for now, or in what is
        ``known``. Raises NotPossible for a destination that is no longer configured."""
        aim, low, high = lot.received.aim, lot.received.aim.dry_limit_pct, lot.received.aim.damp_limit_pct
        if low is not None and high is not None:
            return numbers_aim(low, high)
        place, known = aim.destination or "", self.destinations() if known is None else known
        if place not in known:  # taken out of the file
            raise NotPossible(lot.id, "aim.destination", repr(place), f"one of {', '.join(sorted(known))}")
        return known[place]

    def present(self, shop: Shop | None = None, course: Course | None = None) -> Woods:
        """Every lot as it stands now (or by those two), with what was told since the last half hour closed."""
        course, told = course or self.course, programs(shop or self.shop)
        return self._present.woods(course, told if self._opened.is_set() else course.programs)

    def written(self) -> Mapping[str, Entry]:
        """Every entry by its id."""
        return self._standing.entries
