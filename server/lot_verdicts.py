"""The verdict of every lot, worked out beside the loop when something that it rests on has changed, and hung with a
version that clients can wait for.

A lot that a bug of ours keeps from being worked out says so, and the others go on (:mod:`server.faults`).
Only lots of which something is another are asked again (:mod:`server.advice.basis`), fifty at a time: those that
somebody told something about before all others, and they are hung at once. A half hour that closed moves every lot;
until all of them are worked out the last verdicts stand, each with the half hour it is of.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Mapping
from dataclasses import dataclass, field

from server.advice.asking import RANK, Advice, verdicts_of
from server.advice.basis import Basis
from server.advice.view import AT_ONCE, Outlooks, Seeing
from server.clock import woken_within
from server.engine import Engine
from server.stockroom import Stockroom
from server.stores.port import StoreError
from server.words import Telling

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
    counter: int = 0
    now: Verdicts = field(default_factory=Verdicts)
    worked_out: int = 0
    _rests_on: tuple[object, ...] = ()
    _basis: Basis | None = None
    _told: dict[str, None] = field(default_factory=dict)
    _due: dict[str, None] = field(default_factory=dict)
    _found: dict[str, Verdict] = field(default_factory=dict)
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
                for name, one in (await asyncio.to_thread(verdicts_of, basis.seeing, lots)).items():
                    self._found[name] = Verdict(basis.seeing.at_ms, one.advice)
                    if one.fault is not None:
                        self.engine.faults.note("verdicts", one.fault, self.engine.clock.now().wall_ms, name)
                self.worked_out += len(some)
                first = some[0] in self._told
                for name in some:
                    self._told.pop(name, None)
                    self._due.pop(name, None)
                if not self._told and (first or not self._due):
                    await self._hang()

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
