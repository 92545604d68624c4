"""What a sheet's construction asks for: figures by laminate theory and covers, the rest marked as practice."""

from __future__ import annotations

from typing import Any

import pytest

from server.advice.asking import advise, ask_one
from server.advice.base import PRACTICE, Line
from server.wood.faced_sheet import FacedSheet, Wooden, bent, humidities
from server.wood.sheet_goods import product
from server.wood.species import find
from tests.unit.advice.lots_for_tests import AIM, MDF, VENEER, seen
from tests.unit.advice.test_moving import texts

PAINT = {"laid": "paint", "cover": "alkyd-oil-paint"}
UNLIKE = {"top": [VENEER], "bottom": []}


def asked(*deeds: Any, construction: dict[str, Any] | None = None, **came: Any) -> Line:
    made = {} if construction is None else {"construction": construction}
    line = ask_one(seen(*deeds, days=1, received={**MDF, **made, **came}), "received", {})
    assert line is not None
    return line


def test_one_veneered_face_is_told_with_its_figure_and_what_it_rests_on() -> None:
    """The figures are those of the model of the wood, between the aim's ends as far as the core is published."""
    line = asked(construction=UNLIKE)
    dry, damp = humidities(product("mdf"), AIM.dry_limit_pct, AIM.damp_limit_pct) or (0.0, 0.0)
    found = bent(FacedSheet(product("mdf"), 0.018, (Wooden(find("cherry_black"), 0.0006, "along"),)), damp, dry)
    assert line.figures["settled_across_mm"] == pytest.approx(found.across.settled.middle * 0.6**2 / 8 * 1000)
    assert line.figures["settled_along_mm"] == pytest.approx(found.along.settled.middle * 1.2**2 / 8 * 1000)
    assert (
        line.figures["settled_across_mm_low"] < line.figures["settled_across_mm"] < line.figures["top_across_mm_high"]
    )
    assert (line.figures["dry_humidity_pct"], line.figures["worst_days"]) == (30.0, None)
    text = texts(line.said)
    assert "its top goes hollow across its width" in text
    assert "Along its length its bottom goes hollow" in text
    assert "and stays so" in text
    assert any("laminate theory" in source for source in line.sources)
    assert any("ISO 10456" in source and "memory" in source for source in line.sources)
    assert line.limit is not None
    assert line.limit.figures == {"flat_mm_per_m": 2.0}
    assert line.entries == ("entry-000",)


def test_it_decides_the_verdict_where_it_bends_more_than_faced_boards_may() -> None:
    advice = advise(seen(days=1, received={**MDF, "construction": UNLIKE}))
    assert (advice.word, advice.title.key, advice.why.key) == ("look", "lot-sheet-title", "lot-sheet-bends")
    thick = advise(seen(days=1, received={**MDF, "thickness_mm": 40.6, "construction": UNLIKE}))
    assert thick.word == "wait", "under 2 mm a metre: as any sheet"


def test_the_same_on_both_faces_or_nothing_told_decides_nothing() -> None:
    alike = asked(construction={"top": [VENEER, PAINT], "bottom": [VENEER, PAINT], "edges": "open"})
    assert alike.word is None
    assert texts(alike.said).startswith("The same lies on both its faces")
    assert "Its edges are open" in texts(alike.said)
    assert alike.figures["alike"] is True
    before = asked()
    assert texts(before.said).startswith("Not looked at: stain; edges; whether it is flat")
    assert (before.limit, before.figures["alike"]) == (None, True)


def test_a_cover_of_known_resistance_on_one_face_bends_it_for_a_time_and_a_second_one_less() -> None:
    line = asked(construction={"top": [PAINT], "bottom": []})
    assert line.figures["settled_across_mm"] == pytest.approx(0.0, abs=1e-9)
    assert "its bottom goes hollow" in texts(line.said)
    assert "about a day after; it comes back as the other face follows" in texts(line.said)
    assert any(source.startswith("alkyd oil paint: SBi") for source in line.sources)
    thinner = asked(construction={"top": [PAINT], "bottom": [{"laid": "paint", "cover": "emulsion-paint"}]})
    assert thinner.figures["bottom_across_mm"] < line.figures["bottom_across_mm"]


def test_a_thin_sheet_whose_veneer_follows_the_air_first_is_said_to_turn() -> None:
    """Along the grain a veneer hardly moves but is stiff: it pulls before the slow plywood has dried, and then less."""
    line = asked(construction=UNLIKE, sheet="plywood", thickness_mm=7.1, length_mm=2440, width_mm=1220)
    assert line.figures["top_along_mm"] > line.figures["bottom_along_mm"] > 0 > line.figures["settled_along_mm"]
    assert "; in the end its other face is the hollow one" in texts(line.said)


def test_a_finish_or_a_veneer_laid_later_counts_as_well() -> None:
    """Both deeds: one face shellacked alone; the second face veneered like the first."""
    finished = asked((0.5, {"kind": "finished", "lot": "b-1", "cover": "epoxy-2", "faces": "one"}))
    assert finished.figures["bottom_along_mm"] > 1
    assert finished.entries == ("entry-000", "entry-001")
    laid = {"kind": "veneered", "lot": "b-1", "faces": "bottom", "species": "cherry_black", "thickness_mm": 0.6}
    mended = asked((0.5, laid), construction=UNLIKE)
    assert mended.figures["alike"] is True
    sanded = asked(
        (0.5, laid), (0.6, {"kind": "milled", "lot": "b-1", "take_top_mm": 0, "take_bottom_mm": 0.6}),
        construction=UNLIKE,
    )  # fmt: skip
    assert sanded.figures["settled_across_mm"] == pytest.approx(asked(construction=UNLIKE).figures["settled_across_mm"])


@pytest.mark.parametrize(
    ("construction", "came", "says"),
    [
        ({"top": [{"laid": "laminate"}], "bottom": []}, {}, "moves more than what it lies on: as a rule its top"),
        ({"top": [{"laid": "foil"}], "bottom": []}, {}, "The open face dries first: as a rule its bottom goes hollow"),
        ({"top": [], "bottom": [PAINT]}, {"sheet": "osb"}, "The open face dries first: as a rule its top goes hollow"),
        ({"top": [{"laid": "foil"}], "bottom": [PAINT]}, {}, "nobody can say from here"),
        ({"top": [], "bottom": [VENEER]}, {"sheet": "hardboard"}, "as a rule its bottom goes hollow across that grain"),
    ],
)  # fmt: skip
def test_without_a_published_figure_it_is_marked_as_practice(
    construction: dict[str, Any], came: dict[str, Any], says: str
) -> None:
    """Common practice, no source."""
    line = asked(construction=construction, **came)
    assert says in texts(line.said)
    assert line.sources[-1] == f"Unlike faces: {PRACTICE}"
    assert (line.word, line.limit) == (None, None)
    assert "settled_across_mm" not in line.figures


@pytest.mark.parametrize(
    ("construction", "came", "says"),
    [
        ({"top": [VENEER]}, {}, "It is not told what lies on its bottom face"),
        ({"edges": "lipped"}, {"checklist": {"sheet_flat": False}}, "It is not told what lies on its faces"),
        (None, {"checklist": {"sheet_flat": False}}, "It is not told what lies on its faces"),
    ],
)
def test_not_told_is_said_where_it_matters(construction: Any, came: dict[str, Any], says: str) -> None:
    line = asked(construction=construction, **came)
    assert says in texts(line.said)
    assert line.figures["alike"] is None
    assert "not told" not in texts(asked(construction={"edges": "lipped"}).said)
