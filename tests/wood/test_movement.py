"""Movement against the handbook's formulas and their worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from server.wood.movement import across_thickness, across_width, change, diamond_rad, slot_mm, used, width_history
from server.wood.species import all_species, coefficients, find

MOVING = [key for key in all_species() if key != "birch_gray"]


def test_a_worked_example() -> None:
    """Constructed from eq. 13-2 and Table 13-5 (the reference's CE01, not a printed answer): 300 mm of flatsawn red oak
    from 8 to 12 %: 4.428 mm."""
    assert change(across_width(find("oak_red_commercial"), 0), 300.0, 8.0, 12.0) == pytest.approx(4.428, abs=0.0005)


def test_shrinkage_by_the_handbooks_formula() -> None:
    """Eq. 13-3 by hand: S 7.1 %, 30 % to 0 % is S itself."""
    cherry = across_width(find("cherry_black"), 0)
    assert change(cherry, 100.0, 30.0, 0.0) == pytest.approx(-cherry.shrinkage_pct, rel=1e-12)
    assert change(cherry, 100.0, 200.0, 30.0) == 0.0, "above fibre saturation it does not move"


@pytest.mark.parametrize("key", MOVING)
def test_both_ends_of_the_ring_angle(key: str) -> None:
    species = find(key)
    c = coefficients(species)
    assert across_width(species, 0).coefficient == pytest.approx(c.ct)
    assert across_width(species, 90).coefficient == pytest.approx(c.cr)
    assert across_thickness(species, 0).coefficient == pytest.approx(c.cr)
    assert across_thickness(species, 90).coefficient == pytest.approx(c.ct)
    assert across_width(species, 45).coefficient == pytest.approx((c.ct + c.cr) / 2)


@given(st.sampled_from(MOVING), st.floats(0, 90), st.floats(0, 30), st.floats(0, 30))
def test_there_and_back_over_the_whole_domain(key: str, angle: float, a: float, b: float) -> None:
    across = across_width(find(key), angle)
    there = float(change(across, 100.0, a, b))
    back = float(change(across, 100.0 + there, b, a))
    assert math.isfinite(there)
    assert there * (b - a) >= 0.0
    if used(a, b):
        assert there + back == pytest.approx(0.0, abs=abs(there) ** 2 / 50 + 1e-12), "second order, as the formula is"
    elif not (used(a, a) and used(b, b)):
        assert there + back == pytest.approx(0.0, abs=1e-9), "the shrinkage formula closes exactly"


def test_the_shrinkage_formula_is_the_integral_of_its_own_slope() -> None:
    """Independent: width as a straight line of moisture, dW/dM integrated by quadrature."""
    across = across_width(find("cherry_black"), 0)
    s = across.shrinkage_pct / 100.0
    green = 100.0 / (1.0 - s * (30.0 - 18.0) / 30.0)
    found, _ = quad(lambda _: green * s / 30.0, 18.0, 4.0)
    assert change(across, 100.0, 18.0, 4.0) == pytest.approx(found, rel=1e-9)


@pytest.mark.parametrize("key", MOVING)
def test_both_methods_agree_where_they_meet(key: str) -> None:
    """A twentieth apart; more for a species with its own shrinkage and its group's coefficient, as far as those are."""
    species = find(key)
    across = across_width(species, 0)
    by_coefficient, by_shrinkage = (float(change(across, 1.0, 10.0, m)) for m in (14.0, 14.001))
    assert by_coefficient == pytest.approx(by_shrinkage, rel=0.25 if species.coefficient_from else 0.08)


def test_a_rift_square_goes_diamond_and_others_do_not() -> None:
    maple = find("maple_sugar")
    c = coefficients(maple)
    assert diamond_rad(maple, 45, 12, 8) == pytest.approx((c.ct - c.cr) * -4)
    assert diamond_rad(maple, 0, 12, 8) == 0.0
    assert diamond_rad(maple, 90, 12, 8) == pytest.approx(0.0, abs=1e-15)


def test_history_and_slot() -> None:
    across = across_width(find("cherry_black"), 0)
    widths = width_history(across, 400.0, 8.0, np.array([8.0, 6.0, 10.0]))
    assert widths[0] == 400.0
    assert slot_mm(across, 400.0, 8.0, low_pct=6.0, high_pct=10.0, screw_mm=5.0) == pytest.approx(
        5.0 + widths[2] - widths[1]
    )


@pytest.mark.parametrize("moisture", [-1.0, 300.0, math.nan])
def test_moisture_that_cannot_be_is_refused(moisture: float) -> None:
    with pytest.raises(ValueError, match=r"moisture: found .* would be right: 0 to 200 % MC"):
        change(across_width(find("cherry_black"), 0), 100.0, 8.0, moisture)
