"""Moisture through boards: limits, balances, and that a board's result is its own. Closed solutions: test_plane_sheet;
a second program: test_transport_independent."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.wood import transport
from server.wood.air_series import AirSeries
from server.wood.boards import SEALED, Boards
from server.wood.emc import emc_pct
from server.wood.moisture import Moisture
from server.wood.transport import advance, follow
from tests.wood.boards_for_tests import random_boards, winter_air

BATCH_PCT = 1e-9


def test_water_is_kept_whatever_the_step() -> None:
    boards = random_boards(60, 1)
    start = Moisture.even(boards, np.linspace(4, 24, 60))
    edges = np.concatenate([[0.0], np.cumsum(np.geomspace(1.0, 30 * 86_400.0, 40))])
    rng = np.random.default_rng(2)
    air = AirSeries.of_bins(edges, rng.uniform(-5, 35, 40), rng.uniform(5, 97, 40))
    end, track = follow(boards, start, air, [40])
    before, after = boards.water_kg_m2(start.profile_pct), boards.water_kg_m2(end.profile_pct)
    assert np.abs(after - before - track.gained_kg_m2[0].sum(axis=1)).max() < 1e-10 * before.max()


def test_a_board_does_not_care_who_lies_beside_it() -> None:
    boards, air = random_boards(700, 3), winter_air(6, 4)
    start = Moisture.even(boards, np.random.default_rng(5).uniform(5, 18, 700))
    together = advance(boards, start, air).profile_pct
    for some in (np.arange(0, 700, 97), np.array([699]), np.arange(350)):
        alone = advance(boards.take(some), start.take(some), air).profile_pct
        assert np.abs(alone - together[some]).max() < BATCH_PCT


def test_the_road_may_be_cut_anywhere_and_kept_in_bytes() -> None:
    boards, air = random_boards(40, 6), winter_air(5, 7)
    whole = advance(boards, Moisture.even(boards, 9.0), air)
    part = Moisture.even(boards, 9.0)
    for first, last in ((0, 1), (1, 77), (77, 200), (200, len(air))):
        part = Moisture.from_bytes(advance(boards, part, air.between(first, last)).to_bytes())
    for kept, at_once in ((part.profile_pct, whole.profile_pct), (part.surface_rh, whole.surface_rh)):
        assert np.array_equal(kept, at_once), "bit for bit"
    assert np.array_equal(part.temperature_c, whole.temperature_c)


def test_a_cut_after_a_jump_of_the_air_is_bit_for_bit_too() -> None:
    """Bins whose air jumps make some boards take their step in halves; a cut may lie right behind one."""
    boards, edges = random_boards(40, 6), 1800.0 * np.arange(9)
    humidity = [45.0, 45.0, 47.0, 70.0, 70.0, 30.0, 31.0, 60.0]
    air = AirSeries.of_bins(edges, [17.0, 17.0, 18.0, 24.0, 24.0, 14.0, 14.5, 20.0], humidity)
    start = Moisture.even(boards, 9.0, 12.0)
    whole, part = advance(boards, start, air), start
    for i in range(len(air)):
        part = advance(boards, part, air.between(i, i + 1))
    assert part.to_bytes() == whole.to_bytes()


def test_steps_that_are_too_long_are_parted() -> None:
    """A record of six hours is what its own straight line gives hour by hour, at the edges asked for."""
    boards, start = random_boards(6, 8), [9.0] * 6
    long = AirSeries.between_records([0, 21_600, 43_200], [17.0, 20.0, 18.0], [40.0, 50.0, 45.0])
    parted, edges = long.in_parts(3600.0)
    hours = 3600.0 * np.arange(13)
    assert edges.tolist() == [0, 6, 12]
    assert parted.edges_s.tolist() == hours.tolist()
    straight = np.interp(hours, long.edges_s, [17.0, 20.0, 18.0])
    np.testing.assert_allclose(parted.start_c[:, 0], straight[:-1], rtol=1e-14)
    np.testing.assert_allclose(parted.end_c[:, 0], straight[1:], rtol=1e-14)
    of_long, of_parts = (
        follow(boards, Moisture.even(boards, start), air, at)[1] for air, at in ((long, [1, 2]), (parted, [6, 12]))
    )
    assert np.array_equal(of_long.profile_pct, of_parts.profile_pct)


def test_bytes_of_something_else_are_refused() -> None:
    kept = Moisture.even(random_boards(2, 1), 8.0).to_bytes()
    with pytest.raises(ValueError, match="found bytes of something else"):
        Moisture.from_bytes(b"not a state at all, and long enough")
    with pytest.raises(ValueError, match=r"found form 1 in \d+ bytes; would be right: form 1 and"):
        Moisture.from_bytes(kept[:-8])


@settings(max_examples=60, deadline=None)
@given(
    thickness=st.floats(0.001, 0.15), gravity=st.floats(0.15, 1.0), start=st.floats(0.0, 30.0),
    temperature=st.floats(-20, 60), humidity=st.floats(0, 100), step_s=st.floats(1, 3 * 86_400),
    faces=st.sampled_from(["both", "top", "bottom", "none", "uneven"]),
)  # fmt: skip
def test_over_the_whole_domain_nothing_is_beyond_its_bounds(
    *, thickness: float, gravity: float, start: float, temperature: float, humidity: float, step_s: float, faces: str
) -> None:
    """Every cell stays between its start and what the air draws to; means go one way; nothing is not a number."""
    films = {
        "both": (2e-8, 2e-8),
        "top": (2e-8, 0.0),
        "bottom": (0.0, 2e-8),
        "none": (0.0, 0.0),
        "uneven": (2e-8, 1e-9),
    }
    top, bottom = films[faces]
    boards = Boards.of(
        thickness_m=thickness, specific_gravity=gravity, volumetric_shrinkage=0.27 * gravity, top_film=top,
        bottom_film=bottom,
    )  # fmt: skip
    air = AirSeries.constant(step_s * np.arange(9), temperature, humidity)
    _, track = follow(boards, Moisture.even(boards, start, temperature), air)
    target = float(emc_pct(temperature, humidity / 100))
    low, high = min(start, target) - 1e-6, max(start, target) + 1e-6
    assert np.isfinite(track.profile_pct).all()
    assert track.profile_pct.min() >= max(low, 0.0)
    assert track.profile_pct.max() <= high
    steps = np.diff(boards.mean_pct(track.profile_pct)[:, 0]) * np.sign(target - start)
    assert (steps >= -1e-9).all(), "never away from what the air draws to"


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**31), mean=st.floats(5, 20))
def test_a_mirrored_board_gives_the_mirrored_profile(seed: int, mean: float) -> None:
    rng = np.random.default_rng(seed)
    values = {"thickness_m": 0.02, "specific_gravity": 0.5, "volumetric_shrinkage": 0.13}
    one = Boards.of(top_film=2e-8, bottom_film=[0.0, 3e-9], **values)
    other = Boards.of(top_film=[0.0, 3e-9], bottom_film=2e-8, **values)
    profile = mean + rng.uniform(-4, 4, (2, one.cells))
    air = winter_air(2, seed % 1000)
    straight = advance(one, Moisture.of_profile(one, profile), air)
    turned = advance(other, Moisture.of_profile(other, profile[:, ::-1]), air)
    assert np.abs(straight.profile_pct - turned.profile_pct[:, ::-1]).max() < BATCH_PCT


def test_the_same_from_both_sides_stays_so_and_costs_one_half() -> None:
    """A board taken as one half, and the same board made a hair's breadth uneven so that both are stepped."""
    boards, air = Boards.of(thickness_m=0.025, specific_gravity=0.5, volumetric_shrinkage=0.13), winter_air(8, 8)
    even = Moisture.even(boards, 9.0)
    uneven = Moisture.of_profile(boards, even.profile_pct + np.eye(1, boards.cells) * 1e-12)
    half, both = advance(boards, even, air).profile_pct, advance(boards, uneven, air).profile_pct
    assert np.array_equal(half, half[:, ::-1])
    assert np.abs(half - both).max() < BATCH_PCT


def test_one_open_face_is_two_of_half_the_thickness() -> None:
    values = {"specific_gravity": 0.5, "volumetric_shrinkage": 0.13}
    thin = Boards.of(thickness_m=0.02, bottom_film=SEALED, cells=48, face_cell_m=6e-5, **values)
    thick = Boards.of(thickness_m=0.04, cells=96, face_cell_m=6e-5, **values)
    air = AirSeries.constant(3600.0 * np.arange(24 * 30), 21.0, 30.0)
    one, two = (b.mean_pct(advance(b, Moisture.even(b, 8.0, 21.0), air).profile_pct)[0] for b in (thin, thick))
    assert abs(one - two) < 0.002, "the two grids differ, and no more than they do"


def test_wood_that_is_in_balance_stays() -> None:
    boards = random_boards(20, 9)
    start = Moisture.even(boards, float(emc_pct(20.0, 0.45)), 20.0)
    end = advance(boards, start, AirSeries.constant([0.0, 40 * 86_400.0], 20.0, 45.0))
    assert np.abs(end.profile_pct - start.profile_pct).max() < 1e-6


def test_a_dead_stack_passes_nothing_and_a_wrap_hardly_anything() -> None:
    """Common practice, no source: wrapped stock hardly moves. A film of 4e10 m² s Pa/kg is polyethylene's."""
    values = {"thickness_m": 0.025, "specific_gravity": 0.5, "volumetric_shrinkage": 0.13}
    wrap = 1 / (1 / 2e-8 + 4e10)
    boards = Boards.of(top_film=[0.0, wrap, 2e-8], bottom_film=[0.0, wrap, 2e-8], **values)
    month = AirSeries.constant([0.0, 30 * 86_400.0], 20.0, 30.0)
    change = 9.0 - boards.mean_pct(advance(boards, Moisture.even(boards, 9.0), month).profile_pct)
    assert change[0] < 1e-9
    assert change[1] < change[2] / 5
    assert change[2] > 1.5


def test_a_gap_in_the_record_is_bridged_and_counted() -> None:
    boards = random_boards(3, 1)
    air = AirSeries.between_records([0, 1800, 1800 + 10 * 3600], [20, 20, 20], [40, 42, 60])
    assert air.edges_s.tolist() == [0, 1800, 1800 + 6 * 3600, 1800 + 10 * 3600]
    assert air.end_pa[1:, 0].tolist() == [air.start_pa[1, 0]] * 2, "the last air is held"
    assert advance(boards, Moisture.even(boards, 9.0), air).unknown_s.tolist() == [4 * 3600.0] * 3


def test_several_airs_side_by_side() -> None:
    boards = random_boards(4, 2)
    edges = 1800.0 * np.arange(97)
    dry, damp = AirSeries.constant(edges, 20.0, 30.0), AirSeries.constant(edges, 18.0, 70.0)
    both = AirSeries.constant(edges, [20.0, 18.0], [30.0, 70.0])
    start = Moisture.even(boards, 10.0)
    mixed = advance(boards, start, both, zone=[0, 1, 0, 1]).profile_pct
    for zone, air in enumerate((dry, damp)):
        assert np.abs(mixed[zone::2] - advance(boards, start, air).profile_pct[zone::2]).max() < BATCH_PCT


@pytest.mark.parametrize(
    ("given_values", "says"),
    [
        ({"thickness_m": 0.0}, "thickness_m: found 0; would be right: 0.0003 to 0.3 m"),
        ({"thickness_m": 1.0}, "thickness_m: found 1; would be right: 0.0003 to 0.3 m"),
        ({"thickness_m": -0.02}, "thickness_m: found -0.02"),
        ({"thickness_m": np.nan}, "thickness_m: found nan"),
        ({"specific_gravity": 1.2}, "specific_gravity: found 1.2; would be right: 0.1 to 1.0"),
        ({"thickness_m": [0.02, 0.03], "rate_factor": [1, 1, 1]}, r"found unequal lengths|arrays of unequal length"),
    ],
)
def test_boards_that_cannot_be_are_refused(given_values: dict[str, object], says: str) -> None:
    values = {"thickness_m": 0.02, "specific_gravity": 0.5, "volumetric_shrinkage": 0.13, **given_values}
    with pytest.raises(ValueError, match=says):
        Boards.of(**values)  # type: ignore[arg-type]


def test_air_that_cannot_be_is_refused() -> None:
    refused = [
        (([0, 10], [20, 20], [-1, 40]), "humidity_pct: found -1; would be right: 0 to 100 %"),
        (([0, 10], [20, 20], [40, 101]), "humidity_pct: found 101"),
        (([0, 10], [20, 400], [40, 40]), "temperature_c: found 400"),
        (([0, 10, 5], [20] * 3, [40] * 3), "found 5 s after 10 s; would be right: times that rise"),
        (([0, 10], [20, 20], [40]), "would be right: 2 of each"),
        (([0, 10], [20, np.nan], [40, 40]), "found a record that is not a number"),
    ]
    for arguments, says in refused:
        with pytest.raises(ValueError, match=says):
            AirSeries.between_records(*arguments)
    with pytest.raises(ValueError, match="found nothing in the first bin"):
        AirSeries.of_bins([0, 1, 2], [np.nan, 20], [np.nan, 40])


@pytest.mark.parametrize("found", [-1.0, 300.0, np.nan])
def test_moisture_that_cannot_be_is_refused(found: float) -> None:
    with pytest.raises(ValueError, match=f"moisture: found {found:g} %; would be right: 0 to 30 %"):
        Moisture.even(random_boards(1, 1), found)


def test_states_and_zones_have_to_fit_the_boards() -> None:
    boards, air = random_boards(3, 1), AirSeries.constant([0, 60], 20.0, 40.0)
    with pytest.raises(ValueError, match="found a state of shape"):
        advance(boards, Moisture.even(boards.take([0, 1]), 8.0), air)
    with pytest.raises(ValueError, match="zone: found 0 to 1; would be right: 0 to 0"):
        advance(boards, Moisture.even(boards, 8.0), air, zone=[0, 1, 0])
    with pytest.raises(ValueError, match="at: found edge 5; would be right: 0 to 1"):
        transport.follow(boards, Moisture.even(boards, 8.0), air, [5])
