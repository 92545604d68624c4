"""EMC against the handbook's printed table, against its own inverse, limits, and a second writing of the equation."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from server.wood import emc
from server.wood.isotherm import Isotherm

TABLE_ROUNDING_PCT = 0.05
TABLE_TOLERANCE_PCT = 0.055
"""The table prints 0.1 % and was computed from eq. 4-5 with coefficients in °F; those in °C are rounded too (0.005)."""

Rows = list[dict[str, str]]


def columns(rows: Rows) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    t_f, rh_pct, printed = (np.array([float(r[k]) for r in rows]) for k in ("temperature_f", "rh_pct", "emc_pct"))
    return (t_f - 32.0) / 1.8, rh_pct / 100.0, printed


def imperial_emc_pct(temperature_f: float, rh: float) -> float:
    """Eq. 4-5 once more, in the handbook's °F coefficients. Provenance: memory (no copy could be opened)."""
    t = temperature_f
    w = 330.0 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 0.000000844 * t**2
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    x = k * rh
    bound = (k1 * x + 2 * k1 * k2 * x**2) / (1 + k1 * x + k1 * k2 * x**2)
    return (x / (1 - x) + bound) * 1800.0 / w


def test_every_row_of_the_printed_table(published: Callable[[str], Rows]) -> None:
    """Wood Handbook Table 4-2, 228 cells (read in a page copy). The largest miss, and where, is asserted."""
    t, h, printed = columns(published("emc_by_temperature_and_rh"))
    assert printed.size == 228
    miss = emc.emc_pct(t, h) - printed
    worst = int(np.abs(miss).argmax())
    where = f"{t[worst]:.1f} °C, {100 * h[worst]:.0f} %"
    print(f"largest miss {miss[worst]:+.4f} % at {where}; mean {np.abs(miss).mean():.4f}")  # noqa: T201
    assert np.abs(miss).max() <= TABLE_TOLERANCE_PCT
    assert (t[worst] * 1.8 + 32.0, h[worst]) == (pytest.approx(110.0), 0.95)
    assert np.mean(np.abs(miss) > TABLE_ROUNDING_PCT) < 0.05  # nearly every cell is right to its last printed digit


def test_table_at_rounded_celsius(published: Callable[[str], Rows]) -> None:
    """Who looks the table up in the rounded °C of its margin is at most 0.06 % off."""
    rows = published("emc_by_temperature_and_rh")
    _, h, printed = columns(rows)
    rounded = np.array([float(r["temperature_c"]) for r in rows])
    assert np.abs(emc.emc_pct(rounded, h) - printed).max() <= 0.06


def test_second_writing_agrees() -> None:
    """Metric and imperial coefficients are rounded apart: 0.02 % MC at most where the table reaches."""
    apart = [
        abs(float(emc.emc_pct((f - 32.0) / 1.8, h)) - imperial_emc_pct(f, h))
        for f in range(30, 141, 5)
        for h in np.arange(0.05, 0.951, 0.05)
    ]
    assert max(apart) < 0.02


@given(st.floats(-20.0, 60.0), st.floats(0.0, 0.98))
def test_inverse_round_trip(temperature_c: float, rh: float) -> None:
    there = emc.emc_pct(temperature_c, rh)
    assert float(emc.humidity_for_emc(temperature_c, there)) == pytest.approx(rh, abs=1e-10)


def test_inverse_agrees_with_a_bracketing_solver() -> None:
    for t in (-10.0, 5.0, 21.0, 40.0):
        for target in (0.5, 3.0, 6.0, 9.0, 14.0, 20.0):
            theirs = brentq(lambda h, t=t, m=target: float(emc.emc_pct(t, h)) - m, 0.0, 1.0, xtol=1e-13)
            assert float(emc.humidity_for_emc(t, target)) == pytest.approx(theirs, abs=1e-11)


def test_inverse_at_and_beyond_its_ends() -> None:
    top = float(emc.emc_pct(20.0, 1.0))
    h = emc.humidity_for_emc(20.0, [0.0, top, top + 0.01, -0.1, 40.0, np.nan])
    assert h[0] == 0.0
    assert h[1] == pytest.approx(1.0, abs=1e-9)
    assert np.all(np.isnan(h[2:]))


def test_limits() -> None:
    h = np.linspace(0.0, 1.0, 401)
    for t in np.arange(-50.0, 100.1, 2.0):
        curve = emc.emc_pct(t, h)
        assert curve[0] == 0.0
        assert np.all(np.diff(curve) > 0), f"not rising with humidity at {t} °C"


def test_falls_with_temperature_above_freezing() -> None:
    """The fit turns over near 2 °C (4 °C at 30 %): from 5 °C up warmer air of equal humidity draws wood drier."""
    t = np.arange(5.0, 60.1, 0.5)
    for h in np.arange(0.05, 0.96, 0.05):
        assert np.all(np.diff(emc.emc_pct(t, h)) < 0)


@pytest.mark.parametrize("bad", [1.5, 50.0, -0.01])
def test_humidity_in_per_cent_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match=r"rh: found .*; would be right: 0\.\.1"):
        emc.emc_pct(20.0, [0.5, bad])


def test_gaps_pass_through() -> None:
    assert np.isnan(emc.emc_pct([20.0, np.nan], [np.nan, 0.5])).all()


def test_slope_is_the_finite_difference() -> None:
    t, h = np.meshgrid(np.arange(-20.0, 60.1, 5.0), np.arange(0.02, 0.97, 0.02))
    step = 1e-5
    by_difference = (emc.emc_pct(t, h + step) - emc.emc_pct(t, h - step)) / (2 * step)
    np.testing.assert_allclose(emc.emc_slope_pct(t, h), by_difference, rtol=1e-6)


def test_what_lies_outside_the_fit_is_said() -> None:
    assert emc.outside_fit([-20.0, -20.1, 60.0, 60.1, 20.0], [0.5, 0.5, 0.98, 0.5, 0.981]).tolist() == [
        False, True, False, True, True]  # fmt: skip


def test_a_chord_is_the_difference_and_meets_the_slope() -> None:
    """Of the curve with its temperature in: against the handbook's equation, and where both ends meet, its slope."""
    t, near, far = np.meshgrid(np.arange(-20.0, 60.1, 16.0), np.linspace(0.0, 1.0, 8), np.linspace(0.03, 0.97, 7))
    chord = Isotherm.at(t).chord_to(far)
    difference = (emc.emc_pct(t, far) - emc.emc_pct(t, near)) / (far - near)
    np.testing.assert_allclose(chord.slope_from(near), difference, rtol=1e-12)
    np.testing.assert_allclose(chord.slope_from(far), emc.emc_slope_pct(t, far), rtol=1e-12)
    np.testing.assert_allclose(Isotherm.at(t).emc_pct(near), emc.emc_pct(t, near), rtol=1e-14)
