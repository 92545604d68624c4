"""Moist air: saturation pressure, dew point, humidity ratio.

Equations: ASHRAE Handbook - Fundamentals (2017), chapter 1, "Psychrometrics"; the numbers below are those of its
equations. Pressures are in Pa, temperatures in °C, ``rh`` is 0..1. Every function takes floats or arrays (broadcast)
and returns the same shape.

Which saturation below 0 °C? Humidity sensors and weather services state relative humidity over *water* also below
freezing; the handbook's own functions (and the library the tests compare with) take it over *ice* there, which is 14 %
less vapour at -15 °C. So functions that read an instrument say ``over water``; :func:`saturation_pressure_pa` takes the
phase by name.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

ZERO_CELSIUS_K = 273.15
TRIPLE_POINT_C = 0.01
STANDARD_PRESSURE_PA = 101325.0
"""Sea level, ASHRAE Fundamentals ch. 1, eq. 3."""
RATIO_OF_MOLAR_MASSES = 0.621945
"""Water to dry air, ASHRAE Fundamentals (2017) ch. 1, eq. 20."""

_ICE = (-5.6745359e03, 6.3925247, -9.6778430e-03, 6.2215701e-07, 2.0747825e-09, -9.4840240e-13, 4.1635019)
"""Eq. 5, -100..0 °C."""
_WATER = (-5.8002206e03, 1.3914993, -4.8640239e-02, 4.1764768e-05, -1.4452093e-08, 0.0, 6.5459673)
"""Eq. 6, 0..200 °C; below 0 °C it is continued over supercooled water, as instruments do."""


def saturation_pressure_pa(temperature_c: ArrayLike, over: Literal["water", "ice", "natural"] = "water") -> Floats:
    """Saturation vapour pressure, Pa, for -60..100 °C. ``natural`` is ice below the triple point and water above it.

    Source: ASHRAE Fundamentals (2017) ch. 1, eqs. 5 and 6. At 20 °C: 2338.8 Pa.
    """
    t_k = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    if over == "natural":
        return np.where(t_k <= TRIPLE_POINT_C + ZERO_CELSIUS_K, _saturation(t_k, _ICE), _saturation(t_k, _WATER))
    return _saturation(t_k, _WATER if over == "water" else _ICE)


def _saturation(t_k: Floats, c: tuple[float, ...]) -> Floats:
    return np.exp(c[0] / t_k + c[1] + t_k * (c[2] + t_k * (c[3] + t_k * (c[4] + t_k * c[5]))) + c[6] * np.log(t_k))


def vapour_pressure_pa(temperature_c: ArrayLike, rh: ArrayLike) -> Floats:
    """Partial pressure of water vapour, Pa, of air whose instrument says ``rh`` (0..1, over water)."""
    return np.asarray(rh, dtype=np.float64) * saturation_pressure_pa(temperature_c)


def relative_humidity(temperature_c: ArrayLike, pressure_pa: ArrayLike) -> Floats:
    """Relative humidity 0.. (over water) of air at ``temperature_c`` holding ``pressure_pa`` of vapour."""
    return np.asarray(pressure_pa, dtype=np.float64) / saturation_pressure_pa(temperature_c)


def dew_point_c(pressure_pa: ArrayLike) -> Floats:
    """Temperature at which this vapour pressure saturates over water, °C; -60..60 °C.

    Newton's method on ln p, where eq. 6 is nearly straight: eight steps from a straight-line start
    reach 1e-9 K. No vapour, no dew point: nan.
    """
    p = np.asarray(pressure_pa, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        target = np.log(np.where(p > 0, p, np.nan))
        t = 20.0 + (target - 7.757) / 0.0625  # slope of ln p near 20 °C: only a start
        t = np.clip(t, -80.0, 80.0)
        for _ in range(8):
            t_k = t + ZERO_CELSIUS_K
            slope = -_WATER[0] / t_k**2 + _WATER[2] + t_k * (2 * _WATER[3] + 3 * t_k * _WATER[4]) + _WATER[6] / t_k
            t = np.clip(t + (target - np.log(_saturation(t_k, _WATER))) / slope, -90.0, 100.0)
    return np.asarray(t)


def humidity_ratio(pressure_pa: ArrayLike, total_pressure_pa: float = STANDARD_PRESSURE_PA) -> Floats:
    """Mass of vapour to mass of dry air, kg/kg. Source: ASHRAE Fundamentals (2017) ch. 1, eq. 20."""
    p = np.asarray(pressure_pa, dtype=np.float64)
    return RATIO_OF_MOLAR_MASSES * p / (total_pressure_pa - p)


def humidity_over_water(temperature_c: ArrayLike, rh_over_ice: ArrayLike) -> Floats:
    """Relative humidity 0.. over water of air whose instrument states it over ice; the same above the triple point.

    Weather services state it over water also below freezing (WMO-No. 8, Guide to Instruments, part I ch. 4; from
    memory), and so do most chips; an instrument that follows the ice curve says more: at -15 °C, 100 % over ice is
    86 % over water. Source: ASHRAE Fundamentals (2017) ch. 1, eqs. 5 and 6; -60..100 °C.
    """
    ratio = saturation_pressure_pa(temperature_c, "natural") / saturation_pressure_pa(temperature_c, "water")
    frozen = np.asarray(temperature_c, dtype=np.float64) <= TRIPLE_POINT_C
    return np.asarray(rh_over_ice, dtype=np.float64) * np.where(frozen, ratio, 1.0)


def humidity_at_temperature(measured_c: ArrayLike, rh: ArrayLike, true_c: ArrayLike) -> Floats:
    """Relative humidity 0.. (over water) of the same vapour at another temperature: what a sensor warmer or colder than
    the air would have said in it. -60..100 °C. A chip 2 K too warm that says 40 % at 22 °C means 45.2 % at 20 °C."""
    return vapour_pressure_pa(measured_c, rh) / saturation_pressure_pa(true_c)
