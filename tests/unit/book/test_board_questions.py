"""book movement and book settle: the keys of the contract, what a person reads, and what is refused."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.book.base import Answer, BadRequest, ask
from server.book.catalog import QUESTIONS
from server.wood.species import Figures, all_species, find, with_own

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
    assert answer.text() == "300 mm swell by 3.0 mm from 8.0 to 12.0 % MC."


def test_movement_beyond_the_coefficients_range_is_by_both() -> None:
    """Eq. 13-3 by hand, S_T 7.1 %: 300 (5 - 8) / (3000 / 7.1 - 30 + 8); as near as S is printed."""
    answer = answered("movement", {**WIDTH, "to_pct": 5})
    assert answer.figures["change_mm"] == pytest.approx(300 * -3 / (3000 / 7.1 - 22), rel=0.05 / 7.1)
    assert answer.figures["method"] == "both"
    assert "13-2 between 6 and 14 %" in answer.source
    assert "shrink by" in answer.text()
    damp = answered("movement", {**WIDTH, "from_pct": 19, "to_pct": 15})
    assert damp.figures["change_mm"] == pytest.approx(300 * -4 / (3000 / 7.1 - 11), rel=0.001)
    assert damp.figures["method"] == "shrinkage"
    assert "13-2" not in damp.source


def test_a_rift_square_goes_diamond() -> None:
    """Sugar maple, C_R 0.00165 and C_T 0.00353 (Wood Handbook Table 13-5): (C_T - C_R) 4 %, in degrees."""
    square = {"species": "maple_sugar", "width_mm": 45, "from_pct": 12, "to_pct": 8}
    rift = answered("movement", {**square, "cut": "rift"})
    assert rift.figures["diamond_deg"] == pytest.approx(math.degrees(-4 * (0.00353 - 0.00165)))
    assert "its corners leave the right angle by 0.43°" in rift.text()
    for cut in ("flat", "quarter"):
        square_still = answered("movement", {**square, "cut": cut})
        assert square_still.figures["diamond_deg"] == 0
        assert "diamond" not in square_still.text()


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
    assert said.startswith("It still shrinks by 0.7 mm across 150 mm. ")
    assert "between" in said
    assert "not this season" in answered("settle", {**BOARD, "thickness_mm": 50}).text()
    assert "it has settled" in answered("settle", {**BOARD, "from_pct": 6.2}).text()
    assert "draws wood to in less than an hour." in answered("settle", {**BOARD, "thickness_mm": 0.3}).text()


def test_a_reading_that_is_unsure_makes_settle_less_sure() -> None:
    """JCGM 100:2008, 5.1.2: what a start one per cent off would do is added by squares to the rest, both ways."""

    def settled(**change: Any) -> tuple[float, float, float]:
        figures = answered("settle", {**BOARD, **change}).figures
        return figures["settled_days_low"], figures["settled_days"], figures["settled_days_high"]

    low, middle, high = settled()
    unsure = settled(from_spread_pct=1)
    drier, damper = (settled(from_pct=BOARD["from_pct"] + by)[1] for by in (-1, 1))
    assert unsure[1] == middle
    for end, alone, moved in ((unsure[0], low, drier), (unsure[2], high, damper)):
        assert abs(math.log(end / middle)) == pytest.approx(
            math.hypot(math.log(alone / middle), math.log(moved / middle)), rel=1e-3
        )


def test_settle_says_when_it_is_good_to_mill_and_until_when() -> None:
    """Even now; then its shells run ahead of its core by more than 1 %, and then the core follows."""
    answer = answered("settle", {**BOARD, "aim_low_pct": 6, "aim_high_pct": 9})
    now, until, again = (answer.figures[f"good_to_mill{name}_days"] for name in ("", "_until", "_again"))
    assert now == 0.0 < until < again < answer.figures["settled_days"]
    assert "It is good to mill now" in answer.text()
    assert "It is so again in" in answer.text()
    never = answered("settle", {**BOARD, "aim_low_pct": 9, "aim_high_pct": 11})
    assert never.figures["good_to_mill_days"] is None
    assert "out of its aim of 9.0 to 11.0 %" in never.text()
    unasked = answered("settle", BOARD)
    assert unasked.figures["good_to_mill_days"] is None
    assert "good to mill" not in unasked.text()


def test_settle_claims_nothing_that_its_moisture_is_too_unsure_for() -> None:
    asked = {**BOARD, "from_pct": 6.2, "aim_low_pct": 6, "aim_high_pct": 8}
    assert "it has settled." in answered("settle", asked).text()
    unsure = answered("settle", {**asked, "from_spread_pct": 1.5})
    assert unsure.figures["settled_days"] == 0.0 < unsure.figures["settled_days_high"]
    assert "By the figure that was given it has settled" in unsure.text()
    assert "too unsure to go by: it may take " in unsure.text()
    assert "It is good to mill now:" not in unsure.text()


def test_a_pile_is_told_by_its_slowest_board_and_its_outermost() -> None:
    figures = answered("settle", {**BOARD, "pile": 3}).figures
    assert figures["outer_half_days"] < figures["half_days"] / 2
    assert answered("settle", BOARD).figures["outer_half_days"] is None
    assert "3 boards settle as one of 75 mm" in answered("settle", {**BOARD, "pile": 3}).text()


def test_settle_says_how_far_its_ends_run_ahead() -> None:
    drying, taking_up = (answered("settle", {**BOARD, "humidity_pct": h}) for h in (30, 70))
    assert drying.figures["ends_mm"] == pytest.approx(drying.figures["edges_mm"] * 15**0.5)
    assert "seal or trim" in drying.text()
    assert "seal or trim" not in taking_up.text()


@pytest.mark.parametrize(
    ("change", "field", "right"),
    [
        ({"aim_low_pct": 6}, "aim_high_pct", "the aim's dampest as well"),
        ({"aim_low_pct": 9, "aim_high_pct": 6}, "aim_low_pct", "at most the dampest, 6 % MC"),
        ({"pile": 20}, "pile", "300 mm or less in all"),
        ({"pile": 0}, "pile", "1 to 1,000 boards"),
    ],
)
def test_what_settle_cannot_mean_together_is_refused(change: dict[str, Any], field: str, right: str) -> None:
    with pytest.raises(BadRequest) as refused:
        answered("settle", {**BOARD, **change})
    [mistake] = refused.value.mistakes
    assert mistake.field == field
    assert right in mistake.would_be_right


def test_nothing_moves_where_wood_and_air_agree() -> None:
    figures = answered("settle", {**BOARD, "from_pct": 6.2, "humidity_pct": 30}).figures
    assert figures["settled_days"] == 0.0


@pytest.mark.parametrize(
    ("name", "change", "field", "right"),
    [
        ("settle", {"species": "chery"}, "species", "cherry_black"),
        ("settle", {"species": "lauan_white"}, "specific_gravity", "0.1 to 1.0"),
        ("settle", {"cover": "cellophane"}, "cover", "wrapped"),
        ("settle", {"thickness_mm": 0}, "thickness_mm", "0.3 to 300 mm"),
        ("settle", {"thickness_mm": 1000}, "thickness_mm", "0.3 to 300 mm"),
        ("settle", {"thickness_mm": -5}, "thickness_mm", "0.3 to 300 mm"),
        ("settle", {"from_pct": -1}, "from_pct", "0 to 30 % MC"),
        ("settle", {"from_pct": 300}, "from_pct", "0 to 30 % MC"),
        ("settle", {"humidity_pct": 101}, "humidity_pct", "0 to 100 %"),
        ("movement", {"species": "birch_gray"}, "species", "another species"),
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


@pytest.mark.parametrize("name", [name for name, q in QUESTIONS.items() if "width_mm" in q.request.model_fields])
def test_a_600_inch_board_is_refused_wherever_a_width_is_asked(name: str) -> None:
    """15,240 mm: a width that was meant in another unit."""
    with pytest.raises(BadRequest) as refused:
        ask(QUESTIONS[name], {"width_mm": 600 * 25.4})
    [wide] = [mistake for mistake in refused.value.mistakes if mistake.field == "width_mm"]
    assert "1 to 3,000 mm" in wide.would_be_right


def test_a_species_without_density_settles_with_one_that_is_given() -> None:
    assert answered("settle", {**BOARD, "species": "lauan_white", "specific_gravity": 0.55}).figures["half_days"] > 10


def test_wrapped_stock_hardly_moves() -> None:
    """Common practice, no source."""
    bare, wrapped = (answered("settle", {**BOARD, "cover": c}).figures["half_days"] for c in ("bare", "wrapped"))
    assert wrapped > 5 * bare


def test_a_finish_says_what_its_figure_rests_on() -> None:
    """Three coats of shellac hold back more than bare wood and less than a polyethylene film."""
    bare, shellac, wrapped = (answered("settle", {**BOARD, "cover": c}) for c in ("bare", "shellac-3", "wrapped"))
    assert bare.figures["half_days"] < shellac.figures["half_days"] < wrapped.figures["half_days"]
    assert "in dry air it holds back more" in shellac.text()
    assert "fitted to what was read in a quotation" in shellac.source
    assert "damp air" not in wrapped.text()
    missed = answered("settle", {**BOARD, "cover": "urethane-varnish-2"}).source
    assert "missing the published effectiveness by up to 7 %" in missed
    for name in ("cup", "mill"):
        asked = {**BOARD, "cover": "shellac-3", "width_mm": 150, "take_top_mm": 2, "take_bottom_mm": 2}
        taken = {k: v for k, v in asked.items() if k in QUESTIONS[name].request.model_fields}
        assert "in dry air it holds back more" in answered(name, taken).text()


def test_cup_says_which_face_goes_hollow_and_when() -> None:
    on_bench = answered("cup", {**BOARD, "width_mm": 150, "days": 1})
    assert on_bench.figures["peak_mm"] > 0
    assert on_bench.figures["series"][0]["cup_mm"] == pytest.approx(0.0, abs=1e-9)
    assert len(on_bench.figures["series"]) == 2
    assert on_bench.text().startswith("The top face goes hollow, by ")
    assert "Never mill cupped" in (on_bench.caution_text() or "")
    damp = answered("cup", {**BOARD, "width_mm": 150, "humidity_pct": 70})
    assert damp.figures["peak_mm"] < 0
    assert "goes round" in damp.text()
    assert "stays flat" in answered("cup", {**BOARD, "width_mm": 150, "faces": "both"}).text()


def test_days_are_whole_and_none_past_the_season() -> None:
    assert re.search(r"at the worst, after \d\d days\.", answered("cup", {**BOARD, "width_mm": 150}).text())
    thick = answered("cup", {**BOARD, "width_mm": 150, "thickness_mm": 60})
    assert thick.figures["peak_day"] > 60
    assert "at the worst, later than this season." in thick.text()
    veneer = answered("cup", {**BOARD, "width_mm": 150, "thickness_mm": 1})
    assert re.search(r"at the worst, after \d+ h\.", veneer.text())


def test_cup_says_how_the_shell_is_stretched_and_asks_for_the_ends() -> None:
    dry = answered("cup", {**BOARD, "width_mm": 150, "faces": "both", "days": 3})
    assert dry.figures["tension_index"] == max(
        dry.figures["tension_index"], *(row["tension_index"] for row in dry.figures["series"])
    )
    assert 0 < dry.figures["tension_peak_day"] < 30
    assert "are they sealed?" in dry.text()
    assert "likely" not in dry.text()
    assert "Strength: " in dry.source
    assert "seal them" in answered("cup", {**BOARD, "width_mm": 150, "ends": "open"}).text()
    assert "Ends check" not in answered("cup", {**BOARD, "width_mm": 150, "ends": "sealed"}).text()
    damp = answered("cup", {**BOARD, "width_mm": 150, "humidity_pct": 70, "faces": "both"})
    assert "under no tension" in damp.text()
    unknown = answered("cup", {**BOARD, "width_mm": 150, "species": "elm_winged", "specific_gravity": 0.6})
    assert unknown.figures["tension_index"] is not None, "by the specific gravity that was given"


def test_cup_says_which_side_the_rings_make_hollow() -> None:
    """r 100 mm, 8 % to the air's EMC of 6.2 %: a quarter of the width squared over r times the strains' difference."""
    dry = answered("cup", {**BOARD, "width_mm": 150, "ring_radius_mm": 100})
    assert dry.figures["ring_cup_mm"] < 0
    assert "the side towards the bark hollow" in dry.text()
    damp = answered("cup", {**BOARD, "width_mm": 150, "ring_radius_mm": 100, "humidity_pct": 70})
    assert damp.figures["ring_cup_mm"] > 0
    assert "the side towards the pith hollow" in damp.text()
    assert "too little to see" in answered("cup", {**BOARD, "width_mm": 50, "ring_radius_mm": 2000}).text()
    assert answered("cup", {**BOARD, "width_mm": 150}).figures["ring_cup_mm"] is None
    with pytest.raises(BadRequest) as refused:
        answered("cup", {**BOARD, "width_mm": 150, "ring_radius_mm": 100, "cut": "quarter"})
    assert refused.value.mistakes[0].would_be_right == "left out: only a flatsawn board cups with its rings"


GAP = {"species": "oak_white", "width_mm": 300, "now_pct": 7, "aim_low_pct": 6, "aim_high_pct": 10}
"""Commercial white oak: C_T 0.00365 (Wood Handbook Table 13-5)."""


@pytest.mark.parametrize(("fit", "share"), [("drawer", 1.0), ("door", 1.0), ("groove", 0.5)])
def test_gaps_through_the_year(fit: str, share: float) -> None:
    figures = answered("gap", {**GAP, "fit": fit}).figures
    assert figures["gap_today_mm"] - figures["gap_damp_mm"] == pytest.approx(share * 300 * 0.00365 * 3)
    assert figures["gap_dry_mm"] - figures["gap_today_mm"] == pytest.approx(share * 300 * 0.00365 * 1)
    assert figures["gap_damp_mm"] == pytest.approx(0.5), "it never jams"
    assert figures["slot_mm"] is None


def test_a_slot_holds_the_travel_both_ways_and_the_screw() -> None:
    figures = answered("gap", {**GAP, "fit": "slot", "screw_mm": 4}).figures
    assert figures["slot_mm"] == pytest.approx(4 + 300 * 0.00365 * 4)
    only_shrinks = answered("gap", {**GAP, "fit": "slot", "now_pct": 12}).text()
    assert "mm of it for the wood to shrink and 0 mm to swell" in only_shrinks


def test_a_slot_names_no_clearance_it_does_not_use() -> None:
    assert "Clearance" not in answered("gap", {**GAP, "fit": "slot"}).source
    assert "Clearance: common practice, no source." in answered("gap", {**GAP, "fit": "door"}).source
    assert "Clearance: as given." in answered("gap", {**GAP, "fit": "door", "clearance_mm": 1}).source


@pytest.mark.parametrize("fit", ["drawer", "door", "groove", "slot"])
@given(
    st.sampled_from([key for key in all_species() if key != "birch_gray"]),
    st.sampled_from(["flat", "rift", "quarter"]),
    st.tuples(*[st.floats(0, 30)] * 3),
)
def test_no_gap_falls_as_the_aim_gets_damper(fit: str, key: str, cut: str, mc: tuple[float, float, float]) -> None:
    now, low, high = mc[0], *sorted(mc[1:])
    asked = {"fit": fit, "species": key, "cut": cut, "width_mm": 300, "now_pct": now, "aim_low_pct": 0}
    figure = "slot_mm" if fit == "slot" else "gap_today_mm"
    less, more = (answered("gap", {**asked, "aim_high_pct": aim}).figures[figure] for aim in (low, high))
    assert less <= more
    if high > max(low, now) + 1e-3:
        assert less < more


def test_a_piece_that_is_damper_than_its_year_only_opens() -> None:
    figures = answered("gap", {**GAP, "fit": "door", "now_pct": 12}).figures
    assert figures["gap_today_mm"] == 0.5
    assert figures["gap_damp_mm"] > 0.5


def test_an_aim_upside_down_is_refused() -> None:
    with pytest.raises(BadRequest) as refused:
        answered("gap", {**GAP, "fit": "door", "aim_low_pct": 11})
    assert refused.value.mistakes[0].would_be_right == "at most the dampest, 10 % MC"


def test_species_side_by_side_each_with_its_sources() -> None:
    answer = answered("species", {"species": ["cherry_black", "lauan_white", "oak_white"]})
    cherry, lauan, oak = answer.figures["species"]
    assert (cherry["specific_gravity"], cherry["radial_pct"], cherry["tangential_pct"]) == (0.47, 3.7, 7.1)
    assert cherry["tangential_mm_per_100_mm_pct"] == pytest.approx(0.248)
    assert cherry["decay_class"] == "resistant or very resistant"
    assert all(
        cherry[f"{name}_source"] for name in ("specific_gravity", "shrinkage", "side_hardness", "decay", "movement")
    )
    assert lauan["specific_gravity"] is None
    assert lauan["settled_days"] is None
    assert "oak_white_commercial" in oak["movement_source"]
    assert cherry["settled_days"] < oak["settled_days"]
    assert "does not make soft wood durable" in (answer.caution_text() or "")


def test_species_are_read_in_columns_and_what_must_be_known_of_them_line_by_line() -> None:
    answer = answered("species", {"species": ["cherry_black", "spruce_sitka", "lauan_white"]})
    head, cherry, spruce, lauan = answer.table_text().splitlines()
    assert [head.index(title) for title in ("Specific gravity", "Side hardness", "Moves", "Half way", "Heartwood")] == [
        cherry.index(cell) for cell in ("0.47", "4,200 N", "0.25 / 0.13 mm", "16 days", "resistant or very")
    ]
    assert lauan.split() == ["Lauan,", "white", "–", "–", "0.27", "/", "0.14", "mm", "–", "–"]
    assert "slightly or not resistant" in spruce
    assert {
        "Hardest: Cherry, black.",
        "Moves least, flatsawn: Cherry, black.",
        "Settles fastest: Spruce, Sitka.",
    } <= set(answer.lines())
    assert answered("species", {"species": ["teak", "teak"]}).table_text().count("Teak") == 1


def test_a_figure_that_is_in_doubt_says_so_where_it_is_used() -> None:
    """The side hardness of red spruce: one printing of the handbook's table has 2,200 N, the other 530 lbf."""
    answer = answered("species", {"species": ["spruce_red"]})
    assert answer.flags == ("doubtful-figure",)
    assert "The hardness of Spruce, red is in doubt at its source" in answer.text()
    assert "530 lbf" in answer.source
    assert answered("movement", {**WIDTH, "species": "spruce_red"}).flags == ()


@pytest.mark.parametrize("name", ["settle", "cup", "mill", "price"])
def test_a_density_in_doubt_says_so_in_every_question_that_needs_it(name: str) -> None:
    spruce = find("spruce_sitka")
    sources = {**spruce.sources, "specific_gravity": Figures("memory, DOUBTFUL", "made up for this test")}
    known = with_own([replace(spruce, key="doubted", sources=sources)])
    board = {**BOARD, "width_mm": 150, "species": "doubted"}
    given = {
        "settle": {**BOARD, "species": "doubted"},
        "cup": board,
        "mill": {**board, "take_top_mm": 2, "take_bottom_mm": 2},
        "price": {"offer": ["a,4,6,96,5", "b,8,6,96,5"], "need_mm": 20, "species": "doubted"},
    }[name]
    answer = ask(QUESTIONS[name], given, known)
    assert "doubtful-figure" in answer.flags
    assert "The specific gravity of Spruce, Sitka is in doubt at its source" in answer.text()
    if name != "price":
        assert "doubtful-figure" not in ask(QUESTIONS[name], {**given, "specific_gravity": 0.4}, known).flags


def test_an_import_without_a_coefficient_moves_by_its_shrinkage_and_says_so() -> None:
    """Eq. 13-3 by hand within 6 to 14 %, S_T of sapele 7.4 % (Table 4-4): 300 x 4 / (3000 / 7.4 - 30 + 8)."""
    answer = answered("movement", {**WIDTH, "species": "sapele"})
    assert answer.figures["method"] == "shrinkage"
    assert answer.figures["change_mm"] == pytest.approx(300 * 4 / (3000 / 7.4 - 22))
    assert answer.flags == ("no-coefficient",)
    assert "No movement coefficient is known for Sapele" in answer.text()
    assert answered("movement", WIDTH).flags == ()


def test_a_species_without_movement_is_refused_in_one_sentence() -> None:
    with pytest.raises(BadRequest) as refused:
        answered("movement", {**WIDTH, "species": "birch_gray"})
    assert str(refused.value) == (
        "species: found no movement published for birch_gray; "
        "would be right: another species, or one of your own with both shrinkages or both coefficients"
    )


MILL = {**BOARD, "from_pct": 10, "width_mm": 150, "take_top_mm": 4, "take_bottom_mm": 0}


def test_mill_advises_what_saves_most() -> None:
    uneven = answered("mill", {**MILL, "faces": "both"})
    assert uneven.figures["cup_at_once_mm"] < -0.3
    assert uneven.figures["advice"] == "even-faces"
    assert uneven.figures["thickness_mm"] == pytest.approx(21)
    assert "Take the same from both faces" in uneven.text()
    assert "nothing has to be left over for cup" in uneven.text()
    even = answered("mill", {**MILL, "take_top_mm": 2, "take_bottom_mm": 2})
    assert even.figures["advice"] == "stickers"
    assert even.figures["peak_mm"] > 0.5
    assert "flat on the bench" in even.text()


def test_mill_says_what_to_leave_at_first_and_how_long_to_rest() -> None:
    bow = answered("mill", {**MILL, "take_top_mm": 2, "take_bottom_mm": 2, "faces": "both", "allow_bow_mm": 1})
    assert bow.figures["advice"] == "as-planned"
    assert bow.figures["extra_mm"] == pytest.approx(1.0, abs=0.01)
    assert "It stays flat over 150 mm as far as the air is concerned" in bow.text()
    assert "leave it 1.0 mm over at first, 22.0 mm in all; after " in bow.text()
    assert bow.figures["left_mm"] < 0.01
    rows = {(row["faces"], row["lying"]): row for row in bow.figures["plans"]}
    assert {lying for _, lying in rows} == {"as-given", "stickers", "wrapped", "bench"}
    assert rows["even", "stickers"]["peak_mm"] == pytest.approx(bow.figures["peak_mm"], abs=1e-9)
    assert "fork test" in (bow.caution_text() or "")


def test_mill_knows_a_board_that_was_planed_while_it_stood_bent() -> None:
    bent = answered("mill", {**MILL, "take_top_mm": 0.1, "stood_days": 2, "stood_faces": "one"})
    assert bent.figures["settled_mm"] < -0.2
    assert "to have stood 2 days flat on the bench in this air" in bent.text()
    assert "the bottom face hollow: it was cut flat while it stood bent" in " ".join(bent.text().split())
    assert bent.figures["extra_mm"] is None
    assert "has not enough to spare" in bent.text()


def test_mill_names_the_hollow_face_at_once_and_at_the_worst() -> None:
    turned = answered("mill", {**MILL, "stood_days": 1, "stood_faces": "one"})
    assert turned.figures["cup_at_once_mm"] < 0 < turned.figures["peak_mm"]
    assert re.match(r"It goes \S+ mm out of flat over 150 mm at the worst, the top face hollow, after", turned.text())
    assert re.search(r"As soon as it is milled it is \S+ mm out of flat, the bottom face hollow\.", turned.text())


def test_more_than_the_board_cannot_be_milled_off() -> None:
    with pytest.raises(BadRequest) as refused:
        answered("mill", {**MILL, "take_top_mm": 25})
    assert refused.value.mistakes[0].would_be_right == "24.7 mm together at most: 0.3 mm of the board's 25 mm stay"


METER = {"species": "oak_white", "reading_pct": 10, "wood_temperature_c": 15}


RESAW = {**BOARD, "thickness_mm": 50, "from_pct": 12, "width_mm": 150, "kerf_mm": 2}


def test_resaw_says_which_side_goes_hollow_and_how_long_to_rest() -> None:
    answer = answered("resaw", RESAW)
    top, bottom = answer.figures["halves"]
    assert top["cup_at_once_mm"] == pytest.approx(bottom["cup_at_once_mm"])
    assert top["cup_at_once_mm"] < -0.5
    assert top["thickness_mm"] == pytest.approx(24)
    assert answer.text().startswith("Each half, 24 mm thick, is 1.3 mm out of flat over 150 mm as soon as it is sawn")
    assert "the outer face hollow" in " ".join(answer.text().split())
    assert answer.figures["rest_wrapped_days"] < answer.figures["rest_stickers_days"]
    on_bench = answered("resaw", {**RESAW, "thickness_mm": 40, "stood_days": 2, "faces": "one"}).text()
    assert "at the worst, the sawn face hollow" in on_bench
    assert re.search(r"As soon as it is sawn it is \S+ mm out of flat, the outer face hollow\.", on_bench)
    caution = answer.caution_text() or ""
    assert all(word in caution for word in ("fork test", "case-hardening", "kicks back", "riving knife", "unsupported"))
    uneven = answered("resaw", {**RESAW, "top_half_mm": 10})
    assert [half["thickness_mm"] for half in uneven.figures["halves"]] == pytest.approx([10, 38])
    assert "The bottom half, 38 mm thick" in uneven.text()
    with pytest.raises(BadRequest) as refused:
        answered("resaw", {**RESAW, "top_half_mm": 49})
    assert refused.value.mistakes[0].would_be_right == "two halves of 0.3 mm or more out of the board's 50 mm"


VENEER, CORE = "oak_white,0.6,flat,10,7", "mdf,18,any,8,7"


def test_layers_cup_towards_the_face_that_shrinks_unless_it_has_its_like() -> None:
    one = answered("layers", {"layer": (VENEER, CORE), "width_mm": 400})
    assert one.figures["cup_mm"] > 0.3
    assert one.text().startswith("Over 400 mm the panel cups by ")
    assert "belongs on the other" in one.text()
    other = answered("layers", {"layer": (CORE, VENEER), "width_mm": 400})
    assert other.figures["cup_mm"] == pytest.approx(-one.figures["cup_mm"])
    balanced = answered("layers", {"layer": (VENEER, CORE, VENEER), "width_mm": 400})
    assert balanced.figures["balanced"]
    assert abs(balanced.figures["cup_mm"]) < 1e-9
    assert balanced.figures["width_change_mm"] < -400 * 0.00029, "the veneers pull it in by more than its own 1 %"
    assert "stays flat" in balanced.text()
    assert "bring no water" in (balanced.caution_text() or "")


def test_layers_across_a_core_are_stretched() -> None:
    """Edge to edge: cherry 3 mm thick across poplar that hardly moves along its grain: held, it takes its free strain
    as stress, 0.00248 x 3 x 974 MPa, less what the core gives."""
    face, core, _ = answered(
        "layers",
        {
            "layer": ("cherry_black,3,flat,9,6", "yellow_poplar,18,along,9,6", "cherry_black,3,flat,9,6"),
            "width_mm": 400,
        },
    ).figures["layers"]
    assert face["stress_mpa"] == pytest.approx(0.00248 * 3 * 974, rel=0.06)
    assert face["tension_index"] == pytest.approx(face["stress_mpa"] / 3.9)
    assert core["stress_mpa"] < 0
    assert core["tension_index"] is None


@pytest.mark.parametrize(
    ("line", "right"),
    [
        ("oak_white,0.6,flat,10", "what,thickness-mm,lies,from-pct,to-pct"),
        ("oak_wite,0.6,flat,10,7", "oak_white"),
        ("oak_white,0.6,up,10,7", "one of flat, rift, quarter, along"),
        ("oak_white,600in,flat,10,7", "0.05 to 300 mm"),
        ("oak_white,0,flat,10,7", "0.05 to 300 mm"),
        ("oak_white,6,flat,10,300", "0 to 30 % MC"),
        ("plywood,18,any,10,7", "its veneers one by one"),
        ("apple,18,flat,10,7", "modulus:movement in place of apple"),
        ("3000:0.3,18,any,10,7", "a fraction per 1 % MC"),
        ("3000:x,18,any,10,7", "modulus:movement"),
    ],
)
def test_a_layer_that_cannot_be_read_is_refused(line: str, right: str) -> None:
    with pytest.raises(BadRequest) as refused:
        answered("layers", {"layer": (CORE, line), "width_mm": 400})
    [mistake] = refused.value.mistakes
    assert mistake.field == "layer"
    assert repr(line) == mistake.found
    assert right in mistake.would_be_right


def test_rip_goes_by_the_test_strip_or_is_released() -> None:
    """s = s1 (L / L1)²: 1 mm over 600 mm is 4 mm over 1,200; twice that and a pass on each edge. Common practice."""
    asked = {"length_mm": 1200, "width_mm": 60}
    tried = answered("rip", {**asked, "test_crook_mm": 1, "test_length_mm": 600})
    assert tried.figures == {"crook_mm": 4, "oversize_mm": 18, "rip_width_mm": 78, "released": False}
    assert "riving knife" in (tried.caution_text() or "")
    free = answered("rip", {**asked, "strip_crook_mm": [2, 0.5, 0.1, 0.3]})
    assert free.figures == {"crook_mm": None, "oversize_mm": 2, "rip_width_mm": 62, "released": True}
    for wrong, field in (
        ({}, "test_crook_mm"),
        ({"test_crook_mm": 1}, "test_length_mm"),
        ({"test_crook_mm": 9, "test_length_mm": 50}, "test_crook_mm"),
    ):
        with pytest.raises(BadRequest) as refused:
            answered("rip", {**asked, **wrong})
        assert refused.value.mistakes[0].field == field
    with pytest.raises(BadRequest) as refused:
        answered("rip", {**asked, "strip_crook_mm": [-1, 0, 0]})
    assert refused.value.mistakes[0].would_be_right == "0 to 200 mm each"


def test_meter_corrects_once_and_knows_what_pins_cannot_tell() -> None:
    answer = answered("meter", METER)
    assert answer.figures["corrected_pct"] != 10
    assert answer.figures["spread_pct"] == pytest.approx(1.0, abs=0.05), "a little for the temperature"
    assert answered("meter", {**METER, "scale": "corrected"}).figures["corrected_pct"] == 10
    low = answered("meter", {**METER, "reading_pct": 4})
    assert low.flags == ("seven-or-less",)
    assert "7 % or less" in low.text()
    with pytest.raises(BadRequest) as refused:
        answered("meter", {**METER, "species": "teak"})
    assert "douglas_fir_coast" in refused.value.mistakes[0].would_be_right
    assert "scale corrected" in refused.value.mistakes[0].would_be_right


@pytest.mark.parametrize(
    ("key", "reading", "said", "flag"),
    [
        ("elm_american", 25.1, "20.3 % or more", "beyond-what-pins-tell"),
        ("birch", 7, "7.9 % or less", "seven-or-less"),
        ("khaya", 6.9, "7.7 % or less", "seven-or-less"),
    ],
)
def test_meter_says_the_bound_in_the_species_own_moisture(key: str, reading: float, said: str, flag: str) -> None:
    answer = answered("meter", {"species": key, "reading_pct": reading, "wood_temperature_c": 27})
    assert answer.text().startswith(said)
    assert flag in answer.flags
    assert answer.figures["correction_pct"] is None


def test_a_meter_that_is_set_needs_no_row_and_tells_to_fibre_saturation() -> None:
    teak = {**METER, "species": "teak", "scale": "corrected"}
    wet = answered("meter", {**teak, "reading_pct": 27})
    assert (wet.figures["corrected_pct"], wet.figures["resistance_row"], wet.flags) == (27, None, ())
    assert "James" not in wet.source
    assert answered("meter", {**teak, "reading_pct": 31}).text().startswith("30 % or more")
    assert answered("meter", {**teak, "reading_pct": 6}).text().startswith("7 % or less")
    with pytest.raises(BadRequest) as refused:
        answered("meter", {**teak, "species": "teek"})
    assert "teak" in refused.value.mistakes[0].would_be_right


@pytest.mark.parametrize(
    ("key", "row", "flags", "said"),
    [
        ("birch_yellow", "birch", (), "one row for the whole group: Birch"),
        ("redwood_old_growth", "redwood", (), "one row for the whole group: Redwood"),
        ("magnolia_southern", "magnolia", (), "one row for the whole group: Magnolia"),
        ("pine_loblolly", "pine_shortleaf", ("row-of-its-genus",), "another of its genus stands in: Pine, shortleaf"),
    ],
)
def test_meter_says_whose_row_stands_in(key: str, row: str, flags: tuple[str, ...], said: str) -> None:
    answer = answered("meter", {**METER, "species": key})
    assert answer.figures["resistance_row"] == row
    assert answer.flags == flags
    assert said in answer.text()
    assert f"row {row}." in answer.source


def test_meter_doubts_only_the_part_of_a_row_that_is_in_doubt() -> None:
    maple = {"species": "maple_sugar", "wood_temperature_c": 20}
    assert answered("meter", {**maple, "reading_pct": 9}).flags == ("doubtful-table",)
    assert answered("meter", {**maple, "reading_pct": 12}).flags == ()
