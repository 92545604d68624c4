"""Where glass runs: standards' sums by another way, psychrolib's dew point, limits."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood.glass import (
    GLAZINGS,
    INDOOR_RESISTANCE_M2_K_PER_W,
    OUTDOOR_RESISTANCE_M2_K_PER_W,
    limit_rh,
    surface_c,
)

psychrolib.SetUnitSystem(psychrolib.SI)
GLASS_W_PER_M_K = 1.0
"""Soda-lime glass, EN 673 (from memory)."""


def en_673(gap_m: float) -> float:
    """U of two 4 mm panes with still air between, EN 673 from memory: 15 K across the gap at 10 °C mean, emissivity of
    plain glass 0.837, air 0.0250 W/(m K), no convection up to 12 mm."""
    radiation = 4 * 5.670e-8 * 283.15**3 / (2 / 0.837 - 1)
    gap = 1 / (radiation + 0.0250 / gap_m)
    films = INDOOR_RESISTANCE_M2_K_PER_W + OUTDOOR_RESISTANCE_M2_K_PER_W
    return 1 / (films + 2 * 0.004 / GLASS_W_PER_M_K + gap)


def test_the_single_pane_is_the_sum_of_its_resistances() -> None:
    """0.13 + 0.004 / 1.0 + 0.04: 5.75 W/m²K against 5.8 in the public table; the table is given to 0.1."""
    films = INDOOR_RESISTANCE_M2_K_PER_W + OUTDOOR_RESISTANCE_M2_K_PER_W
    assert 1 / (films + 0.004 / GLASS_W_PER_M_K) == pytest.approx(GLAZINGS["single"].transmittance_w_per_m2_k, abs=0.06)


def test_the_double_pane_lies_between_the_gaps_in_use() -> None:
    """12 mm: 2.84, 6 mm: 3.26. Our 3.0 is the public table's "about", on the cold side of a 12 mm gap."""
    assert en_673(0.012) < GLAZINGS["double"].transmittance_w_per_m2_k < en_673(0.006)
    assert en_673(0.012) == pytest.approx(2.84, abs=0.02)


@pytest.mark.parametrize(("key", "by_hand_c"), [("single", 20 - 30 * 5.8 * 0.13), ("double", 20 - 30 * 3.0 * 0.13)])
def test_surface_by_hand(key: str, by_hand_c: float) -> None:
    assert float(surface_c(GLAZINGS[key], 20, -10)) == pytest.approx(by_hand_c)


@pytest.mark.parametrize("outdoor_c", [-25.0, -10.0, 0.0, 12.0])
@pytest.mark.parametrize("key", ["single", "double"])
def test_at_the_limit_the_reference_librarys_dew_point_is_the_glass(key: str, outdoor_c: float) -> None:
    """psychrolib takes frost below 0.01 °C as we do; its solver is good to 0.001 K."""
    rh = float(limit_rh(GLAZINGS[key], 20.0, outdoor_c))
    dew_c = psychrolib.GetTDewPointFromRelHum(20.0, rh)
    assert dew_c == pytest.approx(float(surface_c(GLAZINGS[key], 20.0, outdoor_c)), abs=2e-3)


@given(st.floats(10, 30), st.floats(-30, 9))
def test_a_colder_night_and_a_thinner_window_run_sooner(indoor_c: float, outdoor_c: float) -> None:
    single, double = (float(limit_rh(GLAZINGS[key], indoor_c, outdoor_c)) for key in ("single", "double"))
    assert 0 < single < double < 1
    assert float(limit_rh(GLAZINGS["single"], indoor_c, outdoor_c - 1)) < single


def test_no_difference_no_limit() -> None:
    assert float(limit_rh(GLAZINGS["single"], 20, 20)) == pytest.approx(1.0)
    assert float(limit_rh(GLAZINGS["single"], 20, 35)) == 1.0
    assert limit_rh(GLAZINGS["double"], 20, np.array([-10.0, 0.0])).shape == (2,)


def test_out_of_range_is_refused() -> None:
    with pytest.raises(ValueError, match="outdoor_c: found -60; would be right: -50 to 50 °C"):
        surface_c(GLAZINGS["single"], 20, -60)
