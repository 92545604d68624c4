"""The model's standing: every lot at the last closed half hour, and how it goes on or is run again.

A course is a value. What is told late, put right or taken back runs the lots it touches again from a checkpoint before
it, and so does air that comes late; the rest stays. Either way the result is that of a run from scratch, which is a
test (tests/unit/model/test_course.py). Checkpoints lie on a shelf that the caller keeps; a course says which it made.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from typing import Protocol

from server.bins import BIN_MS
from server.model.air import ShopAir
from server.model.run import Programs, Run, in_turn, needed, through
from server.model.woods import NONE, Woods, joined
from server.shop.acts import Done, End
from server.stores.port import worth_keeping

DAY_MS = 86_400_000
LONGEST_DAYS = 7
"""What thousands of lots went through is held for no longer than that at once."""
AirOf = Callable[[int, int], ShopAir]
"""The air between two edges of the grid."""


class Shelf(Protocol):
    """Where checkpoints lie: states of lots at midnights of UTC, before the acts of that half hour."""

    def edges(self, before_ms: int) -> list[int]:
        """The midnights up to ``before_ms`` of which it has any, the newest first."""

    def at(self, edge_ms: int, lots: Collection[str]) -> Woods:
        """Those of the lots that it has of that midnight."""


@dataclass(frozen=True, slots=True)
class Course:
    """``woods`` at ``at_ms``, before the acts of the half hour that begins there. ``made`` are the checkpoints that
    came of the last change, and ``stale`` the lots with the edge after which all older ones of theirs are wrong. What
    became of a witness's word is not kept: :mod:`server.model.again` works it out where somebody asks."""

    at_ms: int
    programs: Programs
    woods: Woods
    made: tuple[Run, ...] = ()
    stale: tuple[frozenset[str], int] | None = None

    @classmethod
    def begin(cls, at_ms: int) -> Course:
        """A shop without lots. Raises ValueError where ``at_ms`` is no edge of the grid."""
        if at_ms % BIN_MS:
            raise ValueError(f"at_ms: found {at_ms}; would be right: a whole half hour of UTC, in ms")
        return cls(at_ms, {}, NONE)

    @classmethod
    def resumed(cls, at_ms: int, programs: Programs, air_of: AirOf, shelf: Shelf) -> Course:
        """Where a shop stands at an edge, run from the newest checkpoint that is whole. Raises ValueError as
        :meth:`begin`."""
        course = replace(cls.begin(at_ms), programs=programs)
        return course._again(set(programs), at_ms, air_of, shelf) if programs else course

    def moved_on(self, air_of: AirOf, to_ms: int) -> Course:
        """After the half hours up to ``to_ms`` closed; as it is where that is no later."""
        if to_ms <= self.at_ms:
            return self
        now, made = _through(Run(self.at_ms, self.woods), self.programs, air_of, to_ms)
        return replace(self, at_ms=to_ms, woods=now.woods, made=made, stale=None)

    def retold(self, programs: Programs, air_of: AirOf, shelf: Shelf) -> Course:
        """With what the journal says now. Lots whose acts before ``at_ms`` changed run again from before the first of
        them."""
        lots, first_ms = differences(self.programs, programs, self.at_ms)
        told = replace(self, programs=programs, made=(), stale=None)
        if not lots:
            return told
        return told._again(needed(lots, self.programs) | needed(lots, programs), first_ms, air_of, shelf)

    def reaired(self, zones: Iterable[str], from_ms: int, air_of: AirOf, shelf: Shelf) -> Course:
        """With other air in some zones from a half hour on: lots that lay there since run again from before it."""
        there = set(zones)
        lots = {lot for lot, program in self.programs.items() if there & _zones_since(program, from_ms)}
        if not lots or from_ms >= self.at_ms:
            return replace(self, made=(), stale=None)
        return self._again(needed(lots, self.programs), from_ms, air_of, shelf)

    def _again(self, lots: set[str], from_ms: int, air_of: AirOf, shelf: Shelf) -> Course:
        programs = {lot: program for lot, program in self.programs.items() if lot in lots}
        start = newest(shelf, programs, from_ms)
        now, made = _through(start, programs, air_of, self.at_ms)
        woods = joined([self.woods.without(lots), now.woods])
        return replace(self, woods=woods, made=made, stale=(frozenset(lots), from_ms))


def _through(start: Run, programs: Programs, air_of: AirOf, to_ms: int) -> tuple[Run, tuple[Run, ...]]:
    """From a run to an edge, with every midnight on the way that is worth keeping."""
    made: list[Run] = []
    if start.at_ms >= to_ms:
        return start, ()
    now, air, acts = start, air_of(start.at_ms, to_ms), in_turn(programs, start.at_ms, to_ms)
    midnights = range((start.at_ms // DAY_MS + 1) * DAY_MS, to_ms + 1, DAY_MS)
    stops = {edge for edge in midnights if worth_keeping(edge, to_ms) or edge // DAY_MS % LONGEST_DAYS == 0}
    for edge_ms in sorted({*stops, to_ms}):
        first, last = (bisect_left(acts, edge, key=lambda act: act[0].edge_ms) for edge in (now.at_ms, edge_ms))
        now = through(Run(now.at_ms, now.woods), acts[first:last], air, edge_ms)
        if edge_ms % DAY_MS == 0 and worth_keeping(edge_ms, to_ms):
            made.append(Run(edge_ms, now.woods))
    return now, tuple(made)


def newest(shelf: Shelf, programs: Programs, until_ms: int) -> Run:
    """The newest state from which all of these lots can be run; from nothing, before the first of their acts."""
    first_ms = min((done.edge_ms for acts in programs.values() for done in acts), default=until_ms)
    for edge_ms in shelf.edges(until_ms):
        if edge_ms <= first_ms:
            break
        wanted = {lot for lot, acts in programs.items() if _is_there(acts, edge_ms)}
        woods = shelf.at(edge_ms, wanted)
        if set(woods.names) == wanted:
            return Run(edge_ms, woods)
    return Run(min(first_ms, until_ms), NONE)


def _is_there(acts: tuple[Done, ...], edge_ms: int) -> bool:
    """Whether a lot has begun and not ended before an edge."""
    before = [done for done in acts if done.edge_ms < edge_ms]
    return bool(before) and not isinstance(before[-1].act, End)


def differences(old: Programs, new: Programs, before_ms: int) -> tuple[set[str], int]:
    """Lots whose acts before an edge are not what they were, and the first edge at which any differs."""
    lots, first = set(), before_ms
    for lot in (lot for lot in old.keys() | new.keys() if old.get(lot) is not new.get(lot)):
        was, now = ({done for done in p.get(lot, ()) if done.edge_ms < before_ms} for p in (old, new))
        changed = was ^ now
        if changed:
            lots.add(lot)
            first = min(first, *(done.edge_ms for done in changed))
    return lots, first


def _zones_since(program: tuple[Done, ...], from_ms: int) -> set[str]:
    """In which zones a lot lay at an edge or later."""
    lies = [(done.edge_ms, zone) for done in program if (zone := getattr(done.act, "zone", None)) is not None]
    before = [zone for edge_ms, zone in lies if edge_ms <= from_ms]
    return {*before[-1:], *(zone for edge_ms, zone in lies if edge_ms > from_ms)}
