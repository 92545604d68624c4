"""The boards of lots: the same whether made alone, in a batch, or found in the batch before."""

import numpy as np
import pytest

from server.wood.boards import Boards
from server.wood.stock import Stock


def _stock(count: int, seed: int) -> Stock:
    chance = np.random.default_rng(seed)
    low, high = (0.01, 0.4, 0.1, 1e-9, 0.0), (0.06, 0.7, 0.2, 2e-8, 2e-8)
    return Stock(*(chance.uniform(a, b, count) for a, b in zip(low, high, strict=True)))


def _values(boards: Boards) -> list[np.ndarray]:
    d = boards.diffusivity
    own = [boards.thickness_m, boards.dry_kg_m3, boards.top_film, boards.bottom_film, boards.heat_lag_s]
    return [*own, boards.widths_m, boards.halves_m.T, d.cubic.T, d.activation_cal_mol.T]


def test_one_lot_found_in_the_last_batch_is_the_board_it_would_be_alone() -> None:
    many = _stock(60, seed=int(np.random.default_rng().integers(2**31)))  # in no cache
    many.boards()
    for i in (0, 31, 59):
        found, one = many.take([i]).boards(), many.take([i])
        alone = Boards.of(
            thickness_m=one.thickness_m, specific_gravity=one.specific_gravity,
            volumetric_shrinkage=one.volumetric_shrinkage, top_film=one.top_film, bottom_film=one.bottom_film,
        )  # fmt: skip
        for a, b in zip(_values(found), _values(alone), strict=True):
            assert a.shape == b.shape
            assert a == pytest.approx(b, rel=1e-12)


def test_one_lot_that_the_last_batch_had_not_is_made() -> None:
    _stock(40, seed=3).boards()
    other = _stock(1, seed=4)
    assert other.boards().thickness_m[0] == other.thickness_m[0]


@pytest.mark.parametrize("wrong", [np.nan, -1.0, 2.0])
def test_a_batch_with_one_wrong_value_names_it(wrong: float) -> None:
    gravity = np.full(5, 0.5)
    gravity[3] = wrong
    with pytest.raises(ValueError, match=r"specific_gravity: found .*would be right: 0\.1 to 1\.0"):
        Stock.of(thickness_m=0.02, specific_gravity=gravity, volumetric_shrinkage=0.1)
