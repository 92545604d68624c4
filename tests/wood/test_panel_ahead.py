"""A panel's year ahead from its own moisture: against the damped wave, an independent program, and what can be told of
it by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from server.wood.belief import Belief
from server.wood.boards import AIR_FILM_KG_M2_S_PA, SEALED, film_through
from server.wood.covers import find
from server.wood.expected_air import ExpectedAir
from server.wood.movement import across_width, change
from server.wood.panel import Panel, panel_year, steps_of
from server.wood.panel_ahead import Ahead, Films, year_ahead
from server.wood.species import find as species
from server.wood.stock import Stock
from server.wood.year import DAY_S, Year
from tests.wood.independent import OneBoard, graded

YEAR = Year(0.30, 0.60, 20.0, 20.0, 46.0, 228.5)
CHERRY = across_width(species("cherry_black"), 0.0)
BARE: Films = (AIR_FILM_KG_M2_S_PA, AIR_FILM_KG_M2_S_PA)


def ahead(
    mm: float, *ways: Films, pct: float = 8.0, day: float = 15.0, sigma: float = 0.5, width: float = 500
) -> Ahead:
    stock = Stock.of(thickness_m=mm / 1000, specific_gravity=0.47, volumetric_shrinkage=0.115)
    belief = Belief.begin(stock, pct, sigma)
    air = ExpectedAir(YEAR.air([day], steps_of(YEAR)))
    return year_ahead(stock, belief, air, ways or (BARE,), CHERRY, width)


@pytest.mark.parametrize("mm", [6.0, 12.0, 20.0])
def test_its_swing_is_the_damped_wave_s(mm: float) -> None:
    """Thin panels forget what they were made at within weeks: then the wave of Carslaw and Jaeger 3.6 is all there is.
    The wave is of one D and a straight sorption curve, the solver of both bent: within 1 %. From mid October on, so
    that both turns lie in what is left of the year."""
    found = ahead(mm, day=290.0)
    late = found.day > 110.0
    swing = np.ptp(found.mean_pct[late, 0, 0])
    panel = Panel(mm / 1000, 0.47, 0.115, find("bare"), find("bare"))
    wave = panel_year(panel, YEAR, 8.0)
    assert swing == pytest.approx(wave.wave_swing_pct, rel=0.01)
    assert swing == pytest.approx(wave.swing_pct.middle, rel=0.003)


@pytest.mark.parametrize(("mm", "cover"), [(20.0, "bare"), (27.0, "shellac-3")])
def test_its_mean_is_an_independent_program_s(mm: float, cover: str) -> None:
    """LSODA on another grid, the air day by day: within 0.02 % MC all year, as the wood model asks."""
    film = float(film_through(find(cover).resistance_m2_s_pa_kg))
    day = np.arange(0, 366, dtype=float)
    widths = graded(mm / 1000, 40, 1e-4)
    board = OneBoard(
        widths, specific_gravity=0.47, volumetric_shrinkage=0.115, films=(film, film), times_s=day * DAY_S,
        temperature_c=YEAR.temperature_c(day + 15.0), humidity_pct=100 * YEAR.humidity(day + 15.0),
    )  # fmt: skip
    profiles, _ = board.run(8.0, 20.0, day * DAY_S, rtol=1e-6, atol=1e-6)
    found = ahead(mm, (film, film))
    ours = np.interp(day, found.day, found.mean_pct[:, 0, 0])
    assert np.abs(profiles @ widths / widths.sum() - ours).max() < 0.02


def test_widths_are_the_handbook_s_movement_of_the_means() -> None:
    """Wood Handbook ch. 13, eq. 13-2: the change of width between two moistures."""
    found = ahead(12.0)
    wide, at = found.widest()
    pct = float(np.interp(at, found.day, found.mean_pct[:, 0, 0]))
    assert float(wide.middle[0]) == pytest.approx(float(change(CHERRY, 500.0, 8.0, pct)), abs=1e-6)
    narrow, _ = found.narrowest()
    assert float(narrow.low[0]) < float(narrow.middle[0]) < 0 < float(wide.middle[0]) < float(wide.high[0])


def test_a_sealed_panel_stays_and_twice_the_width_moves_twice() -> None:
    still = ahead(20.0, (SEALED, SEALED))
    assert np.ptp(still.mean_pct[:, 0, 0]) < 1e-9
    one, two = (float(ahead(12.0, width=w).widest()[0].middle[0]) for w in (300, 600))
    assert two == pytest.approx(2 * one, rel=1e-9)


def test_one_finished_face_cups_it_and_turning_it_over_cups_it_the_other_way() -> None:
    shellac = float(film_through(find("shellac-3").resistance_m2_s_pa_kg))
    bare = AIR_FILM_KG_M2_S_PA
    found = ahead(20.0, (shellac, bare), (bare, shellac), (shellac, shellac), (bare, bare))
    one, other, both, none = (float(found.worst_cup(i)[0].middle[0]) for i in range(4))
    assert one == pytest.approx(-other, abs=1e-6)
    assert abs(one) > 0.5
    assert both == pytest.approx(0.0, abs=1e-6)
    assert none == pytest.approx(0.0, abs=1e-6)


def test_in_the_drying_months_the_bare_face_is_the_hollow_one() -> None:
    """From October on the air dries; the bare bottom dries first, so the bottom is hollow: negative."""
    shellac = float(film_through(find("shellac-3").resistance_m2_s_pa_kg))
    found = ahead(20.0, (shellac, AIR_FILM_KG_M2_S_PA), pct=10.0, day=290.0)
    assert found.cup_mm[found.day < 60, 0, 0].min() < -0.2
    assert found.cup_mm[found.day < 60, 0, 0].max() <= 1e-9


def test_what_is_less_sure_now_is_less_sure_later() -> None:
    vague, sure = (ahead(27.0, sigma=s).moved() for s in (1.5, 0.2))
    i = vague.middle.size // 6
    assert vague.high[i] - vague.low[i] > sure.high[i] - sure.low[i]


def test_the_same_from_a_shifted_year() -> None:
    """A year that turns twenty days later, begun twenty days later, is the same year ahead."""
    stock = Stock.of(thickness_m=0.02, specific_gravity=0.47, volumetric_shrinkage=0.115)
    belief = Belief.begin(stock, 8.0, 0.5)
    later = replace(YEAR, driest_day=66.0, dampest_day=248.5)
    each = [
        year_ahead(stock, belief, ExpectedAir(year.air([day], 146)), (BARE,), CHERRY, 500.0).mean_pct[:, 0, 0]
        for year, day in ((YEAR, 15.0), (later, 35.0))
    ]
    assert each[0] == pytest.approx(each[1], abs=1e-9)
