"""The rack, a lot, and what can be told of it: from documents to blocks, from touches to what is told. No window."""

from __future__ import annotations

from typing import Any

import pytest

from kiosk.blocks import AnswerRows, Cards, Choices, Keyboard, Pad, Questions, Table
from kiosk.desk import Desk
from kiosk.figures import System, Units
from kiosk.pages.catalog import FIRST
from kiosk.pages.forms import DEEDS, FORMS
from kiosk.words import Words, languages
from tests.kiosk.fakes import FakeClient, document, shop


class Hand:
    """Touches pages, and reads them."""

    def __init__(self, screen: str = "rack", language: str = "en", units: System = "metric") -> None:
        self.client: FakeClient = shop()
        self.desk = Desk(self.client, Words(language), FIRST, lambda: 0.0, Units(units))
        self.client.start(lambda: self.desk.take(self.client.latest()))
        self.client.offer(document())
        self.desk.open_screen(screen)
        self.touches = 1

    def touch(self, *names: str) -> Hand:
        for name in names:
            assert name in self.names(), f"{name}: found {sorted(self.names())}"
            self.desk.touched(name)
            self.touches += 1
        return self

    def blocks(self, kind: type[Any]) -> list[Any]:
        view = self.desk.view()
        assert view is not None
        return [block for column in view.columns for block in column.blocks if isinstance(block, kind)]

    def names(self) -> set[str]:
        view = self.desk.view()
        assert view is not None
        found = {deed.name for deed in view.deeds if deed.enabled}
        found |= {button.name for block in self.blocks(Choices) for button in block.buttons}
        found |= {card.name for block in self.blocks(Cards) for card in block.cards}
        found |= {row.name for kind in (Table, Questions) for block in self.blocks(kind) for row in block.rows}
        found |= {one.name for block in self.blocks(AnswerRows) for row in block.rows for one in row.buttons}
        for pad in self.blocks(Pad):
            found |= {f"pad:{key}" for key in "0123456789."} | {"pad:back"}
            found |= {button.name for button in (*pad.units, *pad.quick)}
        if self.blocks(Keyboard):
            found |= {f"key:{key}" for key in "abcdefghijklmnopqrstuvwxyz"} | {"key:space", "key:back"}
        return found - {""}

    def told(self) -> dict[str, Any]:
        body = self.client.told[-1].body
        assert body is not None
        deed: dict[str, Any] = body["deed"]
        return deed


def test_the_rack_shows_every_lot_worst_first_and_its_band_says_the_worst() -> None:
    hand = Hand()
    (cards,) = hand.blocks(Cards)
    assert cards.cards[0].word == "act"
    assert cards.cards[0].title == "Sapele for window boards"
    assert cards.cards[0].left == "Bench room, stickered"
    assert cards.cards[0].right == "shell 10.0 · core 11.4"
    view = hand.desk.view()
    assert view is not None
    assert view.band is not None
    assert view.band.title == "Sapele for window boards: Wrap it today"


def test_filters_leave_what_was_asked_for() -> None:
    hand = Hand().touch("filter", "word:ready", "show")
    (cards,) = hand.blocks(Cards)
    assert {card.word for card in cards.cards} == {"ready"}
    hand.touch("filter", "zone:rack-loft", "show")
    assert hand.blocks(Cards) == []


def test_a_lot_is_wrapped_in_three_touches() -> None:
    hand = Hand().touch("lot:sapele-boards", "quick:wrapped")
    assert hand.told() == {"kind": "wrapped", "lot": "sapele-boards"}
    assert hand.touches == 3
    assert "desk:undo" in hand.names()


def test_stock_comes_in_with_twelve_touches_at_most() -> None:
    hand = Hand().touch("add", "choose:cherry_black", "value:27", "pad:8", "next")
    hand.touch("choose:kiln-dried-yard", "choose:nothing", "tell")
    deed = hand.told()
    assert {k: deed[k] for k in ("species", "thickness_mm", "pieces", "zone", "name")} == {
        "species": "cherry_black", "thickness_mm": 27.0, "pieces": 8, "zone": "bench-room",
        "name": "Cherry, black 27 mm",
    }  # fmt: skip
    assert hand.touches <= 12


def test_a_thickness_in_inches_and_sixteenths_is_told_in_millimetres() -> None:
    hand = Hand().touch("add", "letter:C", "choose:cherry_black", "unit:in", "pad:1", "next")
    assert hand.desk.page is not None
    assert dict(hand.desk.page.given)["thickness_mm"] == pytest.approx(25.4)  # type: ignore[attr-defined]


def test_what_was_answered_can_be_answered_anew() -> None:
    hand = Hand().touch("add", "choose:cherry_black", "value:27", "field:species", "letter:O", "choose:oak_white")
    rows = {row.name: row.value for row in hand.blocks(Table)[0].rows}
    assert rows["field:species"].startswith("Oak, white")
    assert rows["field:thickness_mm"] == "27 mm"


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("deed", DEEDS)
def test_every_deed_can_be_told_by_touch_alone(deed: str, language: str) -> None:
    hand = Hand(language=language).touch("lot:sapele-boards", "doing")
    if f"deed:{deed}" not in hand.names():
        assert deed in {"stickered", "unwrapped"}, "it lies so already, or is not wrapped"
        return
    hand.touch(f"deed:{deed}")
    for _ in range(12):
        if hand.client.told:
            break
        hand.touch(_next(hand))
    assert hand.told()["kind"] == deed
    assert hand.told()["lot"] == "sapele-boards"


def _next(hand: Hand) -> str:
    """Something that goes on: tell, else an answer to the open question."""
    names = hand.names()
    for name in ("tell", "next"):
        if name in names:
            return name
    choose = sorted(name for name in names if name.startswith("choose:"))
    return choose[0] if choose else "pad:5"


def test_what_was_told_can_be_taken_back_from_the_journal_for_ever() -> None:
    hand = Hand().touch("lot:sapele-boards", "journal")
    rows = hand.blocks(Table)[0].rows
    assert [row.value for row in rows[:1]], "the newest first"
    hand.touch(rows[0].name, "take-back")
    assert hand.told() == {"kind": "undone", "entry": rows[0].name.removeprefix("entry:")}


def test_a_deed_is_told_of_when_it_was() -> None:
    hand = Hand().touch("lot:sapele-boards", "doing", "deed:wrapped", "field:hour", "choose:3", "tell")
    body = hand.client.told[-1].body
    assert body is not None
    assert body["t_ms"] == document()["now_ms"] - 3 * 3_600_000
    assert body["deed"] == {"kind": "wrapped", "lot": "sapele-boards"}


def test_each_form_names_a_kind_that_its_deed_tells() -> None:
    assert set(FORMS) <= set(DEEDS)


@pytest.mark.parametrize("language", languages())
def test_a_question_opens_its_source_and_caution(language: str) -> None:
    hand = Hand(language=language).touch("lot:sapele-boards")
    (questions,) = hand.blocks(Questions)
    hand.touch(questions.rows[0].name)
    assert hand.blocks(Questions) == []
    view = hand.desk.view()
    assert view is not None
    assert len(view.columns) == 2
