"""Whether a wrap sweats: the dew point of the air within it against the film, as the room around it cools.

Boards hold thousands of times more water than the air between them, so that air has the humidity at which their shells
rest, at the boards' temperature, and keeps it (wood-model.md, wrapped stock). The film has next to no heat of its own
and is taken to stand at the temperature of the room's air: still air on its inside keeps it a little warmer, so the
margin told is on the careful side. The stack is behind the room by its lag, as a body of one temperature is.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats, dew_point_c, relative_humidity, vapour_pressure_pa
from server.wood.emc import humidity_for_emc

STACK_LAG_H, LAG_FACTOR = 6.0, 2.0
"""By how much a wrapped stack is behind its room's temperature, h, and its 80 % as a factor: an hour or two for a few
boards, half a day for a pile of half a metre. Common practice, no source."""
LEAST_DRAWS_PCT, MOST_DRAWS_PCT = 0.5, 28.0
"""Between these the sorption curve is turned round."""


def behind_c(outside_c: ArrayLike, step_s: float, lag_s: float) -> Floats:
    """The temperature of a body of one temperature with that lag, °C (t,), that began as warm as what is ``outside_c``
    (t,), which runs straight from one to the next, ``step_s`` apart.

    Exact: y' = (x - y) / lag for x straight in a step. Raises ValueError for a step or lag that is not positive.
    """
    for name, given in (("step_s", step_s), ("lag_s", lag_s)):
        if not given > 0:
            raise ValueError(f"{name}: found {given:g}; would be right: above 0 s")
    x = np.asarray(outside_c, np.float64)
    stays = float(np.exp(-step_s / lag_s))
    y = np.empty_like(x)
    y[0] = x[0]
    for i in range(1, x.size):
        slope = (x[i] - x[i - 1]) / step_s
        before = x[i - 1] - slope * lag_s
        y[i] = x[i] - slope * lag_s + (y[i - 1] - before) * stays
    return y


def margins_k(film_c: ArrayLike, inside_c: ArrayLike, draws_pct: ArrayLike) -> Floats:
    """How far the film stays above the dew point of the air within, K; below 0 it sweats.

    ``inside_c`` is the boards' temperature and ``draws_pct`` the moisture at which their shells rest, or the EMC that a
    sensor in the wrap told. Shapes broadcast. Of film and boards alike it is how far the dew point lies below their
    temperature: never 0 below saturation.
    """
    inside = np.asarray(inside_c, np.float64)
    return np.asarray(np.asarray(film_c, np.float64) - dew_point_c(_pressure_pa(inside, draws_pct)))


def humidity_at_film(film_c: ArrayLike, inside_c: ArrayLike, draws_pct: ArrayLike) -> Floats:
    """The relative humidity at the film, 0..1; 1 where it sweats."""
    return np.minimum(relative_humidity(film_c, _pressure_pa(np.asarray(inside_c, np.float64), draws_pct)), 1.0)


def _pressure_pa(inside_c: Floats, draws_pct: ArrayLike) -> Floats:
    rests = np.clip(np.asarray(draws_pct, np.float64), LEAST_DRAWS_PCT, MOST_DRAWS_PCT)
    return vapour_pressure_pa(inside_c, humidity_for_emc(inside_c, rests))
