"""Pieces cut out of a lot as it is held: as milling has them out of a board, flat where they should be, hollow where
they dry, and as unsure as the lot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.wood import covers
from server.wood.air_series import AirSeries
from server.wood.belief import Belief, boards_of
from server.wood.boards import SEALED
from server.wood.carry import advance, caught_up
from server.wood.cup import Rings, cup_mm
from server.wood.ensemble import END_OF_80, spread_of
from server.wood.expected_air import ExpectedAir
from server.wood.milling import Cut, after, films_of, stand
from server.wood.moisture import Moisture
from server.wood.pieces import Doubted, Going, doubted, going
from server.wood.settle import Piece
from server.wood.stock import Stock
from server.wood.straightedge import bend_pct, means_pct, shaped
from server.wood.transport import follow
from tests.wood.independent import OneBoard

CT = 0.00248
"""Black cherry, Wood Handbook Table 13-5."""
WRAP = covers.find("wrapped").resistance_m2_s_pa_kg
STICKERED, WRAPPED, BENCH = films_of(True), films_of(True, WRAP), films_of(False)
CALM = {"coefficient": CT, "width_m": 0.15}
HOUR_S, DAY_S = 3600.0, 86_400.0


def cherry(thickness_mm: float = 25.0) -> Stock:
    return Stock.of(thickness_m=thickness_mm / 1000, specific_gravity=0.47, volumetric_shrinkage=0.115)


def air(days: float, rh_pct: float = 30.0) -> AirSeries:
    return AirSeries.constant(np.array([0.0, days * DAY_S]), 21.0, rh_pct)


def held(
    stock: Stock, pct: float = 8.0, *, sigma_pct: float = 0.0, stood_days: float = 0.0, one_face: bool = False
) -> Belief:  # fmt: skip
    """Even at ``pct`` first, then so many days in 21 °C / 30 %, half hour by half hour."""
    belief = Belief.begin(stock, pct, sigma_pct, temperature_c=21.0)
    if stood_days == 0:
        return belief
    lain = replace(stock, bottom_film=np.full(1, SEALED)) if one_face else stock
    return advance(lain, belief, AirSeries.constant(HOUR_S * np.arange(24 * stood_days + 1), 21.0, 30.0))


def lot(pct: float = 8.0, thickness_mm: float = 25.0, **how: float) -> Doubted:
    stock = cherry(thickness_mm)
    return doubted(stock, held(stock, pct, **how), ExpectedAir(air(3653)))  # type: ignore[arg-type]


def laid(of: Doubted, films: tuple[float, float], days: float, marks: Sequence[float] = ()) -> Going:
    return going(of, [Cut(0.0, float(of.whole.thickness_m[0]), *films)], days=days, marks=marks, **CALM)


@pytest.mark.parametrize("one_face", [False, True])
def test_in_air_that_stays_the_middle_is_what_milling_has_of_such_a_board(*, one_face: bool) -> None:
    """Other grid, other steps, another way there: a cup within 1 % and 0.01 mm (a straightedge shows 0.05), a rest
    within 2 % and six hours."""
    cuts = [Cut(top, 0.021, *films) for top in (0.0, 0.002, 0.003) for films in (STICKERED, WRAPPED, BENCH)]
    book = after(
        stand(Piece(0.025, 0.47, 0.115), 10.0, 21.0, 0.30, 7.0, both_faces=not one_face), cuts, **CALM
    )  # fmt: skip
    ours = going(lot(10.0, stood_days=7.0, one_face=one_face), cuts, **CALM)
    rest, peak = ours.rest_days(), np.abs(ours.cup_mm).max(axis=0)
    for i, wanted in enumerate(book):
        assert ours.cup_mm[0, 0, i] == pytest.approx(wanted.at_once_mm, abs=0.01)
        assert peak[0, i] == pytest.approx(abs(wanted.peak_mm), rel=0.01, abs=0.01)
        assert ours.settled_mm[0, i] == pytest.approx(wanted.settled_mm, rel=0.01, abs=0.01)
        assert rest[0, i] == pytest.approx(wanted.rest_days, rel=0.02, abs=0.25)


def test_published_scale() -> None:
    """wood-model.md, section 6: 20 mm flatsawn cherry, 150 mm wide, one face open from 8 % in 21 °C / 30 % RH: hollow
    by about 0.25 mm in a day and 0.6 mm in the second week."""
    course = laid(lot(8.0, 20.0), BENCH, 30.0, (1.0, 10.5))
    day, second_week = (float(course.cup_mm[np.searchsorted(course.day, t), 0, 0]) for t in (1.0, 10.5))
    assert day == pytest.approx(0.25, abs=0.05)
    assert second_week == pytest.approx(0.6, abs=0.05)
    assert float(course.peak()[0][0, 0]) == pytest.approx(0.6, abs=0.05), "and not much more later"


def test_an_independent_solver_and_a_line_laid_through_the_strains_agree() -> None:
    """SciPy's LSODA on cells of 0.1 mm, in air that swings by day: three days on the bench, 3 mm off the top and 1 mm
    off the bottom, three more flat on it. A strip in which no moment is left bends as the line of least squares through
    its strains. Within 0.02 mm all along."""
    hours = np.arange(145.0)
    c, rh = 21.0 + 2.0 * np.sin(2 * np.pi * hours / 24), 30.0 - 8.0 * np.sin(2 * np.pi * hours / 24)
    first, later = slice(0, 73), slice(72, 145)

    def program(thick_mm: int, part: slice) -> OneBoard:
        return OneBoard(
            np.full(10 * thick_mm, 1e-4), specific_gravity=0.47, volumetric_shrinkage=0.115, films=BENCH,
            times_s=HOUR_S * hours[part], temperature_c=c[part], humidity_pct=rh[part],
        )  # fmt: skip

    def slope_mm(profile: np.ndarray) -> float:
        z = 1e-4 * (np.arange(profile.size) + 0.5)
        return float(np.polyfit(z, CT * profile, 1)[0]) * 0.15**2 / 8.0 * 1000.0

    stood, _ = program(20, first).run(8.0, 21.0, [72 * HOUR_S], rtol=1e-7, atol=1e-7)
    at_h = np.array([72.0, 74.0, 84.0, 96.0, 120.0, 144.0])
    left, _ = program(16, later).run(stood[-1][30:190], 21.0, HOUR_S * at_h, rtol=1e-7, atol=1e-7)
    wanted = [slope_mm(profile) - slope_mm(stood[-1]) for profile in left]

    stock = replace(cherry(20), bottom_film=np.full(1, SEALED))
    airs = [AirSeries.between_records(HOUR_S * hours[part], c[part], rh[part]) for part in (first, later)]
    belief = advance(stock, Belief.begin(stock, 8.0, 0.0, temperature_c=21.0), airs[0])
    one = doubted(stock, belief, ExpectedAir(airs[1]))
    course = going(one, [Cut(0.003, 0.016, *BENCH)], marks=(at_h - 72) / 24, **CALM)
    found = [float(course.cup_mm[np.searchsorted(course.day, d - 1e-9), 0, 0]) for d in (at_h - 72) / 24]
    assert found == pytest.approx(wanted, abs=0.02)
    assert max(np.abs(wanted)) > 0.15


@settings(max_examples=15, deadline=None)
@given(pct=st.floats(4, 20), thick=st.floats(6, 60), rh=st.floats(15, 80))
def test_the_drier_face_goes_hollow_and_even_faces_stay_flat(pct: float, thick: float, rh: float) -> None:
    """In any air: the open top is hollow where the air dries it and round where it wets it, an open bottom the other
    way; behind equal faces nothing cups, however unsure the lot is."""
    stock = cherry(thick)
    one = doubted(stock, held(stock, pct, sigma_pct=1.0), ExpectedAir(air(40, rh)))
    ways = (BENCH, BENCH[::-1], STICKERED, WRAPPED, (SEALED, SEALED))
    course = going(one, [Cut(0.0, thick / 1000, *films) for films in ways], days=10.0, **CALM)
    middle = course.cup_mm[-1, 0]
    drier = course.mean_pct[-1, 0, 0] < course.mean_pct[0, 0, 0]
    assert middle[0] > 0 if drier else middle[0] < 0
    assert middle[1] == pytest.approx(-middle[0], rel=1e-6)
    assert np.abs(course.cup_mm[:, :, 2:]).max() < 1e-9
    assert np.abs(course.mean_pct[:, :, 4] - course.mean_pct[0, :, 4]).max() < 1e-6, "nothing passes"


def test_a_longer_pause_does_more_and_a_wrap_less() -> None:
    one = lot()
    bench, wrapped = laid(one, BENCH, 5.0, (1.0, 2.0)), laid(one, (WRAPPED[0], SEALED), 5.0)
    cups = [float(np.abs(bench.until(days).peak()[0][0, 0])) for days in (1.0, 2.0, 5.0)]
    assert cups == sorted(cups)
    assert cups[0] > 0.1
    assert abs(float(wrapped.peak()[0][0, 0])) < 0.1 * cups[-1]
    assert float(bench.first_beyond(0.1)[0, 0]) < float(bench.first_beyond(0.2)[0, 0])
    assert np.isinf(wrapped.first_beyond(0.1)[0, 0])


def test_the_ends_of_the_rate_are_boards_of_that_rate() -> None:
    """Round trip: what is in doubt of a lot's rate alone does to its cup what such a board's own run says."""
    stock = cherry()
    belief = Belief.begin(stock, 8.0, 0.0, temperature_c=21.0)
    none = np.zeros_like(belief.ln_rate)
    still = np.repeat(belief.moisture.profile_pct[:1], 7, axis=0)
    sure = replace(
        belief, ln_film=none, curve_pct=none, moisture=Moisture.of_profile(boards_of(stock, belief), still, 21.0)
    )  # fmt: skip
    one = doubted(stock, sure, ExpectedAir(air(10)))
    assert len(one.zone) == 3
    course = laid(one, BENCH, 2.0)
    found = spread_of(course.cup_mm[-1])
    edges = AirSeries.constant(HOUR_S * np.arange(49), 21.0, 30.0)
    for side, end in ((1.0, found.high), (-1.0, found.low)):
        rate = np.exp(side * END_OF_80 * float(belief.ln_rate[0, 3]))
        board = replace(stock, bottom_film=np.full(1, SEALED)).boards(rate)
        state, track = follow(board, Moisture.even(board, 8.0, 21.0), edges)
        assert len(state) == 1
        assert float(end[0]) == pytest.approx(float(cup_mm(board, track.profile_pct[-1], CT, 0.15)[0]), abs=0.003)


def test_the_spread_holds_the_middle_and_widens_with_the_doubt() -> None:
    narrow, wide = (laid(lot(8.0, sigma_pct=sigma), BENCH, 2.0).cup_mm[-1] for sigma in (0.1, 1.5))
    spreads = [spread_of(values) for values in (narrow, wide)]
    for spread in spreads:
        assert spread.low[0] < spread.middle[0] < spread.high[0]
    assert spreads[1].high[0] - spreads[1].low[0] > 1.5 * (spreads[0].high[0] - spreads[0].low[0])
    stock = cherry()
    unsure = ExpectedAir(air(10), air(10, 25.0), air(10, 35.0))
    in_doubt = laid(doubted(stock, held(stock), unsure), BENCH, 2.0).cup_mm[-1]
    assert in_doubt[-2, 0] > in_doubt[0, 0] > in_doubt[-1, 0], "the drier the air, the hollower"


def test_cup_counts_from_when_the_faces_were_cut_flat() -> None:
    """A lot whose shape is known is as flat as it was then; one whose shape is not counts from even inside."""
    stock = cherry()
    belief = caught_up(stock, held(stock, stood_days=2.0, one_face=True))
    boards = boards_of(stock, belief)
    flat = shaped(belief, bend_pct(boards, belief), means_pct(boards, belief), 0.0)
    expected = ExpectedAir(air(400))
    cut, unknown = (laid(doubted(stock, one, expected), STICKERED, 300.0) for one in (flat, belief))
    hollow = float(unknown.cup_mm[0, 0, 0])
    assert hollow > 0.2
    assert np.abs(cut.cup_mm[0]).max() < 1e-9
    assert cut.settled_mm[0, 0] == pytest.approx(-hollow, rel=1e-6)
    assert cut.cup_mm[-1, 0, 0] == pytest.approx(-hollow, rel=0.02), "even inside it keeps what was planed off the bend"
    assert unknown.settled_mm[0, 0] == 0.0


def test_what_does_not_lie_in_the_board_is_refused() -> None:
    one = lot()
    with pytest.raises(ValueError, match=r"take: found 20 and 4\.8 mm off 25 mm; would be right: 0 or more each"):
        going(one, [Cut(0.02, 0.0002, *STICKERED)], **CALM)
    with pytest.raises(ValueError, match="width_m: found 0; would be right"):
        going(one, [Cut(0.0, 0.025, *STICKERED)], coefficient=CT, width_m=0.0)
    with pytest.raises(ValueError, match="edges_s: found"):
        laid(one, STICKERED, 5000.0)


def test_rings_cup_what_is_cut_by_all_that_it_gains_from_then_on() -> None:
    """Known, they add to every copy; unknown, to a pair of copies of the middle, once to each side."""
    cuts = [Cut(0.002, 0.02, *STICKERED), Cut(0.0, 0.025, *BENCH)]
    bare, known, either = (
        going(lot(10.0, sigma_pct=1.0), cuts, rings=rings, **CALM)
        for rings in (None, Rings(-0.06, known=True), Rings(-0.06, known=False))
    )
    gained = bare.mean_pct - bare.mean_pct[0]
    assert gained[-1, 0, 0] < -3.0
    assert known.cup_mm == pytest.approx(bare.cup_mm - 0.06 * gained, abs=1e-12)
    k = bare.cup_mm.shape[1]
    assert either.cup_mm[:, :k] == pytest.approx(bare.cup_mm, abs=0.0)
    for row, side in ((k, 1.0), (k + 1, -1.0)):
        assert either.cup_mm[:, row] == pytest.approx(bare.cup_mm[:, 0] - side * 0.06 * gained[:, 0], abs=1e-12)
        assert either.mean_pct[:, row] == pytest.approx(bare.mean_pct[:, 0], abs=0.0)
    assert spread_of(either.cup_mm[-1]).high[0] > spread_of(bare.cup_mm[-1]).high[0] + 0.1
