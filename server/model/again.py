"""What a witness's word changed, worked out again: a lot run from a checkpoint before it, and looked at on both sides.

Nothing of it is kept: the run is the one that made the lot what it is (:mod:`server.model.course`), and only asked for
lot by lot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from server.model.course import AirOf, Shelf, newest
from server.model.run import Programs, Run, run
from server.model.woods import Wood, after_act
from server.shop.acts import Done, End, From, Hear
from server.wood.assimilation import Told


@dataclass(frozen=True, slots=True)
class Changed:
    """One word, what became of it, and the lot right before and right after it."""

    lot: str
    done: Done
    told: Told
    before: Wood
    after: Wood


Order = tuple[float, int, str, int]
"""A place among all acts."""
FOR_EVER: Order = (inf, 0, "", 0)


def lineage(lot: str, programs: Programs) -> dict[str, Order]:
    """The lot and all lots it was made from, each with the place before which what was done to it counts for the lot;
    for ever of the lot itself."""
    counts: dict[str, Order] = {lot: FOR_EVER}
    open_ = [lot]
    while open_:
        name = open_.pop()
        for done in programs.get(name, ()):
            if isinstance(done.act, From) and done.order < counts[name]:
                for maker in done.act.lots:
                    if maker not in counts or counts[maker] < done.order:
                        counts[maker] = done.order
                        open_.append(maker)
    return counts


def programs_of(counts: Mapping[str, Order], programs: Programs) -> Programs:
    """What was done to these lots as far as it counts; each of them ends there."""
    found: dict[str, tuple[Done, ...]] = {}
    for name, until in counts.items():
        acts = tuple(done for done in programs.get(name, ()) if done.order < until)
        last = next((d for p in programs.values() for d in p if d.order == until), None)
        if acts and last is not None:
            acts += (Done(last.edge_ms, (*last.order[:3], last.order[3] + 1), last.entry, End()),)
        if acts:
            found[name] = acts
    return found


def heard_again(programs: Programs, air_of: AirOf, shelf: Shelf, at_ms: int, *, most: int) -> tuple[Changed, ...]:
    """The last ``most`` words of witnesses in ``programs``, in order; those of half hours from ``at_ms`` on, which have
    not closed, as they count at once (:mod:`server.model.present`). Costs what stepping these lots costs from the
    checkpoint before each of them."""
    words = sorted(
        done.order for program in programs.values() for done in program if isinstance(done.act, Hear)
    )[-most:]  # fmt: skip
    edges = {min(d.edge_ms, at_ms) for program in programs.values() for d in program if d.order in set(words)}
    found: list[Changed] = []
    now: Run | None = None
    for edge_ms in sorted(edges):
        start = newest(shelf, programs, edge_ms)
        if now is None or start.at_ms > now.at_ms:
            now = start
        if edge_ms > now.at_ms:
            now = run(now, programs, air_of(now.at_ms, edge_ms), edge_ms)
        found += _from_there(now, programs, edge_ms if edge_ms < at_ms else None)
    return tuple(one for one in found if one.done.order in words)


def _from_there(before: Run, programs: Programs, last_ms: int | None) -> list[Changed]:
    """Every word from where ``before`` ends, in acts up to and with those of ``last_ms``, without air meanwhile."""
    acts = sorted(
        ((done, lot) for lot, program in programs.items() for done in program
         if before.at_ms <= done.edge_ms and (last_ms is None or done.edge_ms <= last_ms)),
        key=lambda pair: pair[0].order,
    )  # fmt: skip
    woods, found = before.woods, []
    for done, lot in acts:
        was = woods
        woods, told = after_act(woods, lot, done.act)
        if told is not None:
            found.append(Changed(lot, done, told, was.one(lot).caught_up(), woods.one(lot)))
    return found
