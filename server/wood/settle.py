"""How long boards take to come to rest in an air that stays, and how sure that is.

``settled`` is when shell and core both lie within 0.5 % of what the air draws to. Times come with the central 80 % of
what is not known of a board: its diffusivity, its density, the air's film, its start, its cover. Each is moved to both
ends of its own 80 % in turn, all in one batch; what that does to the logarithm of the time is added by squares. That is
the first-order rule for independent causes (JCGM 100:2008, 5.1.2), and for it alone the rate's share is exact, as time
goes with 1 / D.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.air_series import AirSeries
from server.wood.boards import AIR_FILM_KG_M2_S_PA, LIMITS, SEALED, Boards
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import emc_pct
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture
from server.wood.ranges import within
from server.wood.transport import Track, follow

DAY_S = 86_400.0
WITHIN_PCT = 0.5
LONGEST_DAYS = 3652.5
"""Ten years; what takes longer has no figure."""
END_OF_80 = 1.2816
"""Standard normal, 90 %."""
GRAVITY_CV = 0.10
"""Scatter of specific gravity within a species: Wood Handbook ch. 5 gives a coefficient of variation of 10 %
(recalled)."""
FILM_FACTOR = 1.5
"""The air film's own 80 %, times or divided by. Common practice, no source."""
_CELLS, _FACE_CELL_M = 56, 5e-5
"""Twice as fine as lots are stepped on: a third of a per cent of the way is one of the time."""
_GROWTH = 1.02
_FIRST_S = 60.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A board as a person knows it: thickness, m; basic specific gravity; volumetric shrinkage, a fraction; one face
    open or both; a cover's resistance, m² s Pa/kg, and the ends of its spread (none of its own if they are None)."""

    thickness_m: float
    specific_gravity: float
    volumetric_shrinkage: float
    both_faces: bool = True
    cover_m2_s_pa_kg: float = 0.0
    cover_ends_m2_s_pa_kg: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Raises ValueError as :class:`Boards` does: the ends of the spread are held in range, the board is not."""
        for name in ("thickness_m", "specific_gravity", "volumetric_shrinkage"):
            low, high, right = LIMITS[name]
            if not low <= (found := getattr(self, name)) <= high:
                raise ValueError(f"{name}: found {found:g}; would be right: {right}")
        within("cover_m2_s_pa_kg", self.cover_m2_s_pa_kg, 0, np.inf, "m² s Pa/kg")


@dataclass(frozen=True, slots=True)
class Days:
    """A time with its spread, days; None where it does not come within ten years, or there is nothing to wait for."""

    days: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Settling:
    """Times to half and nine tenths of the way of the mean, and to rest; ``target_pct`` is the air's EMC. ``series``
    has one row a day asked for: day, mean, shell, core."""

    target_pct: float
    half: Days
    ninety: Days
    settled: Days
    series: tuple[tuple[float, float, float, float], ...]


def settle(
    piece: Piece,
    from_pct: float,
    temperature_c: float,
    rh: float,
    *,
    days: int = 0,
    start_half_pct: float = 0.0,
) -> Settling:
    """How ``piece``, even at ``from_pct``, settles in air of ``temperature_c`` and ``rh`` 0..1, and its first ``days``.

    ``start_half_pct`` is half the central 80 % of the start. Raises ValueError as :class:`Boards` and
    :class:`Moisture` do.
    """
    within("from_pct", from_pct, *MOISTURE_RANGE_PCT, "% MC (dry lumber)")
    within("temperature_c", temperature_c, -50, 100, "°C")
    within("start_half_pct", start_half_pct, *MOISTURE_RANGE_PCT, "% MC")
    boards, starts = _ensemble(piece, from_pct, start_half_pct)
    target = float(emc_pct(temperature_c, rh))
    edges = growing_edges(days)
    air = AirSeries.constant(edges, temperature_c, 100.0 * rh)
    _, track = follow(boards, Moisture.even(boards, starts, temperature_c), air, longest_step_s=np.inf)
    day = edges / DAY_S
    mean = boards.mean_pct(track.profile_pct)
    done = (mean - starts) / np.where(starts == target, np.nan, target - starts)
    away = np.maximum(*(np.abs(m - target) for m in (_shell(boards, track), boards.core_pct(track.profile_pct))))
    half, ninety = (_spread([_reached(day, share, wanted) for share in done.T]) for wanted in (0.5, 0.9))
    settled = _spread([_reached(day, -one, -WITHIN_PCT) for one in away.T])
    core = boards.core_pct(track.profile_pct)
    return Settling(
        target, half, ninety, settled, _series(day, days, mean[:, 0], _shell(boards, track)[:, 0], core[:, 0])
    )


def one_board(piece: Piece) -> Boards:
    """The board alone, as finely as its questions ask for."""
    boards, _ = _ensemble(piece, 0.0, 0.0)
    return boards.take([0])


def boards_of(piece: Piece, thickness_m: ArrayLike, top_film: ArrayLike, bottom_film: ArrayLike) -> Boards:
    """Boards of that wood, as fine as :func:`one_board`, of other thicknesses and lying otherwise."""
    return Boards.of(
        thickness_m=thickness_m, specific_gravity=piece.specific_gravity, top_film=top_film, bottom_film=bottom_film,
        volumetric_shrinkage=piece.volumetric_shrinkage, cells=_CELLS, face_cell_m=_FACE_CELL_M,
    )  # fmt: skip


def _ensemble(piece: Piece, from_pct: float, start_half_pct: float) -> tuple[Boards, Floats]:
    """The board itself, then for each cause its slow and its fast end."""
    rate = np.exp(END_OF_80 * LN_RATE_SIGMA)
    dense = END_OF_80 * GRAVITY_CV
    rates = np.array([1.0, 1 / rate, rate, 1, 1, 1, 1, 1, 1, 1, 1])
    gravities = piece.specific_gravity * np.array([1.0, 1, 1, 1 + dense, 1 - dense, 1, 1, 1, 1, 1, 1])
    shrinkages = piece.volumetric_shrinkage * gravities / piece.specific_gravity
    air_films = AIR_FILM_KG_M2_S_PA * np.array([1.0, 1, 1, 1, 1, 1 / FILM_FACTOR, FILM_FACTOR, 1, 1, 1, 1])
    starts = from_pct + start_half_pct * np.array([0.0, 0, 0, 0, 0, 0, 0, 1, -1, 0, 0])
    cover = piece.cover_m2_s_pa_kg
    least, most = piece.cover_ends_m2_s_pa_kg or (cover, cover)
    films = 1.0 / (1.0 / air_films + np.array([*[cover] * 9, most, least]))
    boards = Boards.of(
        thickness_m=piece.thickness_m, specific_gravity=np.clip(gravities, 0.1, 1.0), rate_factor=rates,
        volumetric_shrinkage=np.clip(shrinkages, 0.0, 0.35), top_film=films,
        bottom_film=films if piece.both_faces else SEALED, cells=_CELLS, face_cell_m=_FACE_CELL_M,
    )  # fmt: skip
    return boards, np.clip(starts, 0.0, 30.0)


def growing_edges(days: int) -> Floats:
    """Steps that grow by a fiftieth of the time gone by, and every day that is asked for. Raises ValueError beyond ten
    years."""
    within("days", days, 0, LONGEST_DAYS, "days (ten years)")
    count = int(np.ceil(np.log(LONGEST_DAYS * DAY_S / _FIRST_S) / np.log(_GROWTH)))
    grown = _FIRST_S * _GROWTH ** np.arange(count + 1)
    small = _FIRST_S * np.arange(1, 50) / 50
    return np.unique(np.concatenate([[0.0], small, grown, DAY_S * np.arange(days + 1)]))


def _shell(boards: Boards, track: Track) -> Floats:
    return boards.shell_pct(track.profile_pct)


def _reached(day: Floats, rising: Floats, wanted: float) -> float | None:
    """When ``rising`` first comes to ``wanted``, straight between steps; None if it never does."""
    there = np.flatnonzero(rising >= wanted)
    if not there.size:
        return None
    i = int(there[0])
    if i == 0:
        return 0.0
    share = (wanted - rising[i - 1]) / (rising[i] - rising[i - 1])
    return float(day[i - 1] + share * (day[i] - day[i - 1]))


def _spread(each: Sequence[float | None]) -> Days:
    """The board's own time, and the ends that its causes make together."""
    middle = each[0]
    if middle is None:
        return Days(None, None, None)
    if middle == 0.0:
        late = max(t or 0.0 for t in each)
        return Days(0.0, 0.0, late)
    up = down = 0.0
    for slow, fast in zip(each[1::2], each[2::2], strict=True):
        ends = [np.inf if t is None else np.log(max(t, 1e-9) / middle) for t in (slow, fast)]
        up += max(0.0, *ends) ** 2
        down += min(0.0, *ends) ** 2
    high = middle * np.exp(np.sqrt(up)) if np.isfinite(up) else None
    return Days(middle, float(middle * np.exp(-np.sqrt(down))), None if high is None else float(high))


def _series(day: Floats, days: int, *columns: Floats) -> tuple[tuple[float, float, float, float], ...]:
    rows = np.searchsorted(day, np.arange(days + 1) - 1e-9)
    return tuple((float(d), *(float(c[i]) for c in columns)) for d, i in enumerate(rows))  # type: ignore[misc]
