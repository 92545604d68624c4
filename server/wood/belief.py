"""What is held of lots of wood, and how surely: a middle, and what would be were one cause otherwise.

Of each lot the solver carries :data:`MEMBERS` states. The first is what is held to be so. Each other one is the same
lot with one unknown moved by one standard deviation: how damp it was at the start (level), how much damper its core
was than its shell (bend), how fast moisture goes through it (rate), how much its faces pass (film), how far above the
handbook's one curve this wood comes to rest (curve), and how much higher the air drew it while nobody recorded it (air;
the same as the first until then). The differences of the others from the first are the columns
of a matrix A whose square A Aᵀ is the covariance of all that is held, profile and rate alike, carried through the
nonlinear model by its own runs (the reduced-rank square root of a covariance: Verlaan and Heemink, Stoch. Hydrol.
Hydraul. 11, 1997, recalled). So advancing a belief is advancing a few boards more in the same batch, and what a reading
teaches (:mod:`server.wood.assimilation`) is a small matrix product.

The curve's part is kept beside the solver's states, which rest where the handbook says: what a lot holds is its state
and ``curve_pct`` together (:meth:`Belief.held_pct`), and so is what an air draws it to.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.air_series import UNKNOWN_AIR_SIGMA_PCT, AirSeries, beside
from server.wood.boards import Boards
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import CURVE_SIGMA_PCT
from server.wood.ensemble import END_OF_80, FILM_FACTOR
from server.wood.grid import CELLS
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture
from server.wood.ranges import alike, within
from server.wood.stock import Stock
from server.wood.transport import LONGEST_STEP_S
from server.wood.transport import advance as advance_boards

CAUSES = ("level", "bend", "rate", "film", "curve", "air")
MEMBERS = 1 + len(CAUSES)
LN_FILM_SIGMA = float(np.log(FILM_FACTOR)) / END_OF_80
BEND_PER_LEVEL = 0.5
"""Where nothing else is said: how unsure the bend of a start is, as a part of its level. Common practice, no source."""
LN_RATE_LIMIT, LN_FILM_LIMIT, CURVE_LIMIT_PCT = float(np.log(6.0)), float(np.log(4.0)), 3.0
"""What readings seem to teach goes no further than this from formula, film and curve."""
_HEAD, _MARK, _FORM = struct.Struct("<8sII"), b"belief\0\0", 2


@dataclass(frozen=True, slots=True)
class Belief:
    """Of n lots: ``moisture`` of n · MEMBERS boards, a lot's members one after the other; ``ln_rate`` and ``ln_film``
    (n, MEMBERS), the logarithms of what D and films are multiplied by; ``curve_pct`` (n, MEMBERS), see the module.

    ``weighed_pct`` (n, MEMBERS) is the mean each member had when the lot's sample board was first weighed, and
    ``weighed_kg`` (n,) what it weighed. ``shape_bend_pct`` and ``shape_pct`` (n, MEMBERS) are each member's bend (see
    :mod:`server.wood.straightedge`) and mean when the lot's shape was last known, and ``shape_per_m`` (n,) what its
    curvature was then. ``doubted_pct`` (n,) is by how much the last reading that was not believed stood off; nan where
    there is none.
    """

    moisture: Moisture
    ln_rate: Floats
    ln_film: Floats
    curve_pct: Floats
    weighed_pct: Floats
    shape_bend_pct: Floats
    shape_pct: Floats
    weighed_kg: Floats
    shape_per_m: Floats
    doubted_pct: Floats

    def __len__(self) -> int:
        return int(self.ln_rate.shape[0])

    @classmethod
    def begin(
        cls, stock: Stock, level_pct: ArrayLike, level_sigma_pct: ArrayLike, *, bend_sigma_pct: ArrayLike | None = None,
        rate_sigma: ArrayLike = LN_RATE_SIGMA, temperature_c: ArrayLike = 20.0,
    ) -> Belief:  # fmt: skip
        """Lots even at ``level_pct``, known to ``level_sigma_pct`` (one standard deviation, 0..10 % MC).

        ``bend_sigma_pct`` is that of core less faces' mean difference, else half of the level's. Each one number or n.
        Raises ValueError out of 0..30 % or 0..10 %.
        """
        boards = stock.boards()
        x = np.cumsum(boards.widths_m, axis=1) - 0.5 * boards.widths_m
        bow = -1.5 * (2.0 * x / boards.thickness_m[:, None] - 1.0) ** 2
        bow -= boards.mean_pct(bow)[:, None]  # a parabola of mean 0: middle 0.5, faces -1
        n = len(stock)
        level = np.broadcast_to(within("level_sigma_pct", level_sigma_pct, 0, 10, "% MC"), n)
        bend = BEND_PER_LEVEL * level if bend_sigma_pct is None else np.asarray(bend_sigma_pct, np.float64)
        bend = np.broadcast_to(within("bend_sigma_pct", bend, 0, 10, "% MC"), n)
        sigma = np.broadcast_to(within("rate_sigma", rate_sigma, 0, 1, "(of ln D)"), n)
        start = np.broadcast_to(within("level_pct", level_pct, *MOISTURE_RANGE_PCT, "% MC (dry lumber)"), n)
        profiles = np.tile(start[:, None, None], (1, MEMBERS, boards.cells))
        profiles[:, 1] += np.where(start + level > MOISTURE_RANGE_PCT[1], -level, level)[:, None]
        profiles[:, 2] += bend[:, None] * bow
        profiles[:, 5] -= CURVE_SIGMA_PCT  # what it holds is the same, and further from where it will rest
        ln_rate, ln_film, curve = np.zeros((3, n, MEMBERS))
        ln_rate[:, 3], ln_film[:, 4], curve[:, 5] = sigma, LN_FILM_SIGMA, CURVE_SIGMA_PCT
        rows = np.clip(profiles.reshape(n * MEMBERS, -1), *MOISTURE_RANGE_PCT)
        members = _boards(stock, ln_rate, ln_film)
        temperature = np.repeat(np.broadcast_to(np.asarray(temperature_c, np.float64), n), MEMBERS)
        none, no_members = np.full(n, np.nan), np.full((n, MEMBERS), np.nan)
        begun = Moisture.of_profile(members, rows, temperature)
        return cls(begun, ln_rate, ln_film, curve, no_members, no_members, no_members, none, none, none)

    def take(self, which: ArrayLike) -> Belief:
        """Of some lots, by number or by a mask."""
        i = np.arange(len(self))[np.asarray(which)]
        rows = (i[:, None] * MEMBERS + np.arange(MEMBERS)).ravel()
        return Belief(self.moisture.take(rows), *(getattr(self, name)[i] for name in _OWN))

    def put(self, lot: int, other: Belief) -> Belief:
        """With the one lot of ``other`` in place of ``lot``."""
        rows = slice(lot * MEMBERS, (lot + 1) * MEMBERS)
        moisture = Moisture(*(a.copy() for a in _arrays(self.moisture)))
        for mine, new in zip(_arrays(moisture), _arrays(other.moisture), strict=True):
            mine[rows] = new
        kept = [getattr(self, name).copy() for name in _OWN]
        for mine, name in zip(kept, _OWN, strict=True):
            mine[lot] = getattr(other, name)[0]
        return Belief(moisture, *kept)

    @classmethod
    def joined(cls, parts: Sequence[Belief]) -> Belief:
        """Several one after the other."""
        moistures = zip(*(_arrays(part.moisture) for part in parts), strict=True)
        own = (np.concatenate([getattr(part, name) for part in parts]) for name in _OWN)
        return cls(Moisture(*(np.concatenate(arrays) for arrays in moistures)), *own)

    @classmethod
    def none(cls) -> Belief:
        """Of no lots."""
        rows, lots = np.empty((0, MEMBERS)), np.empty(0)
        moisture = Moisture(np.empty((0, CELLS)), lots, np.empty((0, 2)), lots)
        return cls(moisture, *[rows] * 6, *[lots] * 3)

    def held_pct(self) -> Floats:
        """What every member of every lot holds, from its top to its bottom, % MC: (n, MEMBERS, cells)."""
        return self.moisture.profile_pct.reshape(len(self), MEMBERS, -1) + self.curve_pct[:, :, None]

    def to_bytes(self) -> bytes:
        """To keep: little-endian, every bit of it."""
        kept = self.moisture.to_bytes()
        own = b"".join(np.ascontiguousarray(getattr(self, name), "<f8").tobytes() for name in _OWN)
        return _HEAD.pack(_MARK, _FORM, len(kept)) + kept + own

    @classmethod
    def from_bytes(cls, kept: bytes) -> Belief:
        """What :meth:`to_bytes` gave, bit for bit. Raises ValueError where it is something else or was cut short."""
        if len(kept) < _HEAD.size or kept[:8] != _MARK:
            raise ValueError("belief: found bytes of something else; would be right: what to_bytes gave")
        _, form, size = _HEAD.unpack_from(kept)
        moisture = Moisture.from_bytes(kept[_HEAD.size : _HEAD.size + size])
        n = len(moisture) // MEMBERS
        shapes = [(n, MEMBERS)] * 6 + [(n,)] * 3
        right = _HEAD.size + size + 8 * sum(int(np.prod(s)) for s in shapes)
        if form != _FORM or len(moisture) % MEMBERS or len(kept) != right:
            raise ValueError(
                f"belief: found form {form} in {len(kept)} bytes; would be right: form {_FORM}, {right} bytes"
            )
        values = np.frombuffer(kept, "<f8", offset=_HEAD.size + size).astype(np.float64)
        parts = np.split(values, np.cumsum([int(np.prod(s)) for s in shapes])[:-1])
        return cls(moisture, *(part.reshape(s) for part, s in zip(parts, shapes, strict=True)))


_OWN = (
    "ln_rate", "ln_film", "curve_pct", "weighed_pct", "shape_bend_pct", "shape_pct", "weighed_kg", "shape_per_m",
    "doubted_pct",
)  # fmt: skip


def boards_of(stock: Stock, belief: Belief) -> Boards:
    """Every member of every lot as a board, in the order of ``belief.moisture``. Raises ValueError where ``stock`` has
    another number of lots."""
    alike(stock=stock.thickness_m, belief=belief.weighed_kg)
    return _boards(stock, belief.ln_rate, belief.ln_film)


def advance(
    stock: Stock, belief: Belief, air: AirSeries, zone: ArrayLike = 0, *, longest_step_s: float = LONGEST_STEP_S
) -> Belief:
    """``belief`` after ``air``; ``zone`` says in which of its airs each lot lies.

    Air that is not known makes a lot less sure: its last member is drawn one :data:`UNKNOWN_AIR_SIGMA_PCT` higher then.
    How a span is cut into calls changes nothing. Raises ValueError as :func:`server.wood.transport.advance`.
    """
    zones = np.broadcast_to(np.asarray(zone, np.intp), len(stock))
    each = np.tile(zones[:, None], (1, MEMBERS))
    if not air.known.all():
        each[:, -1] += air.zones
        air = beside(air, air.drawing(UNKNOWN_AIR_SIGMA_PCT * ~air.known))
    boards = boards_of(stock, belief)
    after = advance_boards(boards, belief.moisture, air, each.ravel(), longest_step_s=longest_step_s)
    return replace(belief, moisture=after)


def widened(stock: Stock, belief: Belief, lot: int, profile_pct: ArrayLike) -> Belief:
    """The one ``lot``, less sure by a cause that would shift its profile by ``profile_pct`` (cells or one number), one
    standard deviation, and that nothing already held has to do with.

    The new column joins A, which is brought back to its number of columns by leaving out the least of its singular
    values: what is held of anything is never surer for it by more than that.
    """
    one, part = belief.take([lot]), stock.take([lot])
    columns = deviations(one)
    extra = np.zeros(columns.shape[0])
    extra[: one.moisture.profile_pct.shape[1]] = profile_pct
    u, s, _ = np.linalg.svd(np.column_stack([columns, extra]), full_matrices=False)
    kept = u[:, : len(CAUSES)] * s[: len(CAUSES)]
    kept *= np.where(np.take_along_axis(kept, np.abs(kept).argmax(axis=0)[None], 0) < 0, -1.0, 1.0)
    return rebuilt(part, one, state_of(one), kept)


def state_of(one: Belief) -> Floats:
    """The middle of one lot, a column: the solver's profile, ln rate, ln film, curve; mean when first weighed,
    bend and mean of its shape, each 0 where there is none."""
    return np.asarray(_states(one)[0])


def deviations(one: Belief) -> Floats:
    """The matrix A of one lot, (cells + 6, causes)."""
    states = _states(one)
    return np.asarray((states[1:] - states[0]).T)


def rebuilt(stock: Stock, one: Belief, state: Floats, columns: Floats) -> Belief:
    """The one lot with another middle and another A. What would leave the range of the model is held at its end.

    A column and its negative say the same, so near an end the one is taken that loses less there: else wood that is
    nearly at fibre saturation would seem surer for every doubt about it.
    """
    cells = one.moisture.profile_pct.shape[1]
    lost = [
        np.abs(moved - np.clip(moved, *MOISTURE_RANGE_PCT)).sum(axis=0)
        for moved in (state[:cells, None] + columns[:cells], state[:cells, None] - columns[:cells])
    ]
    columns = np.where(lost[0] > lost[1], -columns, columns)
    states = np.column_stack([state, state[:, None] + columns]).T
    profiles = np.clip(states[:, :cells], *MOISTURE_RANGE_PCT)
    ln_rate = np.clip(states[:, cells], -LN_RATE_LIMIT, LN_RATE_LIMIT)[None]
    ln_film = np.clip(states[:, cells + 1], -LN_FILM_LIMIT, LN_FILM_LIMIT)[None]
    curve = np.clip(states[:, cells + 2], -CURVE_LIMIT_PCT, CURVE_LIMIT_PCT)[None]
    weighed = one.weighed_pct if np.isnan(one.weighed_kg[0]) else states[:, cells + 3][None]
    shape = (one.shape_bend_pct, one.shape_pct) if np.isnan(one.shape_per_m[0]) else states[:, cells + 4 :].T[:, None]
    moisture = Moisture.of_profile(_boards(stock, ln_rate, ln_film), profiles, one.moisture.temperature_c)
    moisture = replace(moisture, unknown_s=one.moisture.unknown_s)
    return replace(
        one, moisture=moisture, ln_rate=ln_rate, ln_film=ln_film, curve_pct=curve, weighed_pct=weighed,
        shape_bend_pct=shape[0], shape_pct=shape[1],
    )  # fmt: skip


def sigma_of(values: Floats) -> Floats:
    """One standard deviation of a figure, from what each member says it is: (…, MEMBERS) to (…)."""
    return np.asarray(np.sqrt(((values[..., 1:] - values[..., :1]) ** 2).sum(axis=-1)))


def _states(one: Belief) -> Floats:
    kept = [np.nan_to_num(a[0]) for a in (one.weighed_pct, one.shape_bend_pct, one.shape_pct)]
    return np.column_stack([one.moisture.profile_pct, one.ln_rate[0], one.ln_film[0], one.curve_pct[0], *kept])


def _arrays(moisture: Moisture) -> tuple[Floats, ...]:
    return moisture.profile_pct, moisture.temperature_c, moisture.surface_rh, moisture.unknown_s


def _boards(stock: Stock, ln_rate: Floats, ln_film: Floats) -> Boards:
    film = np.exp(ln_film).ravel()
    repeated = {field.name: np.repeat(getattr(stock, field.name), MEMBERS) for field in fields(stock)}
    for face in ("top_film", "bottom_film"):
        repeated[face] = np.minimum(repeated[face] * film, 1.0)
    return Stock(**repeated).boards(np.exp(ln_rate).ravel())
