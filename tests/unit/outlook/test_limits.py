"""Records that are constant, short, gapped, late or wrong."""

from __future__ import annotations

import numpy as np
import pytest

from server.outlook import outlook
from server.reading import OutlookPoint
from tests.unit.outlook.conftest import HOUR_MS, Recipe

FIRST_H = 450_000


def hours(count: int) -> np.ndarray:
    return (FIRST_H + np.arange(count)) * HOUR_MS


def after(emc: np.ndarray, latest: float | None = None, **more: float) -> tuple[OutlookPoint, ...]:
    """The outlook at the hour that follows a record starting at FIRST_H."""
    now_ms = int((FIRST_H + emc.size) * HOUR_MS)
    return outlook(hours(emc.size), emc, now_ms, float(emc[-1]) if latest is None else latest, **more)


def widths(points: tuple[OutlookPoint, ...]) -> np.ndarray:
    return np.array([p.emc_high_pct - p.emc_low_pct for p in points])


@pytest.mark.parametrize("days", [1, 10, 100, 430])
def test_a_constant_record_stays_constant(days: int) -> None:
    points = after(np.full(24 * days, 8.0))
    np.testing.assert_allclose([p.emc_pct for p in points], 8.0, atol=1e-9)
    if days >= 100:
        assert widths(points).max() < 0.1


@pytest.mark.parametrize("days", [1, 3, 20, 330])
def test_starts_at_the_latest_value_without_width_and_never_narrows(days: int, recipe: Recipe) -> None:
    emc = recipe.record(24 * days, 5)
    points = after(emc, 7.7)
    assert (points[0].emc_pct, points[0].emc_low_pct, points[0].emc_high_pct) == (7.7, 7.7, 7.7)
    assert points[0].t_ms == (FIRST_H + emc.size) * HOUR_MS
    assert np.all(np.diff(widths(points)) > -1e-9)
    assert widths(points)[-1] > 0.5
    assert all(p.emc_low_pct <= p.emc_pct <= p.emc_high_pct for p in points)


def test_hours_and_steps(recipe: Recipe) -> None:
    emc = recipe.record(24 * 30, 6)
    every, second = after(emc), after(emc, hours=48, step_h=2)
    assert len(every) == 97
    assert len(second) == 25
    assert second[1].t_ms - second[0].t_ms == 2 * HOUR_MS
    assert second[12].emc_pct == pytest.approx(every[24].emc_pct, abs=0.02)


def test_under_two_days_it_is_as_it_is_now(recipe: Recipe) -> None:
    points = after(recipe.record(30, 7), 9.1)
    assert {p.emc_pct for p in points} == {9.1}
    assert 0.5 < widths(points)[24] < widths(points)[96] < 2.0


def test_a_first_reading_is_enough() -> None:
    points = outlook([], [], FIRST_H * HOUR_MS, 6.3)
    assert points[-1].emc_pct == 6.3


def test_the_daily_cycle_is_carried_on() -> None:
    """Three quiet weeks with a cycle of ±0.5 %: the next days show it, hour by hour, on the shop's clock."""
    at = FIRST_H + np.arange(24 * 22)
    points = after(8.0 + 0.5 * np.sin(2 * np.pi * at / 24), utc_offset_h=-5.0)
    ahead = FIRST_H + at.size + np.arange(97)
    expected = 8.0 + 0.5 * np.sin(2 * np.pi * ahead / 24)
    np.testing.assert_allclose([p.emc_pct for p in points[24:]], expected[24:], atol=0.12)


def test_the_season_pulls_where_a_fortnight_would_not(recipe: Recipe) -> None:
    """With a year behind it, a departure dies towards that time of the year, not towards the last two weeks."""
    calm = Recipe(sd_pct=0.3, season_pct=3.0, day_pct=0.0)
    emc = calm.record(24 * 700, 8)
    season = 8.0 + 3.0 * np.cos(2 * np.pi * (FIRST_H + emc.size + 96) / 8765.82)
    assert after(emc, emc[-1])[-1].emc_pct == pytest.approx(season, abs=0.3)


def test_gaps_are_left_out(recipe: Recipe) -> None:
    """A third of all hours missing, and a week in the middle: nearly the outlook of the whole record."""
    emc = recipe.record(24 * 90, 9)
    holed = np.where(np.random.default_rng(1).random(emc.size) < 0.33, np.nan, emc)
    holed[1000:1168] = np.nan
    whole, part = after(emc), after(holed, float(emc[-1]))
    assert all(np.isfinite([p.emc_pct, p.emc_low_pct, p.emc_high_pct]).all() for p in part)
    np.testing.assert_allclose([p.emc_pct for p in part], [p.emc_pct for p in whole], atol=0.35)
    rows = np.isfinite(holed)
    now_ms = (FIRST_H + emc.size) * HOUR_MS
    assert outlook(hours(emc.size)[rows], holed[rows], now_ms, float(emc[-1])) == part


def test_order_of_rows_does_not_matter(recipe: Recipe) -> None:
    emc, now_ms = recipe.record(24 * 40, 10), (FIRST_H + 24 * 40) * HOUR_MS
    mixed = np.random.default_rng(2).permutation(emc.size)
    assert outlook(hours(emc.size)[mixed], emc[mixed], now_ms, 8.0) == outlook(hours(emc.size), emc, now_ms, 8.0)


def test_half_hours_are_averaged_into_hours(recipe: Recipe) -> None:
    emc, now_ms = recipe.record(24 * 40, 16), (FIRST_H + 24 * 40) * HOUR_MS
    bins = np.sort(np.concatenate([hours(emc.size), hours(emc.size) + HOUR_MS // 2]))
    ragged = np.repeat(emc, 2) + np.tile([0.25, -0.25], emc.size)
    halves, whole = outlook(bins, ragged, now_ms, 8.0), outlook(hours(emc.size), emc, now_ms, 8.0)
    np.testing.assert_allclose([p.emc_pct for p in halves], [p.emc_pct for p in whole], atol=1e-9)


def test_same_in_same_out(recipe: Recipe) -> None:
    emc = recipe.record(24 * 330, 11)
    assert after(emc) == after(emc.copy())


def test_without_a_latest_value_the_last_hour_starts_it_as_old_as_it_is(recipe: Recipe) -> None:
    emc = recipe.record(24 * 60, 12)
    now_ms = (FIRST_H + emc.size + 5) * HOUR_MS
    late = outlook(hours(emc.size), emc, now_ms, float("nan"))
    fresh = outlook(hours(emc.size), emc, int(hours(emc.size)[-1]), float(emc[-1]), hours=102)
    assert late[0].t_ms == now_ms
    assert late[0].emc_pct == pytest.approx(fresh[6].emc_pct, abs=0.02)
    assert widths(late)[0] > 0.1


def test_nothing_heard_for_a_day_says_nothing(recipe: Recipe) -> None:
    emc = recipe.record(24 * 60, 13)
    assert outlook(hours(emc.size), emc, (FIRST_H + emc.size + 30) * HOUR_MS, float("nan")) == ()
    assert outlook([], [], FIRST_H * HOUR_MS, float("nan")) == ()
    assert outlook(hours(24), np.full(24, np.nan), (FIRST_H + 24) * HOUR_MS, float("nan")) == ()


def test_just_back_from_a_long_silence(recipe: Recipe) -> None:
    emc = recipe.record(24 * 400, 14)
    emc[-24 * 30 : -3] = np.nan
    points = after(emc, 8.4)
    assert points[0].emc_pct == 8.4
    assert np.isfinite([p.emc_high_pct for p in points]).all()
    short = after(emc[: 24 * 100 - 3], 8.4)
    assert np.isfinite([p.emc_high_pct for p in short]).all()


def test_rows_after_now_are_not_peeked_at(recipe: Recipe) -> None:
    emc = recipe.record(24 * 60, 15)
    now_ms = int(hours(emc.size)[24 * 50])
    seen = outlook(hours(24 * 50), emc[: 24 * 50], now_ms, 8.0)
    assert outlook(hours(emc.size), emc, now_ms, 8.0) == seen


@pytest.mark.parametrize("edge", [0.2, 29.8])
def test_stays_between_bone_dry_and_fibre_saturation(edge: float) -> None:
    wild = np.clip(edge + np.random.default_rng(3).normal(0, 2.0, 24 * 60), 0, 30)
    points = after(wild, edge)
    assert min(p.emc_low_pct for p in points) >= 0.0
    assert max(p.emc_high_pct for p in points) <= 30.0


def test_wrong_calls_say_what_would_be_right() -> None:
    with pytest.raises(ValueError, match=r"found shapes \(3,\) and \(2,\); would be right: one row each"):
        outlook([0, 1, 2], [8.0, 8.0], 0, 8.0)
    with pytest.raises(ValueError, match=r"hours and step_h: found 0 and 1; would be right: 1 or more"):
        outlook([], [], 0, 8.0, hours=0)
