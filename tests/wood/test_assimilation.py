"""What readings teach: against the textbook's filter, on synthetic truth, and where they must not be believed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from server.wood.air_series import UNKNOWN_AIR_SIGMA_PCT, AirSeries
from server.wood.assimilation import Told, assimilate
from server.wood.belief import (
    LN_RATE_LIMIT,
    MEMBERS,
    Belief,
    boards_of,
    deviations,
    sigma_of,
    state_of,
)
from server.wood.boards import Boards
from server.wood.carry import advance, caught_up
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import CURVE_SIGMA_PCT, emc_pct
from server.wood.ensemble import END_OF_80
from server.wood.meter import MEAN_DEPTH, Corrected
from server.wood.moisture import Moisture
from server.wood.settle import DAY_S
from server.wood.stock import Stock
from server.wood.transport import advance as advance_boards
from server.wood.witness import Pins, Weighing, Witness, WrapSensor
from tests.wood.boards_for_tests import noisy_winter

PIN_SPREAD_PCT = 1.0
PIN_SIGMA_PCT = PIN_SPREAD_PCT / END_OF_80


def stock(n: int = 1, thickness_m: Any = 0.027, **more: Any) -> Stock:
    thick = np.broadcast_to(thickness_m, n)
    return Stock.of(thickness_m=thick, specific_gravity=0.5, volumetric_shrinkage=0.12, **more)


def pins(mc_pct: float, depth: float = MEAN_DEPTH, **more: Any) -> Pins:
    return Pins(Corrected(mc_pct, PIN_SPREAD_PCT, None), depth, **more)


def winter(days: float, first_day: float = 0.0, total: float = 120) -> AirSeries:
    times, c, h = noisy_winter(total, 4)
    first, last = round(48 * first_day), round(48 * (first_day + days))
    return AirSeries.between_records(times[first : last + 1], c[first : last + 1], h[first : last + 1])


def means(lots: Stock, belief: Belief) -> Any:
    return (
        boards_of(lots, belief)
        .mean_pct(belief.held_pct().reshape(len(belief.moisture), -1))
        .reshape(len(lots), MEMBERS)
    )


def heard(lots: Stock, belief: Belief, *said: Witness) -> tuple[Belief, list[Told]]:
    told = []
    for one in said:
        belief, outcome = assimilate(lots, belief, 0, one)
        told.append(outcome)
    return belief, told


def test_it_is_the_textbooks_filter() -> None:
    """Kalman's equations (J. Basic Eng. 82, 1960) with whole matrices: gain P Hᵀ / S, covariance (1 - K H) P. Insulated
    pins are linear, so the two are the same to rounding."""
    lots = stock()
    before = advance(lots, Belief.begin(lots, 9.0, 1.3), winter(20))
    reading = pins(9.4, 0.3, insulated=True)
    after, _ = assimilate(lots, before, 0, reading)
    a, x = deviations(before), state_of(before)
    p = a @ a.T
    middles = np.cumsum(lots.boards().widths_m[0]) - 0.5 * lots.boards().widths_m[0]
    h = np.zeros(x.size)
    h[middles.size + 2] = 1.0  # the curve's part
    h[: middles.size] = [np.interp(0.3 * 0.027, middles, row) for row in np.eye(middles.size)]
    s = h @ p @ h + PIN_SIGMA_PCT**2
    gain = p @ h / s
    assert state_of(after) == pytest.approx(x + gain * (9.4 - h @ x), abs=1e-9)
    b = deviations(after)
    assert b @ b.T == pytest.approx(p - np.outer(gain, h @ p), abs=1e-9)


def test_the_middle_is_the_board_alone() -> None:
    """With no reading the middle is what the solver gives that board by itself, and the mean is as sure as was said."""
    lots = stock(3, [0.010, 0.027, 0.050])
    begun = Belief.begin(lots, 9.0, [0.5, 1.0, 2.0])
    assert sigma_of(means(lots, begun)) == pytest.approx([0.5, 1.0, 2.0], abs=1e-9)
    alone = advance_boards(lots.boards(), Moisture.even(lots.boards(), 9.0), winter(9))
    assert advance(lots, begun, winter(9)).held_pct()[:, 0] == pytest.approx(alone.profile_pct, abs=1e-9)


class Truth:
    """Lots whose level, bend, rate and film were drawn from what a belief begins with, and whose real moisture stands
    off the curve by what the model allows itself."""

    def __init__(self, n: int, level_pct: float, level_sigma_pct: float, seed: int) -> None:
        self.chance = np.random.default_rng(seed)
        self.lots = stock(n, self.chance.uniform(0.012, 0.052, n))
        draw = self.chance.normal(size=(5, n))
        begun = Belief.begin(self.lots, level_pct, level_sigma_pct)
        shapes = begun.held_pct()
        self.off = CURVE_SIGMA_PCT * draw[4]
        held = level_pct + sum(draw[i, :, None] * (shapes[:, 1 + i] - shapes[:, 0]) for i in (0, 1))
        film = np.exp(draw[3] * (begun.ln_film[:, 4]))
        self.boards = Boards.of(
            thickness_m=self.lots.thickness_m, specific_gravity=0.5, volumetric_shrinkage=0.12,
            rate_factor=np.exp(LN_RATE_SIGMA * draw[2]), top_film=2e-8 * film, bottom_film=2e-8 * film,
        )  # fmt: skip
        self.begun = begun
        self.state = Moisture.of_profile(self.boards, np.clip(held - self.off[:, None], 0, 30), 20.0)

    def advance(self, air: AirSeries) -> None:
        self.state = advance_boards(self.boards, self.state, air)

    def mean(self) -> Any:
        return self.boards.mean_pct(self.state.profile_pct) + self.off

    def pins(self, lot: int) -> Pins:
        middles = np.cumsum(self.boards.widths_m[lot]) - 0.5 * self.boards.widths_m[lot]
        there = np.interp(MEAN_DEPTH * self.boards.thickness_m[lot], middles, self.state.profile_pct[lot])
        return pins(float(there + self.off[lot] + PIN_SIGMA_PCT * self.chance.normal()), insulated=True)


@pytest.mark.parametrize("wrong_by", [-3.0, 3.0, 6.0])
def test_three_readings_halve_the_error_of_a_wrong_start(wrong_by: float) -> None:
    """100 lots that were taken for kiln-dried (8 ± 1 %) and are not; read at once and on the next two days."""
    truth = Truth(100, 8.0 + wrong_by, 0.5, 7)
    belief = Belief.begin(truth.lots, 8.0, 1.0)
    first = np.abs(means(truth.lots, belief)[:, 0] - truth.mean())
    for day in range(3):
        for lot in range(len(truth.lots)):
            belief, _ = assimilate(truth.lots, belief, lot, truth.pins(lot))
        truth.advance(winter(1, day))
        belief = advance(truth.lots, belief, winter(1, day))
    last = np.abs(means(truth.lots, belief)[:, 0] - truth.mean())
    assert np.sqrt((last**2).mean() / (first**2).mean()) < 0.5
    assert (last < 0.5 * first).mean() > 0.75


def test_eight_times_in_ten_the_mean_is_where_it_is_held_to_be() -> None:
    """The spread is the central 80 %: 75 to 85 of a hundred lots, over 240, before and after their readings."""
    truth = Truth(240, 10.0, 1.5, 3)
    belief = truth.begun
    inside = []
    for day in (0, 12, 24):
        for lot in range(len(truth.lots)):
            belief, _ = assimilate(truth.lots, belief, lot, truth.pins(lot))
        truth.advance(winter(12, day))
        belief = advance(truth.lots, belief, winter(12, day))
        held = means(truth.lots, belief)
        spread = END_OF_80 * sigma_of(held)
        inside.append((np.abs(truth.mean() - held[:, 0]) < spread).mean())
    assert np.all((np.array(inside) > 0.75) & (np.array(inside) < 0.85)), inside


def test_a_sample_board_on_a_scale_teaches_the_rate() -> None:
    """Boards twice as fast and half as fast as the formula, weighed every five days to a gram."""
    for factor in (0.5, 2.0):
        lots = stock()
        boards = lots.boards(factor)
        state, belief = Moisture.even(boards, 11.0), Belief.begin(lots, 11.0, 0.2)
        for day in range(0, 31, 5):
            kg = round(1.2 * (1 + float(boards.mean_pct(state.profile_pct)[0]) / 100), 3)
            belief, told = assimilate(lots, belief, 0, Weighing(kg))
            assert told.reason == ("first-weighing" if day == 0 else "used")
            state, belief = advance_boards(boards, state, winter(5, day)), advance(lots, belief, winter(5, day))
        assert told.rate_factor[1] == pytest.approx(factor, rel=0.2)
        assert means(lots, belief)[0, 0] == pytest.approx(float(boards.mean_pct(state.profile_pct)[0]), abs=0.3)


def test_a_sensor_in_the_wrap_speaks_of_the_face_where_pins_fail() -> None:
    lots = stock(top_film=1e-11, bottom_film=1e-11)
    belief = Belief.begin(lots, 7.5, 1.0)
    after, (told,) = heard(lots, belief, WrapSensor(5.2, 0.4, swing_k=0.5))
    faces = after.held_pct()[0, 0, [0, -1]]
    assert told.used
    assert faces == pytest.approx([5.3, 5.3], abs=0.2)
    assert 5.3 < told.mean_pct[1] < 6.2  # the core may be damper
    moving, (told,) = heard(lots, belief, WrapSensor(5.2, 0.4, swing_k=4.0))
    assert told.reason == "not-steady"
    assert moving.to_bytes() == belief.to_bytes()


def test_an_absurd_reading_is_told_and_moves_nothing() -> None:
    lots = stock()
    belief = Belief.begin(lots, 8.0, 0.8)
    after, (told,) = heard(lots, belief, pins(23.0))
    assert (told.reason, told.used, told.off) == ("absurd", False, pytest.approx(15.0))
    assert after.moisture.to_bytes() == belief.moisture.to_bytes()
    back, (again,) = heard(lots, after, pins(8.3))
    assert again.reason == "used"
    assert np.isnan(back.doubted_pct[0])


def test_a_second_reading_that_stands_off_alike_is_believed() -> None:
    lots = stock()
    belief = Belief.begin(lots, 8.0, 0.8)
    after, told = heard(lots, belief, pins(14.0), pins(14.6))
    assert [t.reason for t in told] == ["absurd", "second-alike"]
    assert told[1].mean_pct[1] == pytest.approx(14.3, abs=0.6)
    assert told[1].mean_sigma_pct[1] > 0.5
    _, told = heard(lots, belief, pins(14.0), pins(2.0))
    assert [t.reason for t in told] == ["absurd", "absurd"]
    assert after.ln_rate[0, 0] == pytest.approx(0.0, abs=0.02)


def test_a_doubted_weight_is_no_doubted_moisture() -> None:
    """2.8 kg off and 2.8 % off are not alike; 5 % off by the scale and by pins are."""
    lots = stock()
    belief, _ = heard(lots, Belief.begin(lots, 8.0, 0.3), Weighing(1.08))
    _, told = heard(lots, belief, Weighing(3.88), pins(10.9))
    assert [t.reason for t in told] == ["absurd", "absurd"]
    assert told[0].off == pytest.approx(2.8)
    after, told = heard(lots, belief, Weighing(1.13), pins(13.2))
    assert [t.reason for t in told] == ["absurd", "second-alike"]
    assert told[1].mean_pct[1] == pytest.approx(13.0, abs=0.7)
    assert np.isnan(after.doubted_pct[0])


@pytest.mark.parametrize(
    ("held", "bound", "edge"), [(9.5, "at most", 7.0), (18.0, "at least", 25.0), (29.9, "at most", 7.0)]
)
def test_a_bound_never_pulls(held: float, bound: str, edge: float) -> None:
    """Pins below 7 % widen the spread until it holds the bound, and move nothing (wood model, section 8); at the end
    of what the model holds too, where half of a spread has no room."""
    lots = stock()
    belief = Belief.begin(lots, held, 0.8)
    after, (told,) = heard(lots, belief, Pins(Corrected(edge, 1.0, bound)))
    assert told.reason in {"seven-or-less", "beyond-what-pins-tell"}
    assert means(lots, after)[0, 0] == means(lots, belief)[0, 0]
    assert told.mean_sigma_pct[1] > told.mean_sigma_pct[0]
    again, (told,) = heard(lots, belief, Pins(Corrected(held, 1.0, bound)))
    assert again.to_bytes() == belief.to_bytes()


def test_bare_pins_read_the_wettest_wood_they_touch() -> None:
    lots = stock()
    boards = boards_of(lots, Belief.begin(lots, 8.0, 1.0))
    profile = np.full((MEMBERS, boards.cells), 8.0)
    profile[:, :2] = 16.0
    one = Belief.begin(lots, 8.0, 1.0)
    wet = Belief(Moisture.of_profile(boards, profile), one.ln_rate, one.ln_film, *_rest(one))
    assert pins(9.0).expected(boards, wet) == pytest.approx(16.0)
    assert pins(9.0, insulated=True).expected(boards, wet) == pytest.approx(8.0)


def _rest(one: Belief) -> tuple[Any, ...]:
    names = ("weighed_pct", "shape_bend_pct", "shape_pct", "weighed_kg", "shape_per_m", "doubted_pct")
    return 0 * one.curve_pct, *(getattr(one, name) for name in names)


def test_air_that_nobody_recorded_makes_a_lot_less_sure() -> None:
    """And only that lot; a thin board more than a thick one, and none by more than such air could have done."""
    lots = stock(4, [0.008, 0.050, 0.008, 0.050])
    edges = DAY_S * np.array([0.0, 0.5, 1.0, 8.0, 16.0])
    c, h = np.full((4, 2), 20.0), np.full((4, 2), 45.0)
    c[2:, 0] = h[2:, 0] = np.nan
    air = AirSeries.of_bins(edges, c, h)
    begun = Belief.begin(lots, float(emc_pct(20.0, 0.45)), 0.3)
    after = advance(lots, begun, air, [0, 0, 1, 1], longest_step_s=1800)
    variance = sigma_of(means(lots, after)) ** 2
    thin, thick = np.sqrt(variance[:2] - variance[2:])
    assert 0.3 < thick < thin < UNKNOWN_AIR_SIGMA_PCT
    assert after.moisture.unknown_s.reshape(4, MEMBERS)[:, 0] == pytest.approx([15 * DAY_S] * 2 + [0.0, 0.0])


@pytest.mark.parametrize("cut", [1, 20, 47])
def test_where_a_span_is_cut_changes_nothing(cut: int) -> None:
    """Nor in air with holes in it: a course must be that of a run from scratch, whenever it was called."""
    lots = stock(2, [0.012, 0.030])
    chance = np.random.default_rng(2)
    c, h = chance.uniform(12, 20, 48), chance.uniform(30, 60, 48)
    h[[3, 4, *range(10, 40)]] = np.nan
    air = AirSeries.of_bins(1800.0 * np.arange(49), c, h)
    begun, _ = assimilate(lots, Belief.begin(lots, 9.0, 1.0), 1, pins(10.0))
    whole = advance(lots, begun, air)
    parts = advance(lots, advance(lots, begun, air.between(0, cut)), air.between(cut, 48))
    assert np.abs(parts.held_pct() - whole.held_pct()).max() < 1e-11


def test_others_stay_as_they_are_and_the_state_is_kept_bit_for_bit() -> None:
    lots = stock(4, [0.010, 0.027, 0.050, 0.020])
    belief = advance(lots, Belief.begin(lots, 9.0, 1.0), winter(3))
    after, _ = assimilate(lots, belief, 2, pins(11.0))
    for lot in (0, 1, 3):
        assert after.take([lot]).to_bytes() == belief.take([lot]).to_bytes()
    kept = after.to_bytes()
    again = Belief.from_bytes(kept)
    assert again.to_bytes() == kept
    assert advance(lots, again, winter(2, 3)).to_bytes() == advance(lots, after, winter(2, 3)).to_bytes()


SAYING = st.one_of(
    st.builds(pins, st.floats(0, 60), st.floats(0, 1), insulated=st.booleans()),
    st.builds(WrapSensor, st.floats(0, 30), st.floats(0.05, 5)),
    st.builds(Weighing, st.floats(0.5, 2.5), st.floats(1e-4, 0.05)),
    st.builds(
        lambda b: Pins(Corrected(7.0 if b == "at most" else 25.0, 1.0, b)), st.sampled_from(["at most", "at least"])
    ),
)


LOW = Pins(Corrected(7.0, 1.0, "at most"))


@example([(LOW, 6), (WrapSensor(0.0, 1.0), 0), (pins(1.0, 0.0), 1), (WrapSensor(0.0, 1.0), 1)], 1.0, 0.0)  # all at 0
@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(SAYING, st.sampled_from([0, 1, 6])), max_size=12), st.floats(1, 29), st.floats(0, 3))
def test_no_row_of_readings_makes_it_unstable(said: list[tuple[Witness, int]], level: float, sigma: float) -> None:
    lots = stock()
    belief = Belief.begin(lots, level, sigma)
    for witness, hours in said:
        belief = caught_up(lots, belief)
        before = sigma_of(means(lots, belief))[0]
        belief, told = assimilate(lots, belief, 0, witness)
        profile = belief.moisture.profile_pct
        if told.reason == "used" and profile.min() > 0 and profile.max() < 30:  # at an end members lean on it
            assert sigma_of(means(lots, belief))[0] <= before + 1e-9
        if hours:
            belief = advance(lots, belief, AirSeries.constant([0.0, 3600.0 * hours], 18.0, 40.0))
    belief = caught_up(lots, belief)
    profile = belief.moisture.profile_pct
    assert np.isfinite(profile).all()
    assert profile.min() >= 0
    assert profile.max() <= 30
    assert np.abs(belief.ln_rate).max() <= LN_RATE_LIMIT
    assert sigma_of(means(lots, belief))[0] < 15


def test_what_cannot_be_is_refused() -> None:
    lots = stock()
    belief = Belief.begin(lots, 8.0, 1.0)
    with pytest.raises(ValueError, match="lot: found 1; would be right: 0 to 0"):
        assimilate(lots, belief, 1, pins(8.0))
    with pytest.raises(ValueError, match=r"depth: found 6; would be right: 0 to 1 of the thickness \(not mm\)"):
        pins(8.0, 6.0)
    with pytest.raises(ValueError, match="kg: found 0; would be right: above 0 to 500 kg"):
        Weighing(0.0)
    with pytest.raises(ValueError, match="emc_pct: found -1; would be right: 0 to 30 %"):
        WrapSensor(-1.0, 0.5)
    with pytest.raises(ValueError, match="level_pct: found 31; would be right: 0 to 30 % MC"):
        Belief.begin(lots, 31.0, 1.0)
    with pytest.raises(ValueError, match="level_sigma_pct: found -1"):
        Belief.begin(lots, 8.0, -1.0)
    with pytest.raises(ValueError, match="thickness_m: found 27"):
        stock(thickness_m=27)
    with pytest.raises(ValueError, match="belief: found bytes of something else"):
        Belief.from_bytes(b"moisture")
    with pytest.raises(ValueError, match="belief: found 2408 bytes; would be right: 2416"):
        Belief.from_bytes(belief.to_bytes()[:-8])
    with pytest.raises(ValueError, match="stock and belief: found shapes"):
        boards_of(stock(2), belief)
