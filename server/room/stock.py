"""What the stock in a zone gives to its air or takes from it: the sum of its lots' fluxes, by the moisture model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from server.model.woods import Woods
from server.shop.lot import Lot
from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.belief import MEMBERS, boards_of, sigma_of
from server.wood.ensemble import END_OF_80
from server.wood.transport import follow

STEP_S = 1800.0


@dataclass(frozen=True, slots=True)
class StockWater:
    """Water that ``lots`` give in a while, kg; negative where they take it. With the ends of its central 80 %; what the
    model does not carry, ``not_modelled`` lots, is not in it."""

    kg: float
    kg_low: float
    kg_high: float
    lots: int
    not_modelled: int


NO_STOCK = StockWater(0.0, 0.0, 0.0, 0, 0)


def stock_water(
    woods: Woods, lots: Mapping[str, Lot], zone: str, *, temperature_c: float, rh: float, seconds: float
) -> StockWater:
    """Of all that lies in ``zone``, in air that stays at ``temperature_c`` and ``rh`` (0..1) for so long.

    Through faces and covers as they lie; ends and edges, which are a small part of a board's skin, are left out. What
    is not known of each lot is taken as its own. Raises ValueError for air or spans out of range.
    """
    there = {name for name, lot in lots.items() if lot.zone == zone and not lot.ended}
    carried = woods.take(there).caught_up()
    if not carried.names:
        return StockWater(0.0, 0.0, 0.0, 0, len(there))
    every = boards_of(carried.stock, carried.belief)
    edges = np.linspace(0.0, seconds, max(2, int(np.ceil(seconds / STEP_S)) + 1))
    air = AirSeries.constant(edges, temperature_c, 100.0 * rh)
    _, track = follow(every, carried.belief.moisture, air, [len(air)])
    gained = track.gained_kg_m2[0].sum(axis=-1).reshape(-1, MEMBERS) * _area_m2(carried, lots)[:, None]
    kg, half = -float(gained[:, 0].sum()), END_OF_80 * float(np.sqrt((sigma_of(gained) ** 2).sum()))
    return StockWater(kg, kg - half, kg + half, len(carried.names), len(there) - len(carried.names))


def _area_m2(carried: Woods, lots: Mapping[str, Lot]) -> Floats:
    """One face of all of each lot's pieces."""
    some = (lots[name] for name in carried.names)
    return np.array([lot.pieces * lot.width_mm * lot.received.length_mm * 1e-6 for lot in some])
