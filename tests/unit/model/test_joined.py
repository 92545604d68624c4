"""What is held of lots that became one, of a piece drawn from all of them; and of pieces that weigh something else."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from server.model.woods import Wood, after_act, of_each
from server.shop.acts import Act, From, Hear
from server.wood.belief import Belief, boards_of, deviations, sigma_of, state_of
from server.wood.stock import Stock
from tests.unit.advice.lots_for_tests import seen


def lot(level_pct: float, sigma_pct: float) -> Wood:
    stock = Stock.of(thickness_m=0.027, specific_gravity=0.47, volumetric_shrinkage=0.115)
    return Wood(stock, Belief.begin(stock, level_pct, sigma_pct), "bench")


def sigma_pct(wood: Wood) -> float:
    return float(sigma_of(boards_of(wood.stock, wood.belief).mean_pct(wood.belief.held_pct()[0])))


def pins(read_pct: float, depth: float) -> Act:
    return Hear("pins", (read_pct, 1.0, None, depth, True))


def joined(a: Wood, b: Wood, share: float = 0.5, of_a: tuple[Act, ...] = (), of_b: tuple[Act, ...] = ()) -> Any:
    woods = of_each({"a": a, "b": b})
    for name, acts in (("a", of_a), ("b", of_b)):
        for act in acts:
            woods, _ = after_act(woods, name, act)
    each = woods.one("a"), woods.one("b")
    woods, _ = after_act(woods, "a", From(("a", "b"), (share, 1.0 - share)))
    return *each, woods.one("a")


def test_two_that_are_unsure_make_none_that_is_sure() -> None:
    """Near fibre saturation a doubt is kept with the other sign: the two must not cancel."""
    _, _, both = joined(lot(28.5, 2.0), lot(27.5, 2.0))
    assert sigma_pct(both) == pytest.approx(np.sqrt(2.0**2 + 0.5**2), rel=1e-6)


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_its_spread_is_that_of_a_mixture(share: float) -> None:
    """The law of total variance (any textbook of probability), for every cell, the rate, the film and the curve."""
    a, b, both = joined(lot(9.0, 1.5), lot(11.0, 1.0), share, (pins(9.5, 0.21), pins(9.2, 0.3)), (pins(10.5, 0.5),))
    means, squares = (
        [f(wood.belief) for wood in (a, b)] for f in (state_of, lambda one: (deviations(one) ** 2).sum(1))
    )
    between = share * (1.0 - share) * (means[0] - means[1]) ** 2
    right = share * squares[0] + (1.0 - share) * squares[1] + between
    assert (deviations(both.belief) ** 2).sum(axis=1) == pytest.approx(right, rel=0.01)
    assert state_of(both.belief) == pytest.approx(share * means[0] + (1.0 - share) * means[1], abs=1e-9)


def test_a_lot_joined_with_its_own_like_is_what_it_was() -> None:
    a, _, both = joined(lot(9.0, 1.5), lot(9.0, 1.5), 0.3, (pins(9.5, 0.21),), (pins(9.5, 0.21),))
    assert state_of(both.belief) == pytest.approx(state_of(a.belief), abs=1e-9)
    squares = [deviations(wood.belief) @ deviations(wood.belief).T for wood in (a, both)]
    assert squares[0] == pytest.approx(squares[1], abs=1e-9)


@pytest.mark.parametrize(
    "deed",
    [{"kind": "ripped", "width_mm": 70, "pieces": 16}, {"kind": "finished", "cover": "shellac-3"}],
    ids=["ripped", "coated"],
)  # fmt: skip
def test_what_left_the_scale_by_the_saw_or_came_by_the_brush_is_no_water(deed: dict[str, Any]) -> None:
    """Weighed before and after: half a board gone, or a coat more, says nothing of the moisture."""
    scale = {"kind": "weighed", "lot": "b-1"}
    view = seen(
        (1.0, {**scale, "kg": 4.2}), (2.0, {**deed, "lot": "b-1"}), (2.1, {**scale, "kg": 2.1}),
        (2.2, {**scale, "kg": 2.1}), days=3.0, air=lambda _: (21.0, 40.0),
    )  # fmt: skip
    untold = seen((2.0, {**deed, "lot": "b-1"}), days=3.0, air=lambda _: (21.0, 40.0))
    assert view.held is not None
    assert untold.held is not None
    assert view.held.mean_pct == pytest.approx(untold.held.mean_pct, abs=0.05)
