"""When bare iron rusts and when it sweats: by the humidity at the metal's own temperature, late after the air's.

From about 60 to 65 % iron rusts noticeably: common practice in shops. Read in abstracts: archaeological iron (salty, so
worse than a machine's) corrodes rapidly from 60 % (Watkinson and Rimmer: nails from one site from 60 %, from another
from 70 %). ISO 9223:2012 counts a metal as wet by convention while the air is above 80 % and above 0 °C (read): that is
the standard's time of wetness, for outdoor corrosion, and well above where a planed table spots. Dust, fingerprints,
salt brine and unvented flames lower all of these.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood import air
from server.wood.air import Floats
from server.wood.glass import INDOOR_RESISTANCE_M2_K_PER_W
from server.wood.lag import first_order
from server.wood.ranges import INDOORS_C, alike, within

RUSTS_FROM_RH, RUSTS_SURELY_FROM_RH = 0.60, 0.65
"""Common practice, no source."""
WET_ABOVE_RH, WET_ABOVE_C = 0.80, 0.0
"""ISO 9223:2012, time of wetness."""
CAST_IRON_J_PER_KG_K = 420.0
"""Cast iron below 4 % carbon, a university's heat transfer data book (read): 420 J/(kg K), 7272 kg/m³, 52 W/(m K)."""
CAST_IRON_KG_PER_M3 = 7272.0
CAST_IRON_W_PER_M_K = 52.0


@dataclass(frozen=True, slots=True)
class Iron:
    """Iron in a room's air over time; all arrays have the air's shape."""

    metal_c: Floats
    rh: Floats
    """Relative humidity of the room's vapour at the metal's temperature, 0..; above 1 water stands on it."""
    may_rust: NDArray[np.bool_]
    rusts: NDArray[np.bool_]
    counts_as_wet: NDArray[np.bool_]
    sweats: NDArray[np.bool_]


def time_constant_s(mass_kg: float, area_m2: float) -> float:
    """How late cast iron follows the air, s: m c R_si / A, ``area_m2`` being all the surface that air reaches.

    Lumped: inside, iron evens out 500 times faster than air warms it. R_si 0.13 m²K/W (ISO 6946) is for a dull surface;
    bright metal radiates little and may take twice as long. A plate of 20 mm with both faces free: 66 minutes. Raises
    ValueError: mass above 0 to 5,000 kg, area above 0 to 100 m².
    """
    within("mass_kg", mass_kg, 0, 5_000, "kg", open_below=True)
    within("area_m2", area_m2, 0, 100, "m²", open_below=True)
    return mass_kg * CAST_IRON_J_PER_KG_K * INDOOR_RESISTANCE_M2_K_PER_W / area_m2


def iron_in(
    time_s: ArrayLike, air_c: ArrayLike, rh: ArrayLike, tau_s: ArrayLike, start_c: ArrayLike | None = None
) -> Iron:
    """How iron of that time constant fares. ``air_c`` °C and ``rh`` 0..1 are (..., n), ``time_s`` (n,) rising.

    ``start_c`` is the metal's temperature at first, else the air's. Raises ValueError for ranges (-20..50 °C), unequal
    lengths, time going back and gaps: leave rows out that were not heard.
    """
    alike(air_c=air_c, rh=rh)
    warm = within("air_c", air_c, -20, 50, "°C")
    pressure = air.vapour_pressure_pa(warm, within("rh", rh, 0, 1, "(a fraction, not per cent)"))
    if start_c is not None:
        within("start_c", start_c, *INDOORS_C, "°C")
    metal = first_order(time_s, warm, tau_s, start_c)
    at_metal = air.relative_humidity(metal, pressure)
    dew = pressure >= air.saturation_pressure_pa(metal, "natural")
    wet = (at_metal > WET_ABOVE_RH) & (metal > WET_ABOVE_C)
    return Iron(metal, at_metal, at_metal >= RUSTS_FROM_RH, at_metal >= RUSTS_SURELY_FROM_RH, wet, dew)
