"""Lots as they stand now, as documents: for every route that answers with some."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from server.lot_documents import LotDocument, lot_document
from server.model.unseen import of_record
from server.shop.confirmed import holds_until_ms
from server.stockroom import Stockroom


def documents_of(stockroom: Stockroom, names: Sequence[str]) -> list[LotDocument]:
    """These lots as they stand now. Reads the record."""
    at_ms, shop, woods = stockroom.course.at_ms, stockroom.shop, stockroom.present()
    some = [shop.lots[name] for name in names]
    astray = of_record(stockroom.history, stockroom.zones(), shop, woods, at_ms, some)
    held = woods.take(set(names)).caught_up()
    place = {name: i for i, name in enumerate(held.names)}
    aim_of = partial(stockroom.aim_of, known=stockroom.destinations())
    return [
        lot_document(
            lot, held.at(place[lot.id]) if lot.id in place else None, at_ms, holds_until_ms(lot, shop.away),
            astray.get(lot.id), find=stockroom.find, aim_of=aim_of,
        )
        for lot in some
    ]  # fmt: skip
