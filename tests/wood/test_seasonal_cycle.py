"""The seasonal cycle of EN 15757 (from memory; the standard was not read) on constructed records: against a computation
of its own in NumPy, where arithmetic says what it must be, and in its limits.
"""

from __future__ import annotations

import numpy as np
import pytest

from server.wood.seasonal_cycle import seasonal_cycle

DAYS = 400


def record(step_h: float, seed: int = 5) -> np.ndarray:
    """A year's wave, weather that is forgotten in three days, a day's swing, and a week nobody heard."""
    hours = np.arange(0.0, DAYS * 24.0, step_h)
    chance = np.random.default_rng(seed)
    weather, kept = np.zeros(hours.size), np.exp(-step_h / 72.0)
    for i in range(1, hours.size):
        weather[i] = kept * weather[i - 1] + chance.normal(0.0, 4.0 * np.sqrt(1 - kept**2))
    values = 45.0 - 12.0 * np.cos(2 * np.pi * hours / 8766.0) + weather + 2.0 * np.cos(2 * np.pi * hours / 24.0)
    values[(hours >= 200 * 24) & (hours < 207 * 24)] = np.nan
    return values


def plainly(values: np.ndarray, step_h: float) -> tuple[np.ndarray, float, float]:
    """Independent: each reading's window by the overlap of half its reach with the steps about it, sorted ranks."""
    middle = np.arange(values.size) * step_h
    cycle = np.full(values.size, np.nan)
    for i in range(values.size):
        overlap = np.minimum(middle + step_h / 2, middle[i] + 360.0) - np.maximum(
            middle - step_h / 2, middle[i] - 360.0
        )
        weight = np.maximum(overlap, 0.0)
        heard = weight * np.isfinite(values)
        if weight.sum() > 720.0 - 1e-6 and heard.sum() >= 0.75 * 720.0:
            cycle[i] = np.average(np.nan_to_num(values), weights=heard)
    ranked = np.sort((values - cycle)[np.isfinite(values - cycle)])
    at = np.array([0.07, 0.93]) * (ranked.size - 1)
    low, high = np.interp(at, np.arange(ranked.size), ranked)
    return cycle, float(low), float(high)


@pytest.mark.parametrize("step_h", [1.0, 0.9, 6.0, 24.0])
def test_it_is_what_a_loop_of_its_own_makes_of_the_same_record(step_h: float) -> None:
    values = record(step_h)
    found = seasonal_cycle(values, step_h)
    cycle, low, high = plainly(values, step_h)
    np.testing.assert_allclose(found.cycle, cycle, atol=1e-9)  # rounding of sums of 720 figures
    assert (found.low, found.high) == (pytest.approx(low, abs=1e-9), pytest.approx(high, abs=1e-9))


def test_a_seventh_lies_outside_half_of_it_on_each_side() -> None:
    values = record(1.0)
    found = seasonal_cycle(values, 1.0)
    known = np.isfinite(values - found.cycle)
    assert found.outside(values)[known].mean() == pytest.approx(0.14, abs=2.0 / known.sum())
    assert not found.outside(values)[~known].any()
    departure = (values - found.cycle)[known]
    assert np.mean(departure < found.low) == pytest.approx(0.07, abs=1.0 / known.sum())


def test_the_mean_of_thirty_days_keeps_of_a_wave_what_arithmetic_says() -> None:
    """Closed form: a wave of period P through a mean over w keeps sin(pi w/P) / (pi w/P) of itself: 0.989 of a year's,
    0.827 of one of 90 days, nothing of a day's; so that is all departure, its 93rd percentile cos(0.14 pi/2)."""
    hours = np.arange(0.0, 800 * 24.0)
    for period_h in (8766.0, 90 * 24.0):
        wave = np.cos(2 * np.pi * hours / period_h)
        kept = np.sinc(720.0 / period_h)
        np.testing.assert_allclose(seasonal_cycle(wave, 1.0).cycle[400:-400], kept * wave[400:-400], atol=2e-6)
    daily = seasonal_cycle(np.cos(2 * np.pi * np.arange(0.0, 90 * 24.0, 0.1) / 24.0), 0.1)
    assert np.nanmax(np.abs(daily.cycle)) < 1e-9
    assert daily.high == pytest.approx(np.cos(0.14 * np.pi / 2), abs=0.02)
    assert daily.low == pytest.approx(-daily.high, abs=1e-6)


def test_air_that_never_moves_has_no_band_and_a_straight_line_none_either() -> None:
    still, straight = np.full(2000, 40.0), np.linspace(30.0, 60.0, 2000)
    for values in (still, straight):
        found = seasonal_cycle(values, 1.0)
        assert np.count_nonzero(np.isfinite(found.cycle)) == 2000 - 720
        assert (found.low, found.high) == (pytest.approx(0.0, abs=1e-9), pytest.approx(0.0, abs=1e-9))


@pytest.mark.parametrize(
    ("values", "step_h", "says"),
    [
        (np.ones(700), 1.0, "values: found 29.2 days; would be right: 30 days and more, most of them heard"),
        (np.full(2000, np.nan), 1.0, "values: found 83.3 days; would be right: 30 days"),
        (np.ones((2, 2000)), 1.0, "values: found 2 dimensions; would be right: one row of readings"),
        (np.ones(2000), 0.0, "step_h: found 0.0; would be right: more than 0, at most 24"),
        (np.ones(2000), 48.0, "step_h: found 48.0; would be right: more than 0, at most 24"),
    ],
)
def test_bad_input_is_named(values: np.ndarray, step_h: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        seasonal_cycle(values, step_h)
