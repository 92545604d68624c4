"""What is held of lots of wood, and how surely: a middle, and what would be were one cause otherwise.

Of each lot the solver carries :data:`MEMBERS` states. The first is what is held to be so. Each other one is the same
lot with one unknown moved by one standard deviation: how damp it was at the start (level), how much damper its core
was than its shell (bend), how fast moisture goes through it (rate), how much its faces pass (film), how far above the
handbook's one curve this wood comes to rest (curve), and how much higher the air drew it while nobody recorded it (air;
the same as the first until then). The differences of the others from the first are the columns
of a matrix A whose square A Aᵀ is the covariance of all that is held, profile and rate alike, carried through the
nonlinear model by its own runs (the reduced-rank square root of a covariance: Verlaan and Heemink, Stoch. Hydrol.
Hydraul. 11, 1997, recalled). So what a reading teaches (:mod:`server.wood.assimilation`) is a small matrix product.

The middle is stepped through every half hour of its air. How far the others are apart from it changes in days, so that
is stepped some hours at a time, from what the middle went through, and in between they move as the middle does
(:mod:`server.wood.carry`).

The curve's part is kept beside the solver's states, which rest where the handbook says: what a lot holds is its state
and ``curve_pct`` together (:meth:`Belief.held_pct`), and so is what an air draws it to.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats
from server.wood.boards import Boards
from server.wood.diffusivity import LN_RATE_SIGMA
from server.wood.emc import CURVE_SIGMA_PCT
from server.wood.ensemble import END_OF_80, FILM_FACTOR
from server.wood.grid import CELLS
from server.wood.members import Since, fewer
from server.wood.moisture import MOISTURE_RANGE_PCT, Moisture
from server.wood.ranges import alike, within
from server.wood.stock import Stock

CAUSES = ("level", "bend", "rate", "film", "curve", "air")
MEMBERS = 1 + len(CAUSES)
LN_FILM_SIGMA = float(np.log(FILM_FACTOR)) / END_OF_80
BEND_PER_LEVEL = 0.5
"""Where nothing else is said: how unsure the bend of a start is, as a part of its level. Common practice, no source."""
LN_RATE_LIMIT, LN_FILM_LIMIT, CURVE_LIMIT_PCT = float(np.log(6.0)), float(np.log(4.0)), 3.0
"""What readings seem to teach goes no further than this from formula, film and curve."""
_HEAD, _MARK, _FORM = struct.Struct("<8sIII"), b"belief\0\0", 3


@dataclass(frozen=True, slots=True)
class Belief:
    """Of n lots: ``moisture`` of n · MEMBERS boards, a lot's members one after the other; ``ln_rate`` and ``ln_film``
    (n, MEMBERS), the logarithms of what D and films are multiplied by; ``curve_pct`` (n, MEMBERS), see the module.

    ``weighed_pct`` (n, MEMBERS) is the mean each member had when the lot's sample board was first weighed, and
    ``weighed_kg`` (n,) what it weighed. ``shape_bend_pct`` and ``shape_pct`` (n, MEMBERS) are each member's bend (see
    :mod:`server.wood.straightedge`) and mean when the lot's shape was last known, and ``shape_per_m`` (n,) what its
    curvature was then. ``doubted_pct`` (n,) is by how much, as % MC, the last reading that was not believed stood off;
    nan where there is none. ``since`` is what the middles went through since members were brought up to them, None for
    nothing.
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
    since: Since | None = field(default=None, kw_only=True)

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
        since = None if self.since is None else self.since.take(i)
        return Belief(self.moisture.take(rows), *(getattr(self, name)[i] for name in _OWN), since=since)

    def put(self, lots: Sequence[int], other: Belief) -> Belief:
        """With those of ``other`` in place of ``lots``."""
        rows = (np.array(lots)[:, None] * MEMBERS + np.arange(MEMBERS)).ravel()
        moisture = self.moisture.put(rows, other.moisture)
        kept = [getattr(self, name).copy() for name in _OWN]
        for mine, name in zip(kept, _OWN, strict=True):
            mine[lots] = getattr(other, name)
        since = None
        if self.since is not None or other.since is not None:
            since = self.gone_through().put(lots, other.gone_through())
        return Belief(moisture, *kept, since=since)

    def middle(self) -> Moisture:
        """The first of each lot's members, a board each."""
        return Moisture(*(a[::MEMBERS] for a in self.moisture.arrays()))

    def gone_through(self) -> Since:
        """What the middles went through since members were brought up to them."""
        return Since.none(self.middle()) if self.since is None else self.since

    @classmethod
    def joined(cls, parts: Sequence[Belief]) -> Belief:
        """Several one after the other."""
        own = (np.concatenate([getattr(part, name) for part in parts]) for name in _OWN)
        since = None
        if any(part.since is not None for part in parts):
            since = Since.joined([part.gone_through() for part in parts])
        return cls(Moisture.joined([part.moisture for part in parts]), *own, since=since)

    @classmethod
    def none(cls) -> Belief:
        """Of no lots."""
        rows, lots = np.empty((0, MEMBERS)), np.empty(0)
        moisture = Moisture(np.empty((0, CELLS)), lots, np.empty((0, 2)), lots)
        return cls(moisture, *[rows] * 6, *[lots] * 3)

    def apart_pct(self) -> Floats:
        """By how much each other member's board differs from the middle's, % MC: (n, MEMBERS - 1, cells)."""
        profiles = self.moisture.profile_pct.reshape(len(self), MEMBERS, -1)
        return np.asarray(profiles[:, 1:] - profiles[:, :1])

    def held_pct(self) -> Floats:
        """What every member of every lot holds, from its top to its bottom, % MC: (n, MEMBERS, cells)."""
        return self.moisture.profile_pct.reshape(len(self), MEMBERS, -1) + self.curve_pct[:, :, None]

    def to_bytes(self) -> bytes:
        """To keep: little-endian, every bit of it."""
        parts = [self.moisture.to_bytes(), b"" if self.since is None else self.since.to_bytes()]
        own = b"".join(np.ascontiguousarray(getattr(self, name), "<f8").tobytes() for name in _OWN)
        return _HEAD.pack(_MARK, _FORM, *map(len, parts)) + b"".join(parts) + own

    def each_to_bytes(self) -> list[bytes]:
        """:meth:`to_bytes` of each lot by itself, at a tenth of the time."""
        if self.since is not None or not len(self):
            return [self.take([i]).to_bytes() for i in range(len(self))]
        moisture, own = self.moisture.arrays(), (getattr(self, name) for name in _OWN)
        n, cells = len(self), moisture[0].shape[1]
        rows = np.concatenate([a.reshape(n, -1) for a in (*moisture, *own)], axis=1).astype("<f8")
        before = Moisture.head(MEMBERS, cells)
        size = len(before) + 8 * sum(a.size for a in moisture) // n
        head = _HEAD.pack(_MARK, _FORM, size, 0) + before
        return [head + row.tobytes() for row in rows]

    @classmethod
    def from_bytes(cls, kept: bytes) -> Belief:
        """What :meth:`to_bytes` gave, bit for bit. Raises ValueError where it is something else or was cut short."""
        if len(kept) < _HEAD.size or kept[:8] != _MARK:
            raise ValueError("belief: found bytes of something else; would be right: what to_bytes gave")
        _, form, size, more = _HEAD.unpack_from(kept)
        if form != _FORM:
            raise ValueError(f"belief: found form {form}; would be right: form {_FORM}")
        first, second = _HEAD.size + size, _HEAD.size + size + more
        moisture = Moisture.from_bytes(kept[_HEAD.size : first])
        n = len(moisture) // MEMBERS
        since = Since.from_bytes(kept[first:second], n) if more else None
        shapes = [(n, MEMBERS)] * 6 + [(n,)] * 3
        right = second + 8 * sum(int(np.prod(s)) for s in shapes)
        if len(moisture) % MEMBERS or len(kept) != right:
            raise ValueError(f"belief: found {len(kept)} bytes; would be right: {right}")
        values = np.frombuffer(kept, "<f8", offset=second).astype(np.float64)
        parts = np.split(values, np.cumsum([int(np.prod(s)) for s in shapes])[:-1])
        return cls(moisture, *(part.reshape(s) for part, s in zip(parts, shapes, strict=True)), since=since)


_OWN = (
    "ln_rate", "ln_film", "curve_pct", "weighed_pct", "shape_bend_pct", "shape_pct", "weighed_kg", "shape_per_m",
    "doubted_pct",
)  # fmt: skip


def middle_boards(stock: Stock, belief: Belief) -> Boards:
    """The first of each lot's members as boards. Raises ValueError as :func:`boards_of`."""
    alike(stock=stock.thickness_m, belief=belief.weighed_kg)
    top, bottom = films_of(stock, belief)
    return replace(stock, top_film=top[:, 0], bottom_film=bottom[:, 0]).boards(np.exp(belief.ln_rate[:, 0]))


def films_of(stock: Stock, belief: Belief) -> tuple[Floats, Floats]:
    """What top and bottom face of each member pass, kg/(m² s Pa), (n, MEMBERS)."""
    factor = np.exp(belief.ln_film)
    top, bottom = (np.minimum(film[:, None] * factor, 1.0) for film in (stock.top_film, stock.bottom_film))
    return top, bottom


def boards_of(stock: Stock, belief: Belief) -> Boards:
    """Every member of every lot as a board, in the order of ``belief.moisture``. Raises ValueError where ``stock`` has
    another number of lots."""
    alike(stock=stock.thickness_m, belief=belief.weighed_kg)
    return _boards(stock, belief.ln_rate, belief.ln_film)


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
    return rebuilt(part, one, state_of(one), fewer(np.column_stack([columns, extra]), len(CAUSES)))


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


def _boards(stock: Stock, ln_rate: Floats, ln_film: Floats) -> Boards:
    film = np.exp(ln_film).ravel()
    repeated = {f.name: np.repeat(getattr(stock, f.name), MEMBERS) for f in fields(stock)}
    for face in ("top_film", "bottom_film"):
        repeated[face] = np.minimum(repeated[face] * film, 1.0)
    return Stock(**repeated).boards(np.exp(ln_rate).ravel())
