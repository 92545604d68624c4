"""How far off a lot may be that may lie otherwise, beside the solver, Crank's series and the bounds it must keep."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from server.wood.air_series import AirSeries
from server.wood.astray import Astray, astray, share_gone
from server.wood.boards import Boards, film_through
from server.wood.covers import find
from server.wood.emc import emc_pct
from server.wood.moisture import Moisture
from server.wood.transport import advance

DAY_S = 86_400.0
CHERRY: dict[str, Any] = {"specific_gravity": 0.47, "volumetric_shrinkage": 0.115}
FILM = float(film_through(find("wrapped").resistance_m2_s_pa_kg))
EMC = float(emc_pct(20.0, 0.35))


def board(thickness_m: float = 0.025, top: float = 2e-8, bottom: float = 2e-8) -> Boards:
    return Boards.of(thickness_m=thickness_m, top_film=top, bottom_film=bottom, **CHERRY)


def after(boards: Boards, from_pct: float, days: float) -> np.ndarray[Any, Any]:
    """The solver's profile of boards that were even, in 20 °C and 35 %."""
    start = Moisture.of_profile(boards, np.full((1, boards.cells), from_pct), np.full(1, 20.0))
    air = AirSeries.constant(np.linspace(0, days * DAY_S, round(24 * days) + 1), 20.0, 35.0)
    return advance(boards, start, air).profile_pct


@pytest.mark.parametrize("parts", [(0.025, 2e-8, 2e-8), (0.05, 2e-8, 2e-8), (0.025, FILM, FILM), (0.025, 2e-8, 0.0)])
@pytest.mark.parametrize("days", [1.0, 7.0, 30.0, 100.0])
def test_the_share_gone_is_the_solvers(parts: tuple[float, float, float], days: float) -> None:
    """Bare, thick, wrapped, one face down: at most an eighth too much, and never too little."""
    one = board(*parts)
    profile = after(one, EMC + 2.0, days)
    gone = (EMC + 2.0 - one.mean_pct(profile)[0]) / 2.0
    found = share_gone(one, np.full(1, days * DAY_S), EMC + 1.0, 20.0)[0]
    assert gone < found + 0.002
    assert found < 1.125 * gone + 0.002
    if parts[1] == parts[2] == 2e-8:
        shell = (EMC + 2.0 - one.shell_pct(profile)[0]) / 2.0
        assert shell - 0.005 < np.tanh(3.0 * found) < 1.2 * shell


@pytest.mark.parametrize("of_square", [0.01, 0.1, 0.3])
def test_the_share_gone_without_a_film_is_cranks(of_square: float) -> None:
    """Crank, The Mathematics of Diffusion, eq. 4.18 (recalled): a sheet's mean by D t / l²; 1 % for terms left out."""
    one = board(top=1.0, bottom=1.0)
    t_s = of_square * 0.0125**2 / float(one.diffusivity.at(8.0, 20.0)[0])
    odd = (2 * np.arange(400) + 1) ** 2
    series = 1.0 - float((8.0 / (odd * np.pi**2) * np.exp(-odd * np.pi**2 / 4.0 * of_square)).sum())
    assert share_gone(one, np.full(1, t_s), 8.0, 20.0)[0] == pytest.approx(series, rel=0.01)


def of(written: Boards, held_pct: float, days: float, elsewhere: tuple[float, float] = (0.0, 0.0)) -> Astray:
    profile = np.full((1, written.cells), held_pct)
    other = EMC + np.array([elsewhere])
    return astray(written, board(), profile, np.full(1, 20.0), np.full(1, days * DAY_S), np.full(1, EMC), other)


def test_a_wrapped_lot_is_off_by_what_the_solver_has_it_go_were_it_open() -> None:
    """Even at 8 %, then wrapped, or open from the limit on, for 20 days: the difference of both runs."""
    wrapped, days, held = board(top=FILM, bottom=FILM), 20.0, EMC + 1.5
    as_written = after(wrapped, held, days)
    found = astray(
        wrapped, board(), as_written, np.full(1, 20.0), np.full(1, days * DAY_S), np.full(1, EMC), np.full((1, 2), EMC)
    )
    right = board().mean_pct(after(board(), held, days)) - wrapped.mean_pct(as_written)
    assert found.mean_pct[0, 0] == pytest.approx(right[0], rel=0.1)
    assert found.mean_pct[0, 1] == 0.0  # dry air makes nothing damper
    assert found.shell_pct[0, 0] < found.mean_pct[0, 0] < 0.0


def test_nothing_is_off_up_to_the_limit_and_more_and_more_after_it() -> None:
    wrapped = board(top=FILM, bottom=FILM)
    for days in (-3.0, 0.0):
        assert not of(wrapped, EMC + 1.5, days).mean_pct.any()
    ages = [0.1, 1, 3, 7, 15, 30, 60, 200]
    drier = [of(wrapped, EMC + 1.5, days).mean_pct[0, 0] for days in ages]
    assert all(later < earlier < 0.0 for earlier, later in pairwise(drier[:-1]))
    assert min(drier) > -1.5 - 1e-9  # it goes no further than its air
    apart = [of(board(), EMC, days, (-1.0, 2.0)).mean_pct[0] for days in ages]
    assert all(later[0] <= earlier[0] and later[1] >= earlier[1] for earlier, later in pairwise(apart))
    assert apart[-1] == pytest.approx([-1.0, 2.0])


def test_a_sealed_lot_that_was_opened_is_off_and_one_that_lies_open_in_the_only_zone_is_not() -> None:
    assert of(board(top=0.0, bottom=0.0), EMC + 2.0, 30.0).mean_pct[0, 0] < -0.5
    assert not of(board(), EMC + 2.0, 30.0).mean_pct.any()
    assert not Astray.none(2).core_pct.any()
