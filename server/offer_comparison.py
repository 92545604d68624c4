"""The shop's own offers side by side, in the air of one of its zones: the bench book's reckoning on what was told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from pydantic import Field

from server.book.base import Answer, BadRequest, Mistake
from server.book.offer_settling import settled_days
from server.book.price import Need, compared
from server.model.air import ShopAir
from server.shop.offering import Offered
from server.wood.air import saturation_pressure_pa
from server.wood.species import Table

AIR_FIELDS = ("temperature_c", "humidity_pct")


class Comparison(Need):
    """What is needed, of which offers; without an air of its own that of a zone's last week."""

    offers: tuple[str, ...] = Field((), max_length=50, description="ids of offers; all that stand if none is given")
    zone: str | None = Field(None, max_length=40, description="whose air it would settle in; the first if not given")


def in_air_of(need: Comparison, recorded: ShopAir | None) -> Comparison:
    """With the mean of a zone's last week where the request names no air itself."""
    if recorded is None or set(AIR_FIELDS) & need.model_fields_set:
        return need
    c, pa = float(np.mean(recorded.temperature_c[1:])), float(np.mean(recorded.pressure_pa[1:]))
    humidity = min(100.0, 100.0 * pa / float(saturation_pressure_pa(c)))
    return _with(need, {"temperature_c": min(max(c, -20.0), 60.0), "humidity_pct": humidity}, need.known)


def compare(offers: Sequence[Offered], need: Comparison, known: Table) -> Answer:
    """The offers, each of its own species. Raises BadRequest where there are fewer than two, or a species has no
    published density and none is given."""
    if len(offers) < 2:
        raise BadRequest((Mistake("offers", f"{len(offers)} of them", "two offers or more"),))
    pairs = [(one.as_offer(), _with(need, {"species": one.species or need.species}, known)) for one in offers]
    return compared(pairs, settled_days, graded=any(one.grade and one.usable_pct is None for one in offers))


def _with(need: Comparison, values: dict[str, object], known: Table) -> Comparison:
    return Comparison.model_validate({**need.model_dump(), **values}, context=known)
