"""The half width of the EMC against drawing the sensor's errors by lot."""

from __future__ import annotations

import numpy as np
import pytest

from server.wood import emc

DRAWS = 200_000


@pytest.mark.parametrize("temperature_c", [5.0, 20.0, 30.0])
@pytest.mark.parametrize("rh", [0.15, 0.30, 0.50, 0.65, 0.80])
@pytest.mark.parametrize(("accuracy_c", "accuracy_rh"), [(0.3, 0.02), (0.5, 0.03), (2.0, 0.01)])
def test_half_width_is_that_of_drawn_errors(
    temperature_c: float, rh: float, accuracy_c: float, accuracy_rh: float
) -> None:
    """First order only: within 4 % of what errors drawn evenly inside the stated limits give (as JCGM 101 does it)."""
    draw = np.random.default_rng(20260107)
    t = temperature_c + draw.uniform(-accuracy_c, accuracy_c, DRAWS)
    h = rh + draw.uniform(-accuracy_rh, accuracy_rh, DRAWS)
    low, high = np.quantile(emc.emc_pct(t, h), [0.1, 0.9])
    stated = emc.emc_half_width_pct(temperature_c, rh, accuracy_c=accuracy_c, accuracy_rh=accuracy_rh)
    assert float(stated) == pytest.approx((high - low) / 2, rel=0.04)


def test_one_error_alone_is_four_fifths_of_its_limit() -> None:
    """The central 80 % of an even distribution is 0.8 of its half width, exactly."""
    slope = float(emc.emc_slope_pct(21.0, 0.5))
    half = float(emc.emc_half_width_pct(21.0, 0.5, accuracy_c=0.0, accuracy_rh=0.02))
    assert half == pytest.approx(0.8 * slope * 0.02, rel=1e-12)


def test_two_equal_errors() -> None:
    """Two even errors of half width 1 add to a triangle of half width 2, whose central 80 % ends at 2 - sqrt(0.8)."""
    by_t = abs(float(emc.emc_pct(21.05, 0.5) - emc.emc_pct(20.95, 0.5))) / 0.1
    equal = {"accuracy_c": 0.01 / by_t, "accuracy_rh": 0.01 / float(emc.emc_slope_pct(21.0, 0.5))}
    assert float(emc.emc_half_width_pct(21.0, 0.5, **equal)) == pytest.approx(0.01 * (2 - np.sqrt(0.8)), rel=1e-9)


def test_perfect_sensor_has_no_width() -> None:
    assert float(emc.emc_half_width_pct(21.0, 0.5, accuracy_c=0.0, accuracy_rh=0.0)) == 0.0
