"""The verdict of every lot, worked out beside the loop when something that it rests on has changed, and hung with a
version that clients can wait for.

A lot that a bug of ours keeps from being worked out says so, and the others go on (:mod:`server.faults`).
Only lots of which something is another are asked again (:mod:`server.advice.basis`), fifty at a time: those that
somebody told something about before all others, and they are hung at once. A half hour that closed moves every lot;
until all of them are worked out the last verdicts stand, each with the half hour it is of. What rules see of the lots
(:mod:`server.lot_seen`) is made with them, and hung for the engine with the hours of work.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from operator import is_

from server.advice.asking import RANK, Advice, Asked, verdicts_of
from server.advice.basis import Basis
from server.advice.view import AT_ONCE, Outlooks, Seeing
from server.clock import woken_within
from server.engine import Engine
from server.lot_seen import GoodSince, Looked, look, were_even, were_good
from server.panel_seen import Panels, panels_seen
from server.rules.base import Seen
from server.rules.lot_view import LotView
from server.rules.panel_view import PanelView
from server.shop.lot import Lot
from server.stockroom import Stockroom
from server.stores.port import StoreError
from server.words import Telling
from server.working_hours import Hours, Weekday, spans_of

log = logging.getLogger(__name__)
LOOK_S = 60.0
"""So often, by the shop's clock, it is looked whether an outlook or an aim is another one."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was advised of a lot by what was held of it at ``at_ms``; without the lines."""

    at_ms: int
    advice: Advice


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Of each lot in the shop."""

    of: Mapping[str, Verdict] = field(default_factory=dict)

    @property
    def at_ms(self) -> int:
        """Of the oldest of them; 0 where there are none."""
        return min((one.at_ms for one in self.of.values()), default=0)

    def worst_first(self) -> list[str]:
        """The lots by their word, those of one word by id."""
        return sorted(self.of, key=lambda name: (RANK[self.of[name].advice.word], name))


@dataclass(slots=True)
class LotVerdicts:
    """:meth:`run` goes on for ever; :meth:`catch_up` works out all that is due. ``worked_out`` counts the lots that
    were."""

    engine: Engine
    stockroom: Stockroom
    boot: str
    hours: Callable[[], Mapping[Weekday, Hours]] = dict
    counter: int = 0
    now: Verdicts = field(default_factory=Verdicts)
    worked_out: int = 0
    _rests_on: tuple[object, ...] = ()
    _basis: Basis | None = None
    _told: dict[str, None] = field(default_factory=dict)
    _due: dict[str, None] = field(default_factory=dict)
    _found: dict[str, Verdict] = field(default_factory=dict)
    _seen: dict[str, LotView] = field(default_factory=dict)
    _panels: dict[str, PanelView] = field(default_factory=dict)
    _good: GoodSince = field(default_factory=lambda: GoodSince(were_good))
    _flat: GoodSince = field(default_factory=lambda: GoodSince(were_even))
    _woken: asyncio.Event = field(default_factory=asyncio.Event)
    _changed: asyncio.Condition = field(default_factory=asyncio.Condition)
    _pass: asyncio.Lock = field(default_factory=asyncio.Lock)

    def __post_init__(self) -> None:
        self.stockroom.changed = self._woken.set

    @property
    def version(self) -> str:
        """Another one each time a verdict is: ``boot.counter``."""
        return f"{self.boot}.{self.counter}"

    async def run(self) -> None:
        """For ever. A record that does not answer, or a bug of ours, is tried again at the next look."""
        while True:
            self._woken.clear()
            try:
                await self.catch_up()
            except StoreError as e:
                log.warning("The verdicts of lots wait for the record: %s", e)
            except Exception as e:  # noqa: BLE001 - a bug of ours: verdicts wait, and no reading with them
                self.engine.faults.note("verdicts", e, self.engine.clock.now().wall_ms)
            await woken_within(self._woken, self.engine.clock, LOOK_S)

    async def catch_up(self) -> None:
        """Work out whatever rests on something else than last time. Raises StoreError."""
        async with self._pass:
            while (basis := await self._looked()) and (some := self._next()):
                lots = [basis.lots[name] for name in some]
                self._keep(basis, *await asyncio.to_thread(self._worked_out, basis, lots))
                self.worked_out += len(some)
                first = some[0] in self._told
                for name in some:
                    self._told.pop(name, None)
                    self._due.pop(name, None)
                if not self._told and (first or not self._due):
                    await self._hang()
                    self._hang_seen(basis)
            if basis is not None:
                self._hang_seen(basis)

    def _worked_out(self, basis: Basis, lots: Sequence[Lot]) -> tuple[dict[str, Asked], Looked, Panels]:
        asked = verdicts_of(basis.seeing, lots)
        return asked, look(basis.seeing, lots, asked, self._good), panels_seen(basis.seeing, lots, asked, self._flat)

    def _keep(self, basis: Basis, asked: Mapping[str, Asked], looked: Looked, panels: Panels) -> None:
        self._found.update({name: Verdict(basis.seeing.at_ms, one.advice) for name, one in asked.items()})
        self._seen.update(looked.lots)
        self._panels.update(panels.panels)
        faults = {name: one.fault for name, one in asked.items() if one.fault is not None}
        faults |= looked.faults | panels.faults
        for name, fault in faults.items():
            self.engine.faults.note("verdicts", fault, self.engine.clock.now().wall_ms, name)

    def _hang_seen(self, basis: Basis) -> None:
        """For the rules: all lots or none, for a lot that is missing counts as gone, and none before the record was
        opened. Nothing is another where nothing has changed."""
        stockroom, engine = self.stockroom, self.engine
        now_ms, was = engine.clock.now().wall_ms, engine.seen
        if not stockroom.course.at_ms or stockroom.trouble or not basis.lots.keys() <= self._seen.keys():
            return
        self._seen = {name: self._seen[name] for name in sorted(basis.lots)}
        lots = tuple(self._seen.values())
        if was.lots is not None and len(lots) == len(was.lots) and all(map(is_, lots, was.lots)):
            lots = was.lots
        self._panels = {
            name: one for name, one in self._panels.items() if name in self._seen and self._seen[name].panel
        }
        work = spans_of(self.hours(), stockroom.timezone, now_ms)
        if work != was.work or lots is not was.lots:
            engine.seen = Seen(lots, work, tuple(self._panels[name] for name in sorted(self._panels)))

    async def _looked(self) -> Basis | None:
        """What verdicts rest on now; what is due because that is another is noted."""
        engine, stockroom = self.engine, self.stockroom
        names = dict(engine.zone_names)
        rests_on = (stockroom.shop, stockroom.course, dict(engine.outlooks), dict(stockroom.destinations()), names)
        if _alike(rests_on, self._rests_on):
            return self._basis
        telling = Telling(engine.clock.now().wall_ms, stockroom.timezone, names)
        basis, told, other = await asyncio.to_thread(self._other, dict(engine.outlooks), telling)
        self._rests_on, self._basis = rests_on, basis
        for mine, new in ((self._told, told), (self._due, other)):
            for name in [name for name in mine if name not in basis.lots]:
                del mine[name]
            mine.update(dict.fromkeys(sorted(new, key=lambda name: (basis.lots[name].zone, name))))
        gone = self._found.keys() - basis.lots.keys()
        if gone:
            self._found = {name: one for name, one in self._found.items() if name not in gone}
            await self._hang()
        return basis

    def _other(self, outlooks: Outlooks, telling: Telling) -> tuple[Basis, set[str], set[str]]:
        basis = Basis.of(Seeing.of(self.stockroom, outlooks, telling))
        return basis, *basis.others(self._basis)

    def _next(self) -> list[str]:
        """Of those that are due the next few: what was told, and then the oldest."""
        return list(self._told or self._due)[:AT_ONCE]

    async def _hang(self) -> None:
        async with self._changed:
            if self._found != self.now.of:
                self.counter += 1
            self.now = Verdicts(dict(self._found))
            self._changed.notify_all()

    async def newer_than(self, version: str | None, wait_s: float) -> None:
        """Return when the version is another one than ``version``, or after ``wait_s``."""
        async with self._changed:
            try:
                await asyncio.wait_for(self._changed.wait_for(lambda: self.version != version), wait_s)
            except TimeoutError:
                return


def _alike(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    """Shop and course are new values when they change."""
    return bool(other) and all(a is b for a, b in zip(one[:2], other[:2], strict=True)) and one[2:] == other[2:]
