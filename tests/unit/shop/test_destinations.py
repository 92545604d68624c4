"""Aims are the table's printed figures, or two numbers; nothing in between."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from server.reading import Aim
from server.shop.destinations import UnknownRegion, numbers_aim, region_aim, regions

PRINTED = Path(__file__).parents[2] / "data" / "reference" / "interior_recommended_mc.csv"


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
