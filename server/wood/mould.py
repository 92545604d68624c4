"""When mould can grow on wood or on a wall.

Hukka and Viitanen, "A mathematical model of mould growth on wooden material", Wood Science and Technology 33 (1999)
475-485: sapwood of pine and spruce; coefficients read in two public transcriptions of the model, which agree but for
one sign (taken is the one by which the curve meets 80 % at 20 °C). ISO 13788: a surface is safe where the monthly mean
humidity at it stays at or below 80 % (from memory). Either speaks of the air *at the surface*: behind stock against an
outside wall that is colder and damper than the room. Growth is possible from there on, not certain.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood import air
from server.wood.air import Floats
from server.wood.ranges import INDOORS_C, within

GROWS_BETWEEN_C = (0.0, 50.0)
LEAST_RH = 0.80
SURFACE_RH = 0.80
"""ISO 13788, monthly mean at the surface (from memory)."""


def critical_rh(temperature_c: ArrayLike) -> Floats:
    """Humidity (0..1) at a wooden surface from which mould can grow; nan where it is too cold or too hot for it.

    The larger of 0.80 and the cubic (-0.00267 T³ + 0.160 T² - 3.13 T + 100) / 100 up to 20 °C, 0.80 above; 0..50 °C. At
    10 °C: 0.820, at 5 °C: 0.880. Raises ValueError outside -50..100 °C.
    """
    t = within("temperature_c", temperature_c, -50, 100, "°C")
    cubic = (100.0 + t * (-3.13 + t * (0.160 - 0.00267 * t))) / 100.0
    least = np.where(t < 20.0, np.maximum(cubic, LEAST_RH), LEAST_RH)
    low, high = GROWS_BETWEEN_C
    return np.asarray(np.where((t > low) & (t < high), least, np.nan))


def can_grow(surface_c: ArrayLike, surface_rh: ArrayLike) -> NDArray[np.bool_]:
    """True where the air at a wooden surface lets mould grow. ``surface_rh`` 0..1; broadcasts."""
    h = within("surface_rh", surface_rh, 0, 1, "(a fraction, not per cent)")
    return np.asarray(h >= critical_rh(surface_c))  # nan compares false: outside its range nothing grows


def weeks_to_first_growth(
    surface_c: ArrayLike, surface_rh: ArrayLike, wood: Literal["pine", "spruce"] = "pine"
) -> Floats:
    """Weeks of such air until growth shows under a microscope; inf where it cannot grow.

    exp(-0.68 ln T - 13.9 ln RH + 0.14 W + 66.02), RH in %, W 0 for pine and 1 for spruce, kiln-dried and resawn: the
    worst case. At 20 °C and 97 %: 1.5 weeks; at 80 %: 22. A guide within the model's data, 5..40 °C. Broadcasts.
    """
    grows = can_grow(surface_c, surface_rh)
    t, h = np.broadcast_arrays(np.asarray(surface_c, np.float64), 100.0 * np.asarray(surface_rh, np.float64))
    t, h = np.where(grows, t, 20.0), np.where(grows, h, 90.0)
    weeks = np.exp(-0.68 * np.log(t) - 13.9 * np.log(h) + 0.14 * (wood == "spruce") + 66.02)
    return np.asarray(np.where(grows, weeks, np.inf))


def least_surface_c(indoor_c: ArrayLike, rh: ArrayLike) -> Floats:
    """The coldest a wall may be on average over a month in air of ``rh`` (0..1): 80 % at its surface, ISO 13788.

    The dew point of 1.25 times the vapour pressure. At 20 °C and 50 %: 12.6 °C. Broadcasts; dry air has none (nan).
    """
    inside = within("indoor_c", indoor_c, *INDOORS_C, "°C")
    h = within("rh", rh, 0, 1, "(a fraction, not per cent)")
    return air.dew_point_c(air.vapour_pressure_pa(inside, h) / SURFACE_RH)
