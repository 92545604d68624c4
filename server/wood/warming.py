"""How a cold piece warms in a room: a plate between two films of air, and how long it must stay in its wrap.

Wood that is unwrapped while its face is colder than the room's dew point runs wet. In its wrap it warms as fast (film
keeps vapour out, not heat), and what runs down the film does no harm. The plate of thickness 2 l, even at the
beginning, with a film h at both faces (Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 3.11):

    (T - T_room) / (T_start - T_room) = Σ 2 sin b / (b + sin b cos b) cos(b x / l) exp(-b² a t / l²),  b tan b = h l / k

The film, 0.13 m² K/W, is that of :mod:`server.wood.boards`; conductivity is the handbook's formula by density.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from server.wood.air import Floats, dew_point_c, vapour_pressure_pa
from server.wood.boards import HEAT_FILM_W_M2_K, HEAT_J_KG_K
from server.wood.ranges import within

CONDUCTIVITY = (0.01864, 0.1941, 0.004064)
"""W/(m K), A + G (B + C M) with G by oven-dry mass and volume at M % MC: Wood Handbook ch. 4, for G above 0.3 and M
below 25 % (recalled; against a published table of conductivities in tests/wood/test_warming.py)."""
CONDUCTIVITY_CV = 0.10
"""Common practice, no source."""
HEAT_FILM_FACTOR = 1.5
"""The film of a piece that stands in a draught or in a stack lies between so much more and so much less. Common
practice, no source."""
TERMS = 40
LONGEST_H = 240.0
NEAR_K = 0.1
"""A room that is no warmer than that above its dew point is as good as saturated: no sensor tells the two apart."""


@dataclass(frozen=True, slots=True)
class Plate:
    """Thickness, m; density as it is, kg/m³; conductivity, W/(m K); film at both faces, W/(m² K). Raises ValueError out
    of range."""

    thickness_m: float
    density_kg_m3: float
    conductivity_w_m_k: float
    film_w_m2_k: float = HEAT_FILM_W_M2_K

    def __post_init__(self) -> None:
        within("thickness_m", self.thickness_m, 0.3e-3, 0.3, "m (0.3 to 300 mm)")
        within("density_kg_m3", self.density_kg_m3, 50, 2000, "kg/m³")
        within("conductivity_w_m_k", self.conductivity_w_m_k, 0.01, 2, "W/(m K)")
        within("film_w_m2_k", self.film_w_m2_k, 0.1, 100, "W/(m² K)")

    @property
    def diffusivity_m2_s(self) -> float:
        """Of heat."""
        return self.conductivity_w_m_k / (self.density_kg_m3 * HEAT_J_KG_K)

    def share_left(self, times_s: Floats, depth: float = 0.0) -> Floats:
        """Of what it was colder by at first, what is left at each time (t,), s; ``depth`` from a face, 0, to the
        middle, 1."""
        half = 0.5 * self.thickness_m
        b = film_roots(self.film_w_m2_k * half / self.conductivity_w_m_k)
        size = 2.0 * np.sin(b) / (b + np.sin(b) * np.cos(b)) * np.cos(b * (1.0 - depth))
        fourier = self.diffusivity_m2_s * np.asarray(times_s, np.float64) / half**2
        return np.asarray(np.exp(-np.outer(fourier, b**2)) @ size)


def conductivity_w_m_k(specific_gravity: float, mc_pct: float) -> float:
    """Across the grain, of wood of that oven-dry mass over its volume as it is. 0.5 at 12 %: 0.14."""
    a, b, c = CONDUCTIVITY
    return a + specific_gravity * (b + c * mc_pct)


def dew_point_of(temperature_c: float, humidity_pct: float) -> float:
    """Of a room, °C; -273.15 of air without vapour."""
    found = float(dew_point_c(vapour_pressure_pa(temperature_c, humidity_pct / 100.0)))
    return -273.15 if np.isnan(found) else found


def wrapped_h(plate: Plate, start_c: float, room_c: float, above_c: float) -> float | None:
    """Hours until the face of a plate that comes in at ``start_c`` is warmer than ``above_c``; 0 where it is, None
    where the room is not warmer itself, or it would take ten days."""
    if start_c > above_c:
        return 0.0
    if room_c - above_c < NEAR_K:
        return None
    share = (room_c - above_c) / (room_c - start_c)
    low, high = 0.0, LONGEST_H
    if float(plate.share_left(np.array([high * 3600.0]))[0]) > share:
        return None
    for _ in range(60):
        middle = 0.5 * (low + high)
        left = float(plate.share_left(np.array([middle * 3600.0]))[0])
        low, high = (middle, high) if left > share else (low, middle)
    return high


def wrapped_ends_h(plate: Plate, start_c: float, room_c: float, above_c: float) -> tuple[float | None, ...]:
    """:func:`wrapped_h` and the ends of its central 80 %: film and conductivity each at both of theirs, by squares."""
    middle = wrapped_h(plate, start_c, room_c, above_c)
    if not middle:
        return middle, middle, middle
    away = 1.0 + 1.2816 * CONDUCTIVITY_CV
    k, film = plate.conductivity_w_m_k, plate.film_w_m2_k
    up = down = 0.0
    for pair in (
        (Plate(plate.thickness_m, plate.density_kg_m3, k, film * f) for f in (1 / HEAT_FILM_FACTOR, HEAT_FILM_FACTOR)),
        (Plate(plate.thickness_m, plate.density_kg_m3, k * f, film) for f in (1 / away, away)),
    ):
        found = [wrapped_h(one, start_c, room_c, above_c) for one in pair]
        each = [LONGEST_H if one is None else one for one in found]
        up, down = np.hypot(up, max(0.0, max(each) - middle)), np.hypot(down, max(0.0, middle - min(each)))
    return middle, max(0.0, middle - float(down)), middle + float(up)


@lru_cache(256)
def film_roots(biot: float) -> Floats:
    """Of a plate behind films: the first roots of b tan b = Biot, one in each (n π, n π + π/2): bisection."""
    low = np.pi * np.arange(TERMS)
    high = low + 0.5 * np.pi - 1e-12
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = middle * np.tan(middle) > biot
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    found = np.asarray(0.5 * (low + high))
    found.setflags(write=False)
    return found
