"""From one moment of the grid to a later one: lots step through their air, and each act takes place at its half hour.

Every lot's result is its own, whichever others are in the batch; so a run of some lots alone, from any earlier state of
theirs, comes to what a run of all from the beginning comes to.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from server.model.air import ShopAir
from server.model.woods import Acting, Woods
from server.shop.acts import Done, From
from server.shop.lots import Shop
from server.wood.assimilation import Told
from server.wood.carry import advance

Programs = Mapping[str, tuple[Done, ...]]
"""Each lot's acts, in order."""


def programs(shop: Shop) -> Programs:
    """What the model runs of a shop: the acts of each lot it carries."""
    return {name: lot.acts for name, lot in shop.lots.items() if lot.acts}


@dataclass(frozen=True, slots=True)
class Heard:
    """What became of a witness's word: of which lot, by which entry, at which half hour."""

    lot: str
    entry: str
    edge_ms: int
    told: Told


@dataclass(frozen=True, slots=True)
class Run:
    """The woods at ``at_ms``, before the acts of that half hour, and what was heard on the way."""

    at_ms: int
    woods: Woods
    heard: tuple[Heard, ...] = ()


def run(start: Run, programs: Programs, air: ShopAir, to_ms: int) -> Run:
    """From ``start`` to ``to_ms``, an edge of the grid: acts from ``start.at_ms`` on and before ``to_ms`` take place.

    Raises ValueError where ``air`` does not reach, KeyError for a zone it does not know.
    """
    return through(start, in_turn(programs, start.at_ms, to_ms), air, to_ms)


def in_turn(programs: Programs, from_ms: int, to_ms: int) -> list[tuple[Done, str]]:
    """All acts between two edges, each with its lot, in the order in which they take place."""
    acts = [(done, lot) for lot, program in programs.items() for done in program if from_ms <= done.edge_ms < to_ms]
    return sorted(acts, key=lambda pair: pair[0].order)


def through(start: Run, acts: Sequence[tuple[Done, str]], air: ShopAir, to_ms: int) -> Run:
    """As :func:`run`, with the acts between the two edges (:func:`in_turn`)."""
    woods, heard, now = start.woods, list(start.heard), start.at_ms
    for edge_ms, group in groupby(acts, key=lambda pair: pair[0].edge_ms):
        woods = advanced(woods, air, now, edge_ms)
        now, acting = edge_ms, Acting(woods)
        for done, lot in group:
            told = acting.after(lot, done.act)
            if told is not None:
                heard.append(Heard(lot, done.entry, edge_ms, told))
        woods = acting.ended()
    return Run(to_ms, advanced(woods, air, now, to_ms), tuple(heard))


def advanced(woods: Woods, air: ShopAir, from_ms: int, to_ms: int) -> Woods:
    """Every lot after the half hours between two edges."""
    if to_ms <= from_ms or not woods.names:
        return woods
    number = {zone: i for i, zone in enumerate(air.zones)}
    zones = np.array([number[zone] for zone in woods.zones])
    return replace(woods, belief=advance(woods.stock, woods.belief, air.between(from_ms, to_ms), zones))


def needed(lots: Iterable[str], programs: Programs) -> set[str]:
    """These lots and all those they were made from, or made others of: what has to run with them."""
    near: dict[str, set[str]] = {}
    for lot, acts in programs.items():
        for maker in {m for done in acts if isinstance(done.act, From) for m in done.act.lots}:
            near.setdefault(lot, set()).add(maker)
            near.setdefault(maker, set()).add(lot)
    wanted, open_ = set(lots), list(lots)
    while open_:
        fresh = near.get(open_.pop(), set()) - wanted
        wanted |= fresh
        open_ += fresh
    return wanted
