"""What is asked of: a lot as the stockroom holds it, in the air that its zone is expected to have."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from server.advice.base import Held, LotView
from server.lot_outlook import expected_air
from server.reading import OutlookPoint
from server.stockroom import Stockroom
from server.wood.believed import settle_believed
from server.wood.expected_air import ExpectedAir
from server.wood.species import UnknownSpecies
from server.words import Telling

Outlooks = Mapping[str, Sequence[OutlookPoint]]


def view_of(stockroom: Stockroom, name: str, outlooks: Outlooks, telling: Telling) -> Callable[[], LotView]:
    """The view of a lot at this moment, to be worked out elsewhere: it takes milliseconds and reads the record.
    ``outlooks`` are those of the zones. Raises KeyError for a lot nobody received."""
    lot, course, aim = stockroom.shop.lots[name], stockroom.course, stockroom.aim_of(stockroom.shop.lots[name])
    alike = tuple(
        one for one in stockroom.shop.lots.values()
        if one.received.log is not None and one.received.log == lot.received.log and one.id != name and not one.ended
    )  # fmt: skip
    kin = tuple(one for one in stockroom.shop.lots.values() if one.received.lot == lot.received.lot and one.id != name)
    held = stockroom.present()
    wood = held.one(name).caught_up() if name in held else None

    def air_of(zone: str) -> ExpectedAir | None:
        """None where nothing was heard of it in the last week."""
        recent = stockroom.recent_air(zone, course.at_ms)
        return expected_air(recent, zone, outlooks.get(zone, ())) if recent.known.any() else None

    def elsewhere() -> dict[str, ExpectedAir]:
        others = [zone for zone in stockroom.zones() if wood is None or zone != wood.zone]
        return {zone: air for zone in others if (air := air_of(zone)) is not None}

    def worked_out() -> LotView:
        species = None
        if lot.species is not None:
            try:
                species = stockroom.find(lot.species)
            except UnknownSpecies:  # one of the shop's own that is no longer configured
                species = None
        if wood is None:
            return LotView(lot, aim, course.at_ms, telling, species=species, alike=alike, kin=kin)
        air = expected_air(stockroom.recent_air(wood.zone, course.at_ms), wood.zone, outlooks.get(wood.zone, ()))
        found = settle_believed(wood.stock, wood.belief, air, aim_pct=(aim.dry_limit_pct, aim.damp_limit_pct))
        return LotView(lot, aim, course.at_ms, telling, Held(wood, air, found), species, alike, kin, elsewhere)

    return worked_out
