"""Offers set side by side: the contract's keys, figures by hand, own yields and hours, and what is refused."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.book.base import Answer, BadRequest, ask
from server.book.catalog import QUESTIONS
from server.book.price import MIDDLING, PriceQuestion, PriceRequest

MAPLE, THICK = "Maple,4,6,96,6", "Thick maple,8/4,6,96,8.5,resaw"


def price(*offers: str, need_mm: object = 19, **more: object) -> Answer:
    return ask(QUESTIONS["price"], {"offer": offers, "need_mm": need_mm, **more})


def test_each_offer_has_the_keys_of_the_contract() -> None:
    """6 x 96 in of 4/4 is 4 board feet, of 8/4 is 8; usable by hand: 6 x 96 x 19/25.4 / 144 = 2.9921 a piece."""
    maple, thick = price(MAPLE, THICK).figures["offers"]
    assert {"label", "board_feet", "cost", "cost_per_usable_bf", "settled_days"} <= set(maple)
    assert (maple["label"], maple["board_feet"], maple["cost"]) == ("Maple", 4, 24)
    assert maple["cost_per_usable_bf"] == pytest.approx(24 / 2.992126, rel=1e-6)
    assert (thick["board_feet"], thick["cost"], thick["pieces"]) == (8, 68, 2)
    assert thick["cost_per_usable_bf"] == pytest.approx(68 / (2 * 2.992126), rel=1e-6)


def test_it_says_which_costs_the_least_and_cautions() -> None:
    answer = price(MAPLE, THICK)
    assert answer.text().startswith("Maple: 4.0 board feet for 24.00, one piece of 20.6 mm when planed: 8.02 a usable")
    assert "a usable board foot; it settles after " in answer.text()
    assert "Settling is on stickers, from 10 % MC in air of 20 °C and 40 % RH." in answer.text()
    assert answer.text().endswith("Maple costs the least by what is usable.")
    assert "kicks back" in str(answer.caution_text())
    assert "common practice, no source" in answer.source
    assert "kicks back" not in str(price(MAPLE, MAPLE).caution_text())


def test_what_is_too_thin_is_no_error() -> None:
    answer = price("Thin,4,6,96,6", "Halves,8,6,96,8,resaw", need_mm=21)
    thin, halves = answer.figures["offers"]
    assert (thin["reason"], thin["cost_per_usable_bf"], thin["cost"]) == ("planed-too-thin", None, 24)
    assert (halves["reason"], halves["cost_per_usable_bf"]) == ("resawn-too-thin", None)
    assert "planing leaves 20.6 mm where 21 mm are needed" in answer.text()
    assert answer.text().endswith("No offer gives the thickness that is needed.")
    json.dumps(answer.document(), allow_nan=False)


def test_grade_yield_and_own_hours() -> None:
    """No. 1 common promises two thirds of clear face (National Hardwood Lumber Association, read); a yield beats it."""
    clear, common, known, busy = price(
        MAPLE, MAPLE + ",grade=1c", MAPLE + ",yield=50,grade=1C", MAPLE + ",hours=0.5", price_per_hour=48
    ).figures["offers"]
    assert common["cost_per_usable_bf"] == pytest.approx(1.5 * clear["cost_per_usable_bf"], rel=1e-5)
    assert known["cost_per_usable_bf"] == pytest.approx(2 * clear["cost_per_usable_bf"], rel=1e-12)
    assert busy["cost_per_usable_bf"] == pytest.approx(2 * clear["cost_per_usable_bf"], rel=1e-12)
    assert busy["cost"] == 24
    assert "National Hardwood Lumber Association" in price(MAPLE, MAPLE + ",grade=FAS").source


def test_days_come_from_whoever_knows_them_and_from_nobody_else() -> None:
    asked = []

    def settling(request: PriceRequest, thickness_mm: float) -> float | None:
        asked.append(thickness_mm)
        return 2 * thickness_mm

    given_ = {"offer": (MAPLE, THICK, "Thin,4,6,96,1"), "need_mm": 19.5}
    days = [row["settled_days"] for row in ask(PriceQuestion(settling), given_).figures["offers"]]
    assert asked == pytest.approx([25.4, 24.65, 25.4])
    assert days == pytest.approx([50.8, 49.3, 50.8])
    unknown = ask(PriceQuestion(), {"offer": (MAPLE, THICK), "need_mm": 19.5})
    assert [row["settled_days"] for row in unknown.figures["offers"]] == [None, None]
    assert unknown.flags == ("settling-unknown",)


@pytest.mark.parametrize(
    ("typed", "pieces"),
    [("resaw", 2), ("Resaw", 2), ("yes", 2), ("1", 2), ("no", 1), ("0", 1), ("", 1), ("grade=1C,resaw", 2)],
)
def test_resawing_is_said_in_the_sixth_place_or_by_its_name(typed: str, pieces: int) -> None:
    assert price(MAPLE, f"Thick,8,6,96,8.5,{typed}").figures["offers"][1]["pieces"] == pieces


@given(st.permutations([MAPLE, THICK, "Oak,5,8,120,7.25,grade=FAS"]))
def test_the_order_of_offers_changes_nothing(offers: list[str]) -> None:
    rows = {row["label"]: row for row in price(*offers).figures["offers"]}
    assert rows == {row["label"]: row for row in price(MAPLE, THICK, "Oak,5,8,120,7.25,grade=FAS").figures["offers"]}


@pytest.mark.parametrize(
    ("offer", "said"),
    [
        ("Maple,4,6,96", "offer: found nothing as price-per-bf in 'Maple,4,6,96'; would be right: label,quarters,"),
        ("Maple,3,6,96,6", "offer: found 3 as quarters in 'Maple,3,6,96,6'; would be right: 4 to 16 quarter inches"),
        ("Maple,4.5,6,96,6", "offer: found '4.5' as quarters"),
        ("Maple,4,600,96,6", "offer: found 600 as width-in in 'Maple,4,600,96,6'; would be right: 1 to 118 inches"),
        ("Maple,4,6,0,6", "offer: found 0 as length-in"),
        ("Maple,4,6,96,-6", "offer: found -6 as price-per-bf"),
        ("Maple,4,6,96,six", "offer: found 'six' as price-per-bf"),
        ("Maple,4,6,96,nan", "offer: found 'nan' as price-per-bf"),
        ("Maple,4,6,96,6,saw", "offer: found 'saw' as an extra part in 'Maple,4,6,96,6,saw'; would be right: resaw, "),
        ("Maple,4,6,96,6,grade=FAZ", "offer: found 'FAZ' as grade in 'Maple,4,6,96,6,grade=FAZ'; would be right: FAS"),
        ("Maple,4,6,96,6,yield=0", "offer: found 0 as yield"),
        ("Maple,4,6,96,6,hours=1,hours=2", "offer: found 'hours=2' as an extra part"),
        (",4,6,96,6", "offer: found nothing as label"),
    ],
)
def test_a_bad_offer_is_named_whole(offer: str, said: str) -> None:
    with pytest.raises(BadRequest) as refused:
        price(MAPLE, offer)
    assert str(refused.value).startswith(said)


def test_one_offer_is_none_to_choose_from_and_every_bad_one_is_named() -> None:
    with pytest.raises(BadRequest, match=r"offer: found .*; would be right: twice or more, each label,quarters"):
        price(MAPLE)
    with pytest.raises(BadRequest, match="need_mm: found 0; would be right: the finished thickness"):
        price(MAPLE, THICK, need_mm=0)
    with pytest.raises(BadRequest) as refused:
        price("a,1,2,3,4", "b,1,2,3,4")
    assert len(refused.value.mistakes) == 2


def test_the_days_of_each_offer_go_with_the_square_of_what_has_to_settle() -> None:
    """Common practice, no source: thicker stock settles in the square of its thickness."""
    asked = {"offer": ["thin,4,6,96,6", "thick,8,6,96,7"], "need_mm": 15, "species": "cherry_black"}
    answer = ask(QUESTIONS["price"], asked)
    thin, thick = answer.figures["offers"]
    ratio = thick["settling_thickness_mm"] / thin["settling_thickness_mm"]
    assert thick["settled_days"] / thin["settled_days"] == pytest.approx(ratio**2, rel=0.05)
    assert answer.flags == ()
    assert ask(QUESTIONS["price"], {k: v for k, v in asked.items() if k != "species"}).flags == (MIDDLING,)
    with pytest.raises(BadRequest):
        ask(QUESTIONS["price"], {**asked, "species": "lauan_white"})
