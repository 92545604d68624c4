"""The shell's tension index: its sign, its limits, what it scales with, and a strip that is really held."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from server.wood.boards import Boards
from server.wood.cup import ShellStrength, cup_course
from server.wood.settle import Piece
from server.wood.shell import drier_shell_pct, tension_index

CT, ET_MPA, STRENGTH_MPA = 0.00248, 974.0, 3.9
"""Black cherry: Wood Handbook Tables 13-5 (read), 5-1 and 5-3 as server/wood/strength.csv has them."""
VALUES = {"thickness_m": 0.025, "specific_gravity": 0.47, "volumetric_shrinkage": 0.115}
CHERRY = {"coefficient": CT, "across_mpa": ET_MPA, "strength_mpa": STRENGTH_MPA}


def profiles(seed: int, count: int = 1) -> tuple[Boards, np.ndarray]:
    boards = Boards.of(**VALUES)
    return boards, np.random.default_rng(seed).uniform(3, 20, (count, boards.cells))


def test_a_dry_surface_is_stretched_a_damp_one_pressed_and_an_even_board_neither() -> None:
    boards = Boards.of(**VALUES)
    depth = np.abs(np.linspace(-1, 1, boards.cells))[None]
    dry, damp, even = (float(tension_index(boards, 9.0 + k * depth**4, **CHERRY)[0]) for k in (-3.0, 3.0, 0.0))
    assert dry > 0
    assert damp == pytest.approx(-dry)
    assert even == pytest.approx(0.0, abs=1e-12)


def test_one_per_cent_between_mean_and_shell() -> None:
    """By hand: 0.00248 x 1 x 974 / 3.9 = 0.619."""
    boards = Boards.of(**VALUES, cells=240, face_cell_m=0.025 / 240)
    profile = np.full((1, 240), 9.0)
    profile[:, :40] = profile[:, -40:] = 7.5  # the shells; the mean is 8.5
    assert tension_index(boards, profile, **CHERRY)[0] == pytest.approx(0.00248 * 974 / 3.9, rel=1e-9)


@settings(max_examples=40)
@given(seed=st.integers(0, 2**31), factor=st.floats(0.1, 10))
def test_it_goes_with_movement_and_stiffness_and_against_strength(seed: int, factor: float) -> None:
    boards, profile = profiles(seed)
    one = tension_index(boards, profile, **CHERRY)[0]
    for name, power in (("coefficient", 1), ("across_mpa", 1), ("strength_mpa", -1)):
        other = tension_index(boards, profile, **{**CHERRY, name: CHERRY[name] * factor})[0]
        assert other == pytest.approx(one * factor**power, rel=1e-12)
    assert tension_index(boards, profile[:, ::-1], **CHERRY)[0] == pytest.approx(one, rel=1e-9)
    assert tension_index(boards, profile + 1.0, **CHERRY)[0] == pytest.approx(one, abs=1e-9)


def test_many_boards_at_many_times_are_each_as_if_alone() -> None:
    boards = Boards.of(thickness_m=[0.01, 0.025, 0.05], specific_gravity=0.47, volumetric_shrinkage=0.115)
    profile = np.random.default_rng(3).uniform(3, 20, (4, 3, boards.cells))
    found = tension_index(boards, profile, coefficient=[0.002, 0.003, 0.001], across_mpa=900.0, strength_mpa=[3, 4, 5])
    assert found.shape == (4, 3)
    alone = tension_index(boards.take([1]), profile[2, [1]], coefficient=0.003, across_mpa=900.0, strength_mpa=4)
    assert found[2, 1] == pytest.approx(alone[0], rel=1e-12)


def test_the_stress_is_that_of_least_energy_in_a_strip_held_flat() -> None:
    """Independent: layers of one stiffness glued to one width choose the width of least elastic energy; scipy finds it,
    and the stress of the drier shell's layers over the strength is the index."""
    boards, profile = profiles(11)
    share = boards.widths_m[0] / boards.widths_m[0].sum()
    free = CT * profile[0]

    def energy(width: np.ndarray) -> float:
        return float((0.5 * ET_MPA * (width[0] - free) ** 2 * share).sum())

    width = minimize(energy, [free.mean()], method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-16}).x[0]
    top, bottom = (boards.mean_between(profile, *ends)[0] for ends in ((0.0, 1 / 6), (5 / 6, 1.0)))
    stress = ET_MPA * (width - CT * min(top, bottom))
    assert tension_index(boards, profile, **CHERRY)[0] == pytest.approx(stress / STRENGTH_MPA, rel=1e-5)
    assert drier_shell_pct(boards, profile)[0] == min(top, bottom)


def test_its_course_rises_and_comes_back() -> None:
    """Thicker stock is under the same greatest tension later, with the square of the thickness where the air's film
    hardly counts (Crank's plane sheet: time goes with the thickness squared); damp air presses the shell instead."""
    strength = ShellStrength(ET_MPA, STRENGTH_MPA)

    def course(thickness_m: float, rh: float = 0.30):
        piece = Piece(thickness_m, 0.47, 0.115)
        return cup_course(piece, 10.0, 21.0, rh, coefficient=CT, width_m=0.15, days=60, strength=strength)

    thin, thick, damp = course(0.025), course(0.05), course(0.025, 0.70)
    assert thin.tension_index is not None
    assert thick.tension_index is not None
    assert thin.series[0][2] == pytest.approx(0.0, abs=1e-9)
    assert thin.series[-1][2] < 0.5 * thin.tension_index
    assert max(row[2] for row in thin.series) <= thin.tension_index
    assert 1.0 < thick.tension_index / thin.tension_index < 1.15
    assert 3.5 < thick.tension_peak_day / thin.tension_peak_day < 4.5
    assert damp.tension_index == pytest.approx(0.0, abs=1e-9)
    assert min(row[2] for row in damp.series) < -0.3


def test_what_cannot_be_is_refused() -> None:
    boards, profile = profiles(1)
    with pytest.raises(ValueError, match="strength_mpa: found 0; would be right: above 0 MPa"):
        tension_index(boards, profile, coefficient=CT, across_mpa=900.0, strength_mpa=0.0)
    with pytest.raises(ValueError, match="across_mpa: found -1; would be right: above 0 MPa"):
        tension_index(boards, profile, coefficient=CT, across_mpa=-1.0, strength_mpa=4.0)
