"""A cold piece in a warm room: conductivity against published figures, the plate against a solution of its own in SciPy
and against its limits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from server.wood.warming import Plate, conductivity_w_m_k, dew_point_of, wrapped_ends_h, wrapped_h

OAK = Plate(0.027, 0.62 * 1.10 * 1000, conductivity_w_m_k(0.62, 10))


@pytest.mark.parametrize(
    ("gravity", "published"),
    [(0.60, 0.17), (0.53, 0.15), (0.63, 0.18), (0.68, 0.19), (0.37, 0.11), (0.42, 0.12)],
)
def test_conductivity_is_that_of_the_tables(gravity: float, published: float) -> None:
    """White ash, black cherry, sugar maple, white oak, eastern white pine, ponderosa pine at 12 %, 20 °C, W/(m K):
    matmake.com/properties/thermal-conductivity-of-wood.html, read, after a handbook of materials; the gravities beside
    them are recalled. Printed to 0.01; the formula is a mean of many tests."""
    assert conductivity_w_m_k(gravity, 12.0) == pytest.approx(published, abs=0.01)


@pytest.mark.parametrize("mm", [6.0, 27.0, 80.0])
def test_the_face_warms_as_an_independent_solution_has_it(mm: float) -> None:
    """Half the plate in 200 cells, Radau, against the series: the film sits before half a cell of wood."""
    plate = Plate(mm / 1000, OAK.density_kg_m3, OAK.conductivity_w_m_k)
    n, half = 200, 0.5 * plate.thickness_m
    dx, k, h = half / n, plate.conductivity_w_m_k, plate.film_w_m2_k
    face = 1.0 / (1.0 / h + 0.5 * dx / k)
    per_cell = 1.0 / (plate.density_kg_m3 * 1570.0 * dx)

    def rate(_: float, t: np.ndarray) -> np.ndarray:
        flux = np.concatenate([[face * (0.0 - t[0])], k / dx * (t[:-1] - t[1:]), [0.0]])
        return (flux[:-1] - flux[1:]) * per_cell

    times = np.array([300.0, 1800.0, 7200.0, 20_000.0])
    found = solve_ivp(rate, (0, times[-1]), np.ones(n), "Radau", times, rtol=1e-9, atol=1e-12).y
    at_face = found[0] - face * found[0] / k * 0.5 * dx
    assert plate.share_left(times) == pytest.approx(at_face, abs=2e-4)
    assert plate.share_left(times, 1.0) == pytest.approx(found[-1], abs=2e-4)


def test_thin_wood_is_a_lump_and_a_great_film_is_no_film() -> None:
    """Biot to 0: one exponential with h over heat per face. Film to infinity: the face is the room's at once."""
    thin = Plate(0.6e-3, 600, 0.15)
    tau = 600 * 1570.0 * 0.3e-3 / thin.film_w_m2_k
    assert thin.share_left(np.array([tau]))[0] == pytest.approx(np.exp(-1), rel=0.02)
    assert Plate(0.027, 600, 0.15, 100.0).share_left(np.array([600.0]))[0] < 0.2


def test_how_long_it_stays_wrapped() -> None:
    """From -10 °C into 21 °C and 40 %: the face must pass the dew point of 6.9 °C."""
    dew = dew_point_of(21.0, 40.0)
    assert dew == pytest.approx(6.95, abs=0.1)  # psychrometric chart, recalled; psychrolib in test_air.py
    hours = wrapped_h(OAK, -10.0, 21.0, dew)
    assert hours is not None
    share = OAK.share_left(np.array([3600.0 * hours]))[0]
    assert 21.0 + share * (-10.0 - 21.0) == pytest.approx(dew, abs=1e-6)
    middle, low, high = wrapped_ends_h(OAK, -10.0, 21.0, dew)
    assert middle == hours
    assert low is not None
    assert high is not None
    assert 0 < low < hours < high < 3 * hours
    assert wrapped_h(OAK, 15.0, 21.0, dew) == 0.0
    assert wrapped_h(OAK, -10.0, 5.0, dew) is None
    thick = wrapped_h(Plate(0.054, OAK.density_kg_m3, OAK.conductivity_w_m_k), -10.0, 21.0, dew)
    assert thick is not None
    assert 1.5 * hours < thick < 4 * hours


def test_it_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="thickness_m: found 27"):
        Plate(27, 600, 0.15)
