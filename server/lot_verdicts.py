"""The verdict of every lot, worked out beside the loop when something that it rests on has changed, and hung with a
version that clients can wait for.

What decides is asked of all lots in one pass, those of a zone together, a hundred at a time. A pass over many lots may
last (1.5 ms a lot, and 4 ms more where faces are milled and an evening's stop may harm them): until it is done the last
verdicts stand, with the half hour they are of.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import islice
from threading import Event

from server.advice.asking import RANK, Advice, verdicts
from server.advice.view import AT_ONCE, Seeing
from server.engine import Engine
from server.stockroom import Stockroom
from server.stores.port import StoreError
from server.words import Telling

log = logging.getLogger(__name__)
LOOK_S = 60.0
"""So often, by the shop's clock, it is looked whether an outlook or an aim is another one."""


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Of each lot in the shop at ``at_ms``; without the lines."""

    at_ms: int = 0
    of: Mapping[str, Advice] = field(default_factory=dict)

    def worst_first(self) -> list[str]:
        """The lots by their word, those of one word by id."""
        return sorted(self.of, key=lambda name: (RANK[self.of[name].word], name))


@dataclass(slots=True)
class LotVerdicts:
    """:meth:`run` goes on for ever; :meth:`catch_up` is one pass, where one is due."""

    engine: Engine
    stockroom: Stockroom
    boot: str
    counter: int = 0
    now: Verdicts = field(default_factory=Verdicts)
    _rests_on: tuple[object, ...] = ()
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
        """For ever. A record that does not answer is asked again at the next look."""
        while True:
            self._woken.clear()
            try:
                await self.catch_up()
            except StoreError as e:
                log.warning("The verdicts of lots wait for the record: %s", e)
            waiting = asyncio.ensure_future(self._woken.wait())
            pause = asyncio.ensure_future(self.engine.clock.sleep(LOOK_S))
            try:
                await asyncio.wait({waiting, pause}, return_when=asyncio.FIRST_COMPLETED)
            finally:
                waiting.cancel()
                pause.cancel()

    async def catch_up(self) -> None:
        """Work them out, if anything they rest on is another than last time. Raises StoreError."""
        async with self._pass:
            engine, stockroom = self.engine, self.stockroom
            rests_on = (stockroom.shop, stockroom.course, dict(engine.outlooks), dict(stockroom.destinations()))
            if _alike(rests_on, self._rests_on):
                return
            telling = Telling(engine.clock.now().wall_ms, stockroom.timezone, engine.zone_names)
            seeing = Seeing.of(stockroom, engine.outlooks, telling)
            ended = Event()
            try:
                found = await asyncio.to_thread(_all, seeing, ended)
            finally:
                ended.set()  # a stop does not wait for the rest of a long pass
            self._rests_on = rests_on
        async with self._changed:
            if found.of != self.now.of:
                self.counter += 1
            self.now = found
            self._changed.notify_all()

    async def newer_than(self, version: str | None, wait_s: float) -> None:
        """Return when the version is another one than ``version``, or after ``wait_s``."""
        async with self._changed:
            try:
                await asyncio.wait_for(self._changed.wait_for(lambda: self.version != version), wait_s)
            except TimeoutError:
                return


def _alike(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    """Shop and course are new values when they change; to compare what is in them would cost more than a pass."""
    return bool(other) and all(a is b for a, b in zip(one[:2], other[:2], strict=True)) and one[2:] == other[2:]


def _all(seeing: Seeing, ended: Event) -> Verdicts:
    found: dict[str, Advice] = {}
    views = seeing.views([lot for lot in seeing.shop.lots.values() if not lot.ended])
    while (some := list(islice(views, AT_ONCE))) and not ended.is_set():
        found.update(zip((view.lot.id for view in some), verdicts(some), strict=True))
    return Verdicts(seeing.at_ms, found)
