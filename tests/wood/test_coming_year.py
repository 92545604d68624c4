"""A panel's coming year: against the year in step and finer steps, the damped wave, and a panel that brings nothing."""

from __future__ import annotations

import numpy as np
import pytest

from server.wood import covers
from server.wood.coming_year import coming_year
from server.wood.emc import humidity_for_emc
from server.wood.panel import Panel, panel_year
from server.wood.year import Year


def year(low_pct: float, high_pct: float) -> Year:
    dry, damp = (float(humidity_for_emc(20.0, pct)) for pct in (low_pct, high_pct))
    return Year(dry, damp, 20.0, 20.0, 46, 228)


def panel(thickness_m: float, cover: str = "bare") -> Panel:
    return Panel(thickness_m, 0.47, 0.115, covers.find(cover), covers.find(cover))


@pytest.mark.parametrize(("thickness_m", "cover"), [(0.005, "bare"), (0.022, "bare"), (0.022, "shellac-3")])
def test_the_later_years_are_those_of_panel_year(thickness_m: float, cover: str) -> None:
    """Made on any day a panel comes to the same year; the wave is the closed form's (Carslaw and Jaeger)."""
    one, air = panel(thickness_m, cover), year(6, 10)
    whole = panel_year(one, air, 8.0)
    for day in (0.0, 100.0, 330.0):
        found = coming_year(one, air, 8.0, day)
        for name in ("lowest_pct", "highest_pct"):
            ours, theirs = getattr(found, name), getattr(whole, name)
            assert ours.middle == pytest.approx(theirs.middle, abs=0.03)
            assert ours.low == pytest.approx(theirs.low, abs=0.06)
        assert found.lowest_day == pytest.approx(whole.lowest_day, abs=2)
        assert found.highest_day == pytest.approx(whole.highest_day, abs=2)
        assert found.swing_pct.middle == pytest.approx(found.wave_swing_pct, rel=0.03)


def test_steps_of_a_week_are_fine_enough() -> None:
    """Convergence: the first year in steps of a day."""
    for low_pct, high_pct in ((6, 10), (4, 14)):
        weeks, days = (coming_year(panel(0.022), year(low_pct, high_pct), 8.0, 12.0, steps) for steps in (52, 365))
        assert weeks.first_lowest_pct.middle == pytest.approx(days.first_lowest_pct.middle, abs=0.03)
        assert weeks.first_highest_pct.middle == pytest.approx(days.first_highest_pct.middle, abs=0.03)


def test_what_it_brings_shows_in_the_first_year_alone() -> None:
    """Made at 12 % where 6 to 10 % is drawn to: it begins there, and falls."""
    found = coming_year(panel(0.03), year(6, 10), 12.0, 12.0)
    assert found.first_pct[0] == pytest.approx(12.0)
    assert found.first_highest_pct.middle == pytest.approx(12.0)
    assert found.highest_pct.middle < 10.0
    still = coming_year(panel(0.02), year(8, 8), 8.0, 12.0)
    assert np.ptp(still.first_pct) < 1e-3
    with pytest.raises(ValueError, match="day: found 400"):
        coming_year(panel(0.02), year(6, 10), 8.0, 400.0)
