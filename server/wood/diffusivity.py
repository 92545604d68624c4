"""How fast bound water moves across the grain, from density, moisture and temperature.

The cell wall conducts as Siau fitted it (Transport Processes in Wood, 1984; Wood: Influence of Moisture on Physical
Properties, 1995; both recalled, the calorie form):

    D_cw = 0.07e-4 · exp(-(9200 - 70 M) / (1.987 (T + 273.15)))     m²/s, M in %, about 5 to 25 %

and wood is taken as square tubes of side 1 whose lumen has the side a, so that the porosity v = a². Vapour crosses a
lumen so much faster than the wall conducts that the lumen is a short circuit. Along the flow lie, one after the other,
the lumen and a wall 1 - a thick and a wide: a / (1 - a) of what the wall conducts. The walls beside it add 1 - a, a
twentieth of that; Siau leaves them out. A concentration per volume of *wood* is the wall's times its share of the
volume, 1 - a², hence

    D = D_cw · a / ((1 - a²)(1 - a)).

Copies without the leading a exist (the wall taken as wide as the tube; the one program that cites Siau's eq. 6.22 and
could be read has none). At 20 °C, 8 % and a basic specific gravity of 0.47 they give 1.27 times as much. Conduction
solved in two dimensions lies between, 1.2 times ours and nearer theirs; what was measured lies 1.5 times above ours on
the mean and scatters by as much (tests/wood/test_diffusivity.py). So ours is the slower end of what is published: days
to settle err on the long side. The figures for scale in the design rest on it. Between boards the formulas hold to
about a factor of two, and :data:`LN_RATE_SIGMA` carries that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import ZERO_CELSIUS_K, Floats
from server.wood.ranges import within

GAS_CONSTANT_CAL = 1.987
"""cal/(mol K), as the fit was published."""
WALL_M2_S = 0.07e-4
ACTIVATION_CAL_MOL = (9200.0, 70.0)
FIBRE_SATURATION_PCT = 30.0
LEAST_POROSITY = 0.03
"""Wood of a basic specific gravity of 1.0, the densest that is taken, has 0.033 at fibre saturation. Less is no wood,
only a shrinkage that such wood does not have: 35 % would leave it denser than its own walls, 1.5, once it is dry."""
LN_RATE_SIGMA = 0.37
"""Standard deviation of ln D between boards, so that 80 % lie within times or divided by 1.6. Common practice:
published formulas are called good to a factor of two; no source gives the figure."""
_FIT_PCT = np.linspace(0.0, 30.0, 31)
_TO_CUBIC = np.linalg.pinv(np.vander(_FIT_PCT / 30.0, 4, increasing=True)) / 30.0 ** np.arange(4)[:, None]
"""The least-squares cubic through values at those moistures, as one product: lots are fitted again at every act."""


def specific_gravity_at(mc_pct: ArrayLike, specific_gravity: ArrayLike, volumetric_shrinkage: ArrayLike) -> Floats:
    """Oven-dry mass over volume at ``mc_pct``, from the basic one (over green volume). Shapes broadcast.

    ``volumetric_shrinkage`` is green to oven-dry as a fraction; linear between 30 % and none (Wood Handbook ch. 4). At
    0.47, 0.13 and 8 %: 0.520.
    """
    below = np.maximum(FIBRE_SATURATION_PCT - np.asarray(mc_pct, np.float64), 0.0) / FIBRE_SATURATION_PCT
    return np.asarray(np.asarray(specific_gravity, np.float64) / (1.0 - np.asarray(volumetric_shrinkage) * below))


def diffusivity_m2_s(
    mc_pct: ArrayLike, temperature_c: ArrayLike, specific_gravity: ArrayLike, volumetric_shrinkage: ArrayLike
) -> Floats:
    """D, m²/s, of wood across the grain, for 0..30 % MC and -20..60 °C; ``specific_gravity`` is basic. Shapes
    broadcast.

    At 8 %, 20 °C, 0.47 and 0.13: 2.3e-11. See the module for source and derivation. Raises ValueError outside those
    ranges (temperature: -50..100 °C), a specific gravity outside 0.1..1.0, a shrinkage outside 0..0.35. The share of
    voids that the two leave is never taken below :data:`LEAST_POROSITY`.
    """
    t_k = within("temperature_c", temperature_c, -50, 100, "°C") + ZERO_CELSIUS_K
    m = within("mc_pct", mc_pct, 0, FIBRE_SATURATION_PCT, "% MC")
    within("specific_gravity", specific_gravity, 0.1, 1.0, "(oven-dry mass over green volume)")
    within("volumetric_shrinkage", volumetric_shrinkage, 0, 0.35, "(a fraction, green to oven-dry)")
    wall = WALL_M2_S * np.exp(-(ACTIVATION_CAL_MOL[0] - ACTIVATION_CAL_MOL[1] * m) / (GAS_CONSTANT_CAL * t_k))
    return np.asarray(wall * _geometry(m, specific_gravity, volumetric_shrinkage))


def _geometry(mc_pct: ArrayLike, specific_gravity: ArrayLike, volumetric_shrinkage: ArrayLike) -> Floats:
    """D over that of the wall. Porosity after Siau: the wall's own specific volume is 0.667 and its water's 0.01 M."""
    m = np.asarray(mc_pct, np.float64)
    porosity = 1.0 - specific_gravity_at(m, specific_gravity, volumetric_shrinkage) * (0.667 + 0.01 * m)
    porosity = np.maximum(porosity, LEAST_POROSITY)
    a = np.sqrt(porosity)
    return np.asarray(a / ((1.0 - porosity) * (1.0 - a)))


@dataclass(frozen=True, slots=True)
class Diffusivity:
    """ln D of n boards as it is stepped with: c0 + c1 M + c2 M² + c3 M³ - (e0 - e1 M) / (R T), M in %, T in K.

    ``cubic`` has shape (4, n), ``activation_cal_mol`` (2, n).
    """

    cubic: Floats
    activation_cal_mol: Floats

    @classmethod
    def of_wood(
        cls, specific_gravity: ArrayLike, volumetric_shrinkage: ArrayLike, rate_factor: ArrayLike
    ) -> Diffusivity:
        """Of boards of these densities, each ``rate_factor`` times what the formula gives.

        The logarithm of the geometry's factor is fitted by a cubic over 0..30 %: within 0.03 % of D for a basic
        specific gravity of 0.15 to 1.0, and ten operations less a cell and step.
        """
        g, s, f = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(a, np.float64)) for a in (specific_gravity, volumetric_shrinkage, rate_factor))
        )
        ln_factor = np.log(_geometry(_FIT_PCT[:, None], g, s))
        cubic: Floats = _TO_CUBIC @ ln_factor
        cubic[0] += np.log(WALL_M2_S) + np.log(f)
        return cls(cubic, np.tile(np.array(ACTIVATION_CAL_MOL)[:, None], (1, g.size)))

    @classmethod
    def constant(cls, m2_s: ArrayLike) -> Diffusivity:
        """The same at any moisture and temperature: what closed solutions are for."""
        ln_d = np.log(np.atleast_1d(np.asarray(m2_s, np.float64)))
        return cls(np.stack([ln_d, *np.zeros((3, ln_d.size))]), np.zeros((2, ln_d.size)))

    def at(self, mc_pct: ArrayLike, temperature_c: ArrayLike) -> Floats:
        """D, m²/s, of every board; ``mc_pct`` broadcasts against the boards on its last axis."""
        m, x = np.asarray(mc_pct, np.float64), 1.0 / (GAS_CONSTANT_CAL * (np.asarray(temperature_c) + ZERO_CELSIUS_K))
        c, e = self.cubic, self.activation_cal_mol
        return np.asarray(np.exp(c[0] + m * (c[1] + m * (c[2] + m * c[3])) - (e[0] - e[1] * m) * x))
