"""Folded on from where it stands, in any order and any portions: what all entries at once come to."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.shop import standing
from server.shop.entries import Entry
from server.shop.journal import NotPossible, facts
from server.shop.lots import fold
from server.shop.standing import Standing
from server.wood import species
from tests.unit.shop.test_lots import MONDAY_MS, entry, received

GLUED: dict[str, Any] = {
    "kind": "glued", "name": "Panel", "boards": [{"lot": "a", "pieces": 2}], "width_mm": 200, "length_mm": 900,
    "adhesive": "pva", "clamp_h": 2, "zone": "bench", "aim": {"destination": "heated-homes"},
}  # fmt: skip
OF_A_LOT: tuple[dict[str, Any], ...] = (
    {"kind": "metered", "reading_pct": 9.0}, {"kind": "milled", "take_top_mm": 1, "take_bottom_mm": 1},
    {"kind": "moved", "zone": "bench"}, {"kind": "split", "pieces": 1, "into": "b", "name": "B"},
    {"kind": "joined", "others": ["b"]}, {"kind": "delivered"}, {"kind": "confirmed"},
    {**GLUED, "lot": "p"}, {**GLUED, "lot": "p", "boards": [{"lot": "a", "pieces": 1}, {"lot": "b", "pieces": 1}]},
    {"kind": "delivered", "lot": "p"}, {"kind": "fitted", "lot": "p", "held": "free"}, {"kind": "crated", "lot": "p"},
    {"kind": "milled", "lot": "p", "take_top_mm": 1, "take_bottom_mm": 1}, {"kind": "stickered", "lot": "p"},
    {"kind": "customer-read", "lot": "p", "reading_pct": 8.0},
)  # fmt: skip
PRICE: dict[str, Any] = {
    "kind": "offered", "offer": "o-1", "label": "Boards", "species": "cherry_black", "quarters": 4, "width_mm": 150,
    "length_mm": 2000, "price_per_board_foot": 9.0,
}  # fmt: skip
TOLD = st.lists(
    st.tuples(
        st.sampled_from(["lot", "lot", "lot", "come", "undo", "correct", "away", "price", "withdraw"]),
        st.integers(0, 30), st.integers(0, 9), st.sampled_from(["a", "b"]), st.sampled_from(OF_A_LOT), st.booleans(),
    ),
    max_size=30,
)  # fmt: skip


@pytest.fixture(autouse=True, scope="module")
def often() -> Any:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(standing, "EVERY", 3)
        yield


def made(number: int, earlier: list[Entry], one: tuple[Any, ...]) -> Entry:
    what, hours, which, lot, deed, _ = one
    target = earlier[which % len(earlier)].id if earlier else "nothing-at-all"
    becomes: dict[str, Any] = {"lot": lot, **deed}
    said: dict[str, dict[str, Any]] = {
        "lot": becomes, "undo": {"kind": "undone", "entry": target}, "price": PRICE,
        "correct": {"kind": "corrected", "entry": target, "at_ms": MONDAY_MS, "becomes": becomes},
        "away": {"kind": "away", "from_ms": number, "to_ms": number + 1},
        "withdraw": {"kind": "offer-withdrawn", "offer": "o-1"},
    }  # fmt: skip
    return received(number, hours / 4, lot) if what == "come" else entry(number, hours, **said[what])


@settings(max_examples=150, deadline=None)
@given(TOLD)
def test_it_is_what_all_at_once_come_to(told: list[tuple[Any, ...]]) -> None:
    now, portion = Standing().told([received(0)], species.find), []
    for number, one in enumerate(told, 1):
        portion.append(made(number, [*now.entries.values(), *portion], one))
        if one[-1]:
            continue
        every = [*now.entries.values(), *portion]
        try:
            right = facts(every)
            shop = fold(right)
        except NotPossible:
            with pytest.raises(NotPossible):
                now.told(portion, species.find)
        else:
            now = now.told(portion, species.find)
            assert now.facts == right
            assert now.shop == shop
            assert len(now.marks) <= len(right) // standing.EVERY + 2
        portion = []


def test_what_lies_before_a_late_entry_is_not_folded_again() -> None:
    """A lot that nothing was told of is the very same one afterwards."""
    begun = [received(i, i / 10, f"lot-{i}") for i in range(20)]
    before = Standing().told(begun, species.find)
    after = before.told([entry(99, 1.91, kind="confirmed", lot="lot-3")], species.find)
    same = [name for name, lot in after.shop.lots.items() if lot is before.shop.lots[name]]
    assert len(same) > 15
    assert after.shop == fold(facts(after.entries.values()))
