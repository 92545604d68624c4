"""Members that follow their middle, against the same boards each stepped by itself."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from server.wood.air_series import UNKNOWN_AIR_SIGMA_PCT, AirSeries, beside
from server.wood.belief import MEMBERS, Belief, boards_of, sigma_of
from server.wood.boards import Boards, film_through
from server.wood.carry import advance, caught_up
from server.wood.moisture import Moisture
from server.wood.stock import Stock
from server.wood.transport import advance as advance_boards
from tests.wood.boards_for_tests import COVERS_M2_S_PA_KG, noisy_winter, winter_air


def lots(n: int) -> tuple[Stock, Belief]:
    """Of all thicknesses and densities, bare, coated, wrapped and flat on a bench, damper or drier than their air."""
    chance = np.random.default_rng(5)
    gravity = chance.uniform(0.31, 0.75, n)
    top, bottom = film_through(chance.choice(COVERS_M2_S_PA_KG, (2, n)))
    stock = Stock.of(
        thickness_m=chance.uniform(0.008, 0.060, n), specific_gravity=gravity, volumetric_shrinkage=0.27 * gravity,
        top_film=top, bottom_film=np.where(np.arange(n) % 2, top, np.where(chance.random(n) < 0.5, 0.0, bottom)),
    )  # fmt: skip
    return stock, Belief.begin(stock, chance.uniform(6, 16, n), chance.uniform(0.3, 2.0, n))


def means(stock: Stock, belief: Belief, moisture: Moisture) -> Any:
    boards = boards_of(stock, belief)
    return boards.mean_pct(moisture.profile_pct).reshape(len(stock), MEMBERS)


def each_alone(stock: Stock, begun: Belief, air: AirSeries) -> Moisture:
    """Every member as a board of its own, the last one in air that draws it higher where nobody recorded it."""
    zones = np.zeros((len(stock), MEMBERS), np.intp)
    zones[:, -1] = 1
    drawn = beside(air, air.drawing(UNKNOWN_AIR_SIGMA_PCT * ~air.known))
    return advance_boards(boards_of(stock, begun), begun.moisture, drawn, zones.ravel())


@pytest.mark.parametrize("days", [2, 15, 60])
def test_members_are_what_boards_of_their_own_come_to(days: int) -> None:
    """Spreads of means within 3 % of themselves, every cell of every member within 0.1 % MC; the middle the same."""
    stock, begun = lots(60)
    air = winter_air(days, 3)
    alone, found = each_alone(stock, begun, air), advance(stock, begun, air)
    right, mine = (sigma_of(means(stock, begun, m)) for m in (alone, found.moisture))
    assert mine == pytest.approx(right, rel=0.03)
    profiles = [m.profile_pct.reshape(60, MEMBERS, -1) for m in (alone, found.moisture)]
    assert np.abs(profiles[0][:, 0] - profiles[1][:, 0]).max() < 1e-9
    assert np.abs(profiles[0] - profiles[1]).max() < 0.1


def test_so_they_do_in_air_that_nobody_recorded() -> None:
    stock, begun = lots(60)
    times, c, h = noisy_winter(20, 3)
    h[[*range(100, 400), *range(500, 900)]] = np.nan
    air = AirSeries.of_bins(times, c[:-1], h[:-1])
    right, mine = (
        sigma_of(means(stock, begun, m)) for m in (each_alone(stock, begun, air), advance(stock, begun, air).moisture)
    )
    assert mine == pytest.approx(right, rel=0.05)


def test_a_board_that_is_the_same_from_both_sides_is_half_of_one_that_nearly_is() -> None:
    stock, begun = lots(20)
    alike = replace(stock, bottom_film=stock.top_film)
    nearly = replace(stock, bottom_film=stock.top_film * (1 + 1e-12))
    one, other = (advance(s, begun, winter_air(5, 3)).held_pct() for s in (alike, nearly))
    assert one == pytest.approx(other, abs=1e-8)


def test_catching_up_changes_no_middle_and_is_done_once() -> None:
    """Half a span after the last one: the middle is as it was, the spread nearer to what each board alone has."""
    stock, begun = lots(60)
    air = winter_air(3, 3).between(0, 70)
    found, right = advance(stock, begun, air), sigma_of(means(stock, begun, each_alone(stock, begun, air)))
    after = caught_up(stock, found)
    assert after.moisture.profile_pct[::MEMBERS].tolist() == found.moisture.profile_pct[::MEMBERS].tolist()
    early, late = (np.abs(sigma_of(means(stock, begun, b.moisture)) / right - 1).max() for b in (found, after))
    assert late < 0.03 < early
    assert caught_up(stock, after) is after
    for belief in (found, after):
        assert Belief.from_bytes(belief.to_bytes()).to_bytes() == belief.to_bytes()
        assert belief.each_to_bytes() == [belief.take([i]).to_bytes() for i in range(60)]


def test_boards_of_a_large_batch_are_those_made_anew_whatever_changed_in_it() -> None:
    """Only what changed since the last batch is made: a board in the middle, one behind the others, most of them."""
    thick = np.linspace(0.01, 0.05, 40)
    for thickness in (thick, np.where(thick > 0.049, 0.02, thick), np.append(thick, 0.03), thick[::-1], thick[:20]):
        stock = Stock.of(thickness_m=thickness, specific_gravity=0.5, volumetric_shrinkage=0.13, top_film=1e-8)
        rate = 1.0 + thickness
        made, anew = stock.boards(rate), Boards.of(
            thickness_m=thickness, specific_gravity=0.5, volumetric_shrinkage=0.13, rate_factor=rate, top_film=1e-8
        )  # fmt: skip
        for name in ("thickness_m", "dry_kg_m3", "top_film", "bottom_film", "halves_m", "widths_m", "heat_lag_s"):
            assert np.array_equal(getattr(made, name), getattr(anew, name)), name
        assert np.allclose(made.diffusivity.cubic, anew.diffusivity.cubic, rtol=1e-12, atol=1e-15)
