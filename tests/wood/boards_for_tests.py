"""Boards and air that several tests share: random within the product's range, a winter as noisy as a real room.

The noise is first order with a correlation of six hours; its half-hourly changes (about 0.6 % RH and 0.17 K) are those
of the lived-in rooms of the Belgian house record (Candanedo 2017; its README says which copy): there 0.4 to 1.0 % RH
and 0.06 to 0.23 K.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from server.wood.air_series import AirSeries
from server.wood.boards import AIR_FILM_KG_M2_S_PA, SEALED, Boards, film_through
from server.wood.diffusivity import LN_RATE_SIGMA

HALF_HOUR_S = 1800.0


def noisy_winter(days: float, seed: int) -> tuple[Any, Any, Any]:
    """Times, s, °C and % RH every half hour: a sag towards midwinter, a daily swing, noise."""
    chance = np.random.default_rng(seed)
    n = round(days * 48) + 1
    t = HALF_HOUR_S * np.arange(n)
    day = t / 86_400
    keep = np.exp(-HALF_HOUR_S / 21_600)
    noise, shocks = np.zeros((2, n)), chance.normal(size=(2, n)) * np.sqrt(1 - keep**2)
    for i in range(1, n):
        noise[:, i] = keep * noise[:, i - 1] + shocks[:, i]
    sag = np.sin(np.pi * day / 120)
    temperature = 17 - 4 * sag + 2 * np.sin(2 * np.pi * day) + 0.4 * noise[0]
    humidity = 45 - 15 * sag + 5 * np.sin(2 * np.pi * day + 2) + 1.5 * noise[1]
    return t, temperature, humidity


def winter_air(days: float, seed: int) -> AirSeries:
    """The same as a row of steps."""
    return AirSeries.between_records(*noisy_winter(days, seed))


def random_values(count: int, seed: int) -> dict[str, Any]:
    """What makes ``count`` boards: 6 to 60 mm, a third of them flat on a bench."""
    chance = np.random.default_rng(seed)
    gravity = chance.uniform(0.31, 0.75, count)
    return {
        "thickness_m": chance.uniform(0.006, 0.060, count),
        "specific_gravity": gravity,
        "volumetric_shrinkage": 0.27 * gravity,
        "bottom_film": np.where(chance.random(count) < 1 / 3, SEALED, AIR_FILM_KG_M2_S_PA),
    }


def random_boards(count: int, seed: int) -> Boards:
    """Boards of :func:`random_values`."""
    return Boards.of(**random_values(count, seed))


COVERS_M2_S_PA_KG = (0.0, 0.0, 0.0, 1e8, 1e9, 1e10, 4.42e10)
"""Bare three times in seven, coats, and a polyethylene film (server/wood/covers.csv)."""


def wide_values(count: int, seed: int) -> dict[str, Any]:
    """What makes ``count`` boards of all kinds: 3 to 100 mm, the densities of the species table, each face bare or
    covered, three in ten flat on a bench, rates as they scatter."""
    chance = np.random.default_rng(seed)
    gravity = chance.uniform(0.29, 0.80, count)
    top, bottom = film_through(chance.choice(COVERS_M2_S_PA_KG, (2, count)))
    return {
        "thickness_m": np.exp(chance.uniform(np.log(0.003), np.log(0.1), count)),
        "specific_gravity": gravity,
        "volumetric_shrinkage": 0.27 * gravity,
        "top_film": top,
        "bottom_film": np.where(chance.random(count) < 0.3, SEALED, bottom),
        "rate_factor": chance.lognormal(0.0, LN_RATE_SIGMA, count),
    }
