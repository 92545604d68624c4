"""The humidity over saturated salts: as printed, between the rows, at the ends, and against other ways to get it.

Greenspan 1977, Table 2; the rows' provenance is *memory*, part of them cross-checked with a table that was read.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from server.wood.salts import OutsideTable, UnknownSalt, salt, salts

Rows = list[dict[str, str]]


def test_every_printed_row_comes_back_as_printed(published: Callable[[str], Rows]) -> None:
    rows = published("saturated_salt_rh")
    assert len(rows) == 104
    for row in rows:
        air = salt(row["salt_formula"]).air(float(row["temperature_c"]))
        printed = (float(row["rh_pct"]), float(row["uncertainty_rh_pct"]))
        assert (air.humidity_pct, air.uncertainty_pct) == printed, row
        assert (air.provenance, air.source) == (row["provenance"], row["source"])


@pytest.mark.parametrize(("formula", "printed_pct"), [("NaCl", 75.47), ("MgCl2", 32.78), ("KCl", 85.92)])
def test_rows_the_table_leaves_out_are_met_by_the_line(formula: str, printed_pct: float) -> None:
    """Greenspan's values for sodium chloride at 20 °C, magnesium chloride at 25 and potassium chloride at 15, from
    memory; each lies within what is stated, most of which is the printed uncertainty."""
    t = {"NaCl": 20.0, "MgCl2": 25.0, "KCl": 15.0}[formula]
    air = salt(formula).air(t)
    assert air.humidity_pct == pytest.approx(printed_pct, abs=0.05)
    assert abs(air.humidity_pct - printed_pct) < air.uncertainty_pct
    assert air.provenance.startswith(f"between the rows for {t - 5:g} and {t + 5:g} °C (memory")
    assert air.between_c == (t - 5, t + 5)


@pytest.mark.parametrize("formula", list(salts()))
def test_between_the_rows_a_spline_agrees_within_the_stated_uncertainty(formula: str) -> None:
    """Independent: SciPy's cubic spline through the same rows; it may differ by no more than the bend allows for."""
    one = salt(formula)
    spline = CubicSpline(one.temperatures_c, one.humidities_pct)
    for t in np.linspace(one.temperatures_c[0], one.temperatures_c[-1], 97):
        air = one.air(float(t))
        assert air.humidity_pct == pytest.approx(float(spline(t)), abs=max(0.12, 0.5 * air.uncertainty_pct))


@pytest.mark.parametrize("formula", list(salts()))
def test_each_inner_row_could_be_left_out(formula: str) -> None:
    """The line through its neighbours meets a printed row within the sum of what is claimed for the three."""
    one = salt(formula)
    for n in range(1, len(one.temperatures_c) - 1):
        t0, t, t1 = one.temperatures_c[n - 1 : n + 2]
        h0, h, h1 = one.humidities_pct[n - 1 : n + 2]
        line = h0 + (h1 - h0) * (t - t0) / (t1 - t0)
        assert line == pytest.approx(h, abs=sum(one.uncertainties_pct[n - 1 : n + 2])), (formula, t)


@given(st.sampled_from(list(salts())), st.floats(0, 1))
def test_it_stays_between_its_rows_and_never_claims_more_than_they_do(formula: str, part: float) -> None:
    one = salt(formula)
    low, high = one.temperatures_c[0], one.temperatures_c[-1]
    t = min(max(low + part * (high - low), low), high)
    air = one.air(t)
    assert min(one.humidities_pct) <= air.humidity_pct <= max(one.humidities_pct)
    assert air.uncertainty_pct >= min(one.uncertainties_pct)
    assert 0 < air.humidity_pct < 100


def test_beyond_the_table_nothing_is_said() -> None:
    with pytest.raises(OutsideTable, match=r"temperature_c: found 41; would be right: 0 to 40 °C"):
        salt("NaCl").air(41.0)
    with pytest.raises(OutsideTable):
        salt("CH3COOK").air(5.0)
    assert salt("nacl") is salt("NaCl")
    with pytest.raises(UnknownSalt, match="salt: found 'NaCI'; would be right: one of LiCl"):
        salt("NaCI")
