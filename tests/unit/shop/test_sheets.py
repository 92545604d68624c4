"""What a sheet is made of: told when it comes, laid on it later, milled off it, corrected; and what cannot be."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from server.api.wording import refusal
from server.lot_documents import lot_document
from server.shop.construction import OnFace
from server.shop.entries import Entry, Received
from server.shop.journal import NotPossible
from tests.unit.shop.test_lots import MONDAY_MS, entry, only, received, shop

OAK: dict[str, Any] = {"laid": "veneer", "species": "oak_white", "thickness_mm": 0.6}
PAINT: dict[str, Any] = {"laid": "paint", "cover": "emulsion-paint"}


def sheet(**more: Any) -> Entry:
    return received(species=None, quarters=None, sheet="mdf", thickness_mm=19.2, width_mm=600, cost=None, **more)


def laid(number: int = 2, **more: Any) -> Entry:
    return entry(
        number, number, **{"kind": "veneered", "lot": "cherry-1", "species": "oak_white", "thickness_mm": 0.6, **more}
    )  # fmt: skip


def test_a_sheet_tells_what_it_is_made_of() -> None:
    told = {"top": [OAK, {"laid": "foil"}], "bottom": [{**OAK, "grain": "across"}], "edges": "lipped"}
    lot = only(sheet(construction=told))
    made = lot_document(lot, None, MONDAY_MS, MONDAY_MS).construction
    assert made is not None
    assert (made.core, made.core_mm, made.edges) == ("mdf", 18.0, "lipped")
    assert [one.model_dump(exclude_none=True) for one in made.top or ()] == [
        {**OAK, "grain": "along"},
        {"laid": "foil"},
    ]
    assert [one.grain for one in made.bottom or ()] == ["across"]
    one = sheet(construction=told)
    assert Entry.of(one.kept()) == one
    assert one.kept().data["deed"]["construction"]["bottom"] == [{**OAK, "grain": "across"}]


def test_a_sheet_of_before_is_its_product_alone_and_half_a_construction_says_so() -> None:
    lot = only(sheet())
    assert (lot.top_plies, lot.bottom_plies, lot.edges, lot.core_mm) == ((), (), None, 19.2)
    assert "construction" not in sheet().kept().data["deed"]
    half = only(sheet(construction={"top": []}))
    made = lot_document(half, None, MONDAY_MS, MONDAY_MS).construction
    assert made is not None
    assert (made.top, made.bottom, made.edges) == ([], None, None)
    assert lot_document(only(received()), None, MONDAY_MS, MONDAY_MS).construction is None


def test_a_veneer_laid_later_thickens_it_and_milling_takes_it_off_from_outside_in() -> None:
    lot = only(sheet(), laid(faces="both"))
    assert (lot.thickness_mm, lot.core_mm) == (pytest.approx(20.4), pytest.approx(19.2))
    assert lot.top_plies == lot.bottom_plies == (OnFace(**OAK),)
    told = {"top": [{**OAK, "thickness_mm": 2}, OAK, PAINT], "bottom": [PAINT]}
    milled = only(
        sheet(construction=told), entry(3, 3, kind="milled", lot="cherry-1", take_top_mm=0.8, take_bottom_mm=0)
    )
    assert milled.top_plies == (OnFace(laid="veneer", species="oak_white", thickness_mm=1.8),)
    assert milled.bottom_plies == (OnFace(**PAINT),)
    deeper = only(sheet(construction=told), entry(3, 3, kind="milled", lot="cherry-1", take_top_mm=3, take_bottom_mm=1))
    assert (deeper.top_plies, deeper.bottom_plies) == ((), ())
    assert deeper.core_mm == deeper.thickness_mm == pytest.approx(15.2)


def test_parts_of_a_sheet_keep_it_and_a_rip_opens_the_edges() -> None:
    first = sheet(construction={"top": [OAK], "bottom": [], "edges": "lipped"})
    rip = entry(4, 4, kind="ripped", lot="cherry-2", width_mm=250, pieces=4)
    lots = shop(first, entry(3, 3, kind="split", lot="cherry-1", pieces=2, into="cherry-2", name="Lids"), rip).lots
    assert lots["cherry-2"].top_plies == lots["cherry-1"].top_plies == (OnFace(**OAK),)
    assert (lots["cherry-1"].edges, lots["cherry-2"].edges) == ("lipped", "open")
    other = laid(5, lot="cherry-2", faces="bottom")
    with pytest.raises(NotPossible, match="others: found 'cherry-2', with other things on its faces"):
        shop(first, entry(3, 3, kind="split", lot="cherry-1", pieces=2, into="cherry-2", name="Lids"), other,
             entry(6, 6, kind="joined", lot="cherry-1", others=["cherry-2"]))  # fmt: skip


def test_it_is_corrected_as_every_entry_is() -> None:
    wrong = sheet(construction={"top": [OAK], "bottom": []})
    right = sheet(construction={"top": [OAK], "bottom": [OAK]}).deed.model_dump(mode="json")
    lot = only(wrong, entry(2, 2, kind="corrected", entry=wrong.id, at_ms=wrong.t_ms, becomes=right))
    assert lot.top_plies == lot.bottom_plies
    later = laid(3)
    without = [wrong, later, entry(4, 4, kind="undone", entry=later.id)]
    assert only(*without).thickness_mm == 19.2


@pytest.mark.parametrize(
    ("entries", "says"),
    [
        ([received(construction={"top": []})],
         "construction: found a construction of solid wood, cherry_black; would be right: none; or a sheet product"),
        ([sheet(construction={"top": [OAK, {**OAK, "thickness_mm": 25}]})],
         r"construction\.top\.1\.thickness_mm: found 25\.6 mm of wood in all on a sheet of 19\.2 mm; would be right: "
         r"at most 18\.9 mm: the sheet's thickness is that of all of it"),
        ([sheet(construction={"bottom": [{**OAK, "species": "oak_wite"}]})],
         r"construction\.bottom\.0\.species: found 'oak_wite'; would be right: one of oak_white"),
        ([sheet(construction={"top": [{**PAINT, "cover": "emulsion"}]})],
         r"construction\.top\.0\.cover: found 'emulsion'; would be right: one of emulsion-paint; or none"),
        ([sheet(construction={"top": [{**PAINT, "cover": "bare"}]})], r"cover: found 'bare'; .* something that covers"),
        ([received(), laid()], "lot: found 'cherry-1', which is solid wood; would be right: a lot of sheet goods"),
        ([sheet(), laid(species="oak_wite")], "species: found 'oak_wite'; would be right: one of oak_white"),
        ([sheet(construction={"bottom": []}), laid()], "faces: found top, of which it is not told what lies on it"),
        ([sheet(construction={"top": [PAINT]}), laid()], "faces: found top, which has paint on it; would be right"),
        ([sheet(), entry(2, 2, kind="finished", lot="cherry-1", cover="shellac-3"), laid(3)],
         "faces: found top, which has shellac-3 on it"),
        ([sheet(construction={"top": [OAK], "bottom": []}), entry(2, 2, kind="resawn", lot="cherry-1", kerf_mm=3)],
         "lot: found 'cherry-1', a sheet with veneer on it; would be right: solid wood, or a sheet with nothing on"),
        ([sheet(construction={"top": [], "bottom": [{**OAK, "thickness_mm": 5}]}),
          entry(2, 2, kind="milled", lot="cherry-1", take_top_mm=14, take_bottom_mm=0)],
         r"take_top_mm: found 5 mm of wood in all on a sheet of 5\.2 mm; would be right: at most 4\.9 mm"),
    ],
)  # fmt: skip
def test_what_cannot_be_names_field_found_and_right(entries: list[Entry], says: str) -> None:
    with pytest.raises(NotPossible, match=says):
        shop(*entries)


@pytest.mark.parametrize(
    ("construction", "field", "right"),
    [
        ({"top": [{"laid": "veneer", "species": "oak_white"}]}, "construction.top.0",
         "veneer with a species and thickness_mm, and no cover"),
        ({"top": [{**PAINT, "grain": "across"}]}, "construction.top.0", "paint with a cover at the most"),
        ({"top": [PAINT, OAK]}, "construction", "top from the core outward: veneer or solid wood first"),
        ({"top": [{**OAK, "thickness_mm": 0.6e-3}]}, "construction.top.0.thickness_mm", "0.1 to 50 mm"),
        ({"top": [{**OAK, "laid": "wallpaper"}]}, "construction.top.0.laid", "paint, laminate or foil"),
        ({"edges": "round"}, "construction.edges", "open or lipped"),
        ({"core": "mdf"}, "construction.core", "one of top, bottom, edges"),
        ({"top": [OAK] * 5}, "construction.top", "from the core outward"),
        ("mdf", "construction", "of a sheet: what lies on its faces"),
    ],
)  # fmt: skip
def test_what_is_not_understood_says_what_would_be_right(construction: Any, field: str, right: str) -> None:
    told = {**sheet().deed.model_dump(mode="json"), "construction": construction}
    with pytest.raises(ValidationError) as refused:
        Received.model_validate(told)
    error = refused.value.errors()[0]
    said = refusal(Received, {**error, "loc": ("body", *error["loc"])})
    assert said.field == field
    assert right in said.would_be_right
