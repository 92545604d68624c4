"""The table of species: nothing without a source, nothing out of range, and the same as the published tables."""

from __future__ import annotations

from collections.abc import Callable
from fnmatch import fnmatchcase

import pytest

from server.wood.movement import across_width, change
from server.wood.species import (
    DECAY_CLASSES,
    RANGES,
    NotPublished,
    Species,
    UnknownSpecies,
    all_species,
    coefficients,
    find,
    per_pct,
)
from tests.wood.conftest import Rows

Published = Callable[[str], Rows]
GROUP_OF = {
    "specific_gravity": "specific_gravity", "shrinkage_radial_pct": "shrinkage", "shrinkage_tangential_pct":
    "shrinkage", "shrinkage_volumetric_pct": "shrinkage", "cr_fraction_per_pct_mc": "coefficient",
    "ct_fraction_per_pct_mc": "coefficient", "side_hardness_n": "side_hardness",
}  # fmt: skip
FIELD_OF = {"cr_fraction_per_pct_mc": "cr", "ct_fraction_per_pct_mc": "ct"}
NEWTONS_PER_LBF = 4.44822
IMPORTS = [key for key, one in all_species().items() if one.group == "imported"]
SAID_FOR = """cherry: cherry_black; black cherry: cherry_black; black_chery: cherry_black; Cherry (black): cherry_black;
Prunus serotina: cherry_black; oak_wite: oak_white; white oak: oak_white; oak white: oak_white; whiteoak: oak_white;
Quercus alba: oak_white; red oak: oak_northern_red; sugar maple: maple_sugar; hard maple: maple_sugar;
mapel: maple_sugar; soft maple: maple_red; Douglas fir: douglas_fir_coast; doug fir: douglas_fir_coast;
walnut: walnut_black; wallnut black: walnut_black; poplar: yellow_poplar; tulip poplar: yellow_poplar; ash: ash_white;
birch: birch_yellow; beech wood: beech_american; lime: basswood_american; cypress: baldcypress;
western red cedar: cedar_western_red; sitka: spruce_sitka; mahogany: mahogany_american; African mahogany: khaya;
teek: teak; keruing: apitong; pecan: hickory_pecan; Tectona grandis: teak"""


@pytest.mark.parametrize("key", list(all_species()))
def test_every_figure_has_a_source_and_a_sensible_value(key: str) -> None:
    species = find(key)
    for name, (low, high) in RANGES.items():
        value = getattr(species, FIELD_OF.get(name, name))
        if value is not None:
            assert low <= value <= high, name
            figures = species.sources[GROUP_OF[name]]
            assert figures.source, name
            assert figures.provenance, name
    if species.decay_class:
        assert species.decay_class in DECAY_CLASSES
        assert species.sources["decay"].source
    if key != "birch_gray":  # of which only the radial shrinkage is printed
        found = coefficients(species)
        assert found.cr < found.ct or key == "primavera"
        assert found.source


def test_movement_is_the_published_tables_figures_names_and_sources(published: Published) -> None:
    """Wood Handbook FPL-GTR-190 Table 13-5. Oak, black is printed with another species' values."""
    elsewhere = {row["species_key"] for row in published("shrinkage_and_specific_gravity")}  # whose names stand then
    for row in published("dimensional_change_coefficients"):
        species = find(row["species_key"])
        figures = species.sources["coefficient"]
        if species.key == "oak_black":
            assert species.cr is None
            continue
        assert (species.cr, species.ct) == (float(row["cr_fraction_per_pct_mc"]), float(row["ct_fraction_per_pct_mc"]))
        assert (figures.provenance, figures.source) == (row["provenance"], row["source"]), species.key
        if species.key not in elsewhere:
            names = (species.group, species.common_name, species.botanical_name)
            assert names == (row["group"], row["common_name"], row["botanical_name"])


def test_shrinkage_is_the_published_tables_figures_names_and_sources(published: Published) -> None:
    """Wood Handbook FPL-GTR-190 Tables 4-3 and 4-4."""
    for row in published("shrinkage_and_specific_gravity"):
        species = find(row["species_key"])
        for name in ("shrinkage_radial_pct", "shrinkage_tangential_pct", "shrinkage_volumetric_pct"):
            assert getattr(species, name) == (float(row[name]) if row[name] else None), (species.key, name)
        figures = species.sources["shrinkage"]
        assert (figures.provenance, figures.source) == (row["shrinkage_provenance"], row["source"]), species.key
        assert species.common_name == row["common_name"]
        assert species.botanical_name == row["botanical_name"], species.key


def test_the_table_holds_both_tables_species_and_no_other(published: Published) -> None:
    tables = (published("dimensional_change_coefficients"), published("shrinkage_and_specific_gravity"))
    assert set(all_species()) == {row["species_key"] for table in tables for row in table}


def test_density_and_hardness_are_as_read(published: Published) -> None:
    """Tables 5-3b and 5-5b (FPL-GTR-282) and 5-3a (FPL-GTR-190). The metric table is a rounding of the other, so both
    hold: 50 N, or half of 2 % of a figure that the other rounds to tens of pounds."""
    read = {row["species_key"]: row for row in published("specific_gravity_and_hardness_read")}
    for key, species in all_species().items():
        row = read.get(key)
        gravity, hardness = species.sources["specific_gravity"], species.sources["side_hardness"]
        if row is None:
            assert species.side_hardness_n is None, key
            assert species.specific_gravity is None or gravity.provenance == "memory", key
            continue
        assert species.specific_gravity == float(row["specific_gravity_basic"]), key
        assert gravity.provenance.startswith("read")
        assert row["table"] in gravity.source
        assert row["row"] in gravity.source
        if not row["side_hardness_lbf"] or not (row["side_hardness_n_table_5_3a"] or row["table"] == "5-5b"):
            assert species.side_hardness_n is None or hardness.doubtful, "one printing has a dash"
            continue
        newtons = NEWTONS_PER_LBF * float(row["side_hardness_lbf"])
        assert species.side_hardness_n is not None
        assert hardness.provenance.startswith("read")
        assert hardness.doubtful or species.side_hardness_n == pytest.approx(newtons, abs=55), key
        assert ("at 15 % MC" in hardness.source) == (row["hardness_at_mc_pct"] == "15"), key
        if row["side_hardness_n_table_5_3a"]:
            assert species.side_hardness_n == float(row["side_hardness_n_table_5_3a"])


def test_decay_classes_are_the_note_as_quoted(published: Published) -> None:
    """FPL Research Note FPL-0153 (1967), as two public pages quote it. Baldcypress: what is cut today is young."""
    listed = {
        name: row["decay_class"] for row in published("decay_resistance_read") for name in row["our_keys"].split()
    }
    for key, species in all_species().items():
        fits = [c for name, c in listed.items() if "*" in name and fnmatchcase(key, name)]
        assert species.decay_class == listed.get(key, fits[0] if fits else ""), key


def test_most_published_coefficients_are_what_shrinkage_gives() -> None:
    """Table 13-5 against Tables 4-3 and 4-4: the reference's own check found 177 of 224 to the last digit."""
    same = total = 0
    for species in all_species().values():
        for c, s in ((species.cr, species.shrinkage_radial_pct), (species.ct, species.shrinkage_tangential_pct)):
            if c is not None and s is not None:
                total += 1
                same += abs(per_pct(s) - c) < 1.5e-5
    assert total > 200
    assert same / total > 0.75


@pytest.mark.parametrize(
    ("low", "high", "of"),
    [
        (-0.41, 0.26, lambda s: s.group == "imported"),
        (-0.27, 0.00, lambda s: s.group != "imported" and ("cedar" in s.key or "redwood" in s.key)),
        (-0.12, 0.07, lambda s: s.group != "imported" and "cedar" not in s.key and "redwood" not in s.key),
    ],
)
def test_how_far_shrinkage_misses_a_published_coefficient_is_what_is_said(
    low: float, high: float, of: Callable[[Species], bool]
) -> None:
    """Where both are published (Tables 13-5, 4-3, 4-4): mahogany and avodire, western redcedar, sweet birch and grand
    fir are the ends that the sentence beside such an answer names."""
    pairs = ((s.ct, s.shrinkage_tangential_pct, s.cr, s.shrinkage_radial_pct) for s in all_species().values() if of(s))
    off = [per_pct(s) / c - 1 for ct, st, cr, sr in pairs for c, s in ((ct, st), (cr, sr)) if c and s]
    assert (min(off), max(off)) == (pytest.approx(low, abs=0.01), pytest.approx(high, abs=0.01))


def test_cedars_are_never_derived() -> None:
    cedar = find("cedar_western_red")
    assert coefficients(cedar).how == "own"
    assert abs(per_pct(cedar.shrinkage_tangential_pct or 0) - coefficients(cedar).ct) > 1e-4


@pytest.mark.parametrize("key", IMPORTS)
def test_an_import_moves_by_its_coefficient_or_by_the_shrinkage_formula_never_by_one_made_of_it(key: str) -> None:
    """Eq. 13-3 by hand over a span in which a coefficient would hold: S (10 - 7) / (3000 - 30 S + 7 S)."""
    species = find(key)
    across = across_width(species, 0.0)
    moved = float(change(across, 1.0, 7.0, 10.0))
    if species.ct is not None:
        assert across.published
        assert moved == pytest.approx(3 * species.ct)
    else:
        s = species.shrinkage_tangential_pct or 0.0
        assert not across.published
        assert "by the shrinkage formula" in across.source
        assert moved == pytest.approx(3 * s / (3000 - 23 * s), rel=1e-12)


def test_grouped_species_take_the_groups_row() -> None:
    assert coefficients(find("oak_northern_red")).how == "oak_red_commercial"
    assert coefficients(find("oak_white")).ct == find("oak_white_commercial").ct
    assert coefficients(find("ash_blue")).how == "shrinkage"
    assert find("oak_black").coefficient_from == "oak_red_commercial"
    assert "DOUBTFUL" in find("oak_black").note


@pytest.mark.parametrize(
    ("found", "first"),
    [tuple(pair.strip().split(": ")) for pair in SAID_FOR.split(";")],
)
def test_names_people_use_lead_to_the_key_first(found: str, first: str) -> None:
    with pytest.raises(UnknownSpecies) as refused:
        find(found)
    assert refused.value.nearest[0] == first
    assert f"found {found!r}; would be right: one of {first}" in str(refused.value)


@pytest.mark.parametrize("found", ["", " ", "plastic", "zzzz", "5"])
def test_what_is_like_no_wood_leads_nowhere(found: str) -> None:
    with pytest.raises(UnknownSpecies, match="would be right: a key of") as refused:
        find(found)
    assert refused.value.nearest == ()


def test_what_is_not_published_is_said() -> None:
    with pytest.raises(NotPublished, match="specific_gravity: found none published for lauan_white"):
        find("lauan_white").gravity()
    with pytest.raises(NotPublished, match="no movement published for birch_gray"):
        coefficients(find("birch_gray"))
