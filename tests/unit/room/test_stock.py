"""What stock gives to the air: its own loss by another road, nothing in balance, and less behind a cover."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

from server.model.woods import Woods
from server.room.stock import stock_water
from server.wood.air_series import AirSeries
from server.wood.belief import Belief, boards_of
from server.wood.boards import film_through
from server.wood.carry import advance
from server.wood.emc import humidity_for_emc
from server.wood.stock import Stock

NIGHT_S = 13 * 3600.0


@dataclass(frozen=True)
class Received:
    length_mm: float = 2000.0


@dataclass(frozen=True)
class Pile:
    """A lot as far as its size and place go."""

    zone: str = "bench"
    pieces: int = 10
    width_mm: float = 150.0
    ended: str = ""
    received: Received = Received()


def oak(level_pct: float, sigma_pct: float = 0.0, cover: float = 0.0) -> tuple[Stock, Belief]:
    film = np.atleast_1d(film_through(cover))
    stock = Stock.of(
        thickness_m=0.027, specific_gravity=0.6, volumetric_shrinkage=0.15, top_film=film, bottom_film=film
    )
    return stock, Belief.begin(stock, level_pct, sigma_pct)


def woods(*each: tuple[Stock, Belief]) -> Woods:
    names = tuple(f"oak-{n}" for n in range(len(each)))
    return Woods(names, ("bench",) * len(each), Stock.joined([s for s, _ in each]), Belief.joined([b for _, b in each]))


def given(some: Woods, lots: dict[str, Any] | None = None, rh: float = 0.35) -> Any:
    piles = lots or {name: Pile() for name in some.names}
    return stock_water(some, piles, "bench", temperature_c=19.0, rh=rh, seconds=NIGHT_S)


def test_what_the_air_gains_the_boards_lose() -> None:
    """Independent: the belief carried on by its own road, and its mean moisture times its dry mass."""
    stock, belief = oak(9.0, 0.5)
    found = given(woods((stock, belief)))
    air = AirSeries.constant(np.linspace(0.0, NIGHT_S, 27), 19.0, 35.0)
    after = advance(stock, belief, air)
    boards = boards_of(stock, belief)
    lost_pct = boards.mean_pct(belief.moisture.profile_pct)[0] - boards.mean_pct(after.moisture.profile_pct)[0]
    dry_kg = float(boards.dry_kg_m3[0]) * 10 * 0.150 * 2.0 * 0.027
    assert found.kg == pytest.approx(dry_kg * lost_pct / 100, rel=2e-3)
    assert (found.lots, found.not_modelled) == (1, 0)
    assert found.kg_low < found.kg < found.kg_high


def test_in_balance_nothing_passes_and_damper_air_is_drunk_from() -> None:
    level = woods(oak(8.0))
    still = given(level, rh=float(humidity_for_emc(19.0, 8.0)))
    assert still.kg == pytest.approx(0.0, abs=1e-3)
    assert given(level, rh=0.30).kg > 0 > given(level, rh=0.60).kg


def test_lots_add_up_and_their_doubts_by_squares() -> None:
    one, other = oak(9.0, 0.6), oak(7.0, 0.9)
    each = [given(woods(lot)) for lot in (one, other)]
    both = given(woods(one, other))
    assert both.kg == pytest.approx(sum(e.kg for e in each))
    halves = np.hypot(*(e.kg_high - e.kg for e in each))
    assert both.kg_high - both.kg == pytest.approx(halves)


def test_a_cover_holds_it_back_and_lots_elsewhere_do_not_count() -> None:
    bare, covered = given(woods(oak(11.0))), given(woods(oak(11.0, cover=1e11)))
    assert 0 < covered.kg < 0.05 * bare.kg
    two = woods(oak(11.0), oak(11.0))
    lots = {"oak-0": Pile(), "oak-1": Pile(zone="loft"), "sheet": Pile(), "gone": replace(Pile(), ended="used-up")}
    found = given(two, lots)
    assert (found.lots, found.not_modelled) == (1, 1)
    assert found.kg == pytest.approx(bare.kg)
    none = given(two, {"sheet": Pile()})
    assert (none.kg, none.lots, none.not_modelled) == (0.0, 0, 1)
