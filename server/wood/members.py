"""How lots that differ by one cause part and meet: from what their middle went through, without its air.

The middle of a lot is stepped through every half hour of its air. Its members differ from it by something that lasts
for days, and the air's noise is the same for all of them; so only how far each is *apart* is stepped, and that some
hours at a time. Let F be what passed between two cells of the middle over such a span (it follows from where the
middle stood at both ends and what came in by its faces) and K what the wood there conducts. With its own moisture and
rate a member conducts K', and passes K' / K F + K' (difference of how far both cells are apart), exactly so for air
that stays through the span. At a face the film conducts likewise; what air draws to is the same for all, but where
nobody recorded it.

K and K' are taken at the middle's mean over the span and the distances at its beginning; the step is that of
:mod:`server.wood.columns`, two implicit stages of one matrix.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from server.wood.air import ZERO_CELSIUS_K, Floats, saturation_pressure_pa
from server.wood.boards import Boards
from server.wood.columns import GAMMA
from server.wood.diffusivity import GAS_CONSTANT_CAL
from server.wood.isotherm import Isotherm
from server.wood.moisture import Moisture
from server.wood.tridiagonal import HalfSystems, halves

TOGETHER = 128
"""So many half columns are stepped together, whose arrays of 100 kB each stay in the cache (tried 64 to 500)."""


@dataclass(frozen=True, slots=True)
class Since:
    """What the middles of n lots went through since their members were brought up to them: as they stood ``then``, the
    water that came in by each face since, % MC times metres, ``gained`` (n, 2), and for how long, ``seconds`` (n,)."""

    then: Moisture
    gained: Floats
    seconds: Floats

    @classmethod
    def none(cls, now: Moisture) -> Since:
        """Nothing yet."""
        n = len(now)
        return cls(now, np.zeros((n, 2)), np.zeros(n))

    def take(self, which: NDArray[np.intp]) -> Since:
        """Of some of them."""
        return Since(self.then.take(which), self.gained[which], self.seconds[which])

    def put(self, lots: Sequence[int], other: Since) -> Since:
        """With those of ``other`` in place of ``lots``."""
        gained, seconds = self.gained.copy(), self.seconds.copy()
        gained[lots], seconds[lots] = other.gained, other.seconds
        return Since(self.then.put(np.array(lots), other.then), gained, seconds)

    @classmethod
    def joined(cls, parts: Sequence[Since]) -> Since:
        """Several one after the other."""
        gained, seconds = np.concatenate([p.gained for p in parts]), np.concatenate([p.seconds for p in parts])
        return cls(Moisture.joined([p.then for p in parts]), gained, seconds)

    def to_bytes(self) -> bytes:
        """To keep: little-endian, every bit of it."""
        own = np.concatenate([self.gained, self.seconds[:, None]], axis=1)
        return self.then.to_bytes() + np.ascontiguousarray(own, "<f8").tobytes()

    @classmethod
    def from_bytes(cls, kept: bytes, n: int) -> Since:
        """What :meth:`to_bytes` gave of n lots. Raises ValueError where it is something else or was cut short."""
        end = max(len(kept) - 24 * n, 0)
        own = np.frombuffer(kept[end:], "<f8").astype(np.float64).reshape(-1, 3)
        return cls(Moisture.from_bytes(kept[:end]), own[:, :2], own[:, 2])


class Unlike(NamedTuple):
    """What makes k members of n lots differ from their middle, each (n, k): ``rate``, the ratio of D's; what the
    ``top`` and the ``bottom`` face pass, kg/(m² s Pa); ``drawn_pct``, how much higher the air drew them on the mean."""

    rate: Floats
    top: Floats
    bottom: Floats
    drawn_pct: Floats


def apart_after(middle: Boards, since: Since, now: Moisture, apart_pct: Floats, unlike: Unlike) -> Floats:
    """How far each member is apart from its middle at the end of the span, % MC, (n, k, cells), from the same at its
    beginning."""
    after = np.empty_like(apart_pct)
    for which, alike in _parts(middle, since, now, apart_pct):
        part = _Part(middle.take(which), alike)
        mine = Unlike(*(a[which] for a in unlike))
        after[which] = part.stepped(since.take(which), now.take(which), apart_pct[which], mine)
    return after


def fewer(columns: Floats, most: int) -> Floats:
    """``most`` columns of the same square, but for the least of its singular values."""
    u, s, _ = np.linalg.svd(columns, full_matrices=False)
    kept = u[:, :most] * s[:most]
    kept *= np.where(np.take_along_axis(kept, np.abs(kept).argmax(axis=0)[None], 0) < 0, -1.0, 1.0)
    return np.asarray(kept)


def _parts(middle: Boards, since: Since, now: Moisture, apart_pct: Floats) -> Iterator[tuple[NDArray[np.intp], int]]:
    """Numbers of lots that go together, and how many of them, the first, are the same from both sides."""
    alike = (
        (middle.top_film == middle.bottom_film)
        & (since.gained[:, 0] == since.gained[:, 1])
        & (apart_pct == apart_pct[:, :, ::-1]).all(axis=(1, 2))
    )
    for state in (since.then, now):
        alike &= (state.profile_pct == state.profile_pct[:, ::-1]).all(axis=1)
        alike &= state.surface_rh[:, 0] == state.surface_rh[:, 1]
    order = np.argsort(~alike, kind="stable")
    group = (np.cumsum(np.where(alike[order], 1, 2)) - 1) // TOGETHER
    for which in np.split(order, np.flatnonzero(np.diff(group)) + 1) if order.size else []:
        yield which, int(alike[which].sum())


class _Part:
    """Lots that are stepped together, the first ``alike`` of them from both sides, as half columns: every top half,
    then the bottom halves of those that are not alike. Arrays are (rows, members, columns)."""

    def __init__(self, middle: Boards, alike: int) -> None:
        self._boards, self._alike, self._n = middle, alike, len(middle)
        self._each = np.concatenate([np.arange(self._n), np.arange(alike, self._n)])
        self._pairs = self._n - alike
        self._top, self._bottom = halves(self._each.size, self._pairs)

    def stepped(self, since: Since, now: Moisture, apart_pct: Floats, unlike: Unlike) -> Floats:
        """See :func:`apart_after`."""
        boards, each, dry = self._boards, self._each, self._boards.dry_kg_m3
        seconds = since.seconds[each]
        per_s = 1.0 / np.maximum(seconds, 1e-9)
        widths = boards.halves_m.take(each, axis=1)
        then, late = self._halved(since.then.profile_pct), self._halved(now.profile_pct)
        c = 0.5 * (since.then.temperature_c + now.temperature_c)[each]
        rh = 0.5 * self._faced(since.then.surface_rh + now.surface_rh)
        passed = self._passed(widths, late - then, self._faced(since.gained)) * per_s
        apart = self._halved(apart_pct)
        own = self._half_resistance(widths, 0.5 * (then + late), c)
        theirs = self._half_resistance(widths[:, None], 0.5 * (then + late)[:, None] + apart, c)
        theirs /= unlike.rate[each].T
        between = 1.0 / (theirs[:-1] + theirs[1:])
        source = (between * (own[:-1] + own[1:])[:, None] - 1.0) * passed[1:, None]
        across = 1.0 / (theirs[-1][:, self._top] + theirs[-1][:, self._bottom])
        own_across = own[-1, self._top] + own[-1, self._bottom]
        over = (across * own_across - 1.0) * self._over(widths, late - then, self._faced(since.gained), per_s)
        film = 100.0 * saturation_pressure_pa(c) / dry[each]
        mine = film * np.concatenate([boards.top_film, boards.bottom_film[self._alike :]])
        passes = film * np.concatenate([unlike.top, unlike.bottom[self._alike :]]).T
        face, more = _at_faces(Isotherm.at(c), rh, passed[0], (mine, passes), (own[0], theirs[0]), apart[0])
        right = np.zeros_like(apart)
        right[0] = more + face * unlike.drawn_pct[each].T
        right[:-1] -= source
        right[1:] += source
        right[-1][:, self._top] -= over
        right[-1][:, self._bottom] += over
        return self._whole(self._solved(widths[:, None], GAMMA * seconds, apart, right, (between, face, across)))

    def _solved(
        self, widths: Floats, stage_s: Floats, apart: Floats, right: Floats, conducts: tuple[Floats, Floats, Floats]
    ) -> Floats:
        between, face, across = conducts
        systems = HalfSystems(apart.shape, self._pairs)
        systems.factorise(widths, stage_s * between, stage_s * face, stage_s[self._top] * across)
        right *= stage_s
        np.multiply(widths, apart, systems.right)
        systems.right += right
        one = systems.solve()
        one -= apart
        one *= (1.0 - GAMMA) / GAMMA
        one += apart
        one *= widths
        one += right
        return systems.solve()

    def _half_resistance(self, widths: Floats, moisture: Floats, temperature_c: Floats) -> Floats:
        """Of half a cell, s/m: half its width over the middle's D at ``moisture``."""
        d = self._boards.diffusivity
        cubic, (fixed, eased) = (a.take(self._each, axis=1) for a in (d.cubic, d.activation_cal_mol))
        x = 1.0 / (GAS_CONSTANT_CAL * (temperature_c + ZERO_CELSIUS_K))
        ln_d = moisture * cubic[3]
        ln_d += cubic[2]
        ln_d *= moisture
        ln_d += cubic[1] + eased * x
        ln_d *= moisture
        ln_d += cubic[0] - fixed * x
        np.negative(ln_d, out=ln_d)
        np.exp(ln_d, out=ln_d)
        ln_d *= 0.5 * widths
        return np.asarray(ln_d)

    def _passed(self, widths: Floats, change: Floats, gained: Floats) -> Floats:
        """What passed into each row from the one before it, or by the face, % MC times metres."""
        out = np.empty_like(change)
        out[0] = gained
        out[1:] = gained - np.cumsum(widths * change, axis=0)[:-1]
        return out

    def _over(self, widths: Floats, change: Floats, gained: Floats, per_s: Floats) -> Floats:
        """What passed the middles of boards that are not alike, from their tops to their bottoms, each second."""
        beyond = (gained - (widths * change).sum(axis=0)) * per_s
        return np.asarray(0.5 * (beyond[self._top] - beyond[self._bottom]))

    def _halved(self, values: Floats) -> Floats:
        """(n, cells) or (n, k, cells) as half columns (rows, m) or (rows, k, m)."""
        half = values.shape[-1] // 2
        both = np.concatenate([values[..., :half], values[self._alike :, ..., : half - 1 : -1]])
        return np.ascontiguousarray(both.T)

    def _faced(self, values: Floats) -> Floats:
        """(n, 2) as columns."""
        return np.concatenate([values[:, 0], values[self._alike :, 1]])

    def _whole(self, columns: Floats) -> Floats:
        tops = columns[..., : self._n]
        bottoms = np.concatenate([columns[..., : self._alike], columns[..., self._n :]], axis=-1)
        return np.concatenate([tops, bottoms[::-1]]).T


def _at_faces(  # noqa: PLR0917  both sides of a face
    curve: Isotherm, rh: Floats, inflow: Floats, passes: tuple[Floats, Floats], half: tuple[Floats, Floats],
    apart: Floats,
) -> tuple[Floats, Floats]:  # fmt: skip
    """What each member's face conducts, m/s, and what comes in by it more than by the middle's for that alone.

    The film is the chord of the sorption curve from a face to its air, as in the kernel. The middle's air is where its
    inflow says; a member's face stands where the curve's slope leads from the middle's.
    """
    mine, theirs = passes
    air = np.clip(rh + np.divide(inflow, mine, out=np.zeros_like(inflow), where=mine > 0), 0.0, 1.0)
    chord = curve.chord_to(air)
    slope = chord.slope_from(rh)
    own = mine / (mine * half[0] + slope)
    there = np.clip(rh + apart / slope, 0.0, 1.0)
    face = theirs / (theirs * half[1] + chord.slope_from(there))
    return face, (np.divide(face, own, out=np.ones_like(face), where=own > 0) - 1.0) * inflow
