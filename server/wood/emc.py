"""Equilibrium moisture content: what air draws wood *to*. Never the moisture of a piece.

Hailwood and Horrobin's two-hydrate model as fitted in the Wood Handbook (FPL-GTR-282, 2021), equation 4-5, metric
coefficients. The handbook's table 4-2 is computed from it: the two agree to 0.055 % MC (tests/wood/test_emc.py).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats

TEMPERATURE_RANGE_C = (-20.0, 60.0)
"""Where the fit is used; beyond it figures are computed and flagged, never silently clamped."""
RH_LIMIT = 0.98
"""Above it capillary water sets in and the fit runs away; computed and flagged."""
CURVE_SIGMA_PCT = 0.4
"""One standard deviation of real wood about the one curve, which lies between drying and taking up: those two are 1 to
2 % MC apart at middle humidities (recalled), half of that either way is taken as two standard deviations."""


def emc_pct(temperature_c: ArrayLike, rh: ArrayLike) -> Floats:
    """EMC, % dry basis, of air at ``temperature_c`` and ``rh`` (0..1). Shapes broadcast.

    Source: Wood Handbook FPL-GTR-282 eq. 4-5. At 21.1 °C and 0.50: 9.2 %. Made for -20..60 °C; at equal humidity it
    turns over near 2 °C and falls on both sides. Below -50 °C it stops rising with humidity and must not be used.
    nan passes through. Raises ValueError for rh outside 0..1.
    """
    h = np.asarray(rh, dtype=np.float64)
    if np.any((h < 0) | (h > 1)):
        raise ValueError(f"rh: found {h.min():g}..{h.max():g}; would be right: 0..1 (a fraction, not per cent)")
    return _level_pct(coefficients(temperature_c), h)


def _level_pct(coefficients: tuple[Floats, Floats, Floats, Floats], h: Floats) -> Floats:
    w, k, k1, k2 = coefficients
    kh = k * h
    a, b = k1 * kh, k1 * k2 * kh * kh
    return np.asarray(1800.0 / w * (kh / (1.0 - kh) + (a + 2.0 * b) / (1.0 + a + b)))


def emc_slope_pct(temperature_c: ArrayLike, rh: ArrayLike) -> Floats:
    """dEMC/drh, % per unit of ``rh``, at constant temperature: the exact derivative of :func:`emc_pct`.

    At 21 °C and 0.50: 16.0. Shapes broadcast.
    """
    return _slope_pct(coefficients(temperature_c), np.asarray(rh, dtype=np.float64))


def _slope_pct(coefficients: tuple[Floats, Floats, Floats, Floats], h: Floats) -> Floats:
    w, k, k1, k2 = coefficients
    kh = k * h
    a, b = k1 * kh, k1 * k2 * kh * kh
    top, bottom = a + 2.0 * b, 1.0 + a + b
    d_top, d_bottom = k * (k1 + 4.0 * k1 * k2 * kh), k * (k1 + 2.0 * k1 * k2 * kh)
    return np.asarray(1800.0 / w * (k / (1.0 - kh) ** 2 + (d_top * bottom - top * d_bottom) / bottom**2))


def humidity_for_emc(temperature_c: ArrayLike, target_pct: ArrayLike) -> Floats:
    """The ``rh`` (0..1) whose EMC at ``temperature_c`` is ``target_pct``; nan where no humidity up to 1 reaches it.

    Inverse of eq. 4-5, for -50..100 °C, where it rises all the way. At 21 °C and 8 %: 0.42. Shapes broadcast.
    Newton's method kept inside a shrinking bracket (bisection where a step would leave it), vectorised; good to 1e-12.
    """
    t, m = np.broadcast_arrays(np.asarray(temperature_c, np.float64), np.asarray(target_pct, np.float64))
    low, high = np.zeros(t.shape), np.ones(t.shape)
    h, curve = np.full(t.shape, 0.5), coefficients(t)
    for _ in range(60):
        miss = _level_pct(curve, h) - m
        high = np.where(miss > 0, h, high)
        low = np.where(miss > 0, low, h)
        step = h - miss / _slope_pct(curve, h)
        there = np.abs(step - h) < 1e-14  # rounding may lead out of the bracket
        if there.all():
            break
        h = np.where(there, h, np.where((step > low) & (step < high), step, 0.5 * (low + high)))
    reachable = (m >= 0) & (m <= _level_pct(curve, np.ones(t.shape)))
    return np.where(reachable, np.where(m == 0, 0.0, h), np.nan)


def emc_half_width_pct(
    temperature_c: ArrayLike, rh: ArrayLike, *, accuracy_c: ArrayLike, accuracy_rh: ArrayLike
) -> Floats:
    """Half the central 80 % of the EMC, %, given the sensors' stated accuracies (± ``accuracy_c``, ± ``accuracy_rh``).

    A stated ± limit without a distribution is taken as rectangular (JCGM 100:2008, 4.3.7), the two as independent, each
    carried by the slope of the curve (5.1.2). Two rectangles of half widths a >= b add to a trapezoid, whose central
    80 % is exact: 0.8 a while the sloping sides lie outside it, else a + b - sqrt(0.8 a b). It speaks of the instrument
    only: the wood's own scatter about the handbook's one curve (above it while drying, below while taking up) is not in
    it. Shapes broadcast. At 21 °C, 0.50, ± 0.3 °C and ± 0.02: 0.26 %.
    """
    t, h = np.asarray(temperature_c, np.float64), np.asarray(rh, np.float64)
    by_rh = np.abs(emc_slope_pct(t, h) * np.asarray(accuracy_rh))
    by_t = np.abs((emc_pct(t + 0.05, h) - emc_pct(t - 0.05, h)) / 0.1 * np.asarray(accuracy_c))
    a, b = np.maximum(by_rh, by_t), np.minimum(by_rh, by_t)
    return np.asarray(np.where(b < 0.2 * a, 0.8 * a, a + b - np.sqrt(0.8 * a * b)))


def outside_fit(temperature_c: ArrayLike, rh: ArrayLike) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """True where the figure is an extrapolation and has to be marked as one."""
    t, h = np.asarray(temperature_c, np.float64), np.asarray(rh, np.float64)
    return (t < TEMPERATURE_RANGE_C[0]) | (t > TEMPERATURE_RANGE_C[1]) | (h > RH_LIMIT)


def coefficients(temperature_c: ArrayLike) -> tuple[Floats, Floats, Floats, Floats]:
    """W, K, K1, K2 of eq. 4-5 at ``temperature_c``, any shape."""
    t = np.asarray(temperature_c, dtype=np.float64)
    return (
        349.0 + 1.29 * t + 0.0135 * t * t,
        0.805 + 0.000736 * t - 0.00000273 * t * t,
        6.27 - 0.00938 * t - 0.000303 * t * t,
        1.91 + 0.0407 * t - 0.000293 * t * t,
    )
