"""One step of moisture through many boards at once: the kernel under :mod:`server.wood.transport`.

A board is two half columns that meet in its middle; a board that is the same from both sides is one, with nothing
passing its middle. Finite volumes: what leaves a cell enters its neighbour or the air, so water is kept to rounding
whatever the step. A step is linear, with D and the face's share of the film as they stand at its beginning, and takes
two implicit stages with one matrix (Alexander's diagonally implicit pair, SIAM J. Numer. Anal. 14, 1977, gamma = 1 -
1/sqrt 2: second order, and stiff cells are damped out). Where a step asks too much of a board (its air jumped), that
board alone takes it in halves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from server.wood.air import ZERO_CELSIUS_K, Floats, saturation_pressure_pa
from server.wood.diffusivity import GAS_CONSTANT_CAL
from server.wood.isotherm import Chord, Isotherm
from server.wood.tridiagonal import HalfSystems, halves

GAMMA = 1.0 - 0.5**0.5
JUMP_PCT = 0.1
"""A face whose two stages disagree by more in a step takes the step in halves."""
MOST_HALVINGS = 7
_REACH = (1.0 - GAMMA) / GAMMA
"""The second stage begins where the first one's change, taken so many times, leads to."""
_ROUNDING_PCT = 1e-9


class FaceAir(NamedTuple):
    """Air at m columns' faces over k steps that take ``seconds`` (k, 1): temperature, °C, and vapour pressure, Pa, at
    each one's start and end, (k, m) or (k, 1), and straight between."""

    seconds: Floats
    start_c: Floats
    end_c: Floats
    start_pa: Floats
    end_pa: Floats

    def halves(self, k: int, which: NDArray[np.bool_]) -> FaceAir:
        """Step ``k`` of some of the columns as two."""
        start_c, end_c, start_pa, end_pa = (a[k] if a.shape[1] == 1 else a[k, which] for a in self[1:])
        middle_c, middle_pa = 0.5 * (start_c + end_c), 0.5 * (start_pa + end_pa)
        return FaceAir(
            np.full((2, 1), 0.5 * self.seconds[k]), np.stack([start_c, middle_c]), np.stack([middle_c, end_c]),
            np.stack([start_pa, middle_pa]), np.stack([middle_pa, end_pa]),
        )  # fmt: skip


class Drawn(NamedTuple):
    """What air asks of m columns over k steps, whatever their moisture; each (k, m), or (m) in one step.

    The wood's temperature at a step's end, and its reciprocal on the way (1 / (R T), mol/cal); at the end the humidity
    0..1 of the air at the wood's temperature, what a face passes (% MC m/s per unit of humidity), and the chords of the
    curve to that air; what the air draws the face to in either stage, %.
    """

    wood_c: Floats
    x: Floats
    rh: Floats
    passes: Floats
    chord: Chord
    early_pct: Floats
    late_pct: Floats

    def step(self, k: int) -> Drawn:
        """One of the steps."""
        return Drawn(
            self.wood_c[k], self.x[k], self.rh[k], self.passes[k], Chord(*(c[k] for c in self.chord)),
            self.early_pct[k], self.late_pct[k],
        )  # fmt: skip


@dataclass(slots=True)
class Medium:
    """What does not change in m columns of n cells: ``ln_half`` is ln(width / 2) - c0, so that ``exp`` of it and of the
    rest of -ln D is a half cell's resistance; ``film`` is 100 beta over dry density (% m/(s Pa)), 0 where sealed."""

    widths: Floats
    ln_half: Floats
    cubic: Floats
    activation: Floats
    film: Floats
    heat_lag_s: Floats
    pairs: int


@dataclass(slots=True)
class Columns:
    """The moving part: ``moisture`` (n, m) in %, and for each column the wood's ``temperature_c``, the humidity 0..1 at
    its face, and the water that came in by it since the start, in % MC times metres. ``least`` and ``most`` (m) are
    the ends of its moisture, which a step asks for twice."""

    moisture: Floats
    temperature_c: Floats
    surface_rh: Floats
    gained: Floats
    least: Floats
    most: Floats

    @classmethod
    def of(cls, moisture: Floats, temperature_c: Floats, surface_rh: Floats, gained: Floats) -> Columns:
        """With the ends of ``moisture``."""
        ends = np.minimum.reduce(moisture), np.maximum.reduce(moisture)
        return cls(moisture, temperature_c, surface_rh, gained, *ends)

    def take(self, which: NDArray[np.bool_]) -> Columns:
        """Some of the columns, copied."""
        i = np.flatnonzero(which)
        mine = (self.moisture, self.temperature_c, self.surface_rh, self.gained, self.least, self.most)
        return Columns(*(a.take(i, axis=-1) for a in mine))

    def put(self, which: NDArray[np.bool_], other: Columns) -> None:
        """Write ``other`` back to where :meth:`take` found it, but for the temperature: that of one step is exact."""
        for mine, given in zip(
            *((c.moisture, c.surface_rh, c.gained, c.least, c.most) for c in (self, other)), strict=True
        ):
            mine[..., which] = given


class _Frozen(NamedTuple):
    """What holds through a step: the conductance at the face, m/s; half the face cell's resistance, s/m; the chord of
    the sorption curve from the face to its air, % per unit of humidity."""

    face: Floats
    half: Floats
    slope: Floats


class Stepper:
    """Steps columns through one medium."""

    def __init__(self, medium: Medium) -> None:
        self.medium = medium
        rows, columns = medium.widths.shape
        self._systems = HalfSystems((rows, columns), medium.pairs)
        self._top, self._bottom = halves(columns, medium.pairs)
        self._thick = medium.widths.sum(axis=0)
        self._half, self._between = np.empty((rows, columns)), np.empty((rows - 1, columns))

    def drawn(self, wood_c: Floats, air: FaceAir) -> Drawn:
        """What ``air`` asks of columns whose wood is at ``wood_c`` (m) when it begins. Wood follows air with one lag:
        exact for air that runs straight."""
        m, ratio = self.medium, self.medium.heat_lag_s / air.seconds
        left = np.exp(-1.0 / ratio)
        push = air.start_c * (1.0 - left) + (air.end_c - air.start_c) * (1.0 - (1.0 - left) * ratio)
        wood = np.empty((len(push) + 1, wood_c.size))
        wood[0] = wood_c
        for before, after, keeps, pushed in zip(wood[:-1], wood[1:], left, push, strict=True):
            np.add(keeps * before, pushed, out=after)
        x = 1.0 / (GAS_CONSTANT_CAL * (0.5 * (wood[:-1] + wood[1:]) + ZERO_CELSIUS_K))
        saturation, curves = saturation_pressure_pa(wood), Isotherm.at(wood)
        rh = np.minimum(air.start_pa / saturation[:-1], 1.0)
        early_pct = (1.0 - GAMMA) * Isotherm(*(c[:-1] for c in curves)).emc_pct(rh)
        curve = Isotherm(*(c[1:] for c in curves))
        rh = np.minimum(air.end_pa / saturation[1:], 1.0)
        late_pct = curve.emc_pct(rh)
        early_pct += GAMMA * late_pct
        return Drawn(wood[1:], x, rh, m.film * saturation[1:], curve.chord_to(rh), early_pct, late_pct)

    def step(self, now: Columns, air: FaceAir, drawn: Drawn, k: int, halvings: int = 0) -> Columns:
        """``now`` after step ``k`` of ``air``, which asks ``drawn``."""
        seconds, asked = float(air.seconds[k, 0]), drawn.step(k)
        after, strained = self._try(now, seconds, asked)
        if not strained.any():
            return after
        if halvings == MOST_HALVINGS:
            plain = self._plain(now, seconds, asked).take(strained)
        else:
            whole = bool(strained.all())
            part, plain = (self, now) if whole else (self._of(strained), now.take(strained))
            halves = air.halves(k, strained)
            few = part.drawn(plain.temperature_c, halves)
            for half in (0, 1):
                plain = part.step(plain, halves, few, half, halvings + 1)
        after.put(strained, plain)
        return after

    def _try(self, now: Columns, seconds: float, drawn: Drawn) -> tuple[Columns, NDArray[np.bool_]]:
        part = GAMMA * seconds
        held = self._freeze(now, drawn, part)
        one = self._stage(now.moisture, held, drawn.early_pct, part)
        inflow = (seconds - part) * held.face * (drawn.early_pct - one[0])
        one -= now.moisture
        change = one[0].copy()
        one *= _REACH
        one += now.moisture
        change += one[0]
        moisture = self._stage(one, held, drawn.late_pct, part)
        change -= moisture[0]
        strained = np.abs(change) > JUMP_PCT
        last = held.face * (drawn.late_pct - moisture[0])
        after = self._after(now, held, drawn, moisture, inflow + part * last, last)
        low, high = self._bounds(now, drawn.early_pct, drawn.late_pct)
        strained |= (after.least < low) | (after.most > high)
        if np.minimum.reduce(after.least) < 0.0:
            self._no_less_than_none(after)
        self._together(strained)
        return after, strained

    def _plain(self, now: Columns, seconds: float, drawn: Drawn) -> Columns:
        """One implicit Euler stage: first order, and never beyond what bounds it."""
        held = self._freeze(now, drawn, seconds)
        moisture = self._stage(now.moisture, held, drawn.late_pct, seconds)
        last = held.face * (drawn.late_pct - moisture[0])
        after = self._after(now, held, drawn, moisture, seconds * last, last)
        self._no_less_than_none(after)
        return after

    def _no_less_than_none(self, after: Columns) -> None:
        """What lies below zero by the slack of the bounds (air of 0 %) comes back by the face and is counted there."""
        less = np.minimum(after.moisture, 0.0)
        after.moisture -= less
        for end in (after.least, after.most):
            np.maximum(end, 0.0, out=end)
        after.gained -= (less * self.medium.widths).sum(axis=0)

    def _after(  # noqa: PLR0917  one step's parts, handed on
        self, now: Columns, held: _Frozen, drawn: Drawn, moisture: Floats, inflow: Floats, last: Floats
    ) -> Columns:
        """The humidity at the face is looked up on the chord, from its end at the air. What rounding in the matrix's
        solution made of a column's water beyond what came in goes, evenly from its cells."""
        more = np.einsum("ij,ij->j", self.medium.widths, moisture - now.moisture)
        more -= inflow
        top, bottom = more[self._top], more[self._bottom]
        top[:] = bottom[:] = 0.5 * (top + bottom)
        more /= self._thick
        moisture = moisture - more  # what the systems hold is overwritten by the next stage
        rh = drawn.rh + (moisture[0] + last * held.half - drawn.late_pct) / held.slope
        np.maximum(np.minimum(rh, 1.0, out=rh), 0.0, out=rh)  # clip, without what it looks at first
        return Columns.of(moisture, drawn.wood_c, rh, now.gained + inflow)

    def _freeze(self, now: Columns, drawn: Drawn, stage_s: float) -> _Frozen:
        """Take in the matrix of a stage. The film is taken as the chord of the sorption curve from the face to its air:
        exact where they agree, and the face can never be drawn beyond its air."""
        half = self._half_resistance(now.moisture, drawn.x)
        slope = drawn.chord.slope_from(now.surface_rh)
        face = drawn.passes / (drawn.passes * half[0] + slope)
        between = np.add(half[:-1], half[1:], out=self._between)
        np.divide(stage_s, between, out=between)
        across = stage_s / (half[-1, self._top] + half[-1, self._bottom])
        self._systems.factorise(self.medium.widths, between, stage_s * face, across)
        return _Frozen(face, half[0], slope)

    def _half_resistance(self, moisture: Floats, x: Floats) -> Floats:
        """Of half a cell, s/m: half its width over D."""
        m, out = self.medium, self._half
        np.multiply(moisture, -m.cubic[3], out=out)
        out -= m.cubic[2]
        out *= moisture
        out -= m.cubic[1] + m.activation[1] * x
        out *= moisture
        out += m.activation[0] * x
        out += m.ln_half
        return np.exp(out, out=out)

    def _stage(self, moisture: Floats, held: _Frozen, drawn_to: Floats, seconds: float) -> Floats:
        """Where ``moisture`` comes to in one implicit stage of ``seconds``, by the matrix taken in for them."""
        right = np.multiply(self.medium.widths, moisture, self._systems.right)
        right[0] += seconds * held.face * drawn_to
        return self._systems.solve()

    def _bounds(self, now: Columns, *targets: Floats) -> tuple[Floats, Floats]:
        low, high = now.least.copy(), now.most.copy()
        for bound, of in ((low, np.minimum), (high, np.maximum)):
            bound[self._top] = bound[self._bottom] = of(bound[self._top], bound[self._bottom])
            for target in targets:
                of(bound, target, out=bound)
        return low - _ROUNDING_PCT, high + _ROUNDING_PCT

    def _together(self, strained: NDArray[np.bool_]) -> None:
        strained[self._top] |= strained[self._bottom]
        strained[self._bottom] |= strained[self._top]

    def _of(self, which: NDArray[np.bool_]) -> Stepper:
        m, i = self.medium, np.flatnonzero(which)
        columns = (m.widths, m.ln_half, m.cubic, m.activation, m.film, m.heat_lag_s)
        widths, ln_half, cubic, activation, film, lag = (c.take(i, axis=-1) for c in columns)
        return Stepper(Medium(widths, ln_half, cubic, activation, film, lag, int(which[self._top].sum())))
