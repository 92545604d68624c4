"""Offers of lumber: the trade's arithmetic worked by hand, a yard's list, limits and refusals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.wood.offers import BadOffer, Offer, cost, grades, planing_loss_mm

Rows = list[dict[str, str]]
THICK = Offer("8/4", 8, 6, 96, 10)


def test_board_feet_are_nominal_inches_over_144() -> None:
    """Definition of the trade, by hand: 1 x 12 x 12 in is one, 1 1/4 x 8 x 120 in is 8 1/3, 2 x 6 x 96 in is 8."""
    assert Offer("a", 4, 12, 12, 1).board_feet == 1
    assert Offer("b", 5, 8, 120, 1).board_feet == pytest.approx(float(Fraction(25, 3)), rel=1e-12)
    assert THICK.board_feet == 8


def test_a_price_worked_by_hand() -> None:
    """8 board feet at 10 are 80. For 20 mm: 6 x 96 x 20/25.4 in over 144 = 3.1496 usable; 80 / 3.1496 = 25.40."""
    whole = cost(THICK, 20)
    assert (whole.cost, whole.pieces, whole.piece_mm, whole.settling_mm) == (80, 1, pytest.approx(44.45), 50.8)
    assert whole.cost_per_usable_bf == pytest.approx(25.4, rel=1e-12)


def test_resawing_counts_the_kerf_and_each_planing() -> None:
    """(50.8 - 1.5) / 2 = 24.65 mm, 3/16 in off = 19.8875 mm: two pieces for 19 mm, not enough for 20."""
    resawn = replace(THICK, resaw=True)
    two = cost(resawn, 19)
    assert (two.pieces, two.why_not) == (2, "")
    assert (two.piece_mm, two.settling_mm) == (pytest.approx(19.8875), pytest.approx(24.65))
    assert two.cost_per_usable_bf == pytest.approx(80 / (2 * 6 * 96 * 19 / 25.4 / 144), rel=1e-12)
    thin = cost(resawn, 20)
    assert (thin.usable_board_feet, thin.cost_per_usable_bf, thin.why_not) == (None, None, "resawn-too-thin")
    assert (thin.board_feet, thin.cost) == (8, 80)
    assert cost(resawn, 9).pieces == 3


@pytest.mark.parametrize(("kerf_mm", "pieces"), [(0.0, 2), (0.4, 2), (1.0, 2), (10.0, 2)])
def test_the_kerf_and_the_planing_loss_can_be_ones_own(kerf_mm: float, pieces: int) -> None:
    found = cost(replace(THICK, resaw=True), 15, kerf_mm=kerf_mm, planing_mm=4)
    assert found.pieces == pieces
    assert found.piece_mm == pytest.approx((50.8 - kerf_mm) / 2 - 4)


def test_surfaced_thickness_is_the_yards(published: Callable[[str], Rows]) -> None:
    """A yard's list that was read (5/4, 6/4, 8/4, 12/4); 4/4 from memory. Common practice: no standard says so."""
    for row in published("surfaced_thickness"):
        rough_mm = int(row["quarters"]) / 4 * 25.4
        assert rough_mm == pytest.approx(float(row["rough_in"]) * 25.4)
        assert rough_mm - planing_loss_mm(rough_mm) == pytest.approx(float(row["surfaced_in"]) * 25.4, abs=1e-9), row


def test_too_thin_says_so_and_still_has_its_price() -> None:
    thin = cost(Offer("4/4", 4, 6, 96, 6), 22)
    assert (thin.why_not, thin.cost_per_usable_bf, thin.usable_board_feet) == ("planed-too-thin", None, None)
    assert (thin.cost, thin.piece_mm) == (24, pytest.approx(20.6375))


def test_grades_promise_what_the_rules_say() -> None:
    """National Hardwood Lumber Association, as summarised in two copies that were read: 10, 8, 6 and 4 twelfths."""
    known = grades()
    assert {g: round(known[g].clear_pct * 12 / 100) for g in known} == {
        "FAS": 10,
        "SEL": 10,
        "1C": 8,
        "2AC": 6,
        "3AC": 4,
    }
    assert all(one.source and one.provenance and 0 < one.clear_pct <= 100 for one in known.values())


def test_own_hours_count_into_what_is_usable_only() -> None:
    busy = cost(replace(THICK, hours=2), 20, price_per_hour=40)
    assert busy.cost == 80
    assert busy.cost_per_usable_bf == pytest.approx(2 * 25.4, rel=1e-12)


OFFERS = st.builds(
    Offer, st.just("x"), st.integers(4, 16), st.floats(1, 118), st.floats(1, 480), st.floats(0.01, 1e4),
    st.booleans(), st.floats(1, 100), st.floats(0, 1000),
)  # fmt: skip


@given(OFFERS, st.floats(1, 400), st.floats(0, 10), st.floats(0, 1e4))
def test_nobody_gets_more_than_was_bought(offer: Offer, need_mm: float, kerf_mm: float, hour: float) -> None:
    found = cost(offer, need_mm, kerf_mm=kerf_mm, price_per_hour=hour)
    assert found.pieces * found.settling_mm + (found.pieces - 1) * kerf_mm == pytest.approx(offer.nominal_mm)
    assert found.piece_mm < found.settling_mm
    assert (found.why_not == "") == (found.piece_mm >= need_mm) == (found.cost_per_usable_bf is not None)
    if found.usable_board_feet is not None and found.cost_per_usable_bf is not None:
        assert found.usable_board_feet < offer.board_feet
        assert found.cost_per_usable_bf > offer.price_per_bf


@given(OFFERS, st.floats(2, 100), st.floats(1.01, 2))
def test_scale_does_not_change_the_price_of_what_is_usable(offer: Offer, need_mm: float, more: float) -> None:
    one = cost(replace(offer, width_in=10), need_mm)
    wide = cost(replace(offer, width_in=10 * more), need_mm)
    dear = cost(replace(offer, width_in=10, price_per_bf=offer.price_per_bf * more), need_mm)
    if one.cost_per_usable_bf is None:
        assert wide.cost_per_usable_bf is dear.cost_per_usable_bf is None
    else:
        assert wide.cost_per_usable_bf == pytest.approx(one.cost_per_usable_bf, rel=1e-9)
        assert dear.cost_per_usable_bf == pytest.approx(one.cost_per_usable_bf * more, rel=1e-9)


@pytest.mark.parametrize(
    ("part", "given_", "said"),
    [
        ("quarters", {"quarters": 3}, "quarters: found 3; would be right: 4 to 16 quarter inches"),
        ("width-in", {"width_in": 600.0}, "width-in: found 600; would be right: 1 to 118 inches"),
        ("width-in", {"width_in": float("nan")}, "width-in: found nan"),
        ("length-in", {"length_in": -1.0}, "length-in: found -1; would be right: 1 to 480 inches"),
        ("price-per-bf", {"price_per_bf": -1.0}, "price-per-bf: found -1"),
        ("yield", {"usable_pct": 0.0}, "yield: found 0; would be right: 1 to 100 %"),
        ("hours", {"hours": -2.0}, "hours: found -2"),
        ("label", {"label": " "}, "label: found nothing; would be right: a name for the offer"),
    ],
)
def test_what_cannot_be_offered_is_refused(part: str, given_: dict[str, object], said: str) -> None:
    with pytest.raises(BadOffer) as refused:
        replace(THICK, **given_)  # type: ignore[arg-type]
    assert refused.value.part == part
    assert str(refused.value).startswith(said)


@pytest.mark.parametrize(
    ("given_", "said"),
    [
        ({"need_mm": 0.0}, "need_mm: found 0; would be right: 1 to 400"),
        ({"need_mm": 20.0, "kerf_mm": -1.0}, "kerf_mm: found -1; would be right: 0 to 10"),
        ({"need_mm": 20.0, "planing_mm": 60.0}, "planing_mm: found 60; would be right: 0 to 50"),
        ({"need_mm": 20.0, "price_per_hour": -1.0}, "price_per_hour: found -1"),
    ],
)
def test_what_cannot_be_needed_is_refused(given_: dict[str, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        cost(THICK, **given_)
