"""book movement and book settle: the keys of the contract, what a person reads, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from server.book.base import Answer, BadRequest, ask
from server.book.catalog import QUESTIONS

BOARD = {"species": "cherry_black", "thickness_mm": 25, "from_pct": 8, "temperature_c": 21, "humidity_pct": 30}
WIDTH = {"species": "cherry_black", "width_mm": 300, "from_pct": 8, "to_pct": 12}


def answered(name: str, given: dict[str, Any]) -> Answer:
    return ask(QUESTIONS[name], given)


def test_movement_says_how_far_by_what_and_from_where() -> None:
    """300 mm of flatsawn black cherry, 8 to 12 %: 300 x 0.00248 x 4 (Wood Handbook Table 13-5, eq. 13-2)."""
    answer = answered("movement", WIDTH)
    assert answer.figures["change_mm"] == pytest.approx(300 * 0.00248 * 4)
    assert answer.figures["method"] == "coefficient"
    assert "Table 13-5" in answer.source
    assert answer.text() == "300.0 mm swell by 2.98 mm from 8.0 to 12.0 % MC."


def test_movement_beyond_the_coefficients_range_is_by_shrinkage() -> None:
    """Eq. 13-3 by hand, S_T 7.1 %: 300 (5 - 8) / (3000 / 7.1 - 30 + 8)."""
    answer = answered("movement", {**WIDTH, "to_pct": 5})
    assert answer.figures["change_mm"] == pytest.approx(300 * -3 / (3000 / 7.1 - 22))
    assert answer.figures["method"] == "shrinkage"
    assert "shrink by" in answer.text()


def test_settle_answers_the_contract() -> None:
    answer = answered("settle", {**BOARD, "width_mm": 150, "days": 2})
    times = {f"{t}_days{e}" for t in ("half", "ninety", "settled") for e in ("", "_low", "_high")}
    assert times | {"movement_left_mm", "diffusivity_m2_s", "series"} <= answer.figures.keys()
    for t in ("half", "ninety", "settled"):
        assert answer.figures[f"{t}_days_low"] < answer.figures[f"{t}_days"] < answer.figures[f"{t}_days_high"]
    assert 1.5e-11 < answer.figures["diffusivity_m2_s"] < 6e-11
    assert answer.figures["movement_left_mm"] == pytest.approx(150 * 0.00248 * (answer.figures["emc_pct"] - 8))
    first = {"day": 0.0, "mean_pct": 8.0, "shell_pct": 8.0, "core_pct": 8.0}
    assert answer.figures["series"][0] == pytest.approx(first)
    assert len(answer.figures["series"]) == 3


def test_settle_leads_with_what_it_means_and_counts_no_seasons() -> None:
    said = answered("settle", {**BOARD, "width_mm": 150}).text()
    assert said.startswith("It still shrinks by 0.68 mm across 150.0 mm. ")
    assert "between" in said
    assert "not this season" in answered("settle", {**BOARD, "thickness_mm": 50}).text()
    assert "it has settled" in answered("settle", {**BOARD, "from_pct": 6.2}).text()


def test_nothing_moves_where_wood_and_air_agree() -> None:
    figures = answered("settle", {**BOARD, "from_pct": 6.2, "humidity_pct": 30}).figures
    assert figures["settled_days"] == 0.0


@pytest.mark.parametrize(
    ("name", "change", "field", "right"),
    [
        ("settle", {"species": "chery"}, "species", "cherry_black"),
        ("settle", {"species": "teak"}, "specific_gravity", "none is published"),
        ("settle", {"cover": "cellophane"}, "cover", "wrapped"),
        ("settle", {"thickness_mm": 0}, "thickness_mm", "0.3 to 300 mm"),
        ("settle", {"thickness_mm": 1000}, "thickness_mm", "0.3 to 300 mm"),
        ("settle", {"thickness_mm": -5}, "thickness_mm", "0.3 to 300 mm"),
        ("settle", {"from_pct": -1}, "from_pct", "0 to 30 % MC"),
        ("settle", {"from_pct": 300}, "from_pct", "0 to 30 % MC"),
        ("settle", {"humidity_pct": 101}, "humidity_pct", "0 to 100 %"),
        ("settle", {"width_mm": 15240}, "width_mm", "1 to 3,000 mm"),
        ("movement", {"species": "birch_gray"}, "species", "another species"),
        ("movement", {"width_mm": 15240}, "width_mm", "1 to 3,000 mm"),
        ("movement", {"to_pct": 300}, "to_pct", "0 to 30 % MC"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_be_right(
    name: str, change: dict[str, Any], field: str, right: str
) -> None:
    with pytest.raises(BadRequest) as refused:
        answered(name, {**(BOARD if name == "settle" else WIDTH), **change})
    [mistake] = refused.value.mistakes
    assert mistake.field == field
    assert right in mistake.would_be_right


def test_a_species_without_density_settles_with_one_that_is_given() -> None:
    assert answered("settle", {**BOARD, "species": "teak", "specific_gravity": 0.55}).figures["half_days"] > 10


def test_wrapped_stock_hardly_moves() -> None:
    """Common practice, no source."""
    bare, wrapped = (answered("settle", {**BOARD, "cover": c}).figures["half_days"] for c in ("bare", "wrapped"))
    assert wrapped > 5 * bare
