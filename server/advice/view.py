"""What is asked of: lots as the stockroom holds them, in the air that their zones are expected to have."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial

import numpy as np

from server.advice.base import Held, LotView
from server.lot_outlook import expected_air
from server.model.unseen import of_record
from server.model.woods import Woods
from server.reading import Aim, OutlookPoint
from server.shop.journal import NotPossible
from server.shop.lot import Lot
from server.shop.lots import Shop
from server.stockroom import Stockroom
from server.wood.astray import Astray
from server.wood.believed import settle_believed
from server.wood.expected_air import ExpectedAir
from server.wood.species import Species, UnknownSpecies
from server.words import Telling

Outlooks = Mapping[str, Sequence[OutlookPoint]]
"""Of each zone."""
AT_ONCE = 100
"""So many lots are worked out in one batch: fewer cost more, and more take memory and no less time."""


def view_of(stockroom: Stockroom, name: str, outlooks: Outlooks, telling: Telling) -> Callable[[], LotView]:
    """The view of a lot at this moment, to be worked out elsewhere: it takes milliseconds and reads the record.
    Raises KeyError for a lot nobody received, NotPossible for one whose destination is there no more."""
    seeing = Seeing.of(stockroom, outlooks, telling)
    lot = seeing.shop.lots[name]
    stockroom.aim_of(lot)
    return lambda: next(seeing.views([lot]))


@dataclass(frozen=True, slots=True)
class Seeing:
    """A shop at one moment, as values: what is told while its lots are looked at changes nothing of it. ``aims`` are
    those of its lots; one whose destination is there no more (it left before that went, or the file lost it) has none.
    """

    stockroom: Stockroom
    shop: Shop
    woods: Woods
    at_ms: int
    zones: Sequence[str]
    outlooks: Outlooks
    telling: Telling
    aims: Mapping[str, Aim]

    @classmethod
    def of(cls, stockroom: Stockroom, outlooks: Outlooks, telling: Telling) -> Seeing:
        """As it stands now."""
        aims = {}
        for name, lot in stockroom.shop.lots.items():
            with suppress(NotPossible):
                aims[name] = stockroom.aim_of(lot)
        return cls(
            stockroom,
            stockroom.shop,
            stockroom.present(),
            stockroom.course.at_ms,
            stockroom.zones(),
            dict(outlooks),
            telling,
            aims,
        )

    def views(self, lots: Sequence[Lot]) -> Iterator[LotView]:
        """Of each of them that has an aim, those of one zone together. Reads the record. Raises StoreError."""
        lots = [lot for lot in lots if lot.id in self.aims]
        astray = of_record(self.stockroom.history, self.zones, self.shop, self.woods, self.at_ms, lots)
        groups: dict[str, list[Lot]] = defaultdict(list)
        zones = dict(zip(self.woods.names, self.woods.zones, strict=True))
        for lot in lots:
            groups[zones.get(lot.id, "")].append(lot)
        for zone, those in groups.items():
            if not zone:
                yield from (self._view(lot, None) for lot in those)
                continue
            recent = self.stockroom.recent_air(zone, self.at_ms)
            air = expected_air(recent, zone, self.outlooks.get(zone, ()))
            for first in range(0, len(those), AT_ONCE):
                some = those[first : first + AT_ONCE]
                yield from (
                    self._view(lot, held) for lot, held in zip(some, self._held(some, air, astray), strict=True)
                )

    def _held(self, lots: Sequence[Lot], air: ExpectedAir, astray: Mapping[str, Astray]) -> Iterator[Held]:
        batch = self.woods.take({lot.id for lot in lots}).caught_up()
        place = {name: i for i, name in enumerate(batch.names)}
        aims = np.array([[self.aims[name].dry_limit_pct, self.aims[name].damp_limit_pct] for name in batch.names]).T
        off = [astray.get(name) for name in batch.names]
        one = Astray.none(1)
        found = settle_believed(
            batch.stock, batch.belief, air, aim_pct=(aims[0], aims[1]),
            astray=Astray.joined([a or one for a in off]) if any(off) else None,
        )  # fmt: skip
        for lot in lots:
            i = place[lot.id]
            yield Held(batch.at(i), air, found.one(i), astray.get(lot.id))

    def _view(self, lot: Lot, held: Held | None) -> LotView:
        alike, kin = self._alike(lot)
        elsewhere = partial(self._elsewhere, lot.zone if held is None else held.wood.zone)
        return LotView(
            lot, self.aims[lot.id], self.at_ms, self.telling, held, self._species(lot), alike, kin,
            elsewhere, self.shop.away,
        )  # fmt: skip

    def _elsewhere(self, but: str) -> dict[str, ExpectedAir]:
        """The air of all other zones of which anything was heard in the last week."""
        recent = {zone: self.stockroom.recent_air(zone, self.at_ms) for zone in self.zones if zone != but}
        return {
            zone: expected_air(air, zone, self.outlooks.get(zone, ()))
            for zone, air in recent.items()
            if air.known.any()
        }

    def _alike(self, lot: Lot) -> tuple[tuple[Lot, ...], tuple[Lot, ...]]:
        """The others of its log that are in the shop, and those that were parted from what came in with it."""
        others = [one for one in self.shop.lots.values() if one.id != lot.id]
        log = lot.received.log
        alike = (one for one in others if log is not None and one.received.log == log and not one.ended)
        return tuple(alike), tuple(one for one in others if one.received.lot == lot.received.lot)

    def _species(self, lot: Lot) -> Species | None:
        if lot.species is None:
            return None
        try:
            return self.stockroom.find(lot.species)
        except UnknownSpecies:  # one of the shop's own that is no longer configured
            return None
