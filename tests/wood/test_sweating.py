"""A wrap sweats where its film falls below the dew point within: limits, a published dew point, another library."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from scipy.integrate import solve_ivp

from server.wood.emc import emc_pct
from server.wood.sweating import STACK_LAG_H, behind_c, humidity_at_film, margins_k


@pytest.fixture(autouse=True)
def metric() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(("inside_c", "rh", "film_c"), [(20.0, 0.6, 5.0), (18.0, 0.45, 8.0), (12.0, 0.8, 10.0)])
def test_the_margin_is_that_of_an_independent_library(inside_c: float, rh: float, film_c: float) -> None:
    """PsychroLib 2.5 (ASHRAE Handbook Fundamentals 2017, chapter 1): dew point from temperature and humidity. The
    humidity goes to the wood's EMC and back, which is exact; its dew point and ours differ by 0.01 K at most."""
    ours = margins_k(film_c, inside_c, emc_pct(inside_c, rh))
    theirs = film_c - psychrolib.GetTDewPointFromRelHum(inside_c, rh)
    assert float(ours) == pytest.approx(theirs, abs=0.02)


def test_boards_as_cold_as_the_film_never_sweat() -> None:
    """Limit: below saturation the dew point lies below the temperature, at every moisture."""
    draws = np.linspace(1.0, 24.0, 24)
    for c in (-5.0, 5.0, 20.0):
        margins = margins_k(c, c, draws)
        assert (margins > 0.0).all()
        assert (np.diff(margins) < 0.0).all(), "damper wood, less of a margin"
    assert float(humidity_at_film(5.0, 20.0, 12.0)) == 1.0
    assert float(humidity_at_film(20.0, 20.0, emc_pct(20.0, 0.5))) == pytest.approx(0.5, abs=1e-6)


def test_the_stacks_lag_is_what_an_independent_solver_makes_of_it() -> None:
    """First order, against SciPy's LSODA on the same straight lines."""
    step_s, lag_s = 1800.0, STACK_LAG_H * 3600.0
    rng = np.random.default_rng(3)
    outside = 12.0 + 8.0 * np.sin(np.arange(96) * 2 * np.pi / 48) + rng.normal(0, 0.5, 96)
    times = step_s * np.arange(96)
    found = solve_ivp(
        lambda t, y: (np.interp(t, times, outside) - y) / lag_s, (0.0, times[-1]), [outside[0]], t_eval=times,
        method="LSODA", max_step=step_s / 4, rtol=1e-9, atol=1e-9,
    )  # fmt: skip
    assert behind_c(outside, step_s, lag_s) == pytest.approx(found.y[0], abs=1e-5)
    assert behind_c(np.full(5, 7.0), step_s, lag_s) == pytest.approx(np.full(5, 7.0))


@pytest.mark.parametrize(("given", "said"), [((0.0, 1.0), "step_s: found 0;"), ((1.0, -2.0), "lag_s: found -2;")])
def test_what_is_not_positive_is_refused(given: tuple[float, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        behind_c([1.0, 2.0], *given)
