"""The temperature a panel's wood had since it was glued, out of the recorded air of where it lay."""

from __future__ import annotations

import numpy as np

from server.bins import BIN_MS
from server.model.air import ShopAir
from server.model.woods import Wood
from server.shop.acts import Lie, edge_of
from server.shop.lot import Lot
from server.wood.air import Floats
from server.wood.belief import boards_of
from server.wood.lag import first_order


def wood_warmth(lot: Lot, wood: Wood, air: ShopAir) -> tuple[Floats, Floats]:
    """Times, s from the beginning of ``air``, (k + 1), and temperatures of the wood, °C: it follows the air of its zone
    by its own heat, both faces in air, and was as warm as that air when it was glued."""
    n = len(air.temperature_c)
    edges_ms = air.from_ms + BIN_MS * np.arange(n)
    zone = np.zeros(n, np.intp)
    for done in lot.acts:
        if isinstance(done.act, Lie):
            zone[edges_ms > edge_of(done.edge_ms)] = air.zones.index(done.act.zone)
    first = next((done.act.zone for done in lot.acts if isinstance(done.act, Lie)), air.zones[0])
    zone[0] = air.zones.index(first)
    around = air.temperature_c[np.arange(n), zone]
    times = (edges_ms - air.from_ms) / 1000.0
    lag_s = float(boards_of(wood.stock, wood.belief).heat_lag_s[0])
    return times, first_order(times, around, lag_s)
