"""Resistances fitted to the finishes' effectiveness: the fit makes the committed column, an independent solver runs the
same test, and what others measured on coats of the kind is of the same size."""

from __future__ import annotations

import numpy as np
import pytest

from server.wood import species
from server.wood.air import saturation_pressure_pa
from server.wood.boards import AIR_FILM_KG_M2_S_PA
from server.wood.covers import all_covers, find
from server.wood.diffusivity import diffusivity_m2_s, specific_gravity_at
from server.wood.emc import emc_pct
from tests.wood.fit_covers import (
    DAYS,
    FINE,
    INCH_M,
    columns,
    definition,
    effectiveness_pct,
    fit,
    fitted,
    shares_of,
    specimen_m,
    table,
)
from tests.wood.independent import OneBoard, graded
from tests.wood.test_plane_sheet import behind_film

STILL_AIR_KG_M_S_PA = 1.95e-10
"""Water vapour in still air at 23 °C: EN ISO 12572 (memory)."""


def test_the_committed_columns_are_the_fit() -> None:
    """All of them: resistances to 1 %, misfits to 0.1 %. The published effectiveness is rounded to 1 %, which moves a
    resistance by more than that; a change of the solver's last digits is none of the table's."""
    rows = {row["key"]: row for row in table()}
    fits = fitted(list(rows.values()))
    assert len(fits) > 55
    for key, found in fits.items():
        for name, value in columns(found).items():
            close = 0.11 if name.startswith("misfit") else 0.01 * float(value or 0)
            assert (rows[key][name] == "") == (value == ""), (key, name)
            assert float(rows[key][name] or 0) == pytest.approx(float(value or 0), abs=close), (key, name)


@pytest.mark.parametrize("key", ["urethane-varnish-2", "epoxy-2", "acrylic-latex-house-paint-3"])
def test_an_independent_solver_finds_the_same_effectiveness(key: str) -> None:
    """SciPy, bare and coated through the test's 14 days: what the table says it misses, it misses by as much."""
    row = next(r for r in table() if r["key"] == key)
    test, pine = definition(), species.find(definition()["species"])
    celsius = (float(test["temperature_f"]) - 32) / 1.8
    start = float(emc_pct(celsius, float(test["start_rh_pct"]) / 100))
    days = np.array(DAYS) * 86_400.0
    widths = graded(specimen_m(), 80, 3e-5)
    gains = []
    for resistance in (0.0, float(row["resistance_m2spa_per_kg"])):
        film = 1 / (1 / AIR_FILM_KG_M2_S_PA + resistance)
        board = OneBoard(
            widths, specific_gravity=pine.gravity(), volumetric_shrinkage=pine.volumetric_shrinkage(),
            films=(film, film), times_s=[0.0, days[-1]], temperature_c=[celsius] * 2,
            humidity_pct=[float(test["exposed_rh_pct"])] * 2,
        )  # fmt: skip
        profiles, _ = board.run(start, celsius, days, rtol=1e-6, atol=1e-7)
        gains.append(profiles @ widths / widths.sum() - start)
    missed = 100 * (1 - gains[1] / gains[0]) - np.array(shares_of(row), float)
    assert missed == pytest.approx([float(row[f"misfit_{day}_pct"]) for day in DAYS], abs=0.3)


def test_a_board_of_twice_volume_over_surface_takes_up_like_the_whole_specimen() -> None:
    """Closed, with a constant D and a straight sorption curve: what is left in a brick is the product of what is left
    in its three sheets (Newman's rule; Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, 1.15), each
    behind a film (Crank 4.50), along the grain 12 times as fast (read: at most 12 in spruce, 13 to 15 in beech). The
    board takes up bare within 0.02 of the brick, and its effectiveness is within 3 % on every day."""
    test, pine = definition(), species.find(definition()["species"])
    celsius = (float(test["temperature_f"]) - 32) / 1.8
    sides = [float(test[f"{side}_in"]) * INCH_M for side in ("thickness", "width", "length")]
    dry_pct, damp_pct = (float(emc_pct(celsius, float(test[key]) / 100)) for key in ("start_rh_pct", "exposed_rh_pct"))
    through = np.linspace(dry_pct, damp_pct, 50)
    d = float(diffusivity_m2_s(through, celsius, pine.gravity(), pine.volumetric_shrinkage()).mean())
    slope = (damp_pct - dry_pct) / 0.6
    dry = 1000 * float(specific_gravity_at(10.0, pine.gravity(), pine.volumetric_shrinkage()))
    to_speed = 100 * float(saturation_pressure_pa(celsius)) / (dry * slope)

    def gained(days: float, resistance: float, *sheets: tuple[float, float]) -> float:
        speed = to_speed / (1 / AIR_FILM_KG_M2_S_PA + resistance)
        left = [1 - behind_film(e * days * 86_400 / (a / 2) ** 2, speed * a / 2 / e) for a, e in sheets]
        return 1 - float(np.prod(left))

    brick = tuple(zip(sides, (d, d, 12 * d), strict=True))
    for days in DAYS:
        bare = [gained(days, 0.0, *of) for of in (brick, ((specimen_m(), d),))]
        assert bare[1] == pytest.approx(bare[0], abs=0.02)
        for resistance in (3e8, 1e9, 2.5e9, 1e10, 5e10):
            coated = [gained(days, resistance, *of) for of in (brick, ((specimen_m(), d),))]
            shares = [100 * (1 - c / b) for c, b in zip(coated, bare, strict=True)]
            assert shares[1] == pytest.approx(shares[0], abs=3.0)


def test_nothing_excluded_is_no_resistance() -> None:
    found = fit((0.0, 0.0, 0.0))
    assert found.resistance == found.low == 0.0
    assert found.high < 1e8
    assert find("furniture-wax").resistance_m2_s_pa_kg == 0.0


def test_a_resistance_comes_back_out_of_its_own_effectiveness() -> None:
    """Round trip: shares without rounding give the resistance they were made with, and misfits of nothing."""
    for i in (15_000, 20_000, 25_000):
        one, seven, fourteen = (float(v) for v in effectiveness_pct()[:, i])
        found = fit((one, seven, fourteen))
        assert found.resistance == pytest.approx(float(np.exp(FINE[i])), rel=1e-3)
        assert found.misfit_pct == pytest.approx((0.0, 0.0, 0.0), abs=0.02)


def test_one_resistance_misses_no_day_by_more_than_a_tenth() -> None:
    """Of the whole gain; it always holds back too little on the first day and a little too much on the seventh, as
    coats that hold back less when damp would have it."""
    misfits = np.array([c.misfit_pct for c in all_covers().values() if c.fitted and None not in c.misfit_pct], float)
    assert np.abs(misfits).max() < 10.5
    assert misfits.mean(axis=0)[0] < -2
    assert misfits.mean(axis=0)[1] > 1


def test_another_coat_never_resists_less_and_the_spread_holds_the_figure() -> None:
    covers = all_covers()
    for cover in covers.values():
        assert cover.low_m2_s_pa_kg <= cover.resistance_m2_s_pa_kg <= cover.high_m2_s_pa_kg, cover.key
        stem, _, coats = cover.key.rpartition("-")
        more = covers.get(f"{stem}-{int(coats) + 1}") if coats.isdigit() and cover.fitted else None
        if more:
            assert more.resistance_m2_s_pa_kg >= cover.resistance_m2_s_pa_kg, cover.key


def test_paints_measured_by_the_wet_cup_are_of_this_size() -> None:
    """Rossebø and Kvande, Buildings 14 (2024) 2202 (abstract, read): three coats of nine exterior alkyds, emulsions and
    acrylics have s_d 0.453 to 1.350 m, which over still air is 2.3 to 6.9e9. Seven of the eight of ours of that kind
    lie within twice that; the acrylic latex primer holds back half of their least."""
    low, high = 0.453 / STILL_AIR_KG_M_S_PA, 1.350 / STILL_AIR_KG_M_S_PA
    paints = ("acrylic-latex-primer", "acrylic-latex-house-paint", "latex-primer-wall-paint", "oil-house-paint",
              "alkyd-primer", "enamel-paint", "oil-stain", "spar-varnish")  # fmt: skip
    found = {name: find(f"{name}-3").resistance_m2_s_pa_kg for name in paints}
    assert sum(low / 2 < r < high * 2 for r in found.values()) >= 7, found
    assert all(low / 2.2 < r < high * 2 for r in found.values()), found


def test_against_a_handbooks_painted_walls() -> None:
    """SBi direction 178 (read): alkyd oil paint 1.5e10, polyurethane lacquer 5e10, coats not stated. Ours, from damp
    air, are 1.5 and 3.6 times less. Its emulsion paint, 2.5e9, lies between our three coats of latex primer and of flat
    latex wall paint, which holds back 19 times less: the greatest disagreement there is."""
    flat, primer = (find(f"latex-{kind}-wall-paint-3").resistance_m2_s_pa_kg for kind in ("flat", "primer"))
    assert flat < find("emulsion-paint").resistance_m2_s_pa_kg < primer
    assert find("emulsion-paint").resistance_m2_s_pa_kg / flat < 20
    for fitted_key, published_key, most in (
        ("enamel-paint-3", "alkyd-oil-paint", 1.6),
        ("polyurethane-3", "polyurethane-lacquer", 3.7),
    ):
        ratio = find(published_key).resistance_m2_s_pa_kg / find(fitted_key).resistance_m2_s_pa_kg
        assert 1 < ratio < most, (fitted_key, ratio)
