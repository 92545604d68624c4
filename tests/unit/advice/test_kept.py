"""What is kept is what would be worked out, and only of the same to the bit."""

from __future__ import annotations

import numpy as np

from server.advice.kept import Kept
from server.advice.panel.ahead import ahead_of, panel_across
from server.advice.panel.living import LivingInputs, living
from tests.unit.advice.panels_for_tests import FINISHED, FITTED, FLATTENED, panel_seen


def test_the_same_is_kept_and_another_bit_is_another() -> None:
    kept, made = Kept[int](2), list[int]()

    def make(n: int) -> int:
        made.append(n)
        return n

    one = np.array([1.0, 2.0])
    assert [kept.of((one, "a"), lambda: make(1)), kept.of((one.copy(), "a"), lambda: make(2))] == [1, 1]
    assert kept.of((np.nextafter(one, 9.0), "a"), lambda: make(3)) == 3
    kept.of("another", lambda: make(4))
    assert kept.of((one, "a"), lambda: make(5)) == 5, "the oldest goes"
    assert made == [1, 3, 4, 5]


def test_a_panel_s_year_is_kept_within_a_half_hour_and_not_beyond() -> None:
    def year(days: float) -> object:
        view = panel_seen((9.0, FLATTENED), (10.0, FINISHED), (11.0, FITTED), days=days)
        across = panel_across(view)
        assert across is not None
        assert view.held is not None
        return ahead_of(view, view.held.wood, living(view, LivingInputs()), across)

    assert year(12.0) is year(12.0)
    assert year(12.0) is not year(12.0 + 1 / 48)
