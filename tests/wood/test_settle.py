"""Settling: the scale the design names, limits, a second program, and the spread against a large random ensemble."""

from __future__ import annotations

import numpy as np
import pytest

from server.wood.air_series import AirSeries
from server.wood.boards import AIR_FILM_KG_M2_S_PA, Boards
from server.wood.covers import UnknownCover, find
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.ensemble import END_OF_80, FILM_FACTOR, GRAVITY_CV
from server.wood.moisture import Moisture
from server.wood.outcome import DAY_S
from server.wood.settle import Piece, growing_edges, one_board, settle
from server.wood.transport import follow
from tests.wood.independent import OneBoard, graded

CHERRY = Piece(0.025, 0.47, 0.115)


def test_the_scale() -> None:
    """25 mm of basic specific gravity 0.47, both faces bare, from 8 % into 21 °C and 30 %: half way in about 16 days,
    nine tenths in about 73 (the design's figures for scale, not a published value)."""
    found = settle(CHERRY, 8.0, 21.0, 0.30)
    assert found.half.days == pytest.approx(16, abs=1)
    assert found.ninety.days == pytest.approx(73, rel=0.05)


def test_twice_as_thick_takes_four_times_as_long() -> None:
    """Common practice, no source; Fourier's number says it exactly where no film holds back."""
    thin, thick = (settle(Piece(t, 0.47, 0.115), 8.0, 21.0, 0.30) for t in (0.025, 0.050))
    assert thick.half.days / thin.half.days == pytest.approx(4.0, rel=0.02)  # type: ignore[operator]
    assert thick.settled.days / thin.settled.days == pytest.approx(4.0, rel=0.02)  # type: ignore[operator]


def test_a_second_program_comes_to_the_same_days() -> None:
    """SciPy's LSODA on 120 cells to 1e-7; the product's grid and steps within 1 % of the time."""
    found = settle(CHERRY, 8.0, 21.0, 0.30)
    cells = graded(0.025, 120, 4e-5)
    at = DAY_S * np.linspace(0.25, 90, 360)
    board = OneBoard(
        cells, specific_gravity=0.47, volumetric_shrinkage=0.115, films=(2e-8, 2e-8), times_s=[0.0, 91 * DAY_S],
        temperature_c=[21.0, 21.0], humidity_pct=[30.0, 30.0],
    )  # fmt: skip
    profiles, _ = board.run(8.0, 21.0, at, rtol=1e-7, atol=1e-7)
    done = (8.0 - profiles @ cells / 0.025) / (8.0 - found.target_pct)
    for share, ours in ((0.5, found.half.days), (0.9, found.ninety.days)):
        assert float(np.interp(share, done, at / DAY_S)) == pytest.approx(ours, rel=0.01)
    middle = np.cumsum(cells) - cells / 2
    core = profiles[:, np.abs(middle - 0.0125) < 0.025 / 6].mean(axis=1)
    assert found.settled.days == pytest.approx(float(np.interp(-0.5, found.target_pct - core, at / DAY_S)), rel=0.03)


def test_the_spread_is_that_of_a_large_random_ensemble() -> None:
    """2,000 boards with the same scatter drawn at random: both ends of the central 80 % within a tenth of the time."""
    rng = np.random.default_rng(5)
    n = 2000
    gravity = 0.47 * (1 + GRAVITY_CV * rng.normal(size=n))
    film = AIR_FILM_KG_M2_S_PA * np.exp(np.log(FILM_FACTOR) / END_OF_80 * rng.normal(size=n))
    boards = Boards.of(
        thickness_m=0.025, specific_gravity=gravity, volumetric_shrinkage=0.115 / 0.47 * gravity,
        rate_factor=np.exp(LN_RATE_SIGMA * rng.normal(size=n)), top_film=film, bottom_film=film,
    )  # fmt: skip
    edges = np.concatenate([[0.0], DAY_S * np.geomspace(0.01, 400, 140)])
    _, track = follow(
        boards, Moisture.even(boards, 8.0, 21.0), AirSeries.constant(edges, 21.0, 30.0), longest_step_s=np.inf
    )
    found = settle(CHERRY, 8.0, 21.0, 0.30)
    done = (8.0 - boards.mean_pct(track.profile_pct)) / (8.0 - found.target_pct)
    half = np.array([np.interp(0.5, one, edges / DAY_S) for one in done.T])
    low, high = np.quantile(half, [0.1, 0.9])
    assert found.half.low == pytest.approx(low, rel=0.1)
    assert found.half.high == pytest.approx(high, rel=0.1)


def test_limits() -> None:
    there = settle(CHERRY, 6.2, 21.0, 0.30)
    assert there.settled.days == 0.0
    sealed = settle(Piece(0.025, 0.47, 0.115, True, 1e16), 8.0, 21.0, 0.30)
    assert (sealed.half.days, sealed.settled.days) == (None, None)
    one, both = (settle(Piece(t, 0.47, 0.115, faces), 8.0, 21.0, 0.30) for t, faces in ((0.02, False), (0.04, True)))
    assert one.half.days == pytest.approx(both.half.days, rel=0.02)


def test_nothing_is_reckoned_past_ten_years() -> None:
    assert growing_edges(0)[-1] == growing_edges(3650)[-1] == 3652.5 * DAY_S
    beam = settle(Piece(0.155, 0.47, 0.115), 8.0, 21.0, 0.30)
    for days in (beam.half, beam.ninety, beam.settled):
        assert all(d is None or d <= 3652.5 for d in (days.days, days.low))


def test_a_pile_is_one_board_as_thick_as_all_of_it() -> None:
    """Three of 20 mm, one on another, have the profile of one of 60 mm: a second program looks at its middle third and
    its top third. Flat on a bench the lowest is the last."""
    found = settle(Piece(0.020, 0.47, 0.115), 8.0, 21.0, 0.30, pile=3)
    whole = one_board(Piece(0.060, 0.47, 0.115))
    edges = growing_edges(0)
    air = AirSeries.constant(edges, 21.0, 30.0)
    _, track = follow(whole, Moisture.even(whole, 8.0, 21.0), air, longest_step_s=np.inf)
    for third, ours in ((1, found), (0, found.outer)):
        mean = whole.mean_between(track.profile_pct, third / 3, (third + 1) / 3)[:, 0]
        half = np.interp(-0.5 * (8.0 + found.target_pct), -mean, edges / DAY_S)
        assert ours is not None
        assert ours.half.days == pytest.approx(half, rel=0.001)
    bench = settle(Piece(0.020, 0.47, 0.115, False), 8.0, 21.0, 0.30, pile=2)
    both = settle(Piece(0.020, 0.47, 0.115), 8.0, 21.0, 0.30, pile=4)
    assert bench.settled.days == pytest.approx(both.settled.days, rel=0.01)


def test_a_board_on_a_bench_is_judged_by_its_covered_face_too() -> None:
    """Its shells together have the mean of its core all along; the one below is the last to settle."""
    found = settle(Piece(0.020, 0.47, 0.115, False), 8.0, 21.0, 0.30, days=400)
    day = int(np.ceil(found.settled.days or 0.0))
    board = one_board(Piece(0.020, 0.47, 0.115, False))
    air = AirSeries.constant(DAY_S * np.arange(day + 1), 21.0, 30.0)
    after, _ = follow(board, Moisture.even(board, 8.0, 21.0), air, [])
    assert board.mean_between(after.profile_pct, 5 / 6, 1.0)[0] - found.target_pct == pytest.approx(0.5, abs=0.01)
    assert found.series[day][2] - found.target_pct < 0.45


def test_days_bound_the_series_alone() -> None:
    short, long = (settle(CHERRY, 8.0, 21.0, 0.30, days=days) for days in (0, 30))
    assert [row[0] for row in short.series] == [0.0]
    assert [row[0] for row in long.series] == [float(d) for d in range(31)]
    assert long.settled.days == pytest.approx(short.settled.days, rel=0.002)
    means = [row[1] for row in long.series]
    assert means == sorted(means, reverse=True)
    assert all(shell <= mean <= core for _, mean, shell, core in long.series[1:])


def test_an_unsure_start_widens_the_spread() -> None:
    sure, unsure = (settle(CHERRY, 8.0, 21.0, 0.30, start_half_pct=half) for half in (0.0, 1.0))
    assert unsure.settled.high > sure.settled.high  # type: ignore[operator]


def test_a_cover_nobody_knows_is_refused_with_those_like_it() -> None:
    assert find("bare").resistance_m2_s_pa_kg == 0.0
    with pytest.raises(UnknownCover, match="would be right: one of wrapped"):
        find("wraped")
    with pytest.raises(UnknownCover, match=r"one of shellac-2, shellac-3$"):
        find("Shellac")


def test_an_unsure_cover_widens_the_spread() -> None:
    ends = [None, (2e9, 6e9)]
    sure, unsure = (settle(Piece(0.025, 0.47, 0.115, True, 4e9, e), 8.0, 21.0, 0.30) for e in ends)
    assert unsure.half.days == sure.half.days
    assert unsure.half.low < sure.half.low  # type: ignore[operator]
    assert unsure.half.high > sure.half.high  # type: ignore[operator]
