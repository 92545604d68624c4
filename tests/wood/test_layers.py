"""Layers: Timoshenko's two, the moments of one board, balance, mirrors, and an independent minimum of energy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize

from server.wood.boards import Boards
from server.wood.cup import curvature_per_m
from server.wood.layers import Layer, laminate

MM = st.floats(0.1, 50).map(lambda mm: mm / 1000)
STIFF = st.floats(100, 20_000)
FREE = st.floats(-0.03, 0.03)
LAYER = st.builds(Layer, MM, STIFF, FREE)


@given(LAYER, LAYER)
def test_two_layers_are_timoshenkos_strip(upper: Layer, lower: Layer) -> None:
    """J. Opt. Soc. Am. 11 (1925) p. 233, eq. 4 (memory): k = 6 (a2 - a1)(1 + m)² / (h (3 (1 + m)² + (1 + m n)(m² + 1 /
    (m n)))), m = t1 / t2, n = E1 / E2; layer 2 lies below, so k is positive where the upper one shrinks more."""
    m, n = upper.thickness_m / lower.thickness_m, upper.modulus_mpa / lower.modulus_mpa
    h, apart = upper.thickness_m + lower.thickness_m, lower.free_strain - upper.free_strain
    by_hand = 6 * apart * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))
    assert laminate([upper, lower]).curvature_per_m == pytest.approx(by_hand, rel=1e-7, abs=1e-9)


def test_equal_layers_bend_by_three_halves() -> None:
    """The same paper's special case: 3/2 of the difference of strains over the thickness."""
    found = laminate([Layer(0.01, 1000, -0.004), Layer(0.01, 1000, 0.0)])
    assert found.curvature_per_m == pytest.approx(1.5 * 0.004 / 0.02)
    assert found.cup_mm(0.15) == pytest.approx(1.5 * 0.004 / 0.02 * 0.15**2 / 8 * 1000)
    assert found.cup_mm(0.15) > 0, "the top, which shrinks, is hollow"


@given(st.integers(0, 2**31))
def test_layers_of_one_wood_are_one_board(seed: int) -> None:
    """The same moments as :mod:`server.wood.cup` has for a profile inside one board."""
    boards = Boards.of(thickness_m=0.02, specific_gravity=0.47, volumetric_shrinkage=0.115)
    profile = np.random.default_rng(seed).uniform(3, 20, (1, boards.cells))
    layers = [
        Layer(max(float(w), 5e-5), 974.0, 0.00248 * m / 2) for w, m in zip(boards.widths_m[0], profile[0], strict=True)
    ]
    assert laminate(layers).curvature_per_m == pytest.approx(curvature_per_m(boards, profile, 0.00124)[0], rel=1e-6)


@given(st.lists(LAYER, min_size=1, max_size=6))
def test_balanced_stays_flat_and_mirrored_cups_the_other_way(layers: list[Layer]) -> None:
    one, other = laminate(layers), laminate(layers[::-1])
    size = 0.03 / one.thickness_m
    assert one.curvature_per_m == pytest.approx(-other.curvature_per_m, abs=1e-9 * size)
    assert one.strain == pytest.approx(other.strain, abs=1e-12)
    assert one.stress_mpa == pytest.approx(other.stress_mpa[::-1], abs=1e-6)
    balanced = laminate([*layers, *layers[::-1]])
    assert balanced.curvature_per_m == pytest.approx(0.0, abs=1e-9 * size)
    assert sum(s * layer.thickness_m for s, layer in zip(one.stress_mpa, layers, strict=True)) == pytest.approx(
        0, abs=1e-7
    )


@settings(max_examples=30)
@given(st.lists(LAYER, min_size=1, max_size=5), st.floats(0.1, 5))
def test_limits(layers: list[Layer], factor: float) -> None:
    """Strain and curvature go with the free strains; one layer, or layers that all strain alike, are free of stress and
    move by just that; all moduli times a factor change no shape."""
    one = laminate(layers)
    more = laminate([Layer(x.thickness_m, x.modulus_mpa, factor * x.free_strain) for x in layers])
    assert more.curvature_per_m == pytest.approx(factor * one.curvature_per_m, rel=1e-6, abs=1e-9)
    stiffer = laminate([Layer(x.thickness_m, factor * x.modulus_mpa, x.free_strain) for x in layers])
    assert stiffer.curvature_per_m == pytest.approx(one.curvature_per_m, rel=1e-6, abs=1e-9)
    alike = laminate([Layer(x.thickness_m, x.modulus_mpa, 0.01) for x in layers])
    assert alike.strain == pytest.approx(0.01)
    assert alike.curvature_per_m == pytest.approx(0.0, abs=1e-8)
    assert max(map(abs, alike.stress_mpa)) < 1e-6


def test_the_shape_is_that_of_least_energy() -> None:
    """Independent: the elastic energy, integrated by scipy over each layer and minimised over strain and curvature."""
    layers = [Layer(0.002, 974, -0.0074), Layer(0.018, 3590, -0.0009), Layer(0.001, 11_990, -0.0001)]
    tops = np.cumsum([0.0, *(x.thickness_m for x in layers)]) - 0.0105

    def energy(shape: np.ndarray) -> float:
        s, k = shape[0] / 1000, shape[1]
        each = (
            quad(lambda z, x=x: 0.5 * x.modulus_mpa * (s + k * z - x.free_strain) ** 2, a, b)[0]
            for x, a, b in zip(layers, tops[:-1], tops[1:], strict=True)
        )
        return 1e6 * sum(each)

    best = minimize(energy, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-14, "maxiter": 2000})
    found = laminate(layers)
    assert found.strain == pytest.approx(best.x[0] / 1000, rel=1e-5)
    assert found.curvature_per_m == pytest.approx(best.x[1], rel=1e-5)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ((0.0, 1000, 0.0), r"thickness_m: found 0; would be right: 5e-05 to 0\.3 m"),
        ((18.0, 1000, 0.0), r"thickness_m: found 18; .*0\.05 to 300 mm"),
        ((0.01, 0.0, 0.0), "modulus_mpa: found 0; would be right: 1 to 100,000 MPa"),
        ((0.01, 1000, 3.0), r"free_strain: found 3; would be right: -0\.2 to 0\.2 \(a fraction, not per cent\)"),
        ((0.01, 1000, float("nan")), "free_strain: found nan"),
    ],
)
def test_what_cannot_be_is_refused(values: tuple[float, float, float], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Layer(*values)


def test_no_layers_and_a_width_in_inches_are_refused() -> None:
    with pytest.raises(ValueError, match="layers: found none; would be right: one or more"):
        laminate([])
    with pytest.raises(ValueError, match="width_m: found 600"):
        laminate([Layer(0.01, 1000, 0.0)]).cup_mm(600.0)
