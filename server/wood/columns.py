"""One step of moisture through many boards at once: the kernel under :mod:`server.wood.transport`.

A board is two half columns that meet in its middle; a board that is the same from both sides is one, with nothing
passing its middle. Finite volumes: what leaves a cell enters its neighbour or the air, so water is kept to rounding
whatever the step. A step is linear, with D and the face's share of the film as they stand at its beginning, and takes
two implicit stages with one matrix (Alexander's diagonally implicit pair, SIAM J. Numer. Anal. 14, 1977, gamma = 1 -
1/sqrt 2: second order, and stiff cells are damped out). Where a step asks too much of a board (its air jumped), that
board alone takes it in halves.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from server.wood.air import ZERO_CELSIUS_K, Floats, saturation_pressure_pa
from server.wood.diffusivity import GAS_CONSTANT_CAL
from server.wood.isotherm import Isotherm
from server.wood.tridiagonal import HalfSystems

GAMMA = 1.0 - 0.5**0.5
JUMP_PCT = 0.1
"""A face whose two stages disagree by more in a step takes the step in halves."""
MOST_HALVINGS = 7
_ROUNDING_PCT = 1e-9


class FaceAir(NamedTuple):
    """Air at the columns' faces: temperature, °C, and vapour pressure, Pa, each (m,) or (1,)."""

    temperature_c: Floats
    pressure_pa: Floats

    def towards(self, other: FaceAir, share: float) -> FaceAir:
        """On the straight line from here to ``other``."""
        return FaceAir(*(a + share * (b - a) for a, b in zip(self, other, strict=True)))

    def take(self, which: NDArray[np.bool_]) -> FaceAir:
        """At some of the columns."""
        return FaceAir(*(a if a.size == 1 else a[which] for a in self))


@dataclass(slots=True)
class Medium:
    """What does not change in m columns of n cells: ``ln_half`` is ln(width / 2) - c0, so that ``exp`` of it and of the
    rest of -ln D is a half cell's resistance; ``film`` is dry density over 100 beta (Pa s/m per %), inf where
    sealed."""

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
    its face, and the water that came in by it since the start, in % MC times metres."""

    moisture: Floats
    temperature_c: Floats
    surface_rh: Floats
    gained: Floats

    def take(self, which: NDArray[np.bool_]) -> Columns:
        """Some of the columns, copied."""
        return Columns(*(getattr(self, f.name)[..., which] for f in fields(self)))

    def put(self, which: NDArray[np.bool_], other: Columns) -> None:
        """Write ``other`` back to where :meth:`take` found it."""
        for f in fields(self):
            getattr(self, f.name)[..., which] = getattr(other, f.name)


class _Frozen(NamedTuple):
    """What holds through a step: conductances between cells, at the face, in the middle, 1/s per m of width; half the
    face cell's resistance; what the air draws the face to in each stage, %; and the face's own point on the curve."""

    between: Floats
    face: Floats
    middle: Floats
    half: Floats
    targets: tuple[Floats, Floats]
    held_pct: Floats
    slope: Floats


class Stepper:
    """Steps columns through one medium."""

    def __init__(self, medium: Medium) -> None:
        self.medium = medium
        rows, columns = medium.widths.shape
        self._systems = HalfSystems(rows, columns, medium.pairs)
        self._top = slice(columns - 2 * medium.pairs, columns - medium.pairs)
        self._bottom = slice(columns - medium.pairs, columns)
        self._half = np.empty((rows, columns))
        self._between, self._flux = np.empty((rows - 1, columns)), np.empty((rows - 1, columns))

    def step(self, now: Columns, seconds: float, start: FaceAir, end: FaceAir, halvings: int = 0) -> Columns:
        """``now`` after ``seconds`` in air that runs straight from ``start`` to ``end``."""
        after, strained = self._try(now, seconds, start, end)
        if not strained.any():
            return after
        if halvings == MOST_HALVINGS:
            part = self._of(strained)
            after.put(strained, part._plain(now.take(strained), seconds, start.take(strained), end.take(strained)))
            return after
        part, few, begin, finish = self._of(strained), now.take(strained), start.take(strained), end.take(strained)
        middle = begin.towards(finish, 0.5)
        few = part.step(few, 0.5 * seconds, begin, middle, halvings + 1)
        after.put(strained, part.step(few, 0.5 * seconds, middle, finish, halvings + 1))
        return after

    def _try(self, now: Columns, seconds: float, start: FaceAir, end: FaceAir) -> tuple[Columns, NDArray[np.bool_]]:
        t_end = self._warmed(now.temperature_c, seconds, start, end)
        m, part = self.medium, GAMMA * seconds
        held = self._freeze(now, 0.5 * (now.temperature_c + t_end), start.towards(end, GAMMA), end)
        self._systems.factorise(m.widths, held.between, held.face, held.middle, part)
        one = self._systems.solve(self._divergence(now.moisture, held, 0))
        base = now.moisture + (seconds - part) * one
        inflow = (seconds - part) * held.face * (held.targets[0] - now.moisture[0] - part * one[0])
        two = self._systems.solve(self._divergence(base, held, 1))
        strained = np.abs(two[0] - one[0]) * part > JUMP_PCT
        two *= part
        moisture = np.add(base, two, out=base)
        last = held.face * (held.targets[1] - moisture[0])
        after = Columns(moisture, t_end, self._surface(now, held, moisture[0], last), now.gained + inflow + part * last)
        low, high = self._bounds(now.moisture, *held.targets)
        least = moisture.min(axis=0)
        strained |= (least < low) | (moisture.max(axis=0) > high)
        if least.min() < 0.0:
            self._no_less_than_none(after)
        self._together(strained)
        return after, strained

    def _plain(self, now: Columns, seconds: float, start: FaceAir, end: FaceAir) -> Columns:
        """One implicit Euler stage: first order, and never beyond what bounds it."""
        t_end = self._warmed(now.temperature_c, seconds, start, end)
        held = self._freeze(now, t_end, end, end)
        self._systems.factorise(self.medium.widths, held.between, held.face, held.middle, seconds)
        moisture = now.moisture + seconds * self._systems.solve(self._divergence(now.moisture, held, 1))
        last = held.face * (held.targets[1] - moisture[0])
        after = Columns(moisture, t_end, self._surface(now, held, moisture[0], last), now.gained + seconds * last)
        self._no_less_than_none(after)
        return after

    def _no_less_than_none(self, after: Columns) -> None:
        """What lies below zero by the slack of the bounds (air of 0 %) comes back by the face and is counted there."""
        less = np.minimum(after.moisture, 0.0)
        after.moisture -= less
        after.gained -= (less * self.medium.widths).sum(axis=0)

    def _warmed(self, wood_c: Floats, seconds: float, start: FaceAir, end: FaceAir) -> Floats:
        """Wood follows air with one lag: exact for air that runs straight."""
        ratio = self.medium.heat_lag_s / seconds
        left = np.exp(-1.0 / ratio)
        rise = end.temperature_c - start.temperature_c
        return start.temperature_c + rise * (1.0 - (1.0 - left) * ratio) + (wood_c - start.temperature_c) * left

    def _freeze(self, now: Columns, wood_c: Floats, first: FaceAir, second: FaceAir) -> _Frozen:
        """The film is taken as the chord of the sorption curve from the face to its air: exact where they agree, and
        the face can never be drawn beyond its air."""
        curve = Isotherm.at(wood_c)
        saturation = saturation_pressure_pa(wood_c)
        half = self._half_resistance(now.moisture, wood_c)
        held, slope = curve.emc_and_slope(now.surface_rh)
        rh = np.minimum(second.pressure_pa / saturation, 1.0)
        target = curve.emc_pct(rh)
        earlier = target
        if first.pressure_pa is not second.pressure_pa:
            earlier = curve.emc_pct(np.minimum(first.pressure_pa / saturation, 1.0))
        away = rh - now.surface_rh
        near = np.abs(away) < 1e-5
        away[near] = 1.0
        chord = np.where(near, slope, (target - held) / away)
        face = 1.0 / (half[0] + chord * self.medium.film / saturation)
        between = np.add(half[:-1], half[1:], out=self._between)
        np.reciprocal(between, out=between)
        middle = 1.0 / (half[-1, self._top] + half[-1, self._bottom])
        return _Frozen(between, face, middle, half[0], (earlier, target), held, slope)

    def _surface(self, now: Columns, held: _Frozen, cell_pct: Floats, inflow: Floats) -> Floats:
        """The humidity at the face: one step of Newton on the curve from the last one."""
        at_face = cell_pct + inflow * held.half
        return np.clip(now.surface_rh + (at_face - held.held_pct) / held.slope, 0.0, 1.0)

    def _half_resistance(self, moisture: Floats, wood_c: Floats) -> Floats:
        """Of half a cell, s/m: half its width over D."""
        m, out = self.medium, self._half
        x = 1.0 / (GAS_CONSTANT_CAL * (wood_c + ZERO_CELSIUS_K))
        np.multiply(moisture, -m.cubic[3], out=out)
        out -= m.cubic[2]
        out *= moisture
        out -= m.cubic[1] + m.activation[1] * x
        out *= moisture
        out += m.activation[0] * x
        out += m.ln_half
        return np.exp(out, out=out)

    def _divergence(self, moisture: Floats, held: _Frozen, stage: int) -> Floats:
        """What flows into each cell, % m/s."""
        flux = np.subtract(moisture[1:], moisture[:-1], out=self._flux)
        flux *= held.between
        out = np.empty_like(moisture)
        np.multiply(held.face, held.targets[stage] - moisture[0], out=out[0])
        np.negative(flux, out=out[1:])
        out[:-1] += flux
        across = held.middle * (moisture[-1, self._bottom] - moisture[-1, self._top])
        out[-1, self._top] += across
        out[-1, self._bottom] -= across
        return out

    def _bounds(self, moisture: Floats, *targets: Floats) -> tuple[Floats, Floats]:
        low, high = moisture.min(axis=0), moisture.max(axis=0)
        for bound, of in ((low, np.minimum), (high, np.maximum)):
            bound[self._top] = bound[self._bottom] = of(bound[self._top], bound[self._bottom])
            for target in targets:
                of(bound, target, out=bound)
        return low - _ROUNDING_PCT, high + _ROUNDING_PCT

    def _together(self, strained: NDArray[np.bool_]) -> None:
        strained[self._top] |= strained[self._bottom]
        strained[self._bottom] |= strained[self._top]

    def _of(self, which: NDArray[np.bool_]) -> Stepper:
        m = self.medium
        columns = (m.widths, m.ln_half, m.cubic, m.activation, m.film, m.heat_lag_s)
        widths, ln_half, cubic, activation, film, lag = (c[..., which] for c in columns)
        return Stepper(Medium(widths, ln_half, cubic, activation, film, lag, int(which[self._top].sum())))
