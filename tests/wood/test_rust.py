"""Iron that follows the air late: exact lag, independent integration, and when it sweats."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from scipy.integrate import solve_ivp

from server.wood import air
from server.wood.glass import INDOOR_RESISTANCE_M2_K_PER_W
from server.wood.lag import first_order
from server.wood.rust import CAST_IRON_KG_PER_M3, CAST_IRON_W_PER_M_K, iron_in, time_constant_s

psychrolib.SetUnitSystem(psychrolib.SI)
HOUR_S = 3600.0


def test_a_step_is_the_exponential() -> None:
    t = np.linspace(0, 10 * HOUR_S, 61)
    metal = first_order(t, np.full(61, 20.0), HOUR_S, start=5.0)
    assert metal == pytest.approx(20 - 15 * np.exp(-t / HOUR_S), abs=1e-12)


def test_a_ramp_is_followed_one_time_constant_late() -> None:
    """After a long time y = x - slope tau, and a step of any length lands on the same."""
    t = np.array([0.0, 1e3, 5e3, 5e4, 4e5])
    metal = first_order(t, 2e-4 * t, 3000.0)
    assert metal == pytest.approx(2e-4 * (t - 3000.0 * (1 - np.exp(-t / 3000.0))), abs=1e-9)


def test_an_independent_integration_agrees() -> None:
    """SciPy's solve_ivp on a random record with uneven steps, three time constants at once; 1e-7 K is its tolerance."""
    rng = np.random.default_rng(5)
    t = np.cumsum(rng.uniform(60, 7200, 80))
    x = 15 + np.cumsum(rng.normal(0, 1, 80))
    taus = np.array([600.0, 4000.0, 40000.0])
    ours = first_order(t, np.broadcast_to(x, (3, 80)), taus)
    y = np.full(3, x[0])
    for n in range(1, 80):  # one run from sample to sample, so that no kink is stepped over
        drive = lambda s, n=n: np.interp(s, t[n - 1 : n + 1], x[n - 1 : n + 1])  # noqa: E731
        run = solve_ivp(lambda s, v, f=drive: (f(s) - v) / taus, (t[n - 1], t[n]), y, rtol=1e-10, atol=1e-10)
        y = run.y[:, -1]
        assert ours[:, n] == pytest.approx(y, abs=1e-7)


def test_iron_evens_out_inside_long_before_it_follows_the_air() -> None:
    """A lump may be taken as one where Biot's number h L / k is below 0.1 (textbook rule)."""
    assert (1 / INDOOR_RESISTANCE_M2_K_PER_W) * 0.01 / CAST_IRON_W_PER_M_K < 0.01


def test_time_constant_of_a_plate_by_hand() -> None:
    """20 mm, both faces: 7272 x 0.02 x 420 x 0.13 / 2 = 3,971 s."""
    assert time_constant_s(CAST_IRON_KG_PER_M3 * 0.02, 2.0) == pytest.approx(3971, abs=1)


def test_a_cold_table_sweats_when_the_shop_is_heated_fast() -> None:
    """A shop goes from 6 to 18 °C in an hour while damp comes in: dew point above the metal's, by psychrolib."""
    t = np.arange(0, 8 * HOUR_S, 600.0)
    warm = np.clip(6 + 12 * t / HOUR_S, 6, 18)
    rh = np.full(t.size, 0.70)
    tau = time_constant_s(120, 1.2)
    iron = iron_in(t, warm, rh, tau, start_c=6.0)
    dew = np.array([psychrolib.GetTDewPointFromRelHum(c, 0.70) for c in warm])
    clear = np.abs(dew - iron.metal_c) > 0.01
    assert np.array_equal(iron.sweats[clear], (dew >= iron.metal_c)[clear])
    assert iron.sweats.any()
    assert not iron.sweats[-1]
    assert np.all(iron.rh[iron.sweats & (iron.metal_c > 0.1)] >= 1.0)


def test_iron_at_the_airs_temperature_is_in_the_airs_humidity() -> None:
    t = np.array([0.0, 3600.0, 7200.0])
    iron = iron_in(t, [20.0, 20.0, 20.0], [0.55, 0.62, 0.85], 3000.0)
    assert iron.rh == pytest.approx([0.55, 0.62, 0.85])
    assert iron.may_rust.tolist() == [False, True, True]
    assert iron.rusts.tolist() == [False, False, True]
    assert iron.counts_as_wet.tolist() == [False, False, True]
    cold = iron_in(t, [-5.0, -5.0, -5.0], [0.9, 0.9, 0.9], 3000.0)
    assert not cold.counts_as_wet.any()
    assert air.relative_humidity(20.0, 500.0).shape == ()


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: iron_in([0, 60], [20, 20], [0.5], 600), r"air_c and rh: found shapes air_c \(2,\), rh \(1,\)"),
        (
            lambda: iron_in([60, 0], [20, 20], [0.5, 0.5], 600),
            "time_s: found 0 after 60 at row 1; would be right: each",
        ),
        (lambda: iron_in([0, 60], [20, 80], [0.5, 0.5], 600), "air_c: found 80; would be right: -20 to 50 °C"),
        (lambda: iron_in([0, 60], [20, 20], [0.5, 0.5], 0), "tau_s: found 0; would be right: above 0"),
        (
            lambda: first_order([0, 60], [1, np.nan], 600),
            r"drive: found shape \(2,\) or gaps; would be right: a number",
        ),
        (lambda: time_constant_s(0, 1), "mass_kg: found 0; would be right: above 0 to 5,000 kg"),
    ],
)
def test_bad_input_is_refused(make, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        make()
