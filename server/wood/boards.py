"""Boards as the solver sees them: what does not change while moisture moves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats
from server.wood.diffusivity import Diffusivity, specific_gravity_at
from server.wood.grid import CELLS, FACE_CELL_M, half_widths_m, share_within, whole
from server.wood.ranges import within

AIR_FILM_KG_M2_S_PA = 2e-8
"""Water through still indoor air to a bare face, per pascal. Recalled order of magnitude (the analogy of heat and mass
transfer gives 1.5 to 3e-8 for a film of 3 to 5 W/(m² K)); no table could be read."""
SEALED = 0.0
"""A face that passes nothing: flat on a bench, or against its neighbour in a dead stack."""
HEAT_FILM_W_M2_K = 1.0 / 0.13
"""Indoor surface film, horizontal flow of heat: ISO 6946 gives a resistance of 0.13 m² K/W (recalled)."""
HEAT_J_KG_K = 1570.0
"""Specific heat of wood at 10 % and 20 °C: Wood Handbook ch. 4, eqs. 4-16 to 4-18 (recalled)."""
REFERENCE_PCT = 10.0
"""Thickness is taken to be measured about here, and with it the dry mass in it."""
LIMITS = {
    "thickness_m": (0.3e-3, 0.3, "0.0003 to 0.3 m (0.3 to 300 mm); is it in mm or inches?"),
    "specific_gravity": (0.1, 1.0, "0.1 to 1.0 (oven-dry mass over green volume); heavier wood has no lumen left"),
    "volumetric_shrinkage": (0.0, 0.35, "0 to 0.35 (a fraction, green to oven-dry)"),
    "rate_factor": (0.05, 20.0, "0.05 to 20 times the formula's D"),
    "top_film": (0.0, 1.0, "0 (sealed) to 1 kg/(m² s Pa) (no film at all; bare wood has 2e-8)"),
    "bottom_film": (0.0, 1.0, "0 (sealed) to 1 kg/(m² s Pa) (no film at all; bare wood has 2e-8)"),
}


@dataclass(frozen=True, slots=True)
class Boards:
    """n boards side by side; arrays have shape (n,) unless said. Make them with :meth:`of`.

    ``halves_m`` (cells / 2, n) are the cells from a face to the middle, the same from both faces; ``widths_m`` (n,
    cells) from the top to the bottom. ``top_film`` and ``bottom_film`` are what a face passes, kg/(m² s Pa), covers
    included. ``dry_kg_m3`` is oven-dry mass over volume at 10 %; ``heat_lag_s`` how slowly wood follows air.
    ``specific_gravity`` (basic) and ``volumetric_shrinkage`` are kept to ask what another density would do.
    """

    thickness_m: Floats
    specific_gravity: Floats
    volumetric_shrinkage: Floats
    dry_kg_m3: Floats
    diffusivity: Diffusivity
    top_film: Floats
    bottom_film: Floats
    halves_m: Floats
    widths_m: Floats
    heat_lag_s: Floats

    def __len__(self) -> int:
        return int(self.thickness_m.size)

    @property
    def cells(self) -> int:
        """How many cells lie between the faces."""
        return int(self.widths_m.shape[1])

    @classmethod
    def of(
        cls, *, thickness_m: ArrayLike, specific_gravity: ArrayLike, volumetric_shrinkage: ArrayLike,
        rate_factor: ArrayLike = 1.0, top_film: ArrayLike = AIR_FILM_KG_M2_S_PA,
        bottom_film: ArrayLike = AIR_FILM_KG_M2_S_PA, diffusivity: Diffusivity | None = None, cells: int = CELLS,
        face_cell_m: float = FACE_CELL_M,
    ) -> Boards:  # fmt: skip
        """Boards of these values, each one number or n of them.

        ``specific_gravity`` is basic; ``diffusivity`` replaces the formula's. Raises ValueError that names what is out
        of the range in :data:`LIMITS`, or arrays of unequal length.
        """
        given = {
            "thickness_m": thickness_m, "specific_gravity": specific_gravity, "top_film": top_film,
            "volumetric_shrinkage": volumetric_shrinkage, "rate_factor": rate_factor, "bottom_film": bottom_film,
        }  # fmt: skip
        values = _checked(given)
        thick, gravity, shrinkage = (values[k] for k in ("thickness_m", "specific_gravity", "volumetric_shrinkage"))
        top, bottom = values["top_film"], values["bottom_film"]
        dry = 1000.0 * specific_gravity_at(REFERENCE_PCT, gravity, shrinkage)
        halves = half_widths_m(thick, cells, face_cell_m)
        faces = np.maximum((top > 0).astype(np.float64) + (bottom > 0), 1.0)
        lag = dry * (1.0 + REFERENCE_PCT / 100.0) * HEAT_J_KG_K * thick / (faces * HEAT_FILM_W_M2_K)
        d = diffusivity or Diffusivity.of_wood(gravity, shrinkage, values["rate_factor"])
        return cls(thick, gravity, shrinkage, dry, d, top, bottom, halves, whole(halves), lag)

    def take(self, which: ArrayLike) -> Boards:
        """Some of them, by number or by a mask."""
        i = np.asarray(which)
        d = Diffusivity(self.diffusivity.cubic[:, i], self.diffusivity.activation_cal_mol[:, i])
        return Boards(
            self.thickness_m[i], self.specific_gravity[i], self.volumetric_shrinkage[i], self.dry_kg_m3[i], d,
            self.top_film[i], self.bottom_film[i], self.halves_m[:, i], self.widths_m[i], self.heat_lag_s[i],
        )  # fmt: skip

    def put(self, which: NDArray[np.intp], other: Boards, count: int) -> Boards:
        """With those of ``other`` in place of some of them, or behind them: ``count`` boards then."""

        def of(mine: Floats, new: Floats) -> Floats:
            after = np.empty((count, *mine.shape[1:]))
            after[: len(mine)] = mine
            after[which] = new
            return after

        def below(mine: Floats, new: Floats) -> Floats:
            after = np.empty((len(mine), count))
            after[:, : mine.shape[1]] = mine
            after[:, which] = new
            return after

        mine, new = self.diffusivity, other.diffusivity
        d = Diffusivity(below(mine.cubic, new.cubic), below(mine.activation_cal_mol, new.activation_cal_mol))
        return Boards(
            of(self.thickness_m, other.thickness_m), of(self.specific_gravity, other.specific_gravity),
            of(self.volumetric_shrinkage, other.volumetric_shrinkage), of(self.dry_kg_m3, other.dry_kg_m3), d,
            of(self.top_film, other.top_film), of(self.bottom_film, other.bottom_film),
            below(self.halves_m, other.halves_m), of(self.widths_m, other.widths_m),
            of(self.heat_lag_s, other.heat_lag_s),
        )  # fmt: skip

    def mean_between(self, profile_pct: Floats, low: float, high: float) -> Floats:
        """Mean of ``profile_pct`` (…, n, cells) between two depths, fractions of the thickness from the top."""
        share = share_within(self.widths_m, low, high)
        return np.asarray((profile_pct * share).sum(axis=-1) / share.sum(axis=-1))

    def mean_pct(self, profile_pct: Floats) -> Floats:
        """Mean of whole boards, % MC."""
        return np.asarray((profile_pct * self.widths_m).sum(axis=-1) / self.thickness_m)

    def shell_pct(self, profile_pct: Floats) -> Floats:
        """Mean of the outer sixths at both faces, % MC."""
        return 0.5 * (self.mean_between(profile_pct, 0.0, 1 / 6) + self.mean_between(profile_pct, 5 / 6, 1.0))

    def core_pct(self, profile_pct: Floats) -> Floats:
        """Mean of the middle third, % MC."""
        return self.mean_between(profile_pct, 1 / 3, 2 / 3)

    def water_kg_m2(self, profile_pct: Floats) -> Floats:
        """Water per square metre of face, kg."""
        return np.asarray(self.mean_pct(profile_pct) / 100.0 * self.dry_kg_m3 * self.thickness_m)


def film_through(*resistances_m2_s_pa_kg: ArrayLike, air_film: float = AIR_FILM_KG_M2_S_PA) -> Floats:
    """What a face passes behind covers in series with the air's own film, kg/(m² s Pa). 0 where one passes nothing."""
    for given in resistances_m2_s_pa_kg:
        within("resistance", given, 0, np.inf, "m² s Pa/kg")
    total = 1.0 / air_film + sum((np.asarray(r, np.float64) for r in resistances_m2_s_pa_kg), np.float64(0.0))
    return np.asarray(1.0 / total)


_LOW, _HIGH = (np.array([limit[end] for limit in LIMITS.values()])[:, None] for end in (0, 1))


def _checked(given: dict[str, ArrayLike]) -> dict[str, Floats]:
    arrays = {name: np.atleast_1d(np.asarray(given[name], np.float64)) for name in LIMITS}
    lengths = {a.size for a in arrays.values()} - {1}
    if len(lengths) > 1:
        found = ", ".join(f"{name} {a.size}" for name, a in arrays.items() if a.size > 1)
        raise ValueError(
            f"boards: found arrays of unequal length ({found}); would be right: one length, or single numbers"
        )
    values = np.empty((len(arrays), max(lengths, default=1)))
    for row, a in zip(values, arrays.values(), strict=True):
        row[:] = a
    right = (values >= _LOW) & (values <= _HIGH)
    if not right.all():
        first = int((~right).any(axis=1).argmax())
        name, wrong = list(LIMITS)[first], values[first][~right[first]]
        raise ValueError(f"{name}: found {wrong[0]:g}; would be right: {LIMITS[name][2]}")
    return dict(zip(LIMITS, values, strict=True))
