"""What is asked of a room tonight, in the order it is said. A new question is a line here."""

from __future__ import annotations

from server.room.as_it_is import AsItIs
from server.room.base import RoomLine, RoomQuestion, RoomView
from server.room.gives import Extractor, Gas, Leakiness, Stock
from server.room.heat import Heat
from server.room.litres import Litres

QUESTIONS: tuple[RoomQuestion, ...] = (AsItIs(), Heat(), Litres(), Extractor(), Stock(), Leakiness(), Gas())


def answered(view: RoomView) -> list[RoomLine]:
    """Every question that makes sense to ask."""
    return [line for one in QUESTIONS if (line := one.answer(view)) is not None]
