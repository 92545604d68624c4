"""A sheet of plies: how it bends along and across when air dries or dampens, on the way and once it has settled.

Every ply has by itself a strain along the sheet and one across it. Together they take the shape in which no force and
no moment is left in either direction, straight lines through the thickness staying straight (the classical laminate
theory of plies at right angles, free to bend both ways; Jones, Mechanics of Composite Materials, ch. 4, recalled). With
Poisson's ratios of 0 that is :func:`server.wood.layers.laminate` along and across, and of two plies Timoshenko's strip.
Meanwhile vapour goes through the plies and what covers the faces, linearly: with u the share of the air's step that a
place has taken up, C its capacity and R resistances in series,

    C du/dt = Σ (u of the neighbours - u) / R between,     the air: u = 1,

and each ply's strain is its share of the whole one. So a sheet of like plies behind unlike covers bends on the way and
comes back; one of unlike plies stays bent. All of it elastic: wood, glue and panels give way, and less is really seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from server.wood.air import Floats
from server.wood.layers import Layer
from server.wood.ranges import within

_CELLS, _LEAST_CELLS = 32, 8
_TIMES = 240
_GREATER = 1e-3
"""A bend on the way that is greater by less than this than where it ends is where it ends."""


@dataclass(frozen=True, slots=True)
class Ply:
    """One ply, from the top down: what it is along the sheet and across it (both as thick); the resistance of all of
    it to vapour, m² s Pa/kg; the water it takes up or gives off in the whole step, kg/m²; and Poisson's ratio of how
    much it narrows across the sheet when it is pulled along it."""

    along: Layer
    across: Layer
    resistance_m2_s_pa_kg: float
    water_kg_m2: float
    poisson: float = 0.0

    def __post_init__(self) -> None:
        """Raises ValueError for two thicknesses, no resistance, no water, and ratios no solid has (their square, by the
        moduli, is below 1)."""
        if self.along.thickness_m != self.across.thickness_m:
            found = f"{self.along.thickness_m:g} and {self.across.thickness_m:g} m"
            raise ValueError(f"across.thickness_m: found {found}; would be right: one ply as thick both ways")
        within("resistance_m2_s_pa_kg", self.resistance_m2_s_pa_kg, 0, 1e13, "m² s Pa/kg", open_below=True)
        within("water_kg_m2", self.water_kg_m2, 0, 100, "kg/m² (without a sign)", open_below=True)
        most = 0.99 * np.sqrt(self.along.modulus_mpa / self.across.modulus_mpa)
        within("poisson", self.poisson, 0, most, "by these moduli")


@dataclass(frozen=True, slots=True)
class Uptake:
    """How plies take up a step of the air: how many cells each has, the share of it that each cell has taken up by
    growing times, (times, cells), and the times, s. Plies of the same thickness, resistance and water share it."""

    counts: tuple[int, ...]
    shares: Floats
    times_s: Floats


@dataclass(frozen=True, slots=True)
class Bend:
    """Curvature along the sheet and across it, 1/m, positive where the top is hollow: once it has ``settled``; the
    ``most`` and the ``least`` on the way from flat to there, and after how many seconds those were, inf where
    that is where it ends."""

    settled_per_m: tuple[float, float]
    most_per_m: tuple[float, float]
    least_per_m: tuple[float, float]
    most_s: tuple[float, float]
    least_s: tuple[float, float]


def settled_per_m(plies: Sequence[Ply]) -> tuple[float, float]:
    """Curvature along and across of plies, top first, that have taken up all of the step. Raises ValueError for
    none."""
    along, across = _by_cell(plies, (1,) * len(plies)).sum(axis=0)
    return float(along), float(across)


def uptake(plies: Sequence[Ply], top_film: float, bottom_film: float, pressure_pa: float) -> Uptake:
    """The course of the water after a step of the air by ``pressure_pa`` of vapour (without a sign).

    ``top_film`` and ``bottom_film``: what a face passes, covers and the air's film in series, kg/(m² s Pa), 0 where
    nothing, as on a bench. Raises ValueError for no plies, both faces sealed, a pressure up to 0 or above 10,000 Pa.
    Source: plane sheets with resistances at both faces (Crank 1975, ch. 4), as a row of cells with exact time.
    """
    if not plies:
        raise ValueError("plies: found none; would be right: one or more")
    films = [
        float(within(n, f, 0, 1, "kg/(m² s Pa)")) for n, f in (("top_film", top_film), ("bottom_film", bottom_film))
    ]
    if not any(films):
        raise ValueError("top_film, bottom_film: found 0 and 0; would be right: one face that passes something")
    step_pa = float(within("pressure_pa", pressure_pa, 0, 10_000, "Pa", open_below=True))
    whole = sum(ply.along.thickness_m for ply in plies)
    each = np.array([max(_LEAST_CELLS, round(_CELLS * ply.along.thickness_m / whole)) for ply in plies], np.intp)
    resistance = np.repeat([ply.resistance_m2_s_pa_kg for ply in plies] / each, each)
    root = np.sqrt(np.repeat([ply.water_kg_m2 for ply in plies] / each, each) / step_pa)
    passes = 1.0 / (0.5 * (resistance[:-1] + resistance[1:]))
    ends = [0.0 if f == 0.0 else 1.0 / (1.0 / f + 0.5 * r) for f, r in zip(films, resistance[[0, -1]], strict=True)]
    out = np.concatenate([[ends[0]], passes]) + np.concatenate([passes, [ends[1]]])
    matrix = np.diag(out) - np.diag(passes, 1) - np.diag(passes, -1)
    rates, modes = np.linalg.eigh(matrix / np.outer(root, root))
    times_s = np.geomspace(1e-2 / rates[-1], 30.0 / rates[0], _TIMES)
    left = np.exp(-np.outer(times_s, rates)) * (modes.T @ root)
    return Uptake(tuple(int(n) for n in each), 1.0 - (left @ modes.T) / root, times_s)


def bend(plies: Sequence[Ply], taken: Uptake) -> Bend:
    """The course of a sheet that was flat, while it takes up what ``taken`` says. Raises ValueError for another number
    of plies than that is of."""
    if len(plies) != len(taken.counts):
        right = f"{len(taken.counts)}, those whose uptake it is"
        raise ValueError(f"plies: found {len(plies)}; would be right: {right}")
    by_cell = _by_cell(plies, taken.counts)
    settled, course = by_cell.sum(axis=0), taken.shares @ by_cell
    found = []
    for sign in (1.0, -1.0):
        at = np.argmax(sign * course, axis=0)
        far, near = sign * course[at, (0, 1)], sign * settled
        beyond = far > np.maximum(near, 0.0) + _GREATER * np.abs(settled)
        end = sign * np.where(beyond, far, np.maximum(near, 0.0))
        found.append((end, np.where(beyond, taken.times_s[at], np.where(near > 0.0, np.inf, 0.0))))
    (most, most_s), (least, least_s) = found
    return Bend(*((float(pair[0]), float(pair[1])) for pair in (settled, most, least, most_s, least_s)))


def _by_cell(plies: Sequence[Ply], counts: Sequence[int]) -> Floats:
    """Curvature along and across per share of each cell, (cells, 2): the laminate's sums, linear in strains."""
    if not plies:
        raise ValueError("plies: found none; would be right: one or more")
    each = np.array(counts, np.intp)
    t = np.repeat([ply.along.thickness_m for ply in plies] / each, each)
    z = np.cumsum(t) - 0.5 * t - 0.5 * t.sum()
    q = np.repeat([_stiffness(ply) for ply in plies], each, axis=0)
    free = np.repeat([[ply.along.free_strain, ply.across.free_strain] for ply in plies], each, axis=0)
    pull, turn, stiff = (np.tensordot(by, q, 1) for by in (t, t * z, t * (z**2 + t**2 / 12.0)))
    force = np.einsum("cij,cj,c->ci", q, free, t)
    loads = np.concatenate([force, force * z[:, None]], axis=1)
    return np.asarray(np.linalg.solve(np.block([[pull, turn], [turn, stiff]]), loads.T)[2:].T)


def _stiffness(ply: Ply) -> Floats:
    """Stress along and across, MPa, by strain: of a ply whose axes are the sheet's."""
    along, across = ply.along.modulus_mpa, ply.across.modulus_mpa
    other = ply.poisson * across
    return np.array([[along, other], [other, across]]) / (1.0 - ply.poisson**2 * across / along)
