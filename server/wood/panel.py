"""A panel after the glue-up: what its mean moisture does through the years of where it stands.

The air swings once a year; thickness and finish let the wood follow with less and later. The figures are the solver's,
run until one year is like the one before; the closed damped wave beside them explains them and checks them. The spread
is the central 80 % of what is not known of a panel: diffusivity, density, the air's film, its finish; each is moved to
both ends of its own in turn, and what that does is added by squares (:mod:`server.wood.ensemble`). Its lowest and its
highest moisture have the wood's own scatter about the handbook's one curve in them as well; the swing between the two
has not, as both lie off to the same side.

Left out: ends, which breathe ten to fifteen times as fast for a hand's breadth in; spells of days, which thin bare wood
follows; a finish that wears; what breadboard ends and frames hold back; hysteresis: the sorption curve is one, and wood
that turns round between drying and wetting moves by less than it for a while.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats, saturation_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.boards import Boards, film_through
from server.wood.columns import JUMP_PCT
from server.wood.covers import Cover
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import CURVE_SIGMA_PCT, emc_pct, emc_slope_pct
from server.wood.ensemble import END_OF_80, FILM_FACTOR, GRAVITY_CV, spread_of, varied
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture
from server.wood.settle import Piece
from server.wood.transport import Track, follow
from server.wood.year import DAY_S, YEAR_DAYS, Year

STEPS, MOST_STEPS = 146, 365
"""Of a year: two and a half days each, which are within 0.003 % of a quarter of that; down to a day where the air goes
so far in one that the solver would halve it, which is within 0.01 % of a quarter of that."""
DEPTH = 10
IN_STEP = 1e-4
"""A year in which no mean ends by more of the air's swing (or of 1 %) from where it began, and no cell by more than ten
times that, is like the one before."""
MOST_YEARS = 60
LONGEST_DAYS = 3652.5
_TENTH = 0.1
_NOTHING_PCT = 0.05


@dataclass(frozen=True, slots=True)
class Panel:
    """Thickness, m; basic specific gravity; volumetric shrinkage, a fraction; what covers its two faces. Raises
    ValueError as a :class:`~server.wood.settle.Piece` does."""

    thickness_m: float
    specific_gravity: float
    volumetric_shrinkage: float
    front: Cover
    back: Cover

    def __post_init__(self) -> None:
        Piece(self.thickness_m, self.specific_gravity, self.volumetric_shrinkage)


@dataclass(frozen=True, slots=True)
class Ends:
    """A figure and the ends of its central 80 %."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PanelYear:
    """A panel in step with its place. ``lowest_pct``, ``highest_pct`` and ``swing_pct`` are of its mean moisture, % MC;
    ``bare_swing_pct`` is what the same panel would do without a finish. The days are of the year, ``lag_days`` how much
    later than the air's it turns. ``days`` (k,) of the year have their ``mean_pct`` (k,) and ``profile_pct`` (k, cells)
    from the front to the back, of ``board``.

    ``first_lowest_pct`` and ``first_highest_pct``: of its first year from the moisture it was made at, whenever it is
    brought there. ``in_step_days``: until nine tenths of what it brought are gone; None past ten years, 0 where it
    brings nothing. ``wave_swing_pct`` and ``wave_lag_days``: of the damped wave.
    """

    lowest_pct: Ends
    highest_pct: Ends
    swing_pct: Ends
    bare_swing_pct: float
    lowest_day: float
    highest_day: float
    lag_days: float
    first_lowest_pct: float
    first_highest_pct: float
    in_step_days: float | None
    wave_swing_pct: float
    wave_lag_days: float
    board: Boards
    days: Floats
    mean_pct: Floats
    profile_pct: Floats

    def mean_on(self, day: ArrayLike) -> Floats:
        """Its mean moisture on any day of the year, % MC."""
        return np.interp(np.asarray(day, np.float64), self.days, self.mean_pct, period=YEAR_DAYS)


def panel_year(panel: Panel, year: Year, made_pct: float) -> PanelYear:
    """The years of ``panel``, made at ``made_pct`` % MC through and through, in the air of ``year``.

    Raises ValueError as :class:`~server.wood.boards.Boards` and :class:`~server.wood.moisture.Moisture` do.
    """
    boards = ensemble_of(panel)
    track = in_step(boards, year)
    means = boards.mean_pct(track.profile_pct)[:-1]
    low, high, bare = means.min(axis=0), means.max(axis=0), float(np.ptp(means[:, -1]))
    own = boards.take([0])
    mean = means[:, 0]
    lowest_day, highest_day = turn_of(-mean), turn_of(mean)
    first_low, first_high, gone = _first_year(own, year, made_pct, mean)
    wave = mean_response(own, year)
    air_low, air_high = year.ends_pct()
    curve_pct = END_OF_80 * CURVE_SIGMA_PCT
    return PanelYear(
        ends_of(low[:-1], curve_pct), ends_of(high[:-1], curve_pct), ends_of((high - low)[:-1]), bare, lowest_day,
        highest_day, 0.5 * (later(lowest_day, year.driest_day) + later(highest_day, year.dampest_day)), first_low,
        first_high, gone, abs(wave) * (air_high - air_low), float(-np.angle(wave) / (2 * np.pi) * YEAR_DAYS), own,
        track.times_s[:-1] / DAY_S, mean, track.profile_pct[:-1, 0],
    )  # fmt: skip


def steps_of(year: Year) -> int:
    """In how many steps a year is gone through."""
    edges = np.linspace(0.0, YEAR_DAYS, STEPS + 1)
    c, rh = year.temperature_c(edges), year.humidity(edges)
    # A step holds the temperature of its middle, so the vapour that comes with warmth counts as humidity in it.
    held = rh[1:] * saturation_pressure_pa(c[1:]) / saturation_pressure_pa(c[:-1])
    furthest = float(np.abs(emc_pct(c[:-1], np.minimum(held, 1.0)) - emc_pct(c[:-1], rh[:-1])).max())
    return int(np.clip(np.ceil(STEPS * furthest / JUMP_PCT), STEPS, MOST_STEPS))


def in_step(boards: Boards, year: Year, steps: int | None = None) -> Track:
    """The year, in so many steps, that comes back to where it began: of each board, in the same air.

    From one year to the next every board is drawn on by its last few years, mixed so that what they miss by is least
    (Anderson's acceleration, J. ACM 12, 1965): what is left of a start dies out as a few slow waves. Raises
    ArithmeticError where that does not come together.
    """
    steps = steps or steps_of(year)
    low, high = year.ends_pct()
    near = IN_STEP * max(high - low, 1.0)
    now = Moisture.even(boards, float(year.emc_pct(np.arange(YEAR_DAYS)).mean()), float(year.temperature_c(0.0)))
    if steps > STEPS:  # a coarse year costs little and ends close to the fine one
        now, _ = returning(boards, year.air(steps=STEPS), now, near)
    return returning(boards, year.air(steps=steps), now, near)[1]


def returning(boards: Boards, air: AirSeries, now: Moisture, near: float) -> tuple[Moisture, Track]:
    """A state, close to ``now`` at first, that comes back through ``air`` to within ``near`` % MC, and the way there.
    Cells are held to what dry lumber can hold and to no less: between its ends a year can go beyond both. Raises
    ArithmeticError where that does not come together."""
    longest_step_s = float(np.diff(air.edges_s).max())
    ends: list[Floats] = []
    missed: list[Floats] = []
    for _ in range(MOST_YEARS):
        after, track = follow(boards, now, air, longest_step_s=longest_step_s)
        ends, missed = [*ends[-DEPTH:], after.profile_pct], [*missed[-DEPTH:], after.profile_pct - now.profile_pct]
        if np.abs(boards.mean_pct(missed[-1])).max() < near and np.abs(missed[-1]).max() < 10.0 * near:
            return now, track
        profile = np.clip(_mixed(boards, ends, missed), *MOISTURE_RANGE_PCT)
        now = Moisture.of_profile(boards, profile, after.temperature_c)
    off = np.abs(missed[-1]).max()
    raise ArithmeticError(f"panel: a year is not like the year before after {MOST_YEARS}, by {off:g} %")


def _mixed(boards: Boards, ends: list[Floats], missed: list[Floats]) -> Floats:
    """Where each board would end if its last years missed by as little as they can together."""
    if len(ends) == 1:
        return ends[0]
    turned = np.diff(np.stack(missed), axis=0).transpose(1, 2, 0)
    moved = np.diff(np.stack(ends), axis=0).transpose(1, 2, 0)
    weight = np.sqrt(boards.widths_m)[:, :, None]
    share = np.linalg.pinv(weight * turned, rcond=1e-6) @ (weight * missed[-1][:, :, None])
    return np.asarray(ends[-1] - (moved @ share)[:, :, 0])


def mean_response(boards: Boards, year: Year) -> complex:
    """What the mean of the first board does of a small swing of the EMC, once a year: size and, as a negative angle,
    lag. Of a sheet with D and the sorption curve as they stand in the middle of the year and two films:

    M = A cosh(k z) + B sinh(k z), k = sqrt(i w / D), with D M' = S (air - M) at both faces; mean = A tanh(k l) / (k l)
    with A of the cosh's size at the face (Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 3.6).
    """
    days = np.arange(YEAR_DAYS)
    c, rh = float(year.temperature_c(days).mean()), float(year.humidity(days).mean())
    mc = float(year.emc_pct(days).mean())
    d = float(boards.diffusivity.at(np.array([mc]), c)[..., 0].item())
    to_speed = 100.0 * float(saturation_pressure_pa(c)) / (boards.dry_kg_m3[0] * float(emc_slope_pct(c, rh)))
    top, bottom = to_speed * float(boards.top_film[0]), to_speed * float(boards.bottom_film[0])
    k = np.sqrt(2j * np.pi / (YEAR_DAYS * DAY_S) / d)
    tanh = np.tanh(k * 0.5 * boards.thickness_m[0])
    by = np.array([[d * k * tanh + top, -d * k - top * tanh], [d * k * tanh + bottom, d * k + bottom * tanh]])
    a, _ = np.linalg.solve(by, np.array([top, bottom], np.complex128))
    return complex(a * tanh / (k * 0.5 * boards.thickness_m[0]))


def ensemble_of(panel: Panel) -> Boards:
    """The panel itself; then for each cause its one and its other end; then without a finish."""
    rate, dense = np.exp(END_OF_80 * LN_RATE_SIGMA), END_OF_80 * GRAVITY_CV
    top, bottom = (
        film_through(np.array([*[c.resistance_m2_s_pa_kg] * 7, c.high_m2_s_pa_kg, c.low_m2_s_pa_kg, 0.0]))
        for c in (panel.front, panel.back)
    )
    boards = Boards.of(
        thickness_m=panel.thickness_m, specific_gravity=panel.specific_gravity, top_film=top,
        volumetric_shrinkage=panel.volumetric_shrinkage, bottom_film=bottom,
    )  # fmt: skip
    return varied(
        boards, rate=np.array([1, 1 / rate, rate, 1, 1, 1, 1, 1, 1, 1]),
        gravity=np.array([1, 1, 1, 1 + dense, 1 - dense, 1, 1, 1, 1, 1]),
        air_film=np.array([1, 1, 1, 1, 1, 1 / FILM_FACTOR, FILM_FACTOR, 1, 1, 1]),
    )  # fmt: skip


def ends_of(values: Floats, besides_pct: float = 0.0) -> Ends:
    """Of the panel itself and both ends of every cause; ``besides_pct`` is half the 80 % of another one."""
    found = spread_of(values[:, None])
    middle, low, high = (float(a[0]) for a in (found.middle, found.low, found.high))
    down, up = (float(np.hypot(away, besides_pct)) for away in (middle - low, high - middle))
    return Ends(middle, max(middle - down, 0.0), middle + up)


def _first_year(own: Boards, year: Year, made_pct: float, mean: Floats) -> tuple[float, float, float | None]:
    """Of a first year that begins with any month: the mean's lowest, its highest, and how long it goes its own way."""
    starts = np.arange(12) * YEAR_DAYS / 12
    steps = steps_of(year)
    boards, air = own.take(np.zeros(12, np.intp)), year.air(starts, steps)
    begin = Moisture.even(boards, made_pct, air.start_c[0])
    _, track = follow(boards, begin, air, zone=np.arange(12), longest_step_s=YEAR_DAYS * DAY_S / steps)
    first = boards.mean_pct(track.profile_pct)
    day = track.times_s / DAY_S
    in_step_pct = np.interp(starts + day[:, None], day[:-1], mean, period=YEAR_DAYS)
    brought = np.abs(first - in_step_pct).max(axis=1)
    return float(first.min()), float(first.max()), _gone(day, brought)


def _gone(day: Floats, brought: Floats) -> float | None:
    """When nine tenths of what is ``brought`` along are gone; past the year as it fades in its second half."""
    if brought[0] < _NOTHING_PCT:
        return 0.0
    left = np.log(np.maximum(brought, 1e-9) / (_TENTH * brought[0]))
    there = np.flatnonzero(left <= 0)
    if there.size:
        i = int(there[0])
        return float(np.interp(0.0, left[[i, i - 1]], day[[i, i - 1]]))
    half = day.size // 2
    a_day = (left[half] - left[-1]) / (day[-1] - day[half])
    days = day[-1] + left[-1] / max(float(a_day), 1e-12)
    return float(days) if days <= LONGEST_DAYS else None


def turn_of(of_days: Floats) -> float:
    """The day, from the first value on, of the greatest of a year's values, by the parabola through its neighbours."""
    i = int(np.argmax(of_days))
    left, middle, right = (float(of_days[(i + k) % of_days.size]) for k in (-1, 0, 1))
    bend = left - 2.0 * middle + right
    return float((i + (0.5 * (left - right) / bend if bend < 0 else 0.0)) * YEAR_DAYS / of_days.size % YEAR_DAYS)


def later(day: float, than: ArrayLike) -> float:
    """By how many days the one day of the year comes after the other, -182.5 to 182.5."""
    return float((day - np.asarray(than) + YEAR_DAYS / 2) % YEAR_DAYS - YEAR_DAYS / 2)
