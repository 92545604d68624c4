"""Equilibrium moisture content: what air draws wood *to*. Never the moisture of a piece.

Hailwood and Horrobin's two-hydrate model as fitted in the Wood Handbook (FPL-GTR-282, 2021), equation 4-5, metric
coefficients. The handbook's table 4-2 is computed from it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats

TEMPERATURE_RANGE_C = (-20.0, 60.0)
"""Where the fit is used; beyond it figures are computed and flagged, never silently clamped."""
RH_LIMIT = 0.98
"""Above it capillary water sets in and the fit runs away; computed and flagged."""
NORMAL_80 = 1.2815515655446004
"""Half width of the central 80 % of a normal distribution, in standard deviations."""


def emc_pct(temperature_c: ArrayLike, rh: ArrayLike) -> Floats:
    """EMC, % dry basis, of air at ``temperature_c`` and ``rh`` (0..1). Shapes broadcast.

    Source: Wood Handbook FPL-GTR-282 eq. 4-5. At 21.1 °C and 0.50: 9.2 %. Raises ValueError for rh outside 0..1.
    """
    h = np.asarray(rh, dtype=np.float64)
    if np.any((h < 0) | (h > 1)):
        raise ValueError(f"rh: found {h.min():g}..{h.max():g}; would be right: 0..1 (a fraction, not per cent)")
    w, k, k1, k2 = _coefficients(temperature_c)
    kh = k * h
    a, b = k1 * kh, k1 * k2 * kh * kh
    return 1800.0 / w * (kh / (1.0 - kh) + (a + 2.0 * b) / (1.0 + a + b))


def emc_slope_pct(temperature_c: ArrayLike, rh: ArrayLike) -> Floats:
    """dEMC/drh, % per unit of ``rh``, at constant temperature: the exact derivative of :func:`emc_pct`."""
    h = np.asarray(rh, dtype=np.float64)
    w, k, k1, k2 = _coefficients(temperature_c)
    kh = k * h
    a, b = k1 * kh, k1 * k2 * kh * kh
    top, bottom = a + 2.0 * b, 1.0 + a + b
    d_top, d_bottom = k * (k1 + 4.0 * k1 * k2 * kh), k * (k1 + 2.0 * k1 * k2 * kh)
    return np.asarray(1800.0 / w * (k / (1.0 - kh) ** 2 + (d_top * bottom - top * d_bottom) / bottom**2))


def humidity_for_emc(temperature_c: ArrayLike, target_pct: ArrayLike) -> Floats:
    """The ``rh`` (0..1) whose EMC at ``temperature_c`` is ``target_pct``; nan where no humidity up to 1 reaches it.

    Newton's method kept inside a shrinking bracket (bisection where a step would leave it), vectorised; good to 1e-12.
    """
    t, m = np.broadcast_arrays(np.asarray(temperature_c, np.float64), np.asarray(target_pct, np.float64))
    low, high = np.zeros(t.shape), np.ones(t.shape)
    h = np.full(t.shape, 0.5)
    for _ in range(60):
        miss = emc_pct(t, h) - m
        high = np.where(miss > 0, h, high)
        low = np.where(miss > 0, low, h)
        step = h - miss / emc_slope_pct(t, h)
        after = np.where((step > low) & (step < high), step, 0.5 * (low + high))
        if np.all(np.abs(after - h) < 1e-14):
            break
        h = after
    reachable = (m >= 0) & (m <= emc_pct(t, np.ones(t.shape)))
    return np.where(reachable, np.where(m == 0, 0.0, h), np.nan)


def emc_half_width_pct(
    temperature_c: ArrayLike, rh: ArrayLike, *, accuracy_c: ArrayLike, accuracy_rh: ArrayLike
) -> Floats:
    """Half the central 80 % of the EMC, %, given the sensors' stated accuracies (± ``accuracy_c``, ± ``accuracy_rh``).

    A stated ± limit without a distribution is taken as rectangular, standard uncertainty limit/sqrt(3) (JCGM 100:2008,
    4.3.7); the two are independent and carried to first order (5.1.2). It speaks of the instrument only: the wood's own
    scatter about the handbook's one curve (above it while drying, below while taking up) is not in it.
    """
    t, h = np.asarray(temperature_c, np.float64), np.asarray(rh, np.float64)
    by_rh = emc_slope_pct(t, h) * np.asarray(accuracy_rh)
    by_t = (emc_pct(t + 0.05, h) - emc_pct(t - 0.05, h)) / 0.1 * np.asarray(accuracy_c)
    return NORMAL_80 * np.hypot(by_rh, by_t) / np.sqrt(3.0)


def outside_fit(temperature_c: ArrayLike, rh: ArrayLike) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """True where the figure is an extrapolation and has to be marked as one."""
    t, h = np.asarray(temperature_c, np.float64), np.asarray(rh, np.float64)
    return (t < TEMPERATURE_RANGE_C[0]) | (t > TEMPERATURE_RANGE_C[1]) | (h > RH_LIMIT)


def _coefficients(temperature_c: ArrayLike) -> tuple[Floats, Floats, Floats, Floats]:
    t = np.asarray(temperature_c, dtype=np.float64)
    return (
        349.0 + 1.29 * t + 0.0135 * t * t,
        0.805 + 0.000736 * t - 0.00000273 * t * t,
        6.27 - 0.00938 * t - 0.000303 * t * t,
        1.91 + 0.0407 * t - 0.000293 * t * t,
    )
