"""The shape of a panel of strips: one arc, waves, and the same from strips laid edge to edge by the exact ring map."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from server.wood.boards import Boards
from server.wood.cup import cup_mm, ring_cup_mm
from server.wood.strips import ring_bend_per_m, shape_of

CT, CR = 0.00248, 0.00126
"""Black cherry, Wood Handbook Table 13-5."""
R = 0.15


def test_strips_of_one_curvature_make_one_arc() -> None:
    """Limit: k w² / 8 of the whole width, however it is divided, and no wave."""
    for widths in ([0.6], [0.2, 0.1, 0.3], [0.05] * 12):
        found = shape_of(widths, np.full(len(widths), 0.04))
        assert found.cup_mm == pytest.approx(0.04 * 0.6**2 / 8 * 1000)
        assert found.wave_mm == pytest.approx(0.0, abs=1e-12)


def test_strips_that_turn_about_make_waves_and_no_arc() -> None:
    """An even number: joints lie in one line, each strip's arc k b² / 8 over or under it."""
    found = shape_of([0.08] * 6, 0.1 * (-1.0) ** np.arange(6))
    own = 0.1 * 0.08**2 / 8 * 1000
    assert abs(found.cup_mm) == pytest.approx(own)
    assert found.wave_mm == pytest.approx(2 * own), "a strip up beside a strip down"
    odd = shape_of([0.08] * 7, 0.1 * (-1.0) ** np.arange(7))
    assert own <= abs(odd.cup_mm) + 1e-9 < 0.1 * 0.1 * 0.56**2 / 8 * 1000, "a tenth of what strips alike would do"


@given(st.lists(st.tuples(st.floats(0.02, 0.3), st.floats(-0.3, 0.3)), min_size=1, max_size=9))
def test_the_closed_form_is_the_beam_integrated(strips: list[tuple[float, float]]) -> None:
    """Independent: d'' = -k by SciPy's Runge-Kutta, shot to the far edge; and mirrored it cups the other way."""
    widths, k = (np.array(column) for column in zip(*strips, strict=True))
    ends = np.cumsum(widths)

    def bends(x: float, y: np.ndarray) -> list[float]:
        return [y[1], -k[min(np.searchsorted(ends, x), k.size - 1)]]

    at = np.linspace(0.0, ends[-1], 400)
    run = solve_ivp(bends, (0.0, ends[-1]), [0.0, 0.0], t_eval=at, max_step=0.002, rtol=1e-6)
    depth = 1000 * (run.y[0] - run.y[0][-1] * at / ends[-1])
    found = shape_of(widths, k)
    assert abs(found.cup_mm) == pytest.approx(np.abs(depth).max(), rel=0.02, abs=0.02)
    assert shape_of(widths, -k).cup_mm == pytest.approx(-found.cup_mm)


def test_rings_in_strips_against_the_exact_map() -> None:
    """Independent: each strip's face is mapped by u_r = e_R r, u_theta = (e_T - e_R) r theta, turned over where its
    heart looks down, and laid on so that its edge's slope runs on; the depth is read off the points."""
    tangential, radial = -4 * CT, -4 * CR
    for hearts in ([1, 1, 1, 1], [-1, -1, -1, -1], [1, -1, 1, -1]):
        x, y, slope = np.zeros(1), np.zeros(1), 0.0
        for heart in hearts:
            px, py, turn = mapped(0.1, tangential, radial)
            py, turn = heart * py, heart * turn
            c, s = np.cos(slope + turn / 2), np.sin(slope + turn / 2)
            x, y = np.append(x, x[-1] + c * px - s * py), np.append(y, y[-1] + s * px + c * py)
            slope += turn
        level = np.interp(x, x[[0, -1]], y[[0, -1]])
        depth = level - y
        k = np.array(hearts) * ring_bend_per_m(tangential, radial, 0.0, R)
        found = shape_of([0.1] * 4, k)
        assert found.cup_mm == pytest.approx(1000 * depth[np.abs(depth).argmax()], rel=0.1, abs=0.003), hearts
        assert found.cup_mm * sum(hearts) <= 0, "drying hollows the side towards the bark"


def mapped(width: float, tangential: float, radial: float) -> tuple[np.ndarray, np.ndarray, float]:
    """A flat face towards the heart (up), R from the pith: from its left edge on, level from edge to edge; and by how
    much its slope turns from one edge to the other, positive upwards."""
    x = np.linspace(-width / 2, width / 2, 201)
    r, theta = np.hypot(x, R), np.arctan2(x, R)
    moved_r, moved_theta = r * (1 + radial), theta * (1 + tangential - radial)
    px, towards_bark = moved_r * np.sin(moved_theta), moved_r * np.cos(moved_theta)
    py = -towards_bark
    slopes = np.gradient(py, px)
    return px - px[0], py - py[0], float(np.arctan(slopes[-1]) - np.arctan(slopes[0]))


def test_a_single_strip_is_a_board() -> None:
    """By the formulas a board's cup is told by: of its profile, and of its rings."""
    boards = Boards.of(thickness_m=0.02, specific_gravity=0.47, volumetric_shrinkage=0.115)
    profile = np.linspace(6.0, 9.0, boards.cells)[None]
    cup = float(cup_mm(boards, profile, CT, 0.15)[0])
    assert shape_of([0.15], [8 * cup / 1000 / 0.15**2]).cup_mm == pytest.approx(cup)
    narrow = shape_of([0.02], ring_bend_per_m(-4 * CT, -4 * CR, [0.0], R)).cup_mm
    assert narrow == pytest.approx(float(ring_cup_mm(-4 * CT, -4 * CR, R, 0.02)), rel=0.01)
    assert ring_bend_per_m(-0.01, -0.005, 90.0, R) == pytest.approx(0.0, abs=1e-12), "quartersawn keeps flat"


def test_what_is_no_panel_is_refused() -> None:
    with pytest.raises(ValueError, match="strips: found 2 widths and 3 curvatures; would be right: one or more"):
        shape_of([0.1, 0.1], [0.0, 0.0, 0.0])
    with pytest.raises(ValueError, match="widths_m: found 0"):
        shape_of([0.0], [0.0])
    with pytest.raises(ValueError, match="panel_m: found 4"):
        shape_of([2.0, 2.0], [0.0, 0.0])
