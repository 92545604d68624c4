"""Every table that the product carries: no figure without a provenance word and a source, and the figures, words and
sources of the copies of the reference that it was made from. Species: test_species; salts: test_salt_table; adhesives:
test_adhesive; covers: test_cover_table."""

from __future__ import annotations

import csv
from collections.abc import Callable
from importlib.resources import files

import pytest

Rows = list[dict[str, str]]
WORDS = ("read", "memory", "MEMORY", "computed", "fitted", "definition", "not found", "common practice")
GROUPS = {
    "species": {
        "specific_gravity": ("specific_gravity_provenance", "specific_gravity_source"),
        "shrinkage_radial_pct": ("shrinkage_provenance", "shrinkage_source"),
        "shrinkage_tangential_pct": ("shrinkage_provenance", "shrinkage_source"),
        "shrinkage_volumetric_pct": ("shrinkage_provenance", "shrinkage_source"),
        "cr_fraction_per_pct_mc": ("coefficient_provenance", "coefficient_source"),
        "ct_fraction_per_pct_mc": ("coefficient_provenance", "coefficient_source"),
        "side_hardness_n": ("side_hardness_provenance", "side_hardness_source"),
        "decay_class": ("decay_provenance", "decay_source"),
    },
    "strength": {
        "tension_perpendicular_mpa": ("tension_provenance", "tension_source"),
        "modulus_mpa": ("modulus_provenance", "modulus_source"),
        "et_over_el": ("ratio_provenance", "ratio_source"),
        "er_over_el": ("ratio_provenance", "ratio_source"),
    },
}
"""Tables whose figures have their words in groups: figure, and the columns of its word and its source."""
TABLES = sorted(f.name.removesuffix(".csv") for f in files("server.wood").iterdir() if f.name.endswith(".csv"))


def rows_of(table: str) -> Rows:
    text = files("server.wood").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@pytest.mark.parametrize("table", TABLES)
def test_no_figure_without_a_word_and_a_source(table: str) -> None:
    rows = rows_of(table)
    assert rows
    for row in rows:
        groups = GROUPS.get(table, {next(iter(row)): ("provenance", "source")})
        for figure, (word, source) in groups.items():
            if row[figure]:
                assert row[word].startswith(WORDS), (table, row)
                assert row[source].strip(), (table, row)


def test_a_pin_meters_resistances(published: Callable[[str], Rows]) -> None:
    """James 1988, FPL-GTR-6 Table 1 (memory): the same figure, word, note and source in every row."""
    ours = {(r["key"], r["mc_pct"]): r for r in rows_of("resistance")}
    theirs = published("pin_meter_resistance")
    key = next(iter(theirs[0]))
    assert len(ours) == len(theirs)
    for row in theirs:
        mine = ours[row[key], row["mc_pct"]]
        assert float(mine["resistance_megohm"]) == float(row["resistance_megohm"])
        assert (mine["provenance"], mine["source"]) == (row["provenance"], row["source"])
        assert ("DOUBTFUL" in mine["note"]) >= ("DOUBTFUL" in row["note"])


def test_the_salts_words(published: Callable[[str], Rows]) -> None:
    """Greenspan 1977 Table 2: every row's figures, provenance and source as in the reference."""
    same = ("salt_formula", "temperature_c", "rh_pct", "uncertainty_rh_pct", "provenance", "source")
    assert [[r[c] for c in same] for r in rows_of("salts")] == [
        [r[c] for c in same] for r in published("saturated_salt_rh")
    ]


def test_the_coefficients_words(published: Callable[[str], Rows]) -> None:
    """Table 13-5: a species whose coefficient is its own has the reference's provenance; only one is from memory."""
    theirs = {r["species_key"]: r for r in published("dimensional_change_coefficients")}
    recalled = 0
    for row in rows_of("species"):
        if row["cr_fraction_per_pct_mc"]:
            assert row["coefficient_provenance"] == theirs[row["key"]]["provenance"]
            recalled += row["coefficient_provenance"].startswith("MEMORY")
    assert recalled == 1
