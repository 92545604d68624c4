"""What is not known of boards and of their air, and what it does to a figure: one small ensemble for every question.

Each cause is moved to both ends of its own central 80 % in turn, all in one batch; what that does to a figure (to its
logarithm, for a time) is added by squares. That is the first-order rule for independent causes (JCGM 100:2008, 5.1.2),
and for the rate alone it is exact, as time goes with 1 / D.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats
from server.wood.boards import AIR_FILM_KG_M2_S_PA, LIMITS, REFERENCE_PCT, Boards
from server.wood.diffusivity import LN_RATE_SIGMA, Diffusivity, specific_gravity_at
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture

END_OF_80 = 1.2816
"""Standard normal, 90 %."""
GRAVITY_CV = 0.10
"""Scatter of specific gravity within a species: Wood Handbook ch. 5 gives a coefficient of variation of 10 %
(recalled)."""
FILM_FACTOR = 1.5
"""The air film's own 80 %, times or divided by. Common practice, no source."""
_SOONEST = 1e-9


@dataclass(frozen=True, slots=True)
class Doubts:
    """How little is known of n boards, each one number or n: the standard deviation of ln D, the coefficient of
    variation of specific gravity, the air film's 80 % as a factor, half the 80 % of the start, % MC, and the ends of a
    cover's resistance as factors of its middle. ``astray_pct`` are the ends of what their profiles are off for lying
    otherwise than is known, drier and damper, each (n, cells).

    A rate that was learned from readings has a smaller ``ln_rate_sigma``, and density is then known with it (0).
    """

    ln_rate_sigma: ArrayLike = LN_RATE_SIGMA
    gravity_cv: ArrayLike = GRAVITY_CV
    film_factor: ArrayLike = FILM_FACTOR
    start_half_pct: ArrayLike = 0.0
    cover_factors: tuple[ArrayLike, ArrayLike] = (1.0, 1.0)
    astray_pct: tuple[Floats, Floats] | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure of n boards and the ends of its central 80 %, each (n,); nan where there is none."""

    middle: Floats
    low: Floats
    high: Floats

    def one(self, i: int) -> Spread:
        """Of one of them."""
        return Spread(self.middle[i : i + 1], self.low[i : i + 1], self.high[i : i + 1])


@dataclass(frozen=True, slots=True)
class Ensemble:
    """The n boards themselves, then all of them for each cause's one end and for its other: k n in all. ``zone`` is the
    air that each lies in."""

    boards: Boards
    start: Moisture
    zone: NDArray[np.intp]
    count: int

    def apart(self, values: Floats) -> Floats:
        """(…, k n) as (…, k, n)."""
        return values.reshape(*values.shape[:-1], -1, self.count)


def ensemble(
    boards: Boards, start: Moisture, zone: NDArray[np.intp], doubts: Doubts, *, zones: int, sides: bool
) -> Ensemble:
    """Boards and their doubles. With ``sides`` there are 3 ``zones`` airs: the middle ones, the low and the high ones.

    Causes without any width are left out. Raises ValueError where a doubt has another length than the boards.
    """
    n = len(boards)
    rate, gravity, film, half = (
        one_each(name, getattr(doubts, name), n)
        for name in ("ln_rate_sigma", "gravity_cv", "film_factor", "start_half_pct")
    )
    least, most = (one_each("cover_factors", end, n) for end in doubts.cover_factors)
    fast, dense = np.exp(END_OF_80 * rate), END_OF_80 * gravity
    dry, damp = doubts.astray_pct or (np.zeros((1, 1)),) * 2
    every = (
        ("rate", 1 / fast, fast),
        ("gravity", 1 + dense, 1 - dense),
        ("film", 1 / film, film),
        ("cover", most, least),
        ("start", half[:, None], -half[:, None]),
        ("astray", damp, dry),
        ("air", np.ones(n), np.full(n, 2.0)),
    )
    causes = tuple(c for c in every if (sides if c[0] == "air" else np.any(c[1] != c[2])))
    factors = {name: np.full((1 + 2 * len(causes), n), neutral) for name, neutral in _NEUTRAL.items()}
    moved = np.zeros((1 + 2 * len(causes), n, boards.cells))
    for i, (name, slow, quick) in enumerate(causes):
        into = moved if name in _OF_START else factors[name]
        into[1 + 2 * i], into[2 + 2 * i] = slow, quick
    flat = {name: values.ravel() for name, values in factors.items()}
    each = np.tile(np.arange(n), 1 + 2 * len(causes))
    made = varied(
        boards.take(each), rate=flat["rate"], gravity=flat["gravity"], air_film=flat["film"], cover=flat["cover"]
    )
    airs = np.asarray(zone[each] + zones * flat["air"], np.intp)
    return Ensemble(made, _shifted(made, start.take(each), moved.reshape(each.size, -1)), airs, n)


_NEUTRAL = {"rate": 1.0, "gravity": 1.0, "film": 1.0, "cover": 1.0, "air": 0.0}
_OF_START = ("start", "astray")


def varied(
    boards: Boards,
    *,
    rate: ArrayLike = 1.0,
    gravity: ArrayLike = 1.0,
    air_film: ArrayLike = 1.0,
    cover: ArrayLike = 1.0,
) -> Boards:
    """The same boards, were D, specific gravity, what the air's film passes and what a cover withholds so many times
    what they are, each one number or n.

    Shrinkage goes with density. Density and shrinkage stop at the ends of what
    :class:`Boards` takes.
    """
    dense = np.asarray(gravity, np.float64)
    g = np.clip(boards.specific_gravity * dense, *LIMITS["specific_gravity"][:2])
    s = np.clip(boards.volumetric_shrinkage * dense, *LIMITS["volumetric_shrinkage"][:2])
    was, now = (
        Diffusivity.of_wood(boards.specific_gravity, boards.volumetric_shrinkage, 1.0),
        Diffusivity.of_wood(g, s, rate),
    )
    heavier = specific_gravity_at(REFERENCE_PCT, g, s) / specific_gravity_at(
        REFERENCE_PCT, boards.specific_gravity, boards.volumetric_shrinkage
    )
    return replace(
        boards,
        specific_gravity=g,
        volumetric_shrinkage=s,
        dry_kg_m3=boards.dry_kg_m3 * heavier,
        heat_lag_s=boards.heat_lag_s * heavier,
        diffusivity=Diffusivity(
            boards.diffusivity.cubic + now.cubic - was.cubic, boards.diffusivity.activation_cal_mol
        ),
        top_film=_through(boards.top_film, air_film, cover),
        bottom_film=_through(boards.bottom_film, air_film, cover),
    )


def _through(film: Floats, air_film: ArrayLike, cover: ArrayLike) -> Floats:
    with np.errstate(divide="ignore"):
        whole = 1.0 / film
        air = np.minimum(whole, 1.0 / AIR_FILM_KG_M2_S_PA)
    withheld = np.where(film > 0, whole - air, 0.0) * np.asarray(cover, np.float64)
    return np.where(film > 0, 1.0 / (withheld + air / np.asarray(air_film, np.float64)), film)


def _shifted(boards: Boards, start: Moisture, by_pct: Floats) -> Moisture:
    """Those whose start is in doubt begin with their profile moved, and their faces with it; (boards, cells)."""
    moved = by_pct.any(axis=1)
    if not moved.any():
        return start
    profile = np.clip(start.profile_pct + by_pct, *MOISTURE_RANGE_PCT)
    faces = Moisture.of_profile(boards.take(moved), profile[moved], start.temperature_c[moved]).surface_rh
    surface = start.surface_rh.copy()
    surface[moved] = faces
    return replace(start, profile_pct=profile, surface_rh=surface)


def spread_of_times(times: Floats) -> Spread:
    """Of times (k, n), inf where it never comes: their logarithms' departures from the first row, by squares.

    The high end is nan where one cause alone can keep it from ever coming. What has come already (0) is late by its
    latest cause.
    """
    middle, others = times[0], times[1:].reshape(-1, 2, times.shape[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        away = np.log(np.maximum(others, _SOONEST) / middle)
    up, down = _by_squares(away)
    came = middle == 0.0
    with np.errstate(invalid="ignore", over="ignore"):
        low = np.where(came, 0.0, middle * np.exp(-down))
        high = np.where(came, times.max(axis=0), middle * np.exp(up))
    return Spread(*(np.where(np.isfinite(a) & np.isfinite(middle), a, np.nan) for a in (middle, low, high)))


def spread_of(values: Floats) -> Spread:
    """Of figures (k, n) that may have either sign: their departures from the first row, by squares."""
    up, down = _by_squares(values[1:].reshape(-1, 2, values.shape[1]) - values[0])
    return Spread(values[0], values[0] - down, values[0] + up)


def _by_squares(away: Floats) -> tuple[Floats, Floats]:
    """Of departures (causes, 2, n): what they make together, upwards and downwards."""
    with np.errstate(over="ignore"):
        up = np.sqrt((np.maximum(away.max(axis=1), 0.0) ** 2).sum(axis=0))
        down = np.sqrt((np.minimum(away.min(axis=1), 0.0) ** 2).sum(axis=0))
    return up, down


def one_each(name: str, value: ArrayLike, count: int) -> Floats:
    """``value`` as (count,). Raises ValueError where it is neither one number nor ``count``."""
    values = np.asarray(value, np.float64)
    if values.ndim > 1 or values.size not in (1, count):
        raise ValueError(f"{name}: found {values.size} of them; would be right: one, or one for each of {count} boards")
    return np.broadcast_to(values, count)
