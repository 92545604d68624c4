"""A panel's year: the damped wave against closed solutions, the solver against the wave and against a second program,
limits, and what gets in the way of moisture letting less of the year through."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from server.wood.air import saturation_pressure_pa
from server.wood.boards import AIR_FILM_KG_M2_S_PA, SEALED, Boards, film_through
from server.wood.covers import find
from server.wood.cup import cup_mm
from server.wood.diffusivity import LN_RATE_SIGMA, Diffusivity
from server.wood.emc import emc_pct, emc_slope_pct
from server.wood.ensemble import END_OF_80, FILM_FACTOR, GRAVITY_CV
from server.wood.panel import Panel, PanelYear, in_step, mean_response, panel_year
from server.wood.year import DAY_S, YEAR_DAYS, Year
from tests.wood.independent import OneBoard, graded

YEAR = Year(0.30, 0.60, 20.0, 20.0, 46.0, 228.5)
"""A heated house in a cold winter: 6 % in February, 11 % in August. An even wave: half a year between the two."""
D = 3e-11
OMEGA = 2 * np.pi / (YEAR_DAYS * DAY_S)


@cache
def year_of(
    mm: float = 20, front: str = "bare", back: str | None = None, made: float = 8.0, year: Year = YEAR
) -> PanelYear:
    return panel_year(Panel(mm / 1000, 0.47, 0.115, find(front), find(back or front)), year, made)


@cache
def side_by_side(*each: tuple[float, str]) -> tuple[Boards, np.ndarray]:
    """Boards of a thickness and a finish, and their means through the year in step, stepped together."""
    films = film_through([find(cover).resistance_m2_s_pa_kg for _, cover in each])
    boards = Boards.of(
        thickness_m=[mm / 1000 for mm, _ in each], specific_gravity=0.47, volumetric_shrinkage=0.115, top_film=films,
        bottom_film=films,
    )  # fmt: skip
    return boards, boards.mean_pct(in_step(boards, YEAR).profile_pct)[:-1]


def constant(mm: float, top: float, bottom: float) -> Boards:
    return Boards.of(
        thickness_m=mm / 1000, specific_gravity=0.5, volumetric_shrinkage=0.1, diffusivity=Diffusivity.constant(D),
        top_film=top, bottom_film=bottom, cells=60, face_cell_m=6e-5,
    )  # fmt: skip


@pytest.mark.parametrize("mm", [5.0, 40.0, 200.0])
def test_the_wave_is_the_closed_one_where_no_film_holds_it_back(mm: float) -> None:
    """tanh(q) / q with q = l sqrt(i w / D): both faces open, l half the thickness; one open, all of it (Carslaw and
    Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 3.6)."""
    for bottom, depth in ((1.0, mm / 2000), (SEALED, mm / 1000)):
        q = depth * np.sqrt(1j * OMEGA / D)
        assert mean_response(constant(mm, 1.0, bottom), YEAR) == pytest.approx(np.tanh(q) / q, abs=1e-4)


def test_the_wave_of_a_thin_panel_is_a_first_order_lag() -> None:
    """Limit: where only the film resists, 1 / (1 + i w tau), tau = thickness / (2 S)."""
    film = 1e-11
    response = mean_response(constant(2.0, film, film), YEAR)
    lag = OMEGA * 0.001 * _slope_kg_m3_pa() / film
    assert response == pytest.approx(1 / (1 + 1j * lag), rel=2e-3)
    assert 0.2 < abs(response) < 0.9


def _slope_kg_m3_pa() -> float:
    dry = 1000.0 * 0.5 / (1.0 - 0.1 * 20.0 / 30.0)
    rh = float(YEAR.humidity(np.arange(YEAR_DAYS)).mean())
    return dry * float(emc_slope_pct(20.0, rh)) / 100.0 / float(saturation_pressure_pa(20.0))


def test_the_wave_with_two_films_is_a_boundary_value_problem_s() -> None:
    """SciPy's collocation of D M'' = i w M with another film on each face."""
    top, bottom = 2e-10, 3e-11
    boards = constant(30.0, top, bottom)
    speeds = [film / _slope_kg_m3_pa() for film in (top, bottom)]
    scale = OMEGA / D * 0.030**2

    def slope(_: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.vstack([y[1], 1j * scale * y[0]])

    def ends(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        biot = [0.030 * speed / D for speed in speeds]
        return np.array([a[1] - biot[0] * (a[0] - 1), b[1] - biot[1] * (1 - b[0])])

    found = solve_bvp(slope, ends, np.linspace(0, 1, 51), np.zeros((2, 51), complex), tol=1e-6)
    assert found.success
    mean = np.trapezoid(found.sol(np.linspace(0, 1, 2001))[0], dx=1 / 2000)
    assert mean_response(boards, YEAR) == pytest.approx(mean, abs=1e-5)


@pytest.mark.parametrize(("mm", "top", "bottom"), [(25.0, 1.0, 1.0), (40.0, 2e-8, 4e-11)])
def test_the_solver_in_step_is_the_wave(mm: float, top: float, bottom: float) -> None:
    """For a swing so small that sorption is its tangent, and a constant D: amplitude and lag, in finer steps."""
    boards = constant(mm, top, bottom)
    rh = float(YEAR.humidity(np.arange(YEAR_DAYS)).mean())
    small = Year(rh - 5e-3, rh + 5e-3, 20.0, 20.0, YEAR.driest_day, YEAR.dampest_day)
    track = in_step(boards, small, 292)
    day = track.times_s[:-1] / DAY_S
    turn = np.exp(-2j * np.pi * (day - small.dampest_day) / YEAR_DAYS)
    mean, air = boards.mean_pct(track.profile_pct)[:-1, 0], small.emc_pct(day)
    found = ((mean - mean.mean()) * turn).sum() / ((air - air.mean()) * turn).sum()
    assert found == pytest.approx(mean_response(boards, small), abs=2e-3)


def test_a_real_year_is_close_to_its_wave() -> None:
    """Between 6 and 11 % neither D nor the sorption curve stays: still within a twentieth of the swing."""
    each = tuple((mm, cover) for mm in (3, 20, 50, 150) for cover in ("bare", "shellac-3", "epoxy-3"))
    boards, means = side_by_side(*each)
    air = np.ptp(YEAR.emc_pct(np.arange(YEAR_DAYS)))
    for i, one in enumerate(each):
        assert abs(mean_response(boards.take([i]), YEAR)) * air == pytest.approx(np.ptp(means[:, i]), rel=0.05), one
    found = year_of(50, "shellac-3")
    assert found.wave_swing_pct == pytest.approx(found.swing_pct.middle, rel=0.05)
    assert found.wave_lag_days == pytest.approx(found.lag_days, abs=3)


def test_a_second_program_comes_to_the_same_year() -> None:
    """SciPy's LSODA from even moisture through eight years on its own grid, exact diffusivity, the film as it is; the
    tolerance is that of the vocabulary, 0.02 % of the mean."""
    mm, years = 25.0, 8
    cover = find("urethane-varnish-3")
    film = 1 / (1 / AIR_FILM_KG_M2_S_PA + cover.resistance_m2_s_pa_kg)
    day = np.arange(0, years * 365 + 1, dtype=float)
    widths = graded(mm / 1000, 40, 1e-4)
    board = OneBoard(
        widths, specific_gravity=0.47, volumetric_shrinkage=0.115, films=(film, film), times_s=day * DAY_S,
        temperature_c=YEAR.temperature_c(day), humidity_pct=100 * YEAR.humidity(day),
    )  # fmt: skip
    last = day[-366:] * DAY_S
    profiles, _ = board.run(8.0, 20.0, last, rtol=1e-6, atol=1e-6)
    ours = year_of(mm, cover.key).mean_on(day[-366:])
    assert np.abs(profiles @ widths / widths.sum() - ours).max() < 0.02


def test_thin_bare_wood_follows_the_air_and_sealed_wood_stands_still() -> None:
    thin, sealed = year_of(2), year_of(20, "polyethylene-foil")
    assert (thin.lowest_pct.middle, thin.highest_pct.middle) == pytest.approx(YEAR.emc_pct([46, 228.5]), abs=0.02)
    assert abs(thin.lag_days) < 1
    assert 0 < (thin.in_step_days or 0) < 3
    assert sealed.swing_pct.middle < 0.3
    assert sealed.lag_days == pytest.approx(YEAR_DAYS / 4, abs=6), "a slow one turns a quarter of a year late"
    assert sealed.first_lowest_pct >= 7.8
    assert sealed.first_highest_pct < 8.4
    thick = year_of(300)
    assert thick.swing_pct.middle < 0.4
    assert thick.in_step_days is None
    assert thick.lag_days == pytest.approx(YEAR_DAYS / 8, abs=3), "deep wood, an eighth: tanh(q) is 1"


def test_thickness_and_finish_let_less_of_the_year_through() -> None:
    """Common practice, no source; and the closed wave, which falls with both."""
    for cover in ("bare", "shellac-3"):
        _, means = side_by_side(*((mm, cover) for mm in (3, 12, 20, 35, 50)))
        assert (np.diff(np.ptp(means, axis=0)) < 0).all()
    finishes = ("bare", "linseed-oil-3", "urethane-varnish-1", "urethane-varnish-3", "epoxy-3", "polyethylene-foil")
    _, means = side_by_side(*((20, cover) for cover in finishes))
    assert (np.diff(np.ptp(means, axis=0)) < 0).all()
    assert (np.diff(means.argmax(axis=0)) >= 0).all(), "and let it through later"
    assert year_of(20, "shellac-3").bare_swing_pct == pytest.approx(np.ptp(means[:, 0]), abs=1e-6)


def test_the_mean_never_leaves_what_the_air_draws_to_and_what_was_brought() -> None:
    low, high = YEAR.emc_pct([46, 228.5])
    for mm, cover, made in ((20, "shellac-3", 5.0), (50, "bare", 15.0)):
        found = year_of(mm, cover, made=made)
        assert low - 1e-6 <= found.mean_pct.min() <= found.mean_pct.max() <= high + 1e-6
        assert min(low, made) - 1e-6 <= found.first_lowest_pct <= found.first_highest_pct <= max(high, made) + 1e-6
        assert found.lowest_pct.low <= found.lowest_pct.middle <= found.lowest_pct.high
        assert found.swing_pct.low <= found.swing_pct.middle <= found.swing_pct.high


def test_the_spread_is_that_of_a_large_random_ensemble() -> None:
    """500 panels with all that is not known of them drawn at once: the 10th and the 90th percentile of their swings."""
    chance, count, cover = np.random.default_rng(7), 500, find("urethane-varnish-2")
    rate, dense, air, coat = chance.normal(size=(4, count))
    ends = np.where(coat > 0, cover.high_m2_s_pa_kg, cover.low_m2_s_pa_kg) / cover.resistance_m2_s_pa_kg
    coats = cover.resistance_m2_s_pa_kg * ends ** (np.abs(coat) / END_OF_80)
    films = 1 / (1 / (AIR_FILM_KG_M2_S_PA * FILM_FACTOR ** (air / END_OF_80)) + coats)
    gravity = 0.47 * (1 + GRAVITY_CV * dense)
    boards = Boards.of(
        thickness_m=0.03, specific_gravity=gravity, volumetric_shrinkage=0.115 / 0.47 * gravity, top_film=films,
        bottom_film=films, rate_factor=np.exp(LN_RATE_SIGMA * rate),
    )  # fmt: skip
    swings = np.ptp(boards.mean_pct(in_step(boards, YEAR).profile_pct), axis=0)
    low, high = np.quantile(swings, [0.1, 0.9])
    found = year_of(30, cover.key).swing_pct
    assert found.high - found.low == pytest.approx(high - low, rel=0.15)
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.1 * (high - low))


def test_what_it_was_made_at_is_forgotten() -> None:
    dry, damp = (year_of(20, "shellac-3", made=made) for made in (5.0, 12.0))
    assert dry.mean_pct == pytest.approx(damp.mean_pct)
    assert dry.first_lowest_pct < dry.lowest_pct.middle
    assert damp.first_highest_pct > damp.highest_pct.middle


def test_what_it_brings_fades_as_the_first_order_says() -> None:
    """Where the finish alone resists: tau = rho l dEMC/dp / beta, and nine tenths are gone after tau ln 10."""
    found = year_of(6, "epoxy-3")
    dry = 1000.0 * 0.47 / (1.0 - 0.115 * 20.0 / 30.0)
    tau_days = _slope_kg_m3_pa() / (1000.0 * 0.5 / (1.0 - 0.1 * 20.0 / 30.0)) * dry * 0.003
    tau_days *= (1 / AIR_FILM_KG_M2_S_PA + find("epoxy-3").resistance_m2_s_pa_kg) / DAY_S
    assert found.in_step_days == pytest.approx(tau_days * np.log(10), rel=0.12)


def test_turned_over_it_is_its_mirror() -> None:
    one, other = year_of(20, "shellac-3", "bare"), year_of(20, "bare", "shellac-3")
    assert one.mean_pct == pytest.approx(other.mean_pct, abs=1e-9)
    assert one.profile_pct == pytest.approx(other.profile_pct[:, ::-1], abs=1e-9)
    cups = [cup_mm(f.board, f.profile_pct[:, None], 0.00248, 0.6)[:, 0] for f in (one, other)]
    assert cups[0] == pytest.approx(-cups[1], abs=1e-9)
    assert np.abs(cups[0]).max() > 1
    alike = year_of(20, "shellac-3")
    assert np.abs(cup_mm(alike.board, alike.profile_pct[:, None], 0.00248, 0.6)).max() < 1e-9
    assert alike.swing_pct.middle < one.swing_pct.middle < year_of(20).swing_pct.middle


def test_the_drier_face_goes_hollow() -> None:
    """In the damp time the finished front is the drier one: it goes hollow, which counts as positive."""
    found = year_of(20, "shellac-3", "bare")
    cups = cup_mm(found.board, found.profile_pct[:, None], 0.00248, 0.6)[:, 0]
    at = int(np.argmax(cups))
    assert found.profile_pct[at, 0] < found.profile_pct[at, -1]
    assert 90 < found.days[at] < 230, "while the air grows damper"


def test_steps_and_cells_are_fine_enough() -> None:
    boards = year_of(20, "shellac-3").board
    fine = Boards.of(
        thickness_m=0.020, specific_gravity=0.47, volumetric_shrinkage=0.115, top_film=boards.top_film,
        bottom_film=boards.bottom_film, cells=56, face_cell_m=3e-5,
    )  # fmt: skip
    track = in_step(fine, YEAR, 730)
    means = fine.mean_pct(track.profile_pct)[:-1, 0]
    assert np.abs(year_of(20, "shellac-3").mean_on(track.times_s[:-1] / DAY_S) - means).max() < 0.01


def test_a_year_goes_from_its_driest_to_its_dampest_day_and_back() -> None:
    uneven = Year(0.25, 0.70, 18.0, 26.0, 30.0, 230.0)
    days = np.arange(0, 365, 0.5)
    assert float(days[np.argmin(uneven.humidity(days))]) == 30.0
    assert float(days[np.argmax(uneven.humidity(days))]) == 230.0
    assert float(uneven.emc_pct(230.0)) == pytest.approx(float(emc_pct(26.0, 0.70)))
    assert uneven.share(395.0) == pytest.approx(uneven.share(30.0))
    air = uneven.air([0.0, 100.0], 73)
    assert air.zones == 2
    assert air.end_c[:-1] == pytest.approx(air.start_c[1:])
    assert air.start_pa[20, 0] == pytest.approx(air.start_pa[0, 1])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"dry_rh": 0.7}, "dry_rh: found 13.1 % EMC at the driest time"),
        ({"damp_rh": 1.2}, "damp_rh: found 1.2; would be right: 0 to 1"),
        ({"dry_c": 80.0}, "dry_c: found 80"),
        ({"dampest_day": 60.0}, "dampest_day: found 14 days after the driest; would be right: 30 to 335"),
        ({"driest_day": 400.0}, "driest_day: found 400"),
    ],
)
def test_a_year_that_cannot_be_is_refused(change: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        replace(YEAR, **change)


def test_air_that_never_changes_leaves_nothing_to_move() -> None:
    still = year_of(20, year=Year(0.4, 0.4, 20.0, 20.0, 46.0, 228.5))
    assert still.swing_pct.middle == pytest.approx(0.0, abs=1e-9)
    assert still.lowest_pct.middle == pytest.approx(float(emc_pct(20.0, 0.4)))


@pytest.mark.parametrize(
    ("mm", "gravity", "year"),
    [
        (0.3, 0.1, Year(0.1, 0.8, 20.0, 20.0, 10.0, 200.0)),
        (120.0, 0.9, Year(0.2, 0.5, 20.0, 20.0, 300.0, 120.0)),
        (20.0, 0.4, Year(0.45, 0.55, 10.0, 5.0, 180.0, 1.0)),
    ],
)
def test_from_a_veneer_to_a_beam_there_are_figures(mm: float, gravity: float, year: Year) -> None:
    panel = Panel(mm / 1000, gravity, 0.27 * gravity, find("paraffin-dipped"), find("bare"))
    found = panel_year(panel, year, 30.0)
    assert np.isfinite(found.profile_pct).all()
    assert found.profile_pct.min() >= 0.0
    assert found.lowest_pct.middle <= found.highest_pct.middle
    assert found.first_highest_pct == pytest.approx(30.0)


def test_a_year_may_draw_further_than_at_its_ends_and_a_slow_panel_still_comes_round() -> None:
    """Found by chance: a mild middle between a cold and a warm end draws to more than either; dense beams are slow."""
    beyond = Year(0.642, 0.655, 20.3, -18.7, 180.7, 362.7)
    assert beyond.ends_pct()[1] > float(beyond.emc_pct(beyond.dampest_day)) + 0.3
    every = beyond.emc_pct(np.arange(YEAR_DAYS))
    for mm, gravity, year, front, back in (
        (200.0, 0.3, beyond, "linseed-oil-1", "linseed-oil-1"),
        (300.0, 0.95, Year(0.155, 0.492, 7.7, 27.3, 248.0, 279.0), "linseed-oil-1", "polyethylene-sheet-015"),
    ):
        films = [film_through(find(cover).resistance_m2_s_pa_kg) for cover in (front, back)]
        boards = Boards.of(
            thickness_m=mm / 1000, specific_gravity=gravity, volumetric_shrinkage=0.27 * gravity, top_film=films[0],
            bottom_film=films[1],
        )  # fmt: skip
        track = in_step(boards, year)
        means = boards.mean_pct(track.profile_pct)[:, 0]
        assert means[-1] == pytest.approx(means[0], abs=1e-3)
        assert track.profile_pct[-1] == pytest.approx(track.profile_pct[0], abs=1e-2)
    assert every.min() < year_of(200, "linseed-oil-1", year=beyond).lowest_pct.middle < every.max()


def test_days_are_short_enough_where_the_air_goes_far() -> None:
    """Nearly dry to nearly saturated in a month: within 0.01 % of four steps a day."""
    far = Year(0.30, 0.90, 0.0, 25.0, 46.0, 80.0)
    board = year_of(20, year=far).board
    fine = board.mean_pct(in_step(board, far, 1460).profile_pct)[:, 0]
    found = year_of(20, year=far)
    assert (found.lowest_pct.middle, found.highest_pct.middle) == pytest.approx((fine.min(), fine.max()), abs=0.01)


def test_even_thin_wood_is_no_surer_than_the_curve() -> None:
    """Bare veneer is where the air draws it: the curve's own scatter, 0.4 % one standard deviation, is what is left."""
    thin = year_of(1)
    for end in (thin.lowest_pct, thin.highest_pct):
        assert end.high - end.middle == pytest.approx(1.2816 * 0.4, abs=0.01)
        assert end.middle - end.low == pytest.approx(1.2816 * 0.4, abs=0.01)
    assert thin.swing_pct.high - thin.swing_pct.low < 0.05
