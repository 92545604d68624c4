"""Aims are the table's printed figures, or two numbers; nothing in between."""

from __future__ import annotations

import csv
from pathlib import Path
from statistics import mean

import pytest

from server.reading import Aim
from server.shop.destinations import UnknownRegion, numbers_aim, region_aim, regions

PRINTED = Path(__file__).parents[2] / "data" / "reference" / "interior_recommended_mc.csv"
OUTDOORS = PRINTED.with_name("outdoor_emc_by_location.csv")


def test_regions_are_the_printed_interior_rows() -> None:
    """Wood Handbook FPL-GTR-190 Table 13-2 (ranges: memory; averages confirmed by quotations that were read)."""
    with PRINTED.open(encoding="utf-8", newline="") as lines:
        rows = [row for row in csv.DictReader(lines) if row["use"].startswith("interior")]
    columns = ("us_region", "mc_average_pct", "mc_individual_min_pct", "mc_individual_max_pct", "provenance", "source")
    printed = [tuple(row[c] for c in columns) for row in rows]
    ours = [
        (r.name, f"{r.average_pct:g}", f"{r.low_pct:g}", f"{r.high_pct:g}", r.provenance, r.source)
        for r in regions().values()
    ]
    assert ours == printed


@pytest.mark.parametrize(("key", "average"), [("most-areas", 8), ("dry-southwest", 6), ("damp-coast", 11)])
def test_averages_are_those_that_were_read_of_the_handbook(key: str, average: float) -> None:
    """Wood Handbook ch. 13, the recommended average for interior use: 8 % in most of the United States, 6 % in the dry
    southwest, 11 % in the damp south, as a public forum thread quotes it (read; the table itself could not be opened).
    Printed as whole per cent. The ranges of single pieces are from memory."""
    region = regions()[key]
    assert region.average_pct == average
    assert region.low_pct < average < region.high_pct


@pytest.mark.parametrize(
    ("key", "cities", "dry_enough"),
    [
        ("dry-southwest", {"Phoenix", "Las Vegas", "El Paso"}, True),
        ("damp-coast", {"New Orleans", "Miami"}, False),
        ("most-areas", {"Denver", "Chicago", "Boston", "Minneapolis-St. Paul"}, False),
    ],
)
def test_aims_lie_to_the_climate_outside_as_they_should(key: str, cities: set[str], *, dry_enough: bool) -> None:
    """Wood Handbook FPL-GTR-282 Table 13-1 (normals of 1981 to 2010, rows that were read): monthly EMC outdoors. Heated
    or cooled rooms are no damper over the year than the air outside, to half of the average's last printed digit; in
    the dry southwest the year outside lies inside the aim itself."""
    with OUTDOORS.open(encoding="utf-8", newline="") as lines:
        rows = [r for r in csv.DictReader(lines) if r["location"] in cities and r["provenance"].startswith("read")]
    assert {row["location"] for row in rows} == cities
    region, months = regions()[key], [k for k in rows[0] if k.startswith("emc_pct_") and "annual" not in k]
    for row in rows:
        year = mean(float(row[month]) for month in months)
        assert region.average_pct - 0.5 <= year
        assert (region.low_pct <= year <= region.high_pct) == dry_enough or key == "most-areas"


def test_where_it_is_damper_outside_the_aim_is_damper() -> None:
    """The regions' order is that of the same table's years outdoors: Phoenix, Denver, New Orleans."""
    with OUTDOORS.open(encoding="utf-8", newline="") as lines:
        rows = {r["location"]: r for r in csv.DictReader(lines) if r["provenance"].startswith("read")}
    years = [float(rows[city]["emc_pct_annual_mean_computed"]) for city in ("Phoenix", "Denver", "New Orleans")]
    aims = [regions()[key] for key in ("dry-southwest", "most-areas", "damp-coast")]
    assert years == sorted(years)
    for ends in ([a.low_pct for a in aims], [a.average_pct for a in aims], [a.high_pct for a in aims]):
        assert ends == sorted(ends)


@pytest.mark.parametrize(
    ("key", "dry", "damp"), [("most-areas", 6.0, 10.0), ("dry-southwest", 4.0, 9.0), ("damp-coast", 8.0, 13.0)]
)
def test_ends_are_those_of_a_single_piece(key: str, dry: float, damp: float) -> None:
    aim = region_aim(key)
    assert (aim.dry_limit_pct, aim.damp_limit_pct, aim.destination) == (dry, damp, key)
    assert "Table 13-2" in aim.source


def test_a_shop_may_name_it() -> None:
    assert region_aim("most-areas", "heated rooms").destination == "heated rooms"


@pytest.mark.parametrize(
    ("typed", "helped"),
    [
        ("damp-cost", "would be right: damp-coast"),
        ("DRY-southwest", "would be right: dry-southwest"),
        ("zzz", "would be right: most-areas or dry-southwest or damp-coast"),
    ],
)
def test_unknown_region_names_the_nearest(typed: str, helped: str) -> None:
    with pytest.raises(UnknownRegion, match=helped) as refused:
        region_aim(typed)
    assert repr(typed) in str(refused.value)


def test_two_numbers() -> None:
    assert numbers_aim(7.0, 11.5, "chapel") == Aim(7.0, 11.5, "chapel", "typed in by the shop")


@pytest.mark.parametrize(("dry", "damp"), [(10.0, 6.0), (8.0, 8.0), (1.0, 8.0), (6.0, 40.0), (float("nan"), 8.0)])
def test_numbers_that_cannot_be_an_aim(dry: float, damp: float) -> None:
    with pytest.raises(ValueError, match=r"aim: found .*; would be right: a dry limit below its damp limit"):
        numbers_aim(dry, damp)
