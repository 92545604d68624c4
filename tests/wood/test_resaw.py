"""Resawing: halves are mirror images, the drier face of each goes hollow, water and the kerf are accounted for."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.wood.milling import Stood, films_of, stand
from server.wood.moisture import Moisture
from server.wood.resaw import Half, resaw
from server.wood.settle import Piece

CT = 0.00248
"""Black cherry, Wood Handbook Table 13-5."""
BARE, _ = films_of(both_faces=True)
WRAPPED, _ = films_of(both_faces=True, cover_m2_s_pa_kg=4e10)
PIECE = Piece(0.050, 0.47, 0.115)
ON = {"coefficient": CT, "width_m": 0.15}
DRYING = stand(PIECE, 12.0, 21.0, 0.30, 20.0)


def with_profile(stood: Stood, profile: np.ndarray) -> Stood:
    state = Moisture.of_profile(stood.boards, profile, stood.temperature_c)
    return Stood(stood.piece, stood.boards, state, stood.temperature_c, stood.rh)


def sawn(stood: Stood = DRYING, kerf_m: float = 0.002, **how: object) -> tuple[Half, Half]:
    return resaw(stood, kerf_m, **{"film": BARE, **ON, **how})  # type: ignore[arg-type]


def test_both_halves_of_a_symmetrical_board_are_mirror_images() -> None:
    top, bottom = sawn()
    assert top.milled.at_once_mm == pytest.approx(-bottom.milled.at_once_mm, abs=1e-9)
    assert top.milled.peak_mm == pytest.approx(-bottom.milled.peak_mm, abs=1e-9)
    assert top.milled.rest_days == bottom.milled.rest_days
    assert top.towards_sawn.peak_mm == pytest.approx(bottom.towards_sawn.peak_mm, abs=1e-9)
    assert top.flat_m == pytest.approx(bottom.flat_m)
    assert top.milled.thickness_m == pytest.approx(0.024)


@settings(max_examples=5)
@given(seed=st.integers(0, 2**31), share=st.floats(0.2, 0.8))
def test_a_mirrored_board_gives_mirrored_halves(seed: int, share: float) -> None:
    profile = np.random.default_rng(seed).uniform(5, 15, (1, DRYING.boards.cells))
    top_m = share * 0.048
    one = sawn(with_profile(DRYING, profile), top_m=top_m)
    other = sawn(with_profile(DRYING, profile[:, ::-1]), top_m=0.048 - top_m)
    for half, mirrored in zip(one, reversed(other), strict=True):
        assert half.milled.at_once_mm == pytest.approx(-mirrored.milled.at_once_mm, abs=1e-6)
        assert half.milled.settled_mm == pytest.approx(-mirrored.milled.settled_mm, abs=1e-6)
        assert half.milled.peak_mm == pytest.approx(-mirrored.milled.peak_mm, abs=1e-6)


def test_the_wet_side_is_inside_so_the_outer_face_goes_hollow() -> None:
    """Common practice, no source: the drier face goes hollow; in a board that took up water it is the sawn one."""
    top, bottom = sawn()
    assert top.milled.at_once_mm > 0.5, "the top of the top half is its outer face"
    assert bottom.milled.at_once_mm < -0.5
    damp, _ = sawn(stand(PIECE, 6.0, 21.0, 0.70, 20.0))
    assert damp.towards_sawn.at_once_mm > 0.3


def test_a_parabola_of_moisture_bends_each_half_by_its_slope() -> None:
    """By hand: M = 12 - 4 (2z/h - 1)², halves without kerf. Strain that is a parabola bends a free strip by its slope
    in the middle of the strip (k = 12/t³ ∫e(z)(z - t/2)dz): at h/4 that is 8/h per cent. The board's middle cells are
    millimetres wide and even inside, which costs 0.6 %."""
    z = (np.cumsum(DRYING.boards.widths_m, axis=1) - DRYING.boards.widths_m / 2) / 0.050
    width = DRYING.boards.widths_m / 0.050
    mean_square = (2 * z - 1) ** 2 + width**2 / 3  # exact mean over each cell
    top, _ = sawn(with_profile(DRYING, 12.0 - 4.0 * mean_square), kerf_m=0.0)
    by_hand = CT * 8.0 / 0.050 * 0.15**2 / 8 * 1000
    assert top.milled.at_once_mm == pytest.approx(by_hand, rel=0.01)


def test_it_comes_back_as_it_evens_out_and_sooner_wrapped() -> None:
    """Limit: a board that was alike from both sides stood straight, so even halves are straight. Wrapped ones only have
    to even out inside, bare ones first dry on."""
    bare, wrapped = sawn()[0], sawn(film=WRAPPED)[0]
    assert bare.milled.settled_mm == pytest.approx(0.0, abs=1e-9)
    assert bare.milled.peak_day == 0.0
    assert wrapped.milled.rest_days < bare.milled.rest_days
    assert bare.flat_m == pytest.approx(0.024 - abs(bare.milled.peak_mm) / 1000)


def test_thicker_halves_of_an_even_board_do_nothing() -> None:
    even = sawn(stand(PIECE, 12.0, 21.0, 0.30, 0.0))
    assert all(abs(half.milled.at_once_mm) < 1e-9 for half in even)
    on_bench = sawn(stand(PIECE, 12.0, 21.0, 0.30, 0.0), lying="sawn")
    assert on_bench[0].towards_sawn.peak_mm > 0.5, "the open face dries first"
    assert on_bench[0].milled.peak_mm == pytest.approx(-on_bench[1].milled.peak_mm, abs=1e-9)


def test_a_beam_at_fibre_saturation_can_be_sawn() -> None:
    """Found by chance: the solver's rounding leaves a core at 30 % and a last digit, which is no other moisture."""
    for gravity in (0.7, 1.0):
        stood = stand(Piece(0.300, gravity, 0.14), 30.0, 10.0, 0.34, 7.0)
        top, _ = sawn(stood)
        assert top.towards_sawn.at_once_mm < 0, "its outer face is dry, and hollow"


@pytest.mark.parametrize("how", [{"kerf_m": 0.0499}, {"kerf_m": -0.001}, {"top_m": 0.049}, {"top_m": 0.0001}])
def test_a_kerf_that_does_not_fit_is_refused(how: dict[str, float]) -> None:
    with pytest.raises(
        ValueError, match=r"kerf: found a kerf of .* would be right: 0 or more, with 0\.3 mm or more left"
    ):
        sawn(**how)  # type: ignore[arg-type]
