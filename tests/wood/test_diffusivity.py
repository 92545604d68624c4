"""The diffusivity against its geometry solved anew, and against what was measured, with the disagreement as found.

``tests/run tests/wood/test_diffusivity.py -s`` prints the comparison. Nothing is tuned to it: the formula is good to a
factor of two (:data:`LN_RATE_SIGMA` says how that is carried), and a band here is what was found, so that a change of
the formula is seen.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.sparse import lil_matrix
from scipy.sparse.linalg import spsolve

from server.wood.air_series import AirSeries
from server.wood.boards import Boards
from server.wood.diffusivity import (
    LEAST_POROSITY,
    LN_RATE_SIGMA,
    Diffusivity,
    diffusivity_m2_s,
    specific_gravity_at,
)
from server.wood.moisture import Moisture
from server.wood.species import find
from server.wood.transport import follow
from tests.wood.test_trade_facts import red_oak_tau_days

Rows = list[dict[str, str]]
DAY_S = 86_400.0


def said(*words: object) -> None:
    line = "  ".join(f"{w:.3g}" if isinstance(w, float) else f"{w!s:<60}" for w in words)
    sys.stdout.write(line + "\n")


@pytest.fixture
def oak(published: Callable[[str], Rows]) -> Callable[[str], float]:
    rows = {row["topic"]: row for row in published("diffusion_formulas_read")}
    return lambda topic: float(rows[topic]["value"])


def wood_d(key: str, mc_pct: float, temperature_c: float) -> float:
    one = find(key)
    return float(diffusivity_m2_s(mc_pct, temperature_c, one.gravity(), one.volumetric_shrinkage()))


@pytest.mark.parametrize(
    ("mc_pct", "gravity_at_mc", "value"),
    [(6, 0.35, 2.172e-11), (6, 0.42, 1.433e-11), (6, 0.50, 9.489e-12), (6, 0.65, 4.908e-12), (8, 0.35, 2.626e-11),
     (8, 0.56, 8.630e-12), (10, 0.50, 1.376e-11), (12, 0.42, 2.526e-11), (14, 0.35, 4.675e-11)],
)  # fmt: skip
def test_the_formula_as_it_was_computed_elsewhere(mc_pct: float, gravity_at_mc: float, value: float) -> None:
    """The reference's own table at 5 °C (transverse_diffusion.csv: Siau 1984/1995 from memory, computed when it was
    made, SI constants; it takes the specific gravity at that moisture, so no shrinkage here)."""
    ours = float(diffusivity_m2_s(mc_pct, 5.0, gravity_at_mc, 0.0))
    assert ours == pytest.approx(value, rel=0.035), "SI and calorie constants differ by up to 3.3 %"


def exact_geometry(a: float, cells: int = 100) -> float:
    """Conduction across square tubes of side 1 whose lumens (side a) are short circuits, over that of the wall: Laplace
    by finite differences on a quarter of a tube. Its middle planes across the flow are at one potential each."""
    half = cells // 2  # the quarter is half by half nodes of width 1 / cells
    index = np.arange(half * half).reshape(half, half)
    x = (np.arange(half) + 0.5) / cells
    lumen = (x[:, None] < a / 2) & (x[None, :] < a / 2)
    matrix, right = lil_matrix((half * half, half * half)), np.zeros(half * half)
    for i in range(half):
        for j in range(half):
            here = index[i, j]
            if lumen[i, j]:
                matrix[here, here] = 1.0
                continue
            for ni, nj in ((i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)):
                if nj < 0 or nj >= half:  # the middle planes: 0 below, 1/2 above, half a node away
                    matrix[here, here] += 2.0
                    right[here] += 2.0 * (0.5 if nj >= half else 0.0)
                elif 0 <= ni < half:
                    matrix[here, here] += 2.0 if lumen[ni, nj] else 1.0  # a lumen's edge is half a node away
                    matrix[here, index[ni, nj]] -= 0.0 if lumen[ni, nj] else 1.0
    potential = spsolve(matrix.tocsr(), right).reshape(half, half)
    return float(2.0 * (2.0 * (0.5 - potential[:, -1])).sum())


@pytest.mark.parametrize(("a", "found"), [(0.70, 1.31), (0.80, 1.18), (0.90, 1.08)])
def test_the_geometry_solved_in_two_dimensions(a: float, found: float) -> None:
    """Siau's series alone is the least of three: side walls beside it, or the whole width of the cross wall, give more.
    What the walls really conduct lies between the last two, nearer the widest: 8 to 31 % more than ours, and 3 to 9 %
    less than the form without a leading a."""
    series, with_sides, widest = a / (1 - a), a / (1 - a) + 1 - a, 1 / (1 - a)
    exact = exact_geometry(a)
    said(
        f"a = {a}: exact over a/(1-a), with side walls, without the leading a",
        exact / series,
        with_sides / series,
        1 / a,
    )
    assert with_sides < exact < widest
    assert exact / series == pytest.approx(found, abs=0.02)


def test_the_fit_the_solver_steps_with() -> None:
    """Within 0.1 % of the formula over the whole domain of density and moisture."""
    g = np.array([0.15, 0.3, 0.5, 0.7, 1.0])
    m = np.linspace(0.0, 30.0, 61)[:, None]
    for t in (-20.0, 20.0, 60.0):
        exact = diffusivity_m2_s(m, t, g, 0.27 * g)
        assert np.abs(Diffusivity.of_wood(g, 0.27 * g, 1.0).at(m, t) / exact - 1.0).max() < 1e-3


def test_the_densest_wood_that_shrinks_the_most_still_has_voids() -> None:
    """Basic 1.0 and 35 % make 1.54 dry, where the walls have 1.5: the formula has no voids left. What is taken instead
    touches no wood that is known: shrinkage 0.27 times the specific gravity (Wood Handbook ch. 4) leaves more."""
    m = np.linspace(0.0, 30.0, 61)[:, None]
    g, s = (a.ravel() for a in np.meshgrid([0.1, 0.5, 0.9, 1.0], [0.0, 0.1, 0.27, 0.35]))
    exact = diffusivity_m2_s(m, 20.0, g, s)
    assert np.isfinite(exact).all()
    assert (exact > 0.0).all()
    stepped = Diffusivity.of_wood(g, s, 1.0).at(m, 20.0)
    assert np.abs(stepped / exact - 1.0).max() < 0.1
    known = 0.27 * g
    voids = 1.0 - specific_gravity_at(m, g, known) * (0.667 + 0.01 * m)
    assert (voids > LEAST_POROSITY).all()


def test_red_oak_rises_exponentially_from_6_to_30_per_cent() -> None:
    """Simpson 1993 (Wood Sci. Technol. 27:409-420, abstract read): northern red oak at 43 °C, approximately
    exponential from 6 to 30 %, alike in adsorption and desorption. Ours leaves a straight ln D by 1.2 %."""
    m = np.linspace(6.0, 30.0, 25)
    one = find("oak_northern_red")
    ln_d = np.log(diffusivity_m2_s(m, 43.0, one.gravity(), one.volumetric_shrinkage()))
    slope, start = np.polyfit(m, ln_d, 1)
    off = np.abs(np.expm1(ln_d - start - slope * m)).max()
    said("red oak, ln D from 6 to 30 %: rise per 1 % MC, most off a straight line", float(slope), float(off))
    assert slope > 0
    assert off < 0.02


def test_aspen_eightfold_is_ours_times_less(published: Callable[[str], Rows]) -> None:
    """Simpson, aspen at 43 °C (abstract read): eightfold from 2.5 to 18 % MC. Ours, which rises fourfold, is too
    flat by half: the cell wall alone rises 5.5 times, and the lumens narrow as the wood swells."""
    (row,) = (r for r in published("moisture_transport_read") if r["species"] == "aspen")
    t = float(row["temperature_c"])
    ours = wood_d("aspen_quaking", 18.0, t) / wood_d("aspen_quaking", 2.5, t)
    said("aspen, D at 18 % over D at 2.5 %: measured, ours", float(row["low"]), ours)
    assert ours / float(row["low"]) == pytest.approx(0.51, abs=0.03)


@pytest.mark.parametrize(
    ("t", "mc", "ratio"), [(43.0, 8.0, 0.374), (43.0, 15.0, 0.651), (43.0, 25.0, 1.47), (20.0, 8.0, 0.472)]
)
def test_red_oak_by_the_kiln_programs_constants(oak: Callable[[str], float], t: float, mc: float, ratio: float) -> None:
    """D0 exp(-5280/T) exp(1.15 M), in the form of Simpson 1993; the constants read in a program, of doubtful origin.
    Ours crosses it: 0.37 of it at 8 %, one and a half at 25 %."""
    theirs = oak("oak_d0") * np.exp(-oak("oak_activation") / (273.0 + t)) * np.exp(oak("oak_slope") * mc / 100)
    ours = wood_d("oak_northern_red", mc, t)
    said(f"red oak {t:g} °C {mc:g} %: program, ours, ours / program", float(theirs), ours, float(ours / theirs))
    assert ours / theirs == pytest.approx(ratio, rel=0.05)


@pytest.mark.parametrize("direction", ["radial", "tangential"])
def test_spruce_in_dynamic_vapour_sorption(published: Callable[[str], Rows], direction: str) -> None:
    """Sanchez-Ferrer and Engelhardt (abstract read): 0.94 and 1.00e-10 m²/s, over all of their steps, at a temperature
    the abstract does not give (25 °C taken, 10 % MC). Sitka spruce stands in for Norway spruce. Ours is
    0.66 to 0.71 of it."""
    (row,) = (
        r for r in published("moisture_transport_read") if (r["species"], r["direction"]) == ("spruce", direction)
    )
    ours, measured = wood_d("spruce_sitka", 10.0, 25.0), float(row["low"])
    said(f"spruce, {direction}: measured, ours, ours / measured", measured, ours, ours / measured)
    assert ours / measured == pytest.approx(0.69, abs=0.04)


def test_spruce_over_beech(published: Callable[[str], Rows]) -> None:
    """Sonderegger et al. 2011 (abstract read): two to three times, steady and not. American species stand in for the
    European ones, which no table here has: ours is 3.06."""
    (row,) = (r for r in published("moisture_transport_read") if r["species"] == "spruce over beech")
    ours = wood_d("spruce_sitka", 12.0, 20.0) / wood_d("beech_american", 12.0, 20.0)
    said("spruce over beech: measured from, to, ours", float(row["low"]), float(row["high"]), ours)
    assert float(row["low"]) < ours
    assert ours == pytest.approx(float(row["high"]), rel=0.10)


def half_days(key: str, thickness_m: float, start: float, t: float, rh: float) -> float:
    """Days to half of the way, by the solver, bare on both faces in a kiln's moving air (ten times the still film)."""
    one = find(key)
    boards = Boards.of(
        thickness_m=thickness_m, specific_gravity=one.gravity(), volumetric_shrinkage=one.volumetric_shrinkage(),
        top_film=2e-7, bottom_film=2e-7, cells=56, face_cell_m=5e-5,
    )  # fmt: skip
    edges = np.concatenate([[0.0], np.geomspace(60.0, 400 * DAY_S, 500)])
    _, track = follow(boards, Moisture.even(boards, start, t), AirSeries.constant(edges, t, rh), longest_step_s=np.inf)
    mean = boards.mean_pct(track.profile_pct)[:, 0]
    return float(np.interp(0.5, (start - mean) / (start - mean[-1]), edges / DAY_S))


@pytest.mark.parametrize(("inches", "ratio"), [(1.0, 0.71), (1.5, 0.86), (2.0, 0.99)])
def test_red_oak_half_times_by_simpson_and_tschernitz(oak: Callable[[str], float], inches: float, ratio: float) -> None:
    """Their E = exp(-t / tau) with tau as L to 1.52, read in a transcription; fitted from green on, ours begins at
    28 %, so ours should be the shorter; at 43 °C. 29 % less at 1 in, 1 % at 2 in: 2 of diffusion against 1.52."""
    theirs = red_oak_tau_days(oak, inches, 110.0) * np.log(2.0)
    ours = half_days("oak_northern_red", inches * 0.0254, 28.0, 43.3, 70.0)
    said(
        f"red oak {inches:g} in, half way at 43 °C: theirs, ours, ours / theirs",
        float(theirs),
        ours,
        float(ours / theirs),
    )
    assert ours / theirs == pytest.approx(ratio, rel=0.10)


@pytest.mark.parametrize(
    "key", ["oak_northern_red", "pine_ponderosa", "spruce_engelmann", "walnut_black", "aspen_quaking"]
)
def test_the_last_part_of_air_drying_takes_less_than_all_of_it(published: Callable[[str], Rows], key: str) -> None:
    """25 mm of green lumber to 20 % outdoors: days from the best weather to a winter (Agric. Handbook 402, from
    memory). Ours is the part below fibre saturation alone, at 15 °C and 65 %; it must lie below the longest."""
    item = {"aspen_quaking": "aspen"}.get(key, key)
    rows = [r for r in published("drying_time_rules") if r["kind"].startswith("air_dry") and item in r["species_key"]]
    least, most = float(rows[0]["min"]), float(rows[0]["max"])
    one = find(key)
    boards = Boards.of(
        thickness_m=0.025, specific_gravity=one.gravity(), volumetric_shrinkage=one.volumetric_shrinkage()
    )
    edges = np.concatenate([[0.0], np.geomspace(60.0, 400 * DAY_S, 400)])
    _, track = follow(
        boards, Moisture.even(boards, 30.0, 15.0), AirSeries.constant(edges, 15.0, 65.0), longest_step_s=np.inf
    )
    days = float(np.interp(-20.0, -boards.mean_pct(track.profile_pct)[:, 0], edges / DAY_S))
    said(f"{key}: 30 to 20 % by the model; green to 20 % published", days, least, most)
    assert days < most


def test_how_far_the_three_forms_lie_from_all_that_was_measured(oak: Callable[[str], float]) -> None:
    """Mean ln(measured / formula) of what could be read as a D: two of spruce, four of oak (of doubtful origin). Ours
    lies low by a factor of 1.5, the form without the leading a by 1.2, the geometry solved in two dimensions by 1.3:
    all that is known leans to the form without it, by less than the six scatter between themselves."""
    measured: list[tuple[float, float]] = [(v, wood_d("spruce_sitka", 10.0, 25.0)) for v in (0.94e-10, 1.00e-10)]
    for t, mc in ((43.0, 8.0), (43.0, 15.0), (43.0, 25.0), (20.0, 8.0)):
        d = oak("oak_d0") * np.exp(-oak("oak_activation") / (273.0 + t)) * np.exp(oak("oak_slope") * mc / 100)
        measured.append((float(d), wood_d("oak_northern_red", mc, t)))
    off: Any = np.log([m / ours for m, ours in measured])
    said("ln(measured / ours): mean, standard deviation; our own sigma", off.mean(), off.std(), LN_RATE_SIGMA)
    for name, more in (("without the leading a", 1.27), ("solved in two dimensions", 1.18)):
        said(f"  mean ln of the form {name}", float(off.mean() - np.log(more)))
    assert off.mean() == pytest.approx(0.42, abs=0.05)
    assert np.log(1.27) < off.std(), "the evidence does not tell the forms apart"
