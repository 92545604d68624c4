"""The solver against closed solutions of the plane sheet with a constant D: Crank, The Mathematics of Diffusion (2nd
ed. 1975): eq. 4.18 (faces held), eqs. 4.50 to 4.53 (faces behind a film). The tabulated values beside the series were
computed with SciPy when the reference was made (tests/data/reference/plane_sheet_diffusion.csv says so).

tau = D t / l², l half the thickness of a board with two open faces, or all of it where one is closed.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from server.wood.air import saturation_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.boards import SEALED, Boards
from server.wood.diffusivity import Diffusivity
from server.wood.emc import emc_pct, emc_slope_pct
from server.wood.grid import CELLS, FACE_CELL_M
from server.wood.moisture import Moisture
from server.wood.transport import follow

TABLE = Path(__file__).parents[1] / "data" / "reference" / "plane_sheet_diffusion.csv"
D, HALF_M, START_PCT, RH, T_C = 3e-11, 0.0125, 9.0, 0.35, 20.0
NO_FILM = 1.0
TAUS = (0.01, 0.05, 0.1, 0.19673, 0.5, 0.84809)


def held_faces(tau: float) -> float:
    """Crank eq. 4.18: what has changed of the mean, as a share."""
    n = np.arange(3000)
    odd = (2 * n + 1) ** 2 * np.pi**2
    return float(1.0 - (8.0 / odd * np.exp(-odd * tau / 4.0)).sum())


def behind_film(tau: float, biot: float) -> float:
    """Crank eqs. 4.50 to 4.53, the roots of b tan b = L by bisection."""
    total = 1.0
    for n in range(200):
        b = brentq(lambda x: x * np.tan(x) - biot, n * np.pi + 1e-9, n * np.pi + np.pi / 2 - 1e-9, xtol=1e-13)
        total -= 2.0 * biot**2 * np.exp(-b * b * tau) / (b * b * (b * b + biot**2 + biot))
    return float(total)


def profile_held(tau: float, depth: Any) -> Any:
    """Crank eq. 4.17: the share that is still to change, at a depth as a fraction of l from the middle."""
    n = np.arange(3000)[:, None]
    k = (2 * n + 1) * np.pi / 2
    return (2.0 * (-1.0) ** n / k * np.exp(-k * k * tau) * np.cos(k * np.asarray(depth))).sum(axis=0)


def times_of(taus: Any, steps: int = 500) -> tuple[Any, Any]:
    """Edges of steps that grow with time and hit each tau, and where those are."""
    at = np.asarray(taus) * HALF_M**2 / D
    edges = np.unique(np.concatenate([[0.0], at, np.geomspace(30.0, at[-1], steps)]))
    return edges, np.searchsorted(edges, at)


@cache
def shares(cells: int, face_m: float, faces: str = "both", film: float = NO_FILM, change_pct: float = 0.0) -> Any:
    """What has changed of the mean at TAUS, in air at RH, or in air a touch drier than the wood."""
    both = faces == "both"
    boards = Boards.of(
        thickness_m=2 * HALF_M if both else HALF_M, specific_gravity=0.5, volumetric_shrinkage=0.1,
        diffusivity=Diffusivity.constant(D), top_film=film, bottom_film=film if both else SEALED,
        cells=cells, face_cell_m=face_m,
    )  # fmt: skip
    target = float(emc_pct(T_C, RH))
    start = target + change_pct if change_pct else START_PCT
    edges, at = times_of(TAUS)
    _, track = follow(boards, Moisture.even(boards, start, T_C), AirSeries.constant(edges, T_C, 100 * RH), list(at))
    return (start - boards.mean_pct(track.profile_pct)[:, 0]) / (start - target)


@pytest.mark.parametrize("faces", ["both", "one"])
def test_faces_held(faces: str) -> None:
    """To 1e-4 on a fine grid; one closed face is half of a board with two open ones."""
    found = shares(192, 1.5e-5, faces)
    assert np.abs(found - [held_faces(t) for t in TAUS]).max() < 1e-4


def test_tabulated_values() -> None:
    wanted = {float(r["tau_Dt_over_l2"]): float(r["value"]) for r in _rows("inf") if r["quantity"] == "E_vs_tau"}
    for tau, value in wanted.items():
        assert held_faces(tau) == pytest.approx(value, abs=1e-6)
    both = [t for t in TAUS if t in wanted]
    assert len(both) >= 3
    for tau in both:
        assert shares(192, 1.5e-5)[TAUS.index(tau)] == pytest.approx(wanted[tau], abs=1e-4)


def test_cells_halved_is_a_quarter_of_the_error() -> None:
    """Second order in the grid: the errors of the product's own, and of 2, 4 and 8 times as many cells."""
    exact = np.array([held_faces(t) for t in TAUS])
    errors = [np.abs(shares(CELLS * 2**k, FACE_CELL_M / 2**k) - exact).max() for k in range(4)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (orders > 1.85).all(), f"errors {errors}, orders {orders}"
    assert errors[0] < 0.006, "the grid the product uses, of the whole change"


def test_steps_halved_is_a_quarter_of_the_error() -> None:
    """Second order in time, where no face has to be looked up: a profile evens out between closed faces."""
    boards = Boards.of(
        thickness_m=2 * HALF_M, specific_gravity=0.5, volumetric_shrinkage=0.1, diffusivity=Diffusivity.constant(D),
        top_film=SEALED, bottom_film=SEALED, cells=40, face_cell_m=1e-3,
    )  # fmt: skip
    z = np.cumsum(boards.widths_m, axis=1) - boards.widths_m / 2
    start = Moisture.of_profile(boards, 10.0 + 2.0 * np.cos(np.pi * z / (2 * HALF_M)), T_C)
    hour, length = 3600.0, 240
    ends = [
        follow(boards, start, AirSeries.constant(np.linspace(0, length * hour, length * n + 1), T_C, 40.0), [])[0]
        for n in (1, 2, 4, 32)
    ]
    errors = [np.abs(e.profile_pct - ends[-1].profile_pct).max() for e in ends[:-1]]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (np.abs(orders - 2.0) < 0.15).all(), f"errors {errors}, orders {orders}"


def test_steps_halved_is_half_of_the_error_with_films_and_the_real_curve() -> None:
    """First order in time where D and the film's chord are held through a step: real wood, bare, one face open and
    behind a cover, in air that swings smoothly; 0.0025 % MC at the half-hour bins that lots are stepped on."""
    boards = Boards.of(
        thickness_m=[0.025, 0.012, 0.05], specific_gravity=[0.47, 0.6, 0.35], volumetric_shrinkage=[0.115, 0.15, 0.1],
        bottom_film=[2e-8, SEALED, 1e-9],
    )  # fmt: skip

    def after(steps_an_hour: int) -> Any:
        edges = np.linspace(0.0, 96 * 3600.0, 96 * steps_an_hour + 1)
        phase = 2 * np.pi * edges / (48 * 3600)
        air = AirSeries.between_records(edges, T_C + 3 * np.sin(phase), 45 + 8 * np.cos(phase))
        return follow(boards, Moisture.even(boards, 9.3, T_C), air, [])[0].profile_pct

    fine = after(64)
    errors = [np.abs(after(n) - fine).max() for n in (1, 2, 4, 8)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (orders > 0.85).all(), f"errors {errors}, orders {orders}"
    assert errors[1] < 0.0035


@pytest.mark.parametrize("biot", [0.5, 2.0, 10.0])
def test_faces_behind_a_film(biot: float) -> None:
    """The air is a hundredth of a per cent from the wood, so that the sorption curve is its tangent and the film
    linear: S = 100 beta p_sat / (rho dEMC/dh), L = S l / D."""
    rho = 1000.0 * 0.5 / (1.0 - 0.1 * 20.0 / 30.0)
    slope, saturation = float(emc_slope_pct(T_C, RH)), float(saturation_pressure_pa(T_C))
    film = biot * D / HALF_M * rho * slope / (100.0 * saturation)
    found = shares(192, 1.5e-5, "both", film, 0.01)
    assert np.abs(found - [behind_film(t, biot) for t in TAUS]).max() < 1e-4


def test_profiles_behind_held_faces() -> None:
    boards = Boards.of(
        thickness_m=2 * HALF_M, specific_gravity=0.5, volumetric_shrinkage=0.1, diffusivity=Diffusivity.constant(D),
        top_film=NO_FILM, bottom_film=NO_FILM, cells=192, face_cell_m=1.5e-5,
    )  # fmt: skip
    target = float(emc_pct(T_C, RH))
    edges, at = times_of((0.05, 0.2, 0.6))
    _, track = follow(boards, Moisture.even(boards, START_PCT, T_C), AirSeries.constant(edges, T_C, 100 * RH), list(at))
    z = (np.cumsum(boards.widths_m[0]) - boards.widths_m[0] / 2) / HALF_M - 1.0
    for tau, profile in zip((0.05, 0.2, 0.6), track.profile_pct[:, 0], strict=True):
        left = (profile - target) / (START_PCT - target)
        assert np.abs(left - profile_held(tau, z)).max() < 2e-4


def test_air_that_swings() -> None:
    """A closed board behind an open face in air that swings: the mean's amplitude and lag are those of the exact damped
    wave, tanh(q) / q with q = l sqrt(i w / D) (Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 3.6)."""
    period, count, swing = 20 * 86_400.0, 480, 0.02
    edges = np.linspace(0.0, 8 * period, 8 * count + 1)
    boards = Boards.of(
        thickness_m=HALF_M, specific_gravity=0.5, volumetric_shrinkage=0.1, diffusivity=Diffusivity.constant(D),
        top_film=NO_FILM, bottom_film=SEALED, cells=120, face_cell_m=3e-5,
    )  # fmt: skip
    phase = 2 * np.pi * edges / period
    air = AirSeries.between_records(edges, np.full(edges.size, T_C), 100 * RH + swing * np.cos(phase))
    base, slope = float(emc_pct(T_C, RH)), float(emc_slope_pct(T_C, RH))
    last = np.arange(7 * count, 8 * count + 1)
    _, track = follow(boards, Moisture.even(boards, base, T_C), air, list(last))
    mean = boards.mean_pct(track.profile_pct)[:-1, 0] - base
    found = 2.0 * (mean * np.exp(-1j * phase[last[:-1]])).mean() / (slope * swing / 100)
    q = HALF_M * np.sqrt(2j * np.pi / period / D)
    assert abs(found - np.tanh(q) / q) < 1e-4


def _rows(biot: str) -> list[dict[str, str]]:
    with TABLE.open(newline="", encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["biot_number_L"] == biot]
