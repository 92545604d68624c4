"""Air over saturated salts: humidity from one publication, EMC table from another, the equation between them.

Greenspan 1977 gives the humidity with its uncertainty; the Wood Handbook's table, interpolated at that humidity, gives
the EMC. Both tables here are of provenance *memory* (part of the salts cross-checked with a table that was read).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from server.wood import emc

Rows = list[dict[str, str]]
TABLE_PCT = 0.06
"""Rounding of the table, 0.05, and of its °F against our °C coefficients."""
SPLINE_PCT = 0.025
"""A cubic through figures rounded to ± 0.05 can carry a quarter more than that rounding between them."""


def table_emc_pct(table: Rows, temperature_c: float, rh: float) -> float:
    """The printed table, cubic in humidity along each row, then cubic across the rows."""
    at_rh = []
    temperatures_f = sorted({float(r["temperature_f"]) for r in table})
    for f in temperatures_f:
        row = sorted((float(r["rh_pct"]) / 100, float(r["emc_pct"])) for r in table if float(r["temperature_f"]) == f)
        h, printed = zip((0.0, 0.0), *row, strict=True)
        at_rh.append(float(CubicSpline(h, printed)(rh)))
    return float(CubicSpline((np.array(temperatures_f) - 32) / 1.8, at_rh)(temperature_c))


def salts_inside(salts: Rows) -> Rows:
    """Those the table reaches: 5 to 95 % with their uncertainty."""
    humidity = [(float(r["rh_pct"]), float(r["uncertainty_rh_pct"])) for r in salts]
    return [row for row, (rh, unsure) in zip(salts, humidity, strict=True) if 5 <= rh <= 95 - unsure]


def test_equation_meets_the_table_over_every_salt(published: Callable[[str], Rows]) -> None:
    table, salts = published("emc_by_temperature_and_rh"), salts_inside(published("saturated_salt_rh"))
    assert len(salts) > 80
    for row in salts:
        t, rh, unsure = (float(row[k]) for k in ("temperature_c", "rh_pct", "uncertainty_rh_pct"))
        ours = float(emc.emc_pct(t, rh / 100))
        slack = TABLE_PCT + SPLINE_PCT + float(emc.emc_slope_pct(t, rh / 100)) * unsure / 100
        assert ours == pytest.approx(table_emc_pct(table, t, rh / 100), abs=slack), row["salt_formula"]


def test_most_salts_need_no_more_than_the_rounding(published: Callable[[str], Rows]) -> None:
    """The stated uncertainty is not what makes the figures meet: nearly all do within the table's own rounding."""
    table, salts = published("emc_by_temperature_and_rh"), salts_inside(published("saturated_salt_rh"))
    miss = [
        abs(float(emc.emc_pct(t, rh)) - table_emc_pct(table, t, rh))
        for t, rh in ((float(r["temperature_c"]), float(r["rh_pct"]) / 100) for r in salts)
    ]
    assert np.mean(np.array(miss) < TABLE_PCT) > 0.95
    assert max(miss) < TABLE_PCT + SPLINE_PCT


def test_a_check_salt_comes_back_from_its_emc(published: Callable[[str], Rows]) -> None:
    """Sodium chloride at 25 °C: 75.29 % (Greenspan) to an EMC and back."""
    row = next(
        r for r in published("saturated_salt_rh") if r["salt_formula"] == "NaCl" and float(r["temperature_c"]) == 25
    )
    rh = float(row["rh_pct"]) / 100
    assert rh == pytest.approx(0.7529)
    assert float(emc.humidity_for_emc(25.0, emc.emc_pct(25.0, rh))) == pytest.approx(rh, abs=1e-12)
