"""A glue-up's view, made of the stockroom as it stands: what cannot be glued so is refused first, by its field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType
from zoneinfo import ZoneInfo

from server.advice.base import Held, NotToBeAsked
from server.advice.glue_up.base import Board, GlueUp, GlueView, Refused, RoomAir
from server.advice.glue_up.settling import settled
from server.advice.view import Outlooks, Seeing
from server.outlook import Forecast
from server.reading import Aim
from server.shop.destinations import numbers_aim
from server.shop.lot import SAME_THICKNESS_MM, Lot
from server.shop.receiving import Aimed
from server.stockroom import Stockroom
from server.wood import adhesive
from server.wood.adhesive import Family, Limit, UnknownFamily
from server.wood.maker_sheet import SHEET
from server.wood.season import Season
from server.words import Telling

LONGEST_WIDTH_MM = 3000.0
_SLIVER_MM = 1.0
"""A strip narrower than this is left out: the last one, where the width ends within a board."""
_LEAST_STRIPS = 2
_BY_SHEET = Family("", "by its maker's sheet", MappingProxyType({
    name: Limit(None, None, "", None, None, "", "not stated", SHEET)
    for name in ("mc", "mc-apart", "lowest-temperature", "clamp", "cure", "rest", "shelf", "spread", "solids")
}))  # fmt: skip
"""Where only the maker's sheet is known: what it does not say, nobody says."""


def glue_view(stockroom: Stockroom, asked: GlueUp, outlooks: Outlooks, telling: Telling) -> Callable[[], GlueView]:
    """The view of a glue-up at this moment, to be worked out elsewhere: it takes a tenth of a second and reads the
    record. Raises Refused, NotToBeAsked."""
    seeing = Seeing.of(stockroom, outlooks, telling)
    lots = _lots(seeing, asked)
    aim, family = _aim(stockroom, asked.aim), family_of(asked)
    room = _zone(seeing, "zone", asked.zone) or lots[0].zone
    shelf = _zone(seeing, "shelf", asked.shelf) or room
    house = _zone(seeing, "house_zone", asked.house_zone)
    strips = strips_of([(lot.width_mm, taken.pieces) for lot, taken in zip(lots, asked.boards, strict=True)], asked)
    thick_mm = _thickness(lots, asked)
    seeing = replace(seeing, aims={lot.id: aim for lot in lots})

    def air(zone: str) -> RoomAir:
        return RoomAir(zone, seeing.recent(zone), seeing.ahead(zone), warmth_of(seeing, zone))

    def worked_out() -> GlueView:
        held = _held(seeing, lots, aim)
        each = zip(lots, asked.boards, held, strict=True)
        boards = tuple(Board.of(seeing.view(lot, one), taken.pieces) for lot, taken, one in each)
        return GlueView(
            asked, boards, aim, seeing.at_ms, telling, family, air(room), air(shelf), strips, thick_mm,
            tuple(seeing.zones), air, None if house is None else _season(seeing, house),
        )  # fmt: skip

    return worked_out


def _season(seeing: Seeing, zone: str) -> Season | None:
    """That of the house. Reads the record. Raises StoreError."""
    return seeing.stockroom.seasons.of(seeing.stockroom.history, zone, seeing.at_ms)


def warmth_of(seeing: Seeing, zone: str) -> Forecast | None:
    """A zone's temperature hour by hour from now on. Reads the record. Raises StoreError."""
    latest_c = float(seeing.recent(zone).temperature_c[-1, 0])
    at = datetime.fromtimestamp(seeing.at_ms / 1000.0, ZoneInfo(seeing.telling.timezone)).utcoffset()
    offset_h, seasons = at.total_seconds() / 3600.0 if at else 0.0, seeing.stockroom.seasons
    return seasons.warmth(seeing.stockroom.history, zone, seeing.at_ms, latest_c, offset_h)


def _held(seeing: Seeing, lots: Sequence[Lot], aim: Aim) -> list[Held]:
    """What is held of each of them, as :meth:`Seeing.views` has it, but all in one batch. Raises StoreError."""
    batch, off = seeing.woods.take({lot.id for lot in lots}).caught_up(), seeing.astray(lots)
    airs = {zone: seeing.ahead(zone) for zone in set(batch.zones)}
    found = settled(batch.stock, batch.belief, batch.zones, airs, aim, off=[off.get(name) for name in batch.names])
    at = [batch.names.index(lot.id) for lot in lots]
    return [Held(batch.at(i), airs[batch.zones[i]], found.one(i), off.get(batch.names[i])) for i in at]


def strips_of(boards: Sequence[tuple[float, int]], asked: GlueUp) -> tuple[tuple[int, float], ...]:
    """The strips side by side, the boards (width in mm, pieces) in their order and, where a width is asked for that
    needs more, from the beginning again: cut shorter, pieces give several. Raises NotToBeAsked."""
    every = [(i, width) for i, (width, pieces) in enumerate(boards) for _ in range(min(pieces, 3000))]
    whole = sum(width * pieces for width, pieces in boards)
    if asked.width_mm is None and whole > LONGEST_WIDTH_MM:
        right = f"the panel's width, up to {LONGEST_WIDTH_MM:g} mm, or fewer pieces"
        raise NotToBeAsked("width_mm", f"nothing, and boards of {whole:g} mm side by side", right)
    left, found = min(asked.width_mm or whole, LONGEST_WIDTH_MM), list[tuple[int, float]]()
    while left >= _SLIVER_MM or not found:
        board, width = every[len(found) % len(every)]
        found.append((board, min(width, left)))
        left -= width
    if len(found) < _LEAST_STRIPS:
        raise NotToBeAsked("boards", "one strip", "two pieces or more, or the panel's width where one is cut shorter")
    return tuple(found)


def _lots(seeing: Seeing, asked: GlueUp) -> list[Lot]:
    lots: list[Lot] = []
    for n, taken in enumerate(asked.boards):
        lot, where = seeing.shop.lots.get(taken.lot), f"boards.{n}.lot"
        if lot is None:
            some = ", ".join(sorted(name for name, one in seeing.shop.lots.items() if not one.ended)[:5])
            raise Refused(unknown=True, field=where, found=repr(taken.lot), would_be_right=some or "a lot in the shop")
        if lot.ended:
            raise _cannot(where, f"{lot.id!r}, {lot.ended} before", "a lot that is in the shop")
        if lot.id in {other.id for other in lots}:
            raise _cannot(where, f"{lot.id!r} twice", "each lot once, with all its pieces")
        if lot.id not in seeing.woods:
            right = "a lot of solid wood whose moisture is followed"
            raise _cannot(where, f"{lot.id!r}: {lot.not_modelled or 'its past is being run'}", right)
        if taken.pieces > lot.pieces:
            found = f"{taken.pieces} of {lot.id!r}"
            raise _cannot(f"boards.{n}.pieces", found, f"1 to {lot.pieces}, as many as the lot has")
        lots.append(lot)
        _alike(where, lots[0], lot)
    return lots


def _alike(where: str, first: Lot, lot: Lot) -> None:
    if lot.species != first.species:
        found = f"{lot.id!r} of {lot.species} with {first.id!r} of {first.species}"
        raise _cannot(where, found, "boards of one species: a panel is followed as one wood")
    if abs(lot.thickness_mm - first.thickness_mm) > SAME_THICKNESS_MM:
        found = f"{lot.id!r} of {lot.thickness_mm:g} mm with {first.id!r} of {first.thickness_mm:g} mm"
        raise _cannot(where, found, f"boards within {SAME_THICKNESS_MM:g} mm of each other; mill them alike first")


def _thickness(lots: Sequence[Lot], asked: GlueUp) -> float:
    thick, given = min(lot.thickness_mm for lot in lots), asked.thickness_mm
    if given is not None and given > thick + SAME_THICKNESS_MM:
        raise _cannot("thickness_mm", f"{given:g} mm", f"up to the boards' {thick:g} mm; what is planed off is less")
    return thick if given is None else given


def _cannot(field: str, found: str, right: str) -> Refused:
    return Refused(unknown=False, field=field, found=found, would_be_right=right)


def _zone(seeing: Seeing, field: str, zone: str | None) -> str | None:
    if zone is not None and zone not in seeing.zones:
        raise Refused(True, field, repr(zone), "one of " + ", ".join(seeing.zones))
    return zone


def _aim(stockroom: Stockroom, asked: Aimed) -> Aim:
    if asked.dry_limit_pct is not None and asked.damp_limit_pct is not None:
        return numbers_aim(asked.dry_limit_pct, asked.damp_limit_pct)
    known, place = stockroom.destinations(), asked.destination or ""
    if place not in known:
        right = "one of " + ", ".join(sorted(known)) if known else "a dry and a damp limit in % MC"
        raise Refused(True, "aim.destination", repr(place), right)
    return known[place]


def family_of(asked: GlueUp) -> Family:
    """Its adhesive's family, the sheet's limits in place of its own. Raises Refused."""
    try:
        family = _BY_SHEET if asked.adhesive is None else adhesive.family(asked.adhesive)
    except UnknownFamily as unknown:
        raise Refused(True, "adhesive", repr(asked.adhesive), "one of " + ", ".join(unknown.near)) from None
    return family if asked.sheet is None else family.by(asked.sheet.sheet())
