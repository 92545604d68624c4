"""How long boards take to come to rest in their air, when they are good to mill, and how sure that is.

**What the air draws a board to.** Air swings by day and drifts by season, and a board answers to its mean over about
its own lag (:func:`lag_s`). So the target at a time is the mean EMC of the air over one lag: of the lag that ends then,
and at the beginning, when less than a lag has gone by, of the first one, most of which is still to come. In air that
stays it is its EMC. A board that has forgotten its start follows such a mean closely; one against the EMC of the hour
would come to rest and leave it again every day, and against the aim it would rest in air that still moves it.

``settled`` is when both shells (outer sixths) and the core (middle third) first lie within 0.5 % of the target, and
``half`` and ``ninety`` when the mean's distance from it is down to a half and a tenth of what it was. ``good to mill``
is from when to when shells and core lie within 1 % of each other with the mean inside its aim. The two shells are taken
each by itself: flat on a bench their mean is that of the core all along. Times come with the central 80 %
(:mod:`server.wood.ensemble`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats, saturation_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.boards import Boards
from server.wood.emc import emc_slope_pct, humidity_for_emc
from server.wood.ensemble import Doubts, Ensemble, Spread, ensemble, one_each, spread_of, spread_of_times
from server.wood.expected_air import UNKNOWN_AIR_HALF_PCT, ExpectedAir, growing_edges_s
from server.wood.grid import share_within
from server.wood.moisture import Moisture
from server.wood.transport import follow

DAY_S = 86_400.0
WITHIN_PCT = 0.5
EVEN_WITHIN_PCT = 1.0
SEASON_DAYS = 60.0
"""Past it a count of days says too little: the air will have changed."""
NOTHING_PCT = 0.05
"""With less than this to go there is no way to be half of."""
STEP_S = 3 * 3600.0
"""Air is averaged over so long, and over a twenty-fifth of the time gone by: finer makes no other days."""
_NEVER = -1e9
"""A margin that is never met."""
_ROW_FLOATS = 3_000_000
"""So many figures of profiles are held at a time."""


@dataclass(frozen=True, slots=True)
class Course:
    """Boards on their way: at ``times_s`` (k) their mean, both shells together, core, and what the air draws them to,
    each (k, n) in % MC."""

    times_s: Floats
    mean_pct: Floats
    shell_pct: Floats
    core_pct: Floats
    target_pct: Floats


_COURSES = ("mean_pct", "shell_pct", "core_pct", "target_pct")


@dataclass(frozen=True, slots=True)
class Outcome:
    """Of n boards: the ``target_pct`` of now, the ``left_pct`` that the mean has to go (signed), and days from now on
    (nan where none). ``good_until`` is nan where it stays so as far as the air is looked at, ``good_again`` is from
    when it is so once more: an even board is good until its shells run ahead, and again when its core has followed."""

    target_pct: Spread
    left_pct: Spread
    half: Spread
    ninety: Spread
    settled: Spread
    good: Spread
    good_until: Spread
    good_again: Spread
    course: Course

    def one(self, i: int) -> Outcome:
        """Of one of them."""
        spreads = {f.name: getattr(self, f.name).one(i) for f in fields(self) if f.name != "course"}
        course = Course(self.course.times_s, *(getattr(self.course, name)[:, i : i + 1] for name in _COURSES))
        return Outcome(**spreads, course=course)

    @property
    def not_this_season(self) -> NDArray[np.bool_]:
        """Of which boards no days are to be counted: they do not settle within sixty."""
        return ~(self.settled.middle <= SEASON_DAYS)


def settle_in(
    boards: Boards,
    moisture: Moisture,
    air: ExpectedAir,
    zone: ArrayLike = 0,
    *,
    doubts: Doubts | None = None,
    aim_pct: tuple[ArrayLike, ArrayLike] | None = None,
    part: tuple[float, float] = (0.0, 1.0),
    step_s: float | None = STEP_S,
) -> Outcome:
    """What becomes of n boards, from ``moisture`` at the beginning of ``air`` to its end, each lying in its ``zone``.

    ``aim_pct`` is where means belong, each end one number or n; without it ``good`` is nan. ``part`` is what of the
    thickness is looked at, as for one board of a pile. ``step_s`` None keeps the air's own steps. What a board has
    lain in air that nobody recorded (``unknown_s``) adds to the doubt about its start what such air can have done.
    Raises ValueError where boards, state, zones and doubts do not fit together.
    """
    zones = np.broadcast_to(np.asarray(zone, np.intp), len(boards))
    airs, sides = air.sides()
    if step_s is not None:
        airs = airs.averaged(growing_edges_s(float(airs.edges_s[0]), float(airs.edges_s[-1]), step_s))
    emc = airs.emc_pct()
    given = doubts or Doubts()
    known = replace(given, start_half_pct=_start_half_pct(boards, moisture, emc[0, zones], given))
    many = ensemble(boards, moisture, zones, known, zones=air.middle.zones, sides=sides)
    mean, core, top, bottom = _followed(many, airs, part)
    target = _target(many, airs, emc)
    day = (airs.edges_s - airs.edges_s[0]) / DAY_S
    away = np.maximum.reduce([np.abs(m - target) for m in (core, top, bottom)])
    gap = np.maximum.reduce([core, top, bottom]) - np.minimum.reduce([core, top, bottom])
    to_go = np.abs(mean - target)
    ways = (np.where(to_go[0] < NOTHING_PCT, _NEVER, rest * to_go[0]) - to_go for rest in (0.5, 0.1))
    half, ninety, settled = (spread_of_times(many.apart(_first(day, m))) for m in (*ways, WITHIN_PCT - away))
    good = _good(many, day, mean, gap, aim_pct)
    n = slice(0, many.count)
    course = Course(airs.edges_s, mean[:, n], 0.5 * (top + bottom)[:, n], core[:, n], target[:, n])
    now, left = (spread_of(many.apart(a)) for a in (target[0], target[0] - mean[0]))
    return Outcome(now, left, half, ninety, settled, *good, course)


def lag_s(boards: Boards, mc_pct: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """By how much the mean of each board is behind a slow drift of its air, s; inf where both faces are sealed.

    Of a plane sheet that is l² / 3D, l the way from an open face to where nothing passes; a film adds the water that it
    has to let through over what it passes. ``mc_pct`` and ``temperature_c`` are where D is taken, one or n.
    """
    inside, film = lag_parts_s(boards, mc_pct, temperature_c)
    return np.asarray(np.where(boards.top_film + boards.bottom_film > 0, inside + film, np.inf))


def lag_parts_s(boards: Boards, mc_pct: ArrayLike, temperature_c: ArrayLike) -> tuple[Floats, Floats]:
    """What of :func:`lag_s` is the way inside, and what the films; neither is a number where both faces are sealed."""
    m, t = np.asarray(mc_pct, np.float64), np.asarray(temperature_c, np.float64)
    both = boards.top_film + boards.bottom_film
    with np.errstate(divide="ignore", invalid="ignore"):
        way = boards.thickness_m * np.maximum(boards.top_film, boards.bottom_film) / both
        slope = emc_slope_pct(t, humidity_for_emc(t, np.clip(m, 0.5, 25.0)))
        film = boards.dry_kg_m3 * boards.thickness_m / 100.0 * slope / (both * saturation_pressure_pa(t))
        return np.asarray(way**2 / (3.0 * boards.diffusivity.at(m, t))), np.asarray(film)


def _start_half_pct(boards: Boards, moisture: Moisture, air_pct: Floats, doubts: Doubts) -> Floats:
    """A step of the air shifts a mean by 2 / sqrt pi sqrt(D t) / l at first, and by all of it at last."""
    half = one_each("start_half_pct", doubts.start_half_pct, len(boards))
    lag = lag_s(boards, 0.5 * (boards.mean_pct(moisture.profile_pct) + air_pct), moisture.temperature_c)
    share: Floats = np.minimum(2.0 / np.sqrt(3.0 * np.pi) * np.sqrt(moisture.unknown_s / lag), 1.0)
    return np.asarray(np.hypot(half, UNKNOWN_AIR_HALF_PCT * share))


def _followed(many: Ensemble, air: AirSeries, part: tuple[float, float]) -> list[Floats]:
    """Mean, core, top and bottom shell of ``part`` at every edge, each (k + 1, boards)."""
    low, sixth = part[0], (part[1] - part[0]) / 6
    depths = ((0, 6), (2, 4), (0, 1), (5, 6))
    shares = np.stack([share_within(many.boards.widths_m, low + a * sixth, low + b * sixth) for a, b in depths], -1)
    shares /= shares.sum(axis=1, keepdims=True)
    out = np.empty((4, len(air) + 1, len(many.boards)))
    state, rows = many.start, max(1, _ROW_FLOATS // many.start.profile_pct.size)
    out[:, 0] = np.einsum("mc,mcw->wm", state.profile_pct, shares)
    for first in range(0, len(air), rows):
        some = air.between(first, first + rows)
        state, track = follow(many.boards, state, some, range(1, len(some) + 1), many.zone, longest_step_s=np.inf)
        found = np.matmul(track.profile_pct.transpose(1, 0, 2), shares)
        out[:, first + 1 : first + 1 + len(some)] = found.transpose(2, 1, 0)
    return list(out)


def _target(many: Ensemble, air: AirSeries, emc: Floats) -> Floats:
    """What the air draws each board to at every edge, (k + 1, boards): see the module."""
    edges = air.edges_s
    whole = edges[-1] - edges[0]
    about = 0.5 * (many.boards.mean_pct(many.start.profile_pct) + emc[0, many.zone])
    lag = np.minimum(lag_s(many.boards, about, 0.5 * (air.start_c + air.end_c)[0, many.zone]), whole)
    gone = np.zeros((len(air) + 1, emc.shape[1]))
    np.cumsum(emc * np.diff(edges)[:, None], axis=0, out=gone[1:])
    end = np.maximum(edges[:, None], edges[0] + lag)
    total = []
    for at in (end, end - lag):
        i = np.clip(np.searchsorted(edges, at, side="right") - 1, 0, len(air) - 1)
        total.append(gone[i, many.zone] + emc[i, many.zone] * (at - edges[i]))
    return np.asarray((total[0] - total[1]) / lag, np.float64)


def _good(
    many: Ensemble, day: Floats, mean: Floats, gap: Floats, aim_pct: tuple[ArrayLike, ArrayLike] | None
) -> tuple[Spread, Spread, Spread]:
    """From when boards are good to mill, until when, and from when again."""
    if aim_pct is None:
        none = np.full(many.count, np.nan)
        return (Spread(none, none, none),) * 3
    copies = mean.shape[1] // many.count
    low, high = (np.tile(np.broadcast_to(np.asarray(a, np.float64), many.count), copies) for a in aim_pct)
    margin = np.minimum.reduce([EVEN_WITHIN_PCT - gap, mean - low, high - mean])
    times = [_first(day, margin)]
    for side in (-margin, margin):
        later = np.where(day[:, None] > times[-1], side, _NEVER)
        times.append(np.maximum(_first(day, later, strictly=True), times[-1]))
    began, ended, again = (spread_of_times(many.apart(t)) for t in times)
    return began, ended, again


def _first(day: Floats, margin: Floats, *, strictly: bool = False) -> Floats:
    """When each ``margin`` (k, boards) first comes to nought or more, straight between steps; inf if it never does."""
    there = margin > 0 if strictly else margin >= 0
    i = np.argmax(there, axis=0)
    last, column = np.maximum(i - 1, 0), np.arange(margin.shape[1])
    before, after = margin[last, column], margin[i, column]
    share = np.divide(-before, after - before, out=np.zeros(i.size), where=before < after)
    return np.where(there.any(axis=0), day[last] + share * (day[i] - day[last]), np.inf)
