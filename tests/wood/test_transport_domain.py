"""Property tests over all that the solver lets in: the thinnest and the thickest board, the lightest and the heaviest
wood, oven-dry and at fibre saturation, bare, wrapped, sealed and without a film, in air that jumps between its ends
every half hour, from the coldest to the hottest. No figure is compared: it is what must always hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from server.wood.air import saturation_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.boards import SEALED, Boards, film_through
from server.wood.cup import cup_mm
from server.wood.emc import emc_pct
from server.wood.moisture import Moisture
from server.wood.transport import Track, follow

STEPS = 6
ALWAYS = settings(max_examples=50, deadline=None)


def ends_or_between(low: float, high: float) -> Any:
    """The ends as often as anything between them."""
    return st.sampled_from([low, high]) | st.floats(low, high)


FILMS = st.sampled_from([SEALED, 1.0, *(float(film_through(r)) for r in (0.0, 1e8, 1e9, 1e10, 1e11))])


@dataclass(frozen=True)
class Case:
    """One board, how it begins, and the air."""

    thickness_m: float
    gravity: float
    rate: float
    films: tuple[float, float]
    start_pct: float
    uneven: bool
    start_c: float
    air: tuple[tuple[float, float], ...]
    step_s: float
    seed: int

    def boards(self, *, turned: bool = False) -> Boards:
        top, bottom = self.films[::-1] if turned else self.films
        return Boards.of(
            thickness_m=self.thickness_m, specific_gravity=self.gravity, volumetric_shrinkage=0.27 * self.gravity,
            rate_factor=self.rate, top_film=top, bottom_film=bottom,
        )  # fmt: skip

    def profile(self, cells: int) -> Any:
        if not self.uneven:
            return np.full((1, cells), self.start_pct)
        return np.random.default_rng(self.seed).uniform(0.0, 30.0, (1, cells))

    def series(self) -> AirSeries:
        temperature, humidity = (np.array(column) for column in zip(*self.air, strict=True))
        return AirSeries.of_bins(self.step_s * np.arange(STEPS + 1), temperature, humidity)

    def run(self, *, turned: bool = False, hair: float = 0.0) -> tuple[Boards, Track]:
        boards = self.boards(turned=turned)
        profile = self.profile(boards.cells)
        profile = profile[:, ::-1] if turned else profile
        profile[0, 0] = abs(profile[0, 0] - hair)
        return boards, follow(boards, Moisture.of_profile(boards, profile, self.start_c), self.series())[1]


CASES = st.builds(
    Case,
    thickness_m=ends_or_between(0.3e-3, 0.3),
    gravity=ends_or_between(0.1, 1.0),
    rate=st.sampled_from([1.0, 0.05, 20.0]),
    films=st.tuples(FILMS, FILMS),
    start_pct=ends_or_between(0.0, 30.0),
    uneven=st.booleans(),
    start_c=ends_or_between(-20.0, 60.0),
    air=st.lists(
        st.tuples(ends_or_between(-20.0, 60.0), ends_or_between(0.0, 100.0)), min_size=STEPS, max_size=STEPS
    ).map(tuple),
    step_s=st.sampled_from([1800.0, 60.0, 86_400.0]),
    seed=st.integers(0, 2**31),
)
BARE = float(film_through(0.0))
SWINGING = ((60.0, 100.0), (-20.0, 0.0)) * (STEPS // 2)
DRY_THEN_NONE = Case(0.3e-3, 0.1, 20.0, (1.0, BARE), 30.0, False, 60.0, ((60.0, 0.0),) * STEPS, 1800.0, 1)
JUMPING = Case(0.006, 1.0, 1.0, (BARE, BARE), 0.0, False, -20.0, SWINGING, 1800.0, 1)
UNEVEN = Case(0.3, 0.1, 20.0, (1.0, 1.0), 0.0, True, 20.0, SWINGING, 86_400.0, 7)


@ALWAYS
@given(CASES)
@example(DRY_THEN_NONE)
@example(JUMPING)
@example(UNEVEN)
def test_every_figure_is_one_and_lies_within_its_bounds(case: Case) -> None:
    """No nan, no negative moisture, never beyond the start and what the air draws wood to at any temperature the wood
    has had; water that came in is water that is there; and the state can be entered again as a start."""
    boards, track = case.run()
    found = track.profile_pct
    assert np.isfinite(found).all()
    assert np.isfinite(track.temperature_c).all()
    assert found.min() >= 0.0
    assert ((track.surface_rh >= 0) & (track.surface_rh <= 1)).all()
    low, high = drawn_between(case, track)
    assert found.min() >= min(low, found[0].min()) - 1e-6
    assert found.max() <= max(high, found[0].max()) + 1e-6
    water = boards.water_kg_m2(found)
    gained = track.gained_kg_m2.sum(axis=-1)
    assert np.abs(water - water[0] - gained).max() <= 1e-10 * max(water.max(), 1e-3 * boards.thickness_m[0])
    if found[-1].max() <= 30.0:
        Moisture.of_profile(boards, found[-1], track.temperature_c[-1])


def drawn_between(case: Case, track: Track) -> tuple[float, float]:
    """The least and the most that the air's vapour draws wood to, at the temperatures the wood went through."""
    wood_c = np.linspace(track.temperature_c.min(), track.temperature_c.max(), 400)
    pressures = case.series().start_pa
    rh = [np.minimum(p / saturation_pressure_pa(wood_c), 1.0) for p in (pressures.min(), pressures.max())]
    return float(emc_pct(wood_c, rh[0]).min()), float(emc_pct(wood_c, rh[1]).max()) + 1e-3


@ALWAYS
@given(CASES)
@example(JUMPING)
@example(UNEVEN)
def test_a_mirrored_board_mirrors_its_profile_and_its_cup(case: Case) -> None:
    boards, straight = case.run()
    other, turned = case.run(turned=True)
    assert np.abs(straight.profile_pct - turned.profile_pct[..., ::-1]).max() < 1e-9
    cups = [cup_mm(b, t.profile_pct, 0.003, 0.1) for b, t in ((boards, straight), (other, turned))]
    steepest = 12 * 0.003 * 30 / float(boards.thickness_m[0]) * 0.1**2 / 8 * 1000
    assert np.abs(cups[0] + cups[1]).max() < 1e-9 * steepest


@ALWAYS
@given(CASES)
@example(JUMPING)
def test_what_is_the_same_from_both_sides_stays_so_though_both_are_stepped(case: Case) -> None:
    """A hair's breadth at one cell makes the solver take both halves, which it would not for a board that is even."""
    even = Case(**{**vars(case), "films": (case.films[0],) * 2, "uneven": False, "start_pct": max(case.start_pct, 1.0)})
    boards, both = even.run(hair=1e-12)
    assert np.abs(both.profile_pct - both.profile_pct[..., ::-1]).max() < 1e-8
    scale = 12 * 0.003 / float(boards.thickness_m[0]) * 0.1**2 / 8 * 1000
    assert np.abs(cup_mm(boards, both.profile_pct, 0.003, 0.1)).max() < 1e-8 * scale


@pytest.mark.parametrize(
    ("thickness_m", "gravity", "rate", "film", "air"),
    [
        (0.3e-3, 0.1, 20.0, SEALED, (60.0, 50.0)),
        (0.3e-3, 0.1, 1.0, 2e-8, (60.0, 100.0)),
        (0.6e-3, 0.4, 1.0, 2e-8, (20.0, 40.0)),
    ],
)
def test_water_is_kept_where_rounding_would_add_up(
    thickness_m: float, gravity: float, rate: float, film: float, air: tuple[float, float]
) -> None:
    """Twenty days of the thinnest, lightest, quickest wood: a matrix's rounding grows with D over the cells' squares,
    and made 1e-8 of its water in that time before it was given back."""
    boards = Boards.of(
        thickness_m=thickness_m, specific_gravity=gravity, volumetric_shrinkage=0.27 * gravity, rate_factor=rate,
        top_film=film, bottom_film=film,
    )  # fmt: skip
    start = Moisture.of_profile(boards, np.random.default_rng(1).uniform(0, 25, (1, boards.cells)), air[0])
    series = AirSeries.constant(1800.0 * np.arange(20 * 48 + 1), *air)
    after, track = follow(boards, start, series, [len(series)])
    before, now = (float(boards.water_kg_m2(one.profile_pct)[0]) for one in (start, after))
    assert abs(now - before - track.gained_kg_m2[0].sum()) < 1e-13 * max(before, now)
