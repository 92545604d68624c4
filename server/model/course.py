"""The model's standing: every lot at the last closed half hour, and the earlier states from which a late word is run.

A course is a value. What is told late, put right or taken back runs the lots it touches again from the checkpoint
before it, and so does air that comes late; the rest stays. Either way the result is that of a run from scratch, which
is a test (tests/unit/model/test_course.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from server.bins import BIN_MS
from server.model.air import ShopAir
from server.model.run import Heard, Programs, Run, needed, run
from server.model.woods import NONE, Woods, joined
from server.shop.acts import Done

DAY_MS = 86_400_000
DAILY_FOR_DAYS = 100
MONTH_DAYS = 30
AirOf = Callable[[int, int], ShopAir]
"""The air between two edges of the grid."""


@dataclass(frozen=True, slots=True)
class Course:
    """``woods`` at ``at_ms``, before the acts of the half hour that begins there; ``checkpoints`` of the past, oldest
    first; ``heard`` what became of every witness's word so far."""

    at_ms: int
    programs: Programs
    woods: Woods
    checkpoints: tuple[Run, ...] = ()
    heard: tuple[Heard, ...] = ()

    @classmethod
    def begin(cls, at_ms: int) -> Course:
        """A shop without lots. Raises ValueError where ``at_ms`` is no edge of the grid."""
        if at_ms % BIN_MS:
            raise ValueError(f"at_ms: found {at_ms}; would be right: a whole half hour of UTC, in ms")
        return cls(at_ms, {}, NONE, (Run(at_ms, NONE),))

    def moved_on(self, air_of: AirOf, to_ms: int) -> Course:
        """After the half hours up to ``to_ms`` closed; as it is where that is no later."""
        if to_ms <= self.at_ms:
            return self
        air = air_of(self.at_ms, to_ms)
        now, kept = Run(self.at_ms, self.woods), list(self.checkpoints)
        heard = list(self.heard)
        for edge in [*_days_between(self.at_ms, to_ms), to_ms]:
            now = run(Run(now.at_ms, now.woods), self.programs, air, edge)
            heard += now.heard
            if edge % DAY_MS == 0:
                kept.append(Run(edge, now.woods))
        return replace(self, at_ms=to_ms, woods=now.woods, checkpoints=_thinned(kept, to_ms), heard=tuple(heard))

    def retold(self, programs: Programs, air_of: AirOf) -> Course:
        """With what the journal says now. Lots whose acts before ``at_ms`` changed run again from before the first of
        them."""
        lots, first_ms = _differences(self.programs, programs, self.at_ms)
        if not lots:
            return replace(self, programs=programs)
        near = needed(lots, {**self.programs, **programs}) | needed(lots, programs)
        return replace(self, programs=programs)._again(near, first_ms, air_of)

    def reaired(self, zones: Iterable[str], from_ms: int, air_of: AirOf) -> Course:
        """With other air in some zones from a half hour on: lots that lay there since run again from before it."""
        there = set(zones)
        lots = {lot for lot, program in self.programs.items() if there & _zones_since(program, from_ms)}
        if not lots or from_ms >= self.at_ms:
            return self
        return self._again(needed(lots, self.programs), from_ms, air_of)

    def shown(self, air_of: AirOf, to_ms: int) -> Woods:
        """The lots at a later edge, the acts of the open half hour included: a step that is thrown away."""
        return run(Run(self.at_ms, self.woods), self.programs, air_of(self.at_ms, to_ms), to_ms).woods

    def _again(self, lots: set[str], from_ms: int, air_of: AirOf) -> Course:
        earlier = [c for c in self.checkpoints if c.at_ms <= from_ms]
        programs = {lot: program for lot, program in self.programs.items() if lot in lots}
        start = earlier[-1] if earlier else Run(from_ms, NONE)
        now = Run(start.at_ms, start.woods.take(programs))
        air = air_of(start.at_ms, self.at_ms)
        kept, heard = list(earlier), [h for h in self.heard if h.lot not in lots or h.edge_ms < start.at_ms]
        for old in [*(c for c in self.checkpoints if c.at_ms > from_ms), Run(self.at_ms, self.woods)]:
            now = run(Run(now.at_ms, now.woods), programs, air, old.at_ms)
            heard += now.heard
            kept.append(Run(old.at_ms, joined([old.woods.without(lots), now.woods])))
        last = kept.pop()
        heard.sort(key=lambda h: h.edge_ms)
        return replace(self, woods=last.woods, checkpoints=tuple(kept), heard=tuple(heard))


def _days_between(from_ms: int, to_ms: int) -> range:
    first = (from_ms // DAY_MS + 1) * DAY_MS
    return range(first, to_ms, DAY_MS)


def _thinned(kept: list[Run], now_ms: int) -> tuple[Run, ...]:
    """Every day of the last hundred, before that one in thirty; the first stays."""
    recent_ms = now_ms - DAILY_FOR_DAYS * DAY_MS
    return tuple(
        c for i, c in enumerate(kept)
        if i == 0 or c.at_ms >= recent_ms or c.at_ms // DAY_MS % MONTH_DAYS == 0
    )  # fmt: skip


def _differences(old: Programs, new: Programs, before_ms: int) -> tuple[set[str], int]:
    """Lots whose acts before an edge are not what they were, and the first edge at which any differs."""
    lots, first = set(), before_ms
    for lot in old.keys() | new.keys():
        was, now = ({done for done in p.get(lot, ()) if done.edge_ms < before_ms} for p in (old, new))
        changed = was ^ now
        if changed:
            lots.add(lot)
            first = min(first, *(done.edge_ms for done in changed))
    return lots, first


def _zones_since(program: tuple[Done, ...], from_ms: int) -> set[str]:
    """In which zones a lot lay at an edge or later."""
    zones: list[tuple[int, str]] = []
    for done in program:
        zone = getattr(done.act, "zone", None)
        if zone is not None:
            zones.append((done.edge_ms, zone))
    before = [zone for edge_ms, zone in zones if edge_ms <= from_ms]
    return {*before[-1:], *(zone for edge_ms, zone in zones if edge_ms > from_ms)}
