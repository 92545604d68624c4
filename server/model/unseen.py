"""How far off lots may be that nobody has seen past their limit: each beside itself opened, or in another zone's air.

The model takes a dead-stacked lot as its inner pieces are, which nothing reaches; its outermost piece lies with one
face open all the while. How many lie so nobody says, so the lot is held as unsure as to take in that one.

Worked out from the record when it is asked for, and kept nowhere: a word that a lot lies as is written ends it at once,
and a start of the server changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from server.model.woods import Woods
from server.shop.confirmed import holds_until_ms
from server.shop.deed import Lying
from server.shop.lot import Lot
from server.shop.lots import Shop
from server.shop.lying import behind
from server.stores.port import History
from server.wood.air import Floats
from server.wood.astray import Astray, astray
from server.wood.belief import MEMBERS, boards_of
from server.wood.boards import film_through
from server.wood.outcome import lag_s

HOUR_MS = 3_600_000
LOOKED_MS = 60 * 24 * HOUR_MS
"""No lag that matters is longer: air from before says little of where a lot is now."""
OPEN = ("stickered", "on-edge")
STACK = "dead-stacked"


@dataclass(frozen=True, slots=True)
class ZoneHours:
    """The mean EMC of each zone by hours of the record, as sums from the first on: begin of each, and what went before
    it; one sum more than hours."""

    zones: Mapping[str, tuple[NDArray[np.int64], Floats]]

    @classmethod
    def of(cls, history: History, zones: Sequence[str], until_ms: int) -> ZoneHours:
        """The last sixty days of every zone that has any. Raises StoreError."""
        found = {}
        for zone in zones:
            rows = history.rollups(f"zone:{zone}/emc_pct", "hour", until_ms - LOOKED_MS, until_ms)
            if rows:
                sums = np.concatenate([[0.0], np.cumsum([row.mean for row in rows])])
                found[zone] = np.array([row.start_ms for row in rows]), sums
        return cls(found)

    def mean_pct(self, zone: str, from_ms: float) -> float | None:
        """Of the hours that begin from then on; of the last one where none does. None of a zone without air."""
        if zone not in self.zones:
            return None
        begins, sums = self.zones[zone]
        first = min(int(np.searchsorted(begins, from_ms)), begins.size - 1)
        return float(sums[-1] - sums[first]) / (begins.size - first)


def of_record(  # noqa: PLR0917
    history: History, zones: Sequence[str], shop: Shop, woods: Woods, at_ms: int, lots: Sequence[Lot]
) -> dict[str, Astray]:  # fmt: skip
    """Of those of the ``lots`` that are past their limit or dead-stacked, by the air of ``zones`` in the record. Raises
    StoreError."""
    some = [lot for lot in lots if lot.id in woods and (lot.lying == STACK or holds_until_ms(lot, shop.away) < at_ms)]
    if not some:
        return {}
    return unseen(some, woods, shop.away, at_ms, ZoneHours.of(history, zones, at_ms))


def unseen(
    lots: Sequence[Lot], woods: Woods, away: Sequence[tuple[int, int]], at_ms: int, hours: ZoneHours
) -> dict[str, Astray]:  # fmt: skip
    """Of the ``lots`` that are past their limit at ``at_ms``, or dead-stacked since before, each of one; ``woods``
    holds all that the model carries.

    Lots whose zone has no air in the record are left out: nothing is known of what they would have gone towards.
    """
    there = [lot for lot in lots if lot.zone in hours.zones]
    limits = {lot.id: holds_until_ms(lot, away) for lot in there}
    found = _gone(there, woods, limits, "stickered", at_ms, hours)
    outermost = {lot.id: lot.laid_ms for lot in there if lot.lying == STACK}
    for name, off in _gone(there, woods, outermost, "one-face", at_ms, hours).items():
        found[name] = found[name].wider(off) if name in found else off
    return found


def _gone(  # noqa: PLR0917  one question
    lots: Sequence[Lot], woods: Woods, since_ms: Mapping[str, int], lying: Lying, at_ms: int, hours: ZoneHours
) -> dict[str, Astray]:
    """Those that may lie so instead of as is written since a moment before ``at_ms``."""
    past = {lot.id: lot for lot in lots if since_ms.get(lot.id, at_ms) < at_ms}
    some = woods.take(past)
    if not some.names:
        return {}
    which = [past[name] for name in some.names]
    middle = np.arange(len(which)) * MEMBERS
    films = np.array([film_through(np.array(behind(lying, lot.top_finish, lot.bottom_finish))) for lot in which])
    bare = replace(some.stock, top_film=films[:, 0], bottom_film=films[:, 1])
    written, opened = (boards_of(stock, some.belief).take(middle) for stock in (some.stock, bare))
    state = some.belief.moisture.take(middle)
    lags_ms = 1000.0 * lag_s(opened, written.mean_pct(state.profile_pct), state.temperature_c)
    own, elsewhere = np.empty(len(which)), np.empty((len(which), 2))
    for i, lot in enumerate(which):
        from_ms = max(float(since_ms[lot.id]), at_ms - float(lags_ms[i]))
        means = {zone: hours.mean_pct(zone, from_ms) for zone in hours.zones}
        own[i] = means[lot.zone]
        there = [mean for mean in means.values() if mean is not None] if lot.lying in OPEN else [own[i]]
        elsewhere[i] = min(there), max(there)
    since_s = np.array([(at_ms - since_ms[lot.id]) / 1000.0 for lot in which])
    found = astray(written, opened, state.profile_pct, state.temperature_c, since_s, own, elsewhere)
    return {name: found.one(i) for i, name in enumerate(some.names)}
