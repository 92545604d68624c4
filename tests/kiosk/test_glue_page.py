"""The glue-up: from documents that the demo's server answered to blocks, from touches to what is told. No window."""

from __future__ import annotations

from typing import Any

import pytest

from kiosk.blocks import Caution, Choices, Line, PageView, Picture, Questions
from kiosk.client import Refused
from kiosk.glue_views import BoardsView, WidthView
from kiosk.pages.glue_up import CLAMP_H
from kiosk.pages.lot import LotPage
from kiosk.words import languages
from server.advice.glue_up.base import GlueUp
from server.advice.glue_up.documents import GlueUpDocument
from server.shop.gluing import Glued
from server.wood import adhesive
from tests.kiosk.fakes import answer
from tests.kiosk.test_pages import Hand

READY, AGAINST = "glueup", "glueup-against"


def hand(said: str = READY, language: str = "en") -> Hand:
    """On the Glue-up screen, one touch done; whatever is asked of a glue-up is answered so."""
    found = Hand("glue_up", language)
    found.client.holds["/api/glueup"] = answer(said)
    return found


def view(of: Hand) -> PageView:
    shown = of.desk.view()
    assert shown is not None
    return shown


def asked(of: Hand) -> dict[str, Any]:
    """The last that was asked of a glue-up; the server takes it."""
    body = next(ask.body for ask in reversed(of.client.asked) if ask.path == "/api/glueup")
    assert body is not None
    GlueUp.model_validate(body)
    return dict(body)


@pytest.mark.parametrize("name", [READY, AGAINST])
def test_the_documents_are_the_servers(name: str) -> None:
    GlueUpDocument.model_validate(answer(name))


def test_may_i_glue_takes_four_touches_at_most() -> None:
    found = hand().touch("lot:cherry-chest", "ask")
    assert found.touches == 3
    assert asked(found) == {
        "boards": [{"lot": "cherry-chest", "pieces": 3}], "adhesive": "pva", "clamp_h": 2.0,
        "aim": {"destination": "heated-homes"}, "zone": "bench-room",
    }  # fmt: skip
    band = view(found).band
    assert band is not None
    assert (band.word, band.title) == ("ready", "Ready to glue")


def test_boards_of_another_wood_begin_anew_and_a_second_touch_puts_them_back() -> None:
    found = hand().touch("lot:cherry-chest", "lot:sapele-boards", "ask")
    assert [board["lot"] for board in asked(found)["boards"]] == ["sapele-boards"]
    assert asked(found)["aim"] == {"destination": "outer-walls"}
    found.touch("desk:back", "lot:sapele-boards")
    assert "ask" not in found.names(), "nothing is chosen"
    assert view(found).note


def test_pieces_adhesive_hours_and_place_are_chosen_by_touch() -> None:
    found = hand().touch("lot:cherry-chest", "row:pieces:cherry-chest", "pieces:5", "row:adhesive", "choose:hide")
    found.touch("row:clamp_h", "choose:16.0", "row:destination", "choose:outer-walls", "row:zone", "choose:rack-loft")
    assert asked(found.touch("ask")) == {
        "boards": [{"lot": "cherry-chest", "pieces": 5}], "adhesive": "hide", "clamp_h": 16.0,
        "aim": {"destination": "outer-walls"}, "zone": "rack-loft",
    }  # fmt: skip
    found.touch("desk:back", "row:adhesive", "choose:epoxy", "ask")
    assert asked(found)["clamp_h"] == CLAMP_H["epoxy"], "another adhesive has a clamp time of its own"


def test_each_family_is_one_of_the_servers_and_its_hours_are_no_less_than_its_table() -> None:
    for name, hours in CLAMP_H.items():
        assert hours >= (adhesive.family(name).limits["clamp"].high or 0)


def test_a_caution_stands_beside_the_adhesive_and_beside_the_answer() -> None:
    found = hand().touch("lot:cherry-chest", "row:adhesive")
    assert "maker's sheet" in found.blocks(Caution)[0].text
    found.touch("row:boards", "ask")
    assert "maker's sheet" in found.blocks(Caution)[0].text


def test_the_boards_and_the_width_through_the_year_are_drawn_with_their_figures() -> None:
    found = hand().touch("lot:cherry-chest", "ask")
    pictures = [block.view for block in found.blocks(Picture)]
    boards, width = pictures
    assert isinstance(boards, BoardsView)
    assert [(one.width_mm, one.dry_limit_pct, one.damp_limit_pct) for one in boards.boards] == [(175.0, 6.0, 10.0)] * 3
    assert isinstance(width, WidthView)
    figures = next(line["figures"] for line in answer(READY)["lines"] if line["question"] == "year-of-width")
    (bar,) = width.bars
    assert (bar.shrinks_mm, bar.swells_mm) == (figures["shrinks_mm"], figures["swells_mm"])
    assert (bar.less, bar.more) == (f"\N{MINUS SIGN}{bar.shrinks_mm:.1f} mm", f"+{bar.swells_mm:.1f} mm")


@pytest.mark.parametrize("language", languages())
def test_every_question_opens_its_limit_its_source_and_its_caution(language: str) -> None:
    found = hand(AGAINST, language).touch("lot:sapele-boards", "ask")
    (questions,) = found.blocks(Questions)
    assert len(questions.rows) >= len(answer(AGAINST)["lines"])
    words = [row.word for row in questions.rows if row.word]
    assert words == sorted(words, key=("act", "look", "wait", "ready").index), "what speaks against it first"
    for row in questions.rows:
        found.touch(row.name)
        assert any(block.text for block in found.blocks(Line))
        found.touch("desk:back")


def test_ready_it_is_glued_with_two_touches_and_the_panel_is_shown() -> None:
    found = hand().touch("lot:cherry-chest", "ask", "glued", "tell")
    deed = found.told()
    Glued.model_validate(deed)
    assert (deed["width_mm"], deed["against"], deed["name"]) == (525.0, [], "Cherry for the chest, panel")
    assert found.desk.page == LotPage(deed["lot"])
    assert "desk:undo" in found.names()


def test_not_ready_it_asks_once_names_the_reasons_and_keeps_them() -> None:
    found = hand(AGAINST).touch("lot:sapele-boards", "ask", "glued")
    reasons = answer(AGAINST)["against"]
    (questions,) = found.blocks(Questions)
    assert {row.name for row in questions.rows} == {f"line:{one['question']}" for one in reasons}
    assert not found.client.told
    deed = found.touch("all-the-same", "tell").told()
    Glued.model_validate(deed)
    assert deed["against"] == reasons


def test_what_cannot_be_glued_says_why() -> None:
    found = hand()
    found.client.holds["/api/glueup"] = Refused("boards.1.lot: found …", would_be_right="mill them alike first")
    found.touch("lot:cherry-chest", "ask")
    assert "mill them alike first" in found.blocks(Line)[0].text
    assert "glued" not in found.names()


def test_boards_that_were_glued_since_are_chosen_no_more() -> None:
    found = hand().touch("lot:cherry-chest")
    lots = answer("lots")
    next(lot for lot in lots if lot["id"] == "cherry-chest")["pieces"] = 9
    found.client.holds["/api/lots"] = lots
    found.desk.again()
    assert "ask" not in found.names()
    (choices,) = found.blocks(Choices)
    assert not any(button.chosen for button in choices.buttons)
