"""Pin readings against the reference's tables (recalled from FPL-GTR-6, as they say) and by a second interpolation."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from server.wood.meter import MEAN_DEPTH, NoCurve, corrected, curves, find, for_species, for_temperature

COMPUTED = Path(__file__).parents[1] / "data" / "reference" / "pin_meter_species_correction_computed.csv"
FIR = find("douglas_fir_coast")


def test_every_row_falls_and_has_a_source() -> None:
    for curve in curves().values():
        assert (np.diff(curve.ln_megohm) <= 0).all(), f"{curve.key}: two digits leave some rows alike"
        assert curve.mc_pct[0] in {7.0, 8.0}
    text = (Path(__file__).parents[2] / "server" / "wood" / "resistance.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert len(rows) > 500
    assert all(row["source"] and row["provenance"] for row in rows)


def test_against_the_computed_table() -> None:
    """Computed for the reference by log-linear interpolation too: to its last digit."""
    with COMPUTED.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            found = for_species(float(row["reading_on_douglas_fir_scale_pct"]), find(row["species_key"]))
            assert found == pytest.approx(float(row["mc_actual_pct"]), abs=0.0051), row


@pytest.mark.parametrize("key", list(curves()))
def test_a_second_interpolation_agrees(key: str) -> None:
    """SciPy's monotone cubic in ln R; the table's two or three digits allow about 0.1 % MC between its rows."""
    curve = find(key)
    to_ln = PchipInterpolator(FIR.mc_pct, FIR.ln_megohm)
    apart = np.append(True, np.diff(curve.ln_megohm) < 0)
    to_mc = PchipInterpolator(-curve.ln_megohm[apart], curve.mc_pct[apart])
    for reading in np.linspace(8.5, 20, 24):
        other = float(to_mc(-to_ln(reading)))
        if 7.5 < other < 24:
            assert for_species(float(reading), curve) == pytest.approx(other, abs=0.15)


@pytest.mark.parametrize("reading", [8.0, 12.3, 20.0])
def test_douglas_fir_at_27_degrees_is_what_the_meter_shows(reading: float) -> None:
    assert corrected(reading, 27.0, FIR).mc_pct == pytest.approx(reading, abs=1e-9)


def test_cold_wood_reads_too_dry() -> None:
    """Wood Handbook ch. 13 (read): about 0.5 % for each 5.6 °C, added where the wood is colder."""
    assert for_temperature(10.0, 27.0 - 5.6) == pytest.approx(10.5)
    assert for_temperature(10.0, 27.0 + 5.6) == pytest.approx(9.5)


@given(st.sampled_from(list(curves())), st.floats(0, 60), st.floats(0, 60), st.floats(-20, 60))
def test_a_higher_reading_never_means_drier_wood(key: str, a: float, b: float, wood_c: float) -> None:
    low, high = sorted((a, b))
    one, other = corrected(low, wood_c, find(key)), corrected(high, wood_c, find(key))
    assert one.mc_pct <= other.mc_pct
    assert 7.0 <= one.mc_pct <= 25.0


def test_what_pins_cannot_tell_is_a_bound() -> None:
    assert corrected(5.0, 27.0, FIR).bound == "at most"
    assert corrected(40.0, 27.0, FIR).bound == "at least"
    assert corrected(12.0, 27.0, find("baldcypress")).spread_pct == 2.0, "a doubtful row"


def test_a_meter_that_is_set_is_not_corrected_twice() -> None:
    assert corrected(11.0, 5.0, find("oak_white_commercial"), already=True).mc_pct == 11.0


def test_the_mean_of_a_parabola() -> None:
    z = MEAN_DEPTH
    assert 4 * z * (1 - z) == pytest.approx(2 / 3), "the mean of 4 z (1 - z) from face to face"


def test_refusals() -> None:
    with pytest.raises(ValueError, match="reading_pct: found -1; would be right: 0 to 60 % MC"):
        corrected(-1.0, 20.0, FIR)
    with pytest.raises(ValueError, match="reading_pct: found 300"):
        corrected(300.0, 20.0, FIR)
    with pytest.raises(ValueError, match="wood_temperature_c: found 90"):
        corrected(10.0, 90.0, FIR)
    with pytest.raises(NoCurve, match="species: found 'teak'; would be right: one of"):
        find("teak")
