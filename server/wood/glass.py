"""Where window glass runs with water: its inner surface on a cold night, and the humidity that reaches its dew point.

The indoor surface resistance R_si = 0.13 m²K/W and the outdoor 0.04 are those of ISO 6946 for horizontal heat flow
(read in a public page that lists the standard's values; 0.04 in another). The transmittances are of plain uncoated
glass (read in a public table of glazing in old houses): 5.8 for one pane of 4 mm, 3.0 for two with air between.
EN 673's way, from memory, gives 5.75 for the pane and 2.8 to 3.3 for two 12 to 6 mm apart (tests/wood/test_glass.py).
Frames, the glass's edge and corners behind stock are colder still: the middle of the pane runs last.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from server.wood import air
from server.wood.air import Floats
from server.wood.ranges import INDOORS_C, OUTDOORS_C, within

INDOOR_RESISTANCE_M2_K_PER_W = 0.13
OUTDOOR_RESISTANCE_M2_K_PER_W = 0.04
SOURCE = (
    "Glass: surface resistance 0.13 m²K/W (ISO 6946, read as a public page lists it), plain uncoated panes of 5.8 "
    "(single) and 3.0 W/m²K (double, air; read in a public table of glazing), at the middle of the pane"
)


@dataclass(frozen=True, slots=True)
class Glazing:
    """A kind of window. ``transmittance_w_per_m2_k`` is its U at the middle of the pane."""

    key: str
    transmittance_w_per_m2_k: float


GLAZINGS = MappingProxyType({one.key: one for one in (Glazing("single", 5.8), Glazing("double", 3.0))})


def surface_c(glazing: Glazing, indoor_c: ArrayLike, outdoor_c: ArrayLike) -> Floats:
    """Temperature of the inner surface, °C: T_in - U R_si (T_in - T_out). Steady, no sun, no curtain. Broadcasts.

    ISO 13788 counts windows with R_si 0.13 as ISO 6946 does (from memory). A single pane between 20 and -10 °C: -2.6.
    Raises ValueError: indoors -20..50 °C, outdoors -50..50 °C.
    """
    inside = within("indoor_c", indoor_c, *INDOORS_C, "°C")
    outside = within("outdoor_c", outdoor_c, *OUTDOORS_C, "°C")
    drop = glazing.transmittance_w_per_m2_k * INDOOR_RESISTANCE_M2_K_PER_W
    return np.asarray(inside - drop * (inside - outside))


def limit_rh(glazing: Glazing, indoor_c: ArrayLike, outdoor_c: ArrayLike) -> Floats:
    """Indoor humidity (0..1, over water) at which the glass takes on dew, below 0 °C frost; 1 where it is warmer.

    Saturation at the glass over the indoor saturation over water. A single pane between 20 and -10 °C: 0.21, a double
    0.47. Broadcasts; raises as :func:`surface_c`.
    """
    at_glass = air.saturation_pressure_pa(surface_c(glazing, indoor_c, outdoor_c), "natural")
    return np.asarray(np.minimum(1.0, at_glass / air.saturation_pressure_pa(indoor_c)))
