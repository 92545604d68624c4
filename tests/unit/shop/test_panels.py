"""Panels as the journal makes them: what boards become when they are glued, what is done to a panel after, and what
cannot be."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from server.shop import acts
from server.shop.entries import Entry
from server.shop.journal import NotPossible
from server.shop.lot import Lot
from server.shop.lots import Shop
from server.shop.panel import Board, Panel
from server.wood.maker_sheet import Sheet
from tests.unit.shop.test_lots import HOUR_MS, MONDAY_MS, acts_of, entry, received, shop

TOP: dict[str, Any] = {
    "kind": "glued", "lot": "top", "name": "Chest lid", "boards": [{"lot": "cherry-1", "pieces": 4}], "width_mm": 480,
    "length_mm": 1100, "adhesive": "pva", "clamp_h": 2, "rings": "alternating", "zone": "bench-room",
    "aim": {"destination": "heated-homes"},
}  # fmt: skip
OF_TWO = [{"lot": "cherry-1", "pieces": 3}, {"lot": "cherry-2", "pieces": 2}]


def glued(number: int = 5, hours: float = 24.0, **more: Any) -> Entry:
    return entry(number, hours, **{**TOP, **more})


def other(**more: Any) -> Entry:
    return received(1, 0.0, "cherry-2", **{"width_mm": 120, "cost": 60.0, **more})


def panel_of(made: Shop, name: str = "top") -> tuple[Lot, Panel]:
    lot = made.lots[name]
    assert lot.panel is not None
    return lot, lot.panel


def test_boards_become_a_panel_by_their_share_of_its_width() -> None:
    made = shop(received(), other(cut="quarter"), glued(boards=OF_TWO))
    lot, panel = panel_of(made)
    assert panel.boards == (
        Board("cherry-1", 3, 180.0, "flat", pytest.approx(540 / 780)),
        Board("cherry-2", 2, 120.0, "quarter", pytest.approx(240 / 780)),
    )
    assert (lot.pieces, lot.thickness_mm, lot.width_mm, lot.received.length_mm) == (1, 31.75, 480, 1100)
    assert (lot.species, lot.received.cut, lot.cost) == ("cherry_black", "flat", pytest.approx(120 + 20))
    assert (panel.stage, panel.adhesive, panel.clamp_h, panel.glued_ms) == (
        "glued", "pva", 2, MONDAY_MS + 24 * HOUR_MS,
    )  # fmt: skip
    begin, lie = acts_of(lot)
    assert isinstance(begin, acts.From)
    assert begin == acts.From(("cherry-1", "cherry-2"), (pytest.approx(540 / 780), pytest.approx(240 / 780)), True)
    assert lie == acts.Lie("bench-room", 0.0, 0.0)


def test_what_is_left_of_the_boards_stays_and_what_is_not_is_glued() -> None:
    made = shop(received(), other(pieces=2), glued(boards=OF_TWO))
    rest, gone = made.lots["cherry-1"], made.lots["cherry-2"]
    assert (rest.ended, rest.pieces, rest.cost) == ("", 3, pytest.approx(120.0))
    assert (gone.ended, gone.pieces, gone.cost) == ("glued", 0, 0.0)
    assert isinstance(acts_of(gone)[-1], acts.End)
    assert not any(isinstance(act, acts.End) for act in acts_of(rest))
    back = shop(received(), other(pieces=2), glued(boards=OF_TWO), entry(6, 30, kind="undone", entry="entry-0005"))
    assert "top" not in back.lots
    assert (back.lots["cherry-2"].ended, back.lots["cherry-1"].pieces) == ("", 6)


def test_a_panel_s_stages() -> None:
    steps: list[tuple[dict[str, Any], str]] = [
        ({"kind": "milled", "take_top_mm": 1.0, "take_bottom_mm": 0.0}, "glued"),
        ({"kind": "milled", "take_top_mm": 1.0, "take_bottom_mm": 1.5}, "flattened"),
        ({"kind": "finished", "cover": "shellac-3"}, "finished"),
        ({"kind": "fitted", "held": "free", "fit": "slot", "clearance_mm": 4, "slot_mm": 9, "screw_mm": 5}, "fitted"),
        ({"kind": "crated"}, "crated"),
        ({"kind": "moved", "zone": "finishing-room"}, "crated"),
        ({"kind": "unwrapped"}, "fitted"),
        ({"kind": "crated", "wrapped": False}, "crated"),
        ({"kind": "delivered", "to": "the mill house", "house": {"heated": True}}, "delivered"),
    ]
    entries, stages, lying = [received(), glued()], [], []
    for n, (deed, _) in enumerate(steps, 6):
        entries.append(entry(n, 24.0 + n, lot="top", **deed))
        lot, panel = panel_of(shop(*entries))
        stages.append(panel.stage)
        lying.append(lot.lying)
    assert stages == [stage for _, stage in steps]
    assert lying[4:8] == ["wrapped", "wrapped", "stickered", "stickered"]
    lot, panel = panel_of(shop(*entries))
    assert (lot.ended, lot.thickness_mm) == ("delivered", pytest.approx(31.75 - 3.5))
    assert panel.fitting is not None
    assert (panel.fitting.clearance_mm, panel.fitting.slot_mm, panel.fitting.width_mm) == (4, 9, 480)
    assert panel.home is not None
    assert (panel.home.to, panel.home.house.heated, panel.home.house.new_plaster) == ("the mill house", True, None)


def test_a_delivered_panel_is_read_and_the_rest_of_its_life_stays() -> None:
    told = [received(), glued(), entry(6, 40, kind="delivered", lot="top")]
    read = entry(7, 900, kind="customer-read", lot="top", reading_pct=7.5, temperature_c=21, humidity_pct=33)
    lot, panel = panel_of(shop(*told, read))
    (there,) = panel.read_there
    assert (there.entry, there.temperature_c, there.humidity_pct) == ("entry-0007", 21, 33)
    assert there.act.kind == "pins"
    assert lot.acts == shop(*told).lots["top"].acts, "the model of the shop's own air hears nothing of it"


def test_the_maker_s_sheet_and_the_reasons_against_are_kept_and_read_again() -> None:
    sheet = {"mc_low_pct": 8, "mc_high_pct": 12, "lowest_c": 10, "clamp_h": [[10, 4], [20, 1]], "rest_days": 2}
    against = {"question": "boards-alike", "said": "glue-up-apart", "values": {"apart_pct": 2.4, "worst": "cherry-1"}}
    one = glued(adhesive=None, sheet=sheet, against=[against])
    assert Entry.of(one.kept()) == one
    _, panel = panel_of(shop(received(), one))
    assert panel.sheet == Sheet((8, 12), 10, ((10, 4), (20, 1)), (), 2)
    assert [(a.question, a.values) for a in panel.against] == [("boards-alike", against["values"])]


def test_a_panel_is_glued_into_a_wider_one() -> None:
    wide = glued(
        7, 80, lot="wide", boards=[{"lot": "top", "pieces": 1}, {"lot": "cherry-1", "pieces": 2}], width_mm=830,
    )  # fmt: skip
    made = shop(received(), glued(), wide)
    assert made.lots["top"].ended == made.lots["cherry-1"].ended == "glued"
    assert panel_of(made, "wide")[1].boards[0].share == pytest.approx(480 / 840)


def test_of_wood_without_a_density_a_panel_is_known_and_not_modelled() -> None:
    lot, panel = panel_of(shop(received(species="apple"), glued(), entry(6, 30, kind="wrapped", lot="top")))
    assert (lot.acts, lot.not_modelled, lot.lying, panel.stage) == ((), "no-specific-gravity", "wrapped", "glued")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ([glued(lot="cherry-1")], "lot: found 'cherry-1', which is there already; would be right: an id no lot"),
        ([glued(boards=[{"lot": "oak", "pieces": 1}])], "boards: found 'oak', which was not there then"),
        (
            [glued(boards=[{"lot": "cherry-1", "pieces": 6}]), glued(6, 25, lot="top-2")],
            "boards: found 'cherry-1', glued before; would be right: a lot that is in the shop",
        ),
        (
            [glued(boards=[*OF_TWO, {"lot": "cherry-1", "pieces": 1}])],
            "boards: found cherry-1, cherry-2, cherry-1; would be right: each lot once, with all its pieces",
        ),
        (
            [glued(boards=[{"lot": "cherry-1", "pieces": 7}])],
            "boards: found 7 pieces of 'cherry-1'; would be right: 1 to 6, as many as the lot has",
        ),
        (
            [entry(4, 20, kind="delivered", lot="cherry-2"), glued(boards=OF_TWO)],
            "boards: found 'cherry-2', delivered before; would be right: a lot that is in the shop",
        ),
        (
            [entry(4, 20, kind="milled", lot="cherry-2", take_top_mm=1, take_bottom_mm=1), glued(boards=OF_TWO)],
            "boards: found 'cherry-2' of 29.75 mm with 'cherry-1' of 31.75 mm; would be right: boards within 0.5 mm",
        ),
        (
            [received(3, 1, "oak", species="oak_white"), glued(boards=[OF_TWO[0], {"lot": "oak", "pieces": 1}])],
            "boards: found 'oak' of oak_white with 'cherry-1' of cherry_black; would be right: boards of one species",
        ),
        (
            [
                received(3, 1, "mdf", species=None, sheet="mdf", quarters=None, thickness_mm=18),
                glued(boards=[OF_TWO[0], {"lot": "mdf", "pieces": 1}]),
            ],
            "boards: found 'mdf', which is mdf; would be right: lots of solid wood",
        ),
        (
            [glued(thickness_mm=25)],
            "thickness_mm: found 25 mm; would be right: the boards' 31.75 mm; what is planed off afterwards",
        ),
        ([glued(length_mm=2500)], "length_mm: found 2500 mm; would be right: up to the shortest board's 2400 mm"),
        (
            [glued(length_mm=1300, width_mm=721)],
            "width_mm: found 721 mm; would be right: up to 720 mm, what the boards make side by side",
        ),
        (
            [glued(boards=[{"lot": "cherry-1", "pieces": 1}], length_mm=1300, width_mm=100)],
            "boards: found one piece of 'cherry-1'; would be right: two pieces or more",
        ),
        (
            [glued(adhesive="pvac")],
            "adhesive: found 'pvac'; would be right: one of pva",
        ),
        (
            [entry(6, 30, kind="fitted", lot="cherry-1", held="free")],
            "lot: found 'cherry-1', which is no panel; would be right: a panel: a lot that was glued",
        ),
        ([entry(6, 30, kind="crated", lot="cherry-1")], "lot: found 'cherry-1', which is no panel"),
        (
            [entry(6, 30, kind="delivered", lot="cherry-1", house={"heated": True})],
            "house: found something, and 'cherry-1' is no panel",
        ),
        (
            [glued(), entry(6, 30, kind="customer-read", lot="top", reading_pct=8)],
            "lot: found 'top', which is in the shop: say metered; would be right: a panel that was delivered before",
        ),
        (
            [
                entry(4, 20, kind="delivered", lot="cherry-2"),
                entry(6, 30, kind="customer-read", lot="cherry-2", reading_pct=8),
            ],
            "lot: found 'cherry-2', which is no panel",
        ),
        (
            [glued(), entry(6, 30, kind="joined", lot="cherry-1", others=["top"])],
            "others: found 'top', which is a panel; would be right: lots of boards; glue panels",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(told: list[Entry], said: str) -> None:
    with pytest.raises(NotPossible) as refused:
        shop(received(), other(), *told)
    assert str(refused.value).startswith(said)


@pytest.mark.parametrize(
    ("wrong", "where", "right"),
    [
        ({"boards": []}, ("boards",), "at least 1 item"),
        ({"boards": [{"lot": "cherry-1", "pieces": 0}]}, ("boards", 0, "pieces"), "greater than or equal to 1"),
        ({"clamp_h": 0}, ("clamp_h",), "greater than 0"),
        ({"clamp_h": 8760}, ("clamp_h",), "less than or equal to 240"),
        ({"adhesive": None}, (), "adhesive, the family of it, or sheet"),
        ({"sheet": {"clamp_h": [[20, 1], [10, 4]]}}, ("sheet",), "clamp_h: pairs of °C"),
        ({"sheet": {"mc_low_pct": 8}}, ("sheet",), "both mc_low_pct and mc_high_pct"),
        ({"rings": "random"}, ("rings",), "'alternating', 'alike' or 'not-told'"),
    ],
)  # fmt: skip
def test_input_out_of_range_is_refused_by_its_field(wrong: dict[str, Any], where: tuple[Any, ...], right: str) -> None:
    with pytest.raises(ValidationError) as refused:
        glued(**wrong)
    error = refused.value.errors()[0]
    assert error["loc"] == ("deed", "glued", *where)
    assert right in error["msg"]


def test_a_fitting_has_room_or_none() -> None:
    for wrong in (
        {"clearance_mm": -1},
        {"slot_mm": 4, "screw_mm": 5},
        {"slot_outside_mm": 2},
        {"slot_mm": 9, "screw_mm": 5, "slot_outside_mm": 4.5},
    ):
        with pytest.raises(ValidationError):
            entry(6, 30, **{"kind": "fitted", "lot": "top", "held": "free", **wrong})
