"""What the verdicts of all lots rest on at one moment, and which of them may be others than at an earlier one.

A question that decides looks at the lot itself, its aim, what the model holds of it, the air its zone is expected to
have, and for a lot that is past its limit at the hours of every zone; at no other lot. Where all of these are the same
to the last bit, so is the verdict, and it is not worked out again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from server.advice.view import Seeing
from server.model.air import ShopAir
from server.model.unseen import HOUR_MS
from server.model.woods import Woods
from server.shop.confirmed import holds_until_ms
from server.shop.lot import Lot

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Basis:
    """Of the lots in the shop that have an aim, by id: themselves, and until when it holds how they lie; of each of
    their zones the air of the last week; and the ``hours`` that were whole by then, of all zones."""

    seeing: Seeing
    lots: Mapping[str, Lot]
    holds_ms: Mapping[str, int]
    air: Mapping[str, ShopAir]
    hours: Mapping[str, tuple[bytes, bytes]]

    @classmethod
    def of(cls, seeing: Seeing) -> Basis:
        """Reads the record. Raises StoreError."""
        lots = {lot.id: lot for lot in seeing.shop.lots.values() if not lot.ended and lot.id in seeing.aims}
        holds = {name: holds_until_ms(lot, seeing.shop.away) for name, lot in lots.items()}
        past = any(ms < seeing.at_ms for ms in holds.values())
        air = {zone: seeing.recent(zone) for zone in sorted(set(seeing.woods.zones))}
        return cls(seeing, lots, holds, air, _whole(seeing) if past else {})

    def others(self, before: Basis | None) -> tuple[set[str], set[str]]:
        """Whose verdicts may be others than by ``before``: of lots that somebody told something about, or that were run
        again; and for any other reason."""
        if before is None:
            return set(), set(self.lots)
        told = {
            name
            for name, lot in self.lots.items()
            if not (lot is (was := before.lots.get(name)) or lot == was)
            or self.seeing.aims[name] != before.seeing.aims[name]
        }
        another_time = self.seeing.at_ms != before.seeing.at_ms or self.seeing.shop.away != before.seeing.shop.away
        if another_time or not self._said_alike(before):
            return told, set(self.lots) - told
        told |= {name for name in unlike(self.seeing.woods, before.seeing.woods) if name in self.lots}
        return told, self._in_other_air(before) - told

    def _said_alike(self, before: Basis) -> bool:
        one, other = self.seeing.telling, before.seeing.telling
        return (one.timezone, one.names) == (other.timezone, other.names)

    def _in_other_air(self, before: Basis) -> set[str]:
        known, was = self.seeing.outlooks, before.seeing.outlooks
        zones = {
            zone
            for zone, air in self.air.items()
            if known.get(zone) != was.get(zone) or zone not in before.air or not _same_air(air, before.air[zone])
        }
        there = {n for n, zone in zip(self.seeing.woods.names, self.seeing.woods.zones, strict=True) if zone in zones}
        other_hours = self.hours != before.hours
        for name, ms in self.holds_ms.items():
            if ms != before.holds_ms.get(name) or (other_hours and ms < self.seeing.at_ms):
                there.add(name)
        return there & self.lots.keys()


def unlike(one: Woods, other: Woods) -> set[str]:
    """The names of ``one`` that ``other`` does not have, or holds otherwise in any bit."""
    if one is other or not one.names or not other.names:
        return set() if one is other else set(one.names)
    places = {name: i for i, name in enumerate(other.names)}
    mine = [i for i, name in enumerate(one.names) if name in places]
    theirs = [places[one.names[i]] for i in mine]
    found = {name for name in one.names if name not in places}
    differs = np.array([one.zones[i] != other.zones[j] for i, j in zip(mine, theirs, strict=True)], np.bool_)
    for a, b in zip(_rows(one), _rows(other), strict=True):
        x, y = (a, b) if one.names == other.names else (a[mine], b[theirs])
        differs |= ~((x == y) | ((x != x) & (y != y))).all(axis=1)  # noqa: PLR0124 - nan is what is not itself
    return found | {one.names[i] for i, differ in zip(mine, differs, strict=True) if differ}


def _rows(woods: Woods) -> Iterator[Array]:
    """All that is held, a row a lot."""
    belief, n = woods.belief, len(woods.names)
    since = belief.gone_through()
    own = (getattr(belief, f.name) for f in fields(belief) if f.name not in {"moisture", "since"})
    stock = (getattr(woods.stock, f.name) for f in fields(woods.stock))
    for values in (*stock, *belief.moisture.arrays(), *own, *since.then.arrays(), since.gained, since.seconds):
        yield values.reshape(n, -1)


def _same_air(one: ShopAir, other: ShopAir) -> bool:
    pairs = ((getattr(one, name), getattr(other, name)) for name in ("temperature_c", "pressure_pa", "known"))
    return all(np.array_equal(a, b) for a, b in pairs)


def _whole(seeing: Seeing) -> dict[str, tuple[bytes, bytes]]:
    found = {}
    for zone, (begins, sums) in seeing.hours().zones.items():
        whole = begins + HOUR_MS <= seeing.at_ms
        found[zone] = begins[whole].tobytes(), np.diff(sums)[whole].tobytes()
    return found
