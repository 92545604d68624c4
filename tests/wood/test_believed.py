"""What becomes of lots as they are held: fresh as the bench book's, narrower for what was read, on their own curve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from server.wood.air_series import AirSeries
from server.wood.assimilation import assimilate
from server.wood.belief import Belief
from server.wood.believed import settle_believed
from server.wood.carry import advance
from server.wood.emc import emc_pct
from server.wood.ensemble import Doubts
from server.wood.expected_air import ExpectedAir
from server.wood.moisture import Moisture
from server.wood.outcome import settle_in
from server.wood.stock import Stock
from server.wood.transport import advance as advance_boards
from server.wood.witness import Weighing

DAY_S = 86_400.0


def lots(n: int = 1) -> Stock:
    return Stock.of(thickness_m=np.linspace(0.02, 0.03, n), specific_gravity=0.5, volumetric_shrinkage=0.12)


def calm(days: float, rh_pct: float = 30.0) -> ExpectedAir:
    return ExpectedAir(AirSeries.constant(DAY_S * np.linspace(0, days, round(8 * days) + 1), 20.0, rh_pct))


def test_a_lot_that_nobody_read_is_a_board_of_that_doubt() -> None:
    stock = lots(3)
    held = settle_believed(stock, Belief.begin(stock, 9.0, 0.0), calm(200), aim_pct=(5.0, 8.0))
    doubts = Doubts(gravity_cv=0.0, start_half_pct=1.2816 * 0.4)  # the curve's part of a start is 0.4 % MC
    alone = settle_in(stock.boards(), Moisture.even(stock.boards(), 9.0), calm(200), doubts=doubts, aim_pct=(5.0, 8.0))
    for name in ("settled", "ninety", "left_pct", "good"):
        for end in ("middle", "low", "high"):
            found, right = (getattr(getattr(one, name), end) for one in (held, alone))
            assert found == pytest.approx(right, rel=1e-6, nan_ok=True), (name, end)


def test_weighing_narrows_how_long_it_takes() -> None:
    """A sample board twice as fast as the formula, beside one that was never weighed: days and spread come down."""
    stock = lots()
    boards = stock.boards(2.0)
    state, belief = Moisture.even(boards, 11.0), Belief.begin(stock, 11.0, 0.2)
    unread = belief
    week = AirSeries.constant(1800.0 * np.arange(5 * 48 + 1), 20.0, 30.0)

    for _ in range(5):
        kg = 1.2 * (1 + float(boards.mean_pct(state.profile_pct)[0]) / 100)
        belief, _told = assimilate(stock, belief, 0, Weighing(round(kg, 3)))
        state = advance_boards(boards, state, week)
        belief, unread = (advance(stock, one, week) for one in (belief, unread))
    before = settle_believed(stock, unread, calm(200))
    after = settle_believed(stock, belief, calm(200))
    truth = settle_in(boards, state, calm(200), doubts=Doubts(0.0, 0.0, 1.0))
    assert after.settled.middle[0] == pytest.approx(truth.settled.middle[0], abs=3)
    assert after.settled.low[0] <= truth.settled.middle[0] <= after.settled.high[0]
    width = [float(one.settled.high[0] - one.settled.low[0]) for one in (before, after)]
    assert width[1] < 0.7 * width[0]
    assert abs(before.settled.middle[0] - truth.settled.middle[0]) > 3


def test_wood_that_rests_above_the_curve_is_drawn_there() -> None:
    """The way is the same, both its ends higher, and the aim is asked of what the lot really holds."""
    stock = lots()
    plain = Belief.begin(stock, 9.0, 0.3)
    higher = replace(plain, curve_pct=plain.curve_pct + 0.8)
    one, two = (settle_believed(stock, belief, calm(200), aim_pct=(4.0, 6.5)) for belief in (plain, higher))
    assert two.left_pct.middle == pytest.approx(one.left_pct.middle)
    assert one.target_pct.middle[0] == pytest.approx(float(emc_pct(20.0, 0.3)))
    assert two.target_pct.middle[0] == pytest.approx(float(emc_pct(20.0, 0.3)) + 0.8)
    assert two.course.mean_pct[0, 0] == pytest.approx(9.8)
    assert two.settled.middle == pytest.approx(one.settled.middle)
    assert np.isfinite(one.good.middle[0])
    assert np.isnan(two.good.middle[0])  # it rests at 7 %, above its aim


def test_lots_of_another_number_are_refused() -> None:
    with pytest.raises(ValueError, match="stock and belief: found shapes"):
        settle_believed(lots(2), Belief.begin(lots(), 9.0, 0.3), calm(10))
