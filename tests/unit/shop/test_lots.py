"""The journal's facts and the lots they make: corrections, undoing, and what cannot be."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from server.shop import acts
from server.shop.confirmed import holds_until_ms
from server.shop.entries import Entry
from server.shop.journal import Fact, NotPossible, facts, fates
from server.shop.lot import Lot, Seen
from server.shop.lots import Shop, fold

MONDAY_MS = 1_799_757_000_000
HOUR_MS = 3_600_000


def entry(number: int, hours: float = 0.0, **deed: Any) -> Entry:
    t_ms = MONDAY_MS + round(HOUR_MS * hours)
    return Entry(id=f"entry-{number:04}", t_ms=t_ms, recorded_ms=MONDAY_MS + number, who="Ada", deed=deed)


def received(number: int = 0, hours: float = 0.0, lot: str = "cherry-1", **more: Any) -> Entry:
    deed = {
        "kind": "received", "lot": lot, "name": "Cherry for the chest", "species": "cherry_black", "quarters": 5,
        "pieces": 6, "width_mm": 180, "length_mm": 2400, "zone": "rack-loft", "start": {"kind": "kiln-dried-yard"},
        "aim": {"destination": "heated-homes"}, "cost": 240.0,
    }  # fmt: skip
    return entry(number, hours, **{k: v for k, v in {**deed, **more}.items() if v is not None})


def shop(*entries: Entry) -> Shop:
    return fold(facts(entries))


def only(*entries: Entry) -> Lot:
    (lot,) = shop(*entries).lots.values()
    return lot


def acts_of(lot: Lot) -> list[acts.Act]:
    return [done.act for done in lot.acts]


def test_a_lot_comes_in_as_the_model_needs_it() -> None:
    lot = only(received())
    assert (lot.thickness_mm, lot.pieces, lot.zone, lot.lying) == (31.75, 6, "rack-loft", "stickered")
    begin, lie = acts_of(lot)
    assert begin == acts.Begin(0.03175, 0.47, 0.115, 9.0, 2.0)
    assert lie == acts.Lie("rack-loft", 0.0, 0.0)
    assert lot.acts[0].edge_ms == MONDAY_MS - MONDAY_MS % 1_800_000


def test_an_entry_is_kept_and_read_again_as_it_was() -> None:
    for one in (received(), entry(2, kind="milled", lot="cherry-1", take_top_mm=2, take_bottom_mm=1.5)):
        assert Entry.of(one.kept()) == one


def test_milling_splitting_joining_resawing_and_ripping_keep_count() -> None:
    after = shop(
        received(),
        entry(1, 24, kind="split", lot="cherry-1", pieces=2, into="cherry-legs", name="Legs"),
        entry(2, 25, kind="milled", lot="cherry-legs", take_top_mm=2.0, take_bottom_mm=1.75),
        entry(3, 26, kind="resawn", lot="cherry-legs", kerf_mm=2.0),
        entry(4, 27, kind="ripped", lot="cherry-1", width_mm=80, pieces=8, crook_mm=1.5, test_length_mm=900),
    ).lots
    one, legs = after["cherry-1"], after["cherry-legs"]
    assert (one.pieces, one.width_mm, one.cost) == (8, 80, pytest.approx(160.0))
    assert (legs.pieces, legs.thickness_mm, legs.parent, legs.cost) == (4, 13.0, "cherry-1", pytest.approx(80.0))
    assert [type(act).__name__ for act in acts_of(legs)] == ["From", "Lie", "Mill", "Lie", "Halve", "Lie"]
    assert one.rips[0].crook_mm == 1.5
    assert (one.rips[0].width_mm, one.rips[0].entry) == (80, "entry-0004")
    back = shop(
        received(), received(1, 1, "cherry-2", pieces=3, cost=None),
        entry(2, 2, kind="joined", lot="cherry-1", others=["cherry-2"]),
    ).lots  # fmt: skip
    assert (back["cherry-1"].pieces, back["cherry-1"].cost, back["cherry-2"].ended) == (9, None, "joined")
    (gathered,) = [act for act in acts_of(back["cherry-1"]) if isinstance(act, acts.From)]
    assert gathered.shares == pytest.approx((2 / 3, 1 / 3))


def test_how_it_lies_is_what_its_faces_pass() -> None:
    lot = only(
        received(),
        entry(1, 1, kind="wrapped", lot="cherry-1"),
        entry(2, 2, kind="moved", lot="cherry-1", zone="bench-room", lying="one-face"),
        entry(3, 3, kind="finished", lot="cherry-1", cover="shellac-3", faces="one"),
        entry(4, 4, kind="unwrapped", lot="cherry-1"),
        entry(5, 5, kind="dead-stacked", lot="cherry-1"),
        entry(6, 6, kind="milled", lot="cherry-1", take_top_mm=0.5, take_bottom_mm=0),
        entry(7, 7, kind="on-edge", lot="cherry-1"),
    )
    lies = [act for act in acts_of(lot) if isinstance(act, acts.Lie)]
    tops, bottoms = ([getattr(lie, face) for lie in lies] for face in ("top_m2_s_pa_kg", "bottom_m2_s_pa_kg"))
    inf = float("inf")
    assert tops[:2] == bottoms[:2] == [0.0, pytest.approx(4.42e10)]
    assert bottoms[2:] == [inf, inf, 0.0, inf, inf, 0.0]
    assert tops[2] == 0.0 < tops[3] == tops[4]
    assert tops[5:] == [inf, inf, 0.0]  # planing took the shellac away
    assert [lie.zone for lie in lies[1:3]] == ["rack-loft", "bench-room"]


def test_sheet_goods_are_in_the_rack_and_not_in_the_model() -> None:
    lot = only(received(species=None, sheet="particleboard", quarters=None, thickness_mm=18))
    assert (lot.not_modelled, lot.acts) == ("sheet-goods", ())
    lot = only(
        received(species=None, sheet="particleboard", quarters=None, thickness_mm=18),
        entry(1, 1, kind="wrapped", lot="cherry-1"),
    )
    assert (lot.lying, lot.acts) == ("wrapped", ())


def test_a_correction_stands_in_the_place_of_what_it_corrects() -> None:
    milled = entry(1, 24, kind="milled", lot="cherry-1", take_top_mm=20, take_bottom_mm=2)
    right = {"kind": "milled", "lot": "cherry-1", "take_top_mm": 2.0, "take_bottom_mm": 2.0}
    corrected = entry(2, 48, kind="corrected", entry="entry-0001", at_ms=MONDAY_MS + HOUR_MS, becomes=right)
    again = entry(3, 49, kind="corrected", entry="entry-0002", at_ms=milled.t_ms, becomes={**right, "take_top_mm": 3})
    assert only(received(), milled).thickness_mm == pytest.approx(9.75)
    assert only(received(), milled, corrected).thickness_mm == pytest.approx(27.75)
    assert only(received(), milled, corrected, again).thickness_mm == pytest.approx(26.75)
    fact = facts([received(), milled, corrected, again])[1]
    assert fact.versions == ("entry-0001", "entry-0002", "entry-0003")
    assert fact.t_ms == milled.t_ms
    without = entry(4, 50, kind="undone", entry="entry-0003")
    assert only(received(), milled, corrected, again, without).thickness_mm == pytest.approx(27.75)


def test_undoing_takes_back_and_undoing_that_brings_back() -> None:
    milled = entry(1, 24, kind="milled", lot="cherry-1", take_top_mm=2, take_bottom_mm=2)
    undone = entry(2, 25, kind="undone", entry="entry-0001")
    back = entry(3, 26, kind="undone", entry="entry-0002")
    assert only(received(), milled, undone).thickness_mm == 31.75
    assert only(received(), milled, undone, back).thickness_mm == 27.75


@given(st.permutations(range(5)))
def test_nothing_depends_on_the_order_they_are_handed_over(order: list[int]) -> None:
    entries = [
        received(),
        entry(1, 24, kind="milled", lot="cherry-1", take_top_mm=2, take_bottom_mm=2),
        entry(2, 12, kind="moved", lot="cherry-1", zone="bench-room"),
        entry(3, 30, kind="undone", entry="entry-0001"),
        entry(4, 40, kind="metered", lot="cherry-1", reading_pct=9.0),
    ]
    assert shop(*(entries[i] for i in order)) == shop(*entries)


@pytest.mark.parametrize(
    ("deed", "said"),
    [
        ({"kind": "confirmed", "lot": "oak"}, "lot: found 'oak', which was not there"),
        (
            {"kind": "milled", "lot": "cherry-1", "take_top_mm": 20, "take_bottom_mm": 12},
            "take_top_mm: found 20 and 12 mm off 31.75 mm; would be right: 0.3 mm or more left",
        ),
        (
            {"kind": "split", "lot": "cherry-1", "pieces": 6, "into": "rest", "name": "Rest"},
            "pieces: found 6; would be right: 1 to 5, fewer than the lot has",
        ),
        (
            {"kind": "ripped", "lot": "cherry-1", "width_mm": 90, "pieces": 13},
            "pieces: found 13 strips of 90 mm; would be right: at most 12 out of 6 of 180 mm",
        ),
        (
            {"kind": "milled", "lot": "cherry-1", "take_top_mm": 0, "take_bottom_mm": 0},
            "take_top_mm: found 0 and 0 mm; would be right: what came off, above 0 mm on one face or both",
        ),
        (
            {"kind": "ripped", "lot": "cherry-1", "width_mm": 300, "pieces": 6},
            "width_mm: found 300 mm; would be right: up to the lot's 180 mm",
        ),
        (
            {"kind": "metered", "lot": "cherry-1", "reading_pct": 9, "depth_mm": 60},
            "depth_mm: found 60 mm; would be right: up to the lot's 31.75 mm",
        ),
        (
            {"kind": "wrap-read", "lot": "cherry-1", "temperature_c": 20, "humidity_pct": 40},
            "lot: found 'cherry-1', which is stickered then; would be right: a lot that is wrapped",
        ),
        ({"kind": "resawn", "lot": "cherry-1", "kerf_mm": 20}, ""),
        ({"kind": "finished", "lot": "cherry-1", "cover": "shelac"}, "cover: found 'shelac'; would be right: one of"),
        ({"kind": "joined", "lot": "cherry-1", "others": ["cherry-1"]}, "others: found cherry-1; would be right: each"),
        ({"kind": "undone", "entry": "entry-9999"}, "entry: found 'entry-9999'; would be right: the id of an entry"),
        (
            {"kind": "corrected", "entry": "entry-0000", "at_ms": 0, "becomes": {"kind": "confirmed", "lot": "oak"}},
            "becomes.kind: found 'confirmed'; would be right: the same kind, received",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_names_field_and_entry(deed: dict[str, Any], said: str) -> None:
    if not said:
        assert only(received(), entry(1, 1, **deed)).thickness_mm == pytest.approx(5.875)
        return
    with pytest.raises(NotPossible) as refused:
        shop(received(), entry(1, 1, **deed))
    assert str(refused.value).startswith(said)
    assert refused.value.entry == "entry-0001"


def test_nothing_happens_before_a_lot_came_or_after_it_left() -> None:
    for hours, found in ((-1, "which was not there then"), (49, "delivered before")):
        with pytest.raises(NotPossible, match=found):
            shop(
                received(),
                entry(2, 48, kind="delivered", lot="cherry-1"),
                entry(3, hours, kind="wrapped", lot="cherry-1"),
            )
    with pytest.raises(NotPossible, match="entry-0002"):  # a correction that makes a later entry impossible
        shop(
            received(),
            entry(1, 1, kind="split", lot="cherry-1", pieces=1, into="legs", name="Legs"),
            entry(2, 2, kind="milled", lot="legs", take_top_mm=1, take_bottom_mm=1),
            entry(3, 3, kind="undone", entry="entry-0001"),
        )


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"pieces": -1}, "pieces"),
        ({"pieces": 2.5}, "pieces"),
        ({"quarters": None, "thickness_mm": 0}, "thickness_mm"),
        ({"quarters": None, "thickness_mm": 1000}, "thickness_mm"),
        ({"thickness_mm": 27}, ""),
        ({"width_mm": 15_240}, "width_mm"),
        ({"start": {"kind": "metered"}}, "start"),
        ({"start": {"kind": "metered", "mc_pct": 300}}, "start"),
        ({"aim": {}}, "aim"),
        ({"aim": {"dry_limit_pct": 9, "damp_limit_pct": 6}}, "aim"),
        ({"sheet": "mdf"}, ""),
        ({"name": "x" * 41}, "name"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_input_out_of_range_is_refused_by_its_field(wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(ValidationError) as refused:
        received(**wrong)
    assert field in {str(part) for error in refused.value.errors() for part in error["loc"]} | {""}


def test_what_has_become_of_each_entry() -> None:
    """Corrected twice, taken back, and a taking back that was taken back itself."""
    milled = {"kind": "milled", "lot": "cherry-1", "take_top_mm": 2, "take_bottom_mm": 2}
    entries = [
        received(), entry(1, 5, **milled),
        entry(2, 6, kind="corrected", entry="entry-0001", at_ms=MONDAY_MS, becomes=milled),
        entry(3, 7, kind="corrected", entry="entry-0002", at_ms=MONDAY_MS, becomes=milled),
        entry(4, 8, kind="wrapped", lot="cherry-1"), entry(5, 9, kind="undone", entry="entry-0004"),
        entry(6, 10, kind="undone", entry="entry-0005"), entry(7, 11, kind="unwrapped", lot="cherry-1"),
        entry(8, 12, kind="undone", entry="entry-0007"),
    ]  # fmt: skip
    found = fates(entries)
    assert [found[f"entry-{i:04}"] for i in range(9)] == [
        ("counts", ""), ("corrected", "entry-0003"), ("corrected", "entry-0003"), ("corrects", "entry-0002"),
        ("counts", ""), ("undone", "entry-0006"), ("undoes", "entry-0005"), ("undone", "entry-0008"),
        ("undoes", "entry-0007"),
    ]  # fmt: skip


def test_facts_say_who_and_when() -> None:
    (fact,) = facts([received()])
    assert (fact.who, fact.id, fact.t_ms) == ("Ada", "entry-0000", MONDAY_MS)
    assert isinstance(fact, Fact)


def test_a_lot_knows_which_entry_last_said_what_of_it() -> None:
    fork = {"kind": "fork-tested", "lot": "cherry-1"}
    split = entry(3, 3, kind="split", lot="cherry-1", pieces=2, into="cherry-2", name="Lids")
    lots = shop(received(), entry(1, 1, prongs="pinch", **fork), entry(2, 2, prongs="open", **fork), split).lots
    assert lots["cherry-1"].entry_of == {"received": "entry-0000", "fork-tested": "entry-0002"}
    assert lots["cherry-2"].entry_of == lots["cherry-1"].entry_of, "what was said of the whole goes for its parts"


def test_a_lot_knows_who_last_had_it_in_hand_and_since_when_it_lies_so() -> None:
    lot = only(received(), entry(1, 30, kind="wrapped", lot="cherry-1"), entry(2, 60, kind="confirmed", lot="cherry-1"))
    assert (lot.seen, lot.confirmed_ms) == (
        Seen(MONDAY_MS + 60 * HOUR_MS, "Ada", "entry-0002", "confirmed"),
        MONDAY_MS + 60 * HOUR_MS,
    )
    assert lot.laid_ms == MONDAY_MS + 30 * HOUR_MS


@pytest.mark.parametrize(
    ("told", "away_h", "days"),
    [
        ([], [], 7),
        ([entry(1, 30, kind="confirmed", lot="cherry-1")], [], 1.25 + 7),
        ([entry(1, 30, kind="milled", lot="cherry-1", take_top_mm=1, take_bottom_mm=1)], [], 1.25 + 1),
        (
            [
                entry(1, 30, kind="milled", lot="cherry-1", take_top_mm=1, take_bottom_mm=1),
                entry(2, 54, kind="confirmed", lot="cherry-1"),
            ],
            [],
            2.25 + 1,
        ),
        (
            [
                entry(1, 30, kind="milled", lot="cherry-1", take_top_mm=1, take_bottom_mm=1),
                entry(2, 222, kind="confirmed", lot="cherry-1"),
            ],
            [],
            9.25 + 7,
        ),
        ([], [(48, 96), (72, 120), (9999, 10_000)], 7 + 3),
        ([], [(-48, 24)], 7 + 1),
    ],
)
def test_what_was_confirmed_holds_a_week_and_a_day_where_freshly_milled(
    told: list[Entry], away_h: list[tuple[float, float]], days: float
) -> None:
    """As the vocabulary has it; the time in which nobody is there does not count."""
    away = [(MONDAY_MS + round(a * HOUR_MS), MONDAY_MS + round(b * HOUR_MS)) for a, b in away_h]
    assert holds_until_ms(only(received(), *told), away) == MONDAY_MS + round(24 * days * HOUR_MS)
