"""Published figures on drying that tests of the solver lean on, that they were carried over as they were read; and the
four facts every shop knows, which the model must know as well (common practice, no source)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from server.wood import covers
from server.wood.air_series import AirSeries
from server.wood.boards import SEALED, Boards, film_through
from server.wood.cup import cup_mm
from server.wood.emc import emc_pct
from server.wood.milling import mill
from server.wood.moisture import Moisture
from server.wood.settle import Piece, settle
from server.wood.transport import advance

Rows = list[dict[str, str]]


@pytest.fixture
def fact(published: Callable[[str], Rows]) -> Callable[[str], float]:
    rows = {row["topic"]: row for row in published("diffusion_formulas_read")}
    assert all(row["provenance"].startswith("read") and row["source"] and row["unit"] for row in rows.values())
    return lambda topic: float(rows[topic]["value"])


def red_oak_tau_days(fact: Callable[[str], float], inches: float, temperature_f: float) -> float:
    """Simpson and Tschernitz as transcribed; Antoine's pressure, mm Hg, as there."""
    p = 10 ** (8.07131 - 1730.63 / (233.426 + (temperature_f - 32) / 1.8))
    return float(inches ** fact("red_oak_tau_n") / (fact("red_oak_tau_a") + fact("red_oak_tau_b") * p))


def test_red_oak_s_worked_example(fact: Callable[[str], float]) -> None:
    """1.5 in, 100 to 14 % MC at 72 °F and 72 % RH: 113.4 days, printed. Air draws it to 13.54 %, so near the goal that
    0.01 % between the equation's °F and °C coefficients makes half a day."""
    rest = float(emc_pct((72 - 32) / 1.8, 0.72))
    days = -red_oak_tau_days(fact, 1.5, 72) * np.log((14 - rest) / (100 - rest))
    assert days == pytest.approx(fact("red_oak_example_days"), abs=0.5)


def test_three_ways_to_oak_s_diffusion_lie_within_a_factor_of_three(fact: Callable[[str], float]) -> None:
    """At 20 °C and 8 %: the oak formula; Siau's cell geometry at an oven-dry specific gravity of 0.60; and the time
    constant of a 1 in red oak board read as the slowest mode of an open plane sheet, tau = L²/(pi² D)."""
    oak = fact("oak_d0") * np.exp(-fact("oak_activation") / 293.0) * np.exp(fact("oak_slope") * 0.08)
    wall = 0.07e-4 * np.exp(-(9200 - 70 * 8) / (1.9872 * 293.15))
    a = np.sqrt(1 - 0.60 * (0.667 + 0.01 * 8))
    siau = wall / ((1 - a**2) * (1 - a))
    board = 0.0254**2 / (np.pi**2 * red_oak_tau_days(fact, 1, 68) * 86400)
    assert oak == pytest.approx(3.2e-11, rel=0.03)
    assert siau == pytest.approx(2.2e-11, rel=0.03)
    assert board == pytest.approx(6.3e-11, rel=0.05)
    assert max(oak, siau, board) / min(oak, siau, board) < 3
    assert abs(np.log(siau / oak)) < abs(np.log(a * siau / oak)), "the form without a leading a lies nearer"


def test_aspen_rises_faster_with_moisture_than_the_formula(published: Callable[[str], Rows]) -> None:
    """Simpson, aspen at 110 °F (read): eightfold from 2.5 to 18 %; Siau's cell wall alone: fivefold and a half."""
    (aspen,) = (r for r in published("moisture_transport_read") if r["species"] == "aspen")
    wall = np.exp(70 * (18 - 2.5) / (1.9872 * (273.15 + float(aspen["temperature_c"]))))
    assert float(aspen["low"]) == 8
    assert wall == pytest.approx(5.6, abs=0.1)


CHERRY = {"specific_gravity": 0.47, "volumetric_shrinkage": 0.115}
WEEKS_S = 3600.0 * np.arange(24 * 21 + 1)


def dried(**values: Any) -> tuple[Boards, Any]:
    """Boards at 8 % after three weeks at 21 °C and 30 %, and their profiles."""
    boards = Boards.of(**{**CHERRY, "thickness_m": 0.02, **values})
    air = AirSeries.constant(WEEKS_S, 21.0, 30.0)
    return boards, advance(boards, Moisture.even(boards, 8.0, 21.0), air).profile_pct


def test_thicker_stock_dries_in_the_square_of_thickness() -> None:
    """Common practice, no source. The film of still air takes a little off the two: 1.96 to 2.00 from 10 to 80 mm."""
    halves = [settle(Piece(t, *CHERRY.values()), 8.0, 21.0, 0.30).half.days for t in (0.01, 0.02, 0.04, 0.08)]
    exponents = np.diff(np.log(np.array(halves, float))) / np.log(2.0)
    assert ((exponents > 1.93) & (exponents < 2.01)).all(), exponents


def test_the_drier_face_goes_hollow_whichever_it_is() -> None:
    """Common practice, no source: laid on the bench to dry, the open face goes hollow; to take up water, round."""
    boards, profile = dried(bottom_film=[SEALED, 2e-8], top_film=[2e-8, SEALED])
    top_open, bottom_open = cup_mm(boards, profile, 0.00248, 0.15)
    assert top_open > 0.3, "positive: the top is hollow"
    assert bottom_open == pytest.approx(-top_open)
    wet = Boards.of(**CHERRY, thickness_m=0.02, bottom_film=SEALED)
    damp = advance(wet, Moisture.even(wet, 8.0, 21.0), AirSeries.constant(WEEKS_S, 21.0, 70.0)).profile_pct
    assert cup_mm(wet, damp, 0.00248, 0.15)[0] < -0.3


def test_even_removal_cups_less_than_uneven() -> None:
    """Common practice, no source: 4 mm off a board that has stood a week in dry air, from one face, or half from each,
    for any way of sharing it out."""
    piece = Piece(0.025, *CHERRY.values())
    told = {"stood_days": 7.0, "coefficient": 0.00248, "width_m": 0.15}
    cups = [
        abs(mill(piece, 10.0, 21.0, 0.30, top_m=top, bottom_m=0.004 - top, **told).at_once_mm)
        for top in (0.002, 0.0025, 0.003, 0.0035, 0.004)
    ]
    assert cups == sorted(cups)
    assert cups[0] < 1e-6
    assert cups[-1] > 0.3


def test_wrapped_stock_hardly_moves(published: Callable[[str], Rows]) -> None:
    """Common practice, no source: a board wrapped alone moves a fifth of what a bare one does. The handbook's 0.2 % MC
    a month at most (moisture_in_storage_read.csv) is for whole packages of dry 19 mm softwood: ten boards, dead-stacked
    inside the wrap, keep it; a board alone, with ten times the film to its wood, does not (0.38 %)."""
    (row,) = (r for r in published("moisture_in_storage_read") if r["topic"] == "wrapped")
    film = float(film_through(covers.find("wrapped").resistance_m2_s_pa_kg))
    films = [film, film, 2e-8]
    boards = Boards.of(
        thickness_m=[0.019, 0.19, 0.019], specific_gravity=0.38, volumetric_shrinkage=0.10, top_film=films,
        bottom_film=films,
    )  # fmt: skip
    air = AirSeries.constant(3600.0 * np.arange(24 * 30 + 1), 21.0, 30.0)
    alone, package, bare = 8.0 - boards.mean_pct(advance(boards, Moisture.even(boards, 8.0, 21.0), air).profile_pct)
    assert alone < bare / 4
    assert alone == pytest.approx(0.38, abs=0.05)
    assert package < float(row["high"])
