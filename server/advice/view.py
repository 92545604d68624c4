"""What is asked of: lots as the stockroom holds them, in the air that their zones are expected to have."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from server.advice.base import Held, LotView
from server.advice.looks import looks_of
from server.lot_outlook import expected_air
from server.model.air import ShopAir
from server.model.run import programs
from server.model.unseen import ZoneHours, unseen
from server.model.woods import Woods
from server.reading import Aim, OutlookPoint
from server.shop.confirmed import holds_until_ms
from server.shop.journal import FindSpecies, NotPossible
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
AT_ONCE = 50
"""So many lots are worked out in one batch: fewer cost more, and more take memory and hardly less time."""


def view_of(stockroom: Stockroom, name: str, outlooks: Outlooks, telling: Telling) -> Callable[[], LotView]:
    """The view of a lot at this moment, to be worked out elsewhere: it takes milliseconds and reads the record.
    Raises KeyError for a lot nobody received, NotPossible for one whose destination is there no more."""
    seeing = Seeing.of(stockroom, outlooks, telling)
    lot = seeing.shop.lots[name]
    stockroom.aim_of(lot)
    return lambda: next(seeing.views([lot]))


def veneers_of(lot: Lot, find: FindSpecies) -> dict[str, Species]:
    """The species of what lies on a sheet's faces, but for those that are no longer configured."""
    found: dict[str, Species] = {}
    for one in (*(lot.top_plies or ()), *(lot.bottom_plies or ())):
        with suppress(UnknownSpecies):
            found |= {} if one.species is None else {one.species: find(one.species)}
    return found


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
    logs: Mapping[str, Sequence[Lot]]
    kin: Mapping[str, Sequence[Lot]]
    _air: dict[str, ShopAir] = field(default_factory=dict)
    _ahead: dict[str, ExpectedAir] = field(default_factory=dict)
    _hours: list[ZoneHours] = field(default_factory=list)

    @classmethod
    def of(cls, stockroom: Stockroom, outlooks: Outlooks, telling: Telling) -> Seeing:
        """As it stands now. From any thread: what is told meanwhile is in it, or is not."""
        shop, course = stockroom.shop, stockroom.course
        logs: dict[str, list[Lot]] = defaultdict(list)
        kin: dict[str, list[Lot]] = defaultdict(list)
        aims, known = {}, stockroom.destinations()
        for name, lot in shop.lots.items():
            kin[lot.received.lot].append(lot)
            if lot.received.log is not None and not lot.ended:
                logs[lot.received.log].append(lot)
            with suppress(NotPossible):
                aims[name] = stockroom.aim_of(lot, known)
        return cls(
            stockroom, shop, stockroom.present(shop, course), course.at_ms, stockroom.zones(), dict(outlooks),
            telling, aims, logs, kin,
        )  # fmt: skip

    def recent(self, zone: str) -> ShopAir:
        """The last week of a zone's air, read once. Raises StoreError."""
        if zone not in self._air:
            self._air[zone] = self.stockroom.kept_air.week(self.stockroom.history, zone, self.at_ms)
        return self._air[zone]

    def ahead(self, zone: str) -> ExpectedAir:
        """What a zone's air is expected to be, the same one for all its lots. Raises StoreError."""
        if zone not in self._ahead:
            season = self.stockroom.seasons.of(self.stockroom.history, zone, self.at_ms)
            self._ahead[zone] = expected_air(self.recent(zone), zone, self.outlooks.get(zone, ()), season)
        return self._ahead[zone]

    def hours(self) -> ZoneHours:
        """The hours of all zones, read once. Raises StoreError."""
        if not self._hours:
            self._hours.append(ZoneHours.of(self.stockroom.history, self.zones, self.at_ms))
        return self._hours[0]

    def views(self, lots: Sequence[Lot]) -> Iterator[LotView]:
        """Of each of them that has an aim, those of one zone together. Reads the record. Raises StoreError."""
        lots = [lot for lot in lots if lot.id in self.aims]
        groups: dict[str, list[Lot]] = defaultdict(list)
        zones, astray = dict(zip(self.woods.names, self.woods.zones, strict=True)), self.astray(lots)
        for lot in lots:
            groups[zones.get(lot.id, "")].append(lot)
        for zone, those in groups.items():
            if not zone:
                yield from (self.view(lot, None) for lot in those)
                continue
            air = self.ahead(zone)
            for first in range(0, len(those), AT_ONCE):
                some = those[first : first + AT_ONCE]
                yield from (self.view(lot, held) for lot, held in zip(some, self._held(some, air, astray), strict=True))

    def astray(self, lots: Sequence[Lot]) -> Mapping[str, Astray]:
        """How far those may be off that nobody has seen past their limit. Reads the record. Raises StoreError."""
        past = [lot for lot in lots if lot.id in self.woods and holds_until_ms(lot, self.shop.away) < self.at_ms]
        return unseen(past, self.woods, self.shop.away, self.at_ms, self.hours()) if past else {}

    def _held(self, lots: Sequence[Lot], air: ExpectedAir, astray: Mapping[str, Astray]) -> Iterator[Held]:
        batch = self.woods.take({lot.id for lot in lots}).caught_up()
        place = {name: i for i, name in enumerate(batch.names)}
        asked = [self.aims[name] for name in batch.names]
        aims = np.array([[aim.dry_limit_pct, aim.damp_limit_pct] for aim in asked]).T
        off = [astray.get(name) for name in batch.names]
        one = Astray.none(1)
        found = settle_believed(
            batch.stock, batch.belief, air, aim_pct=(aims[0], aims[1]),
            astray=Astray.joined([a or one for a in off]) if any(off) else None,
        )  # fmt: skip
        for lot in lots:
            i = place[lot.id]
            yield Held(batch.at(i), air, found.one(i), astray.get(lot.id))

    def view(self, lot: Lot, held: Held | None) -> LotView:
        """Of a lot that has an aim, with what is held of it."""
        alike, kin = self._alike(lot)
        elsewhere = partial(self._elsewhere, lot.zone if held is None else held.wood.zone)
        looks = None if lot.panel is None else looks_of(self.stockroom, lot, programs(self.shop), self.at_ms)
        return LotView(
            lot, self.aims[lot.id], self.at_ms, self.telling, held, self._species(lot), alike, kin,
            elsewhere, self.shop.away, veneers_of(lot, self.stockroom.find), looks,
        )  # fmt: skip

    def _elsewhere(self, but: str) -> dict[str, ExpectedAir]:
        """The air of all other zones of which anything was heard in the last week."""
        return {zone: self.ahead(zone) for zone in self.zones if zone != but and self.recent(zone).known.any()}

    def _alike(self, lot: Lot) -> tuple[tuple[Lot, ...], tuple[Lot, ...]]:
        """The others of its log that are in the shop, and those that were parted from what came in with it."""
        log, kin = self.logs.get(lot.received.log or "", ()), self.kin.get(lot.received.lot, ())
        return tuple(one for one in log if one.id != lot.id), tuple(one for one in kin if one.id != lot.id)

    def _species(self, lot: Lot) -> Species | None:
        if lot.species is None:
            return None
        try:
            return self.stockroom.find(lot.species)
        except UnknownSpecies:  # one of the shop's own that is no longer configured
            return None
