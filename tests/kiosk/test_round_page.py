"""The closing round: six open lots, one touch each, told in one call. No window; the document is the demo server's."""

from __future__ import annotations

from typing import Any

import pytest

from kiosk.blocks import AnswerRows
from kiosk.words import languages
from server.api.closing_round import RoundDocument, RoundTelling
from tests.kiosk.fakes import answer
from tests.kiosk.test_pages import Hand

LOTS = [lot["lot"] for lot in answer("round")["lots"]]


def told(hand: Hand) -> dict[str, str]:
    """What one call told of each lot; the server takes it."""
    (tell,) = hand.client.told
    assert tell.path == "/api/round"
    RoundTelling.model_validate(tell.body)
    body: Any = tell.body
    return {one["lot"]: one["said"] for one in body["answers"]}


def test_the_document_is_the_servers_and_holds_six_lots() -> None:
    RoundDocument.model_validate(answer("round"))
    assert len(LOTS) == 6


def test_all_as_they_were_is_one_touch() -> None:
    hand = Hand().touch("round", "all")
    assert told(hand) == dict.fromkeys(LOTS, "as-it-was")
    assert hand.touches == 3


def test_six_lots_are_answered_with_eight_touches_from_the_rack_and_told_in_one_call() -> None:
    hand = Hand()
    from_the_rack = hand.touches
    opened = next(lot["lot"] for lot in answer("round")["lots"] if lot["lying"] == "dead-stacked")
    hand.touch("round", *(f"opened:{lot}" if lot == opened else f"as-it-was:{lot}" for lot in LOTS), "tell")
    assert hand.touches - from_the_rack <= 8
    assert told(hand) == {**dict.fromkeys(LOTS, "as-it-was"), opened: "opened"}


def test_the_others_as_they_were_takes_eight_touches_from_anywhere() -> None:
    hand = Hand().touch("round", *(f"as-it-was:{lot}" for lot in LOTS[:5]), "all")
    assert hand.touches <= 8
    assert len(told(hand)) == 6


def test_what_was_not_touched_is_not_told() -> None:
    hand = Hand().touch("round", f"as-it-was:{LOTS[0]}", f"as-it-was:{LOTS[1]}", f"as-it-was:{LOTS[0]}", "tell")
    assert told(hand) == {LOTS[1]: "as-it-was"}


def test_one_that_was_moved_says_where_to() -> None:
    hand = Hand().touch("round", f"move:{LOTS[0]}")
    zone = min(name for name in hand.names() if name.startswith("zone:"))
    hand.touch(zone, "tell")
    assert told(hand) == {LOTS[0]: "moved"}
    body: Any = hand.client.told[0].body
    assert body["answers"][0]["zone"] == zone.partition(":")[2]


def test_a_second_round_has_an_id_of_its_own() -> None:
    hand = Hand().touch("round", "all")
    hand.touch("round", "all")
    ids = [tell.body["id"] for tell in hand.client.told if tell.body]
    assert len(set(ids)) == 2


@pytest.mark.parametrize("language", languages())
def test_what_lies_open_already_cannot_be_found_opened(language: str) -> None:
    (rows,) = Hand(language=language).touch("round").blocks(AnswerRows)
    for lot, row in zip(answer("round")["lots"], rows.rows, strict=True):
        opened = any(button.name.startswith("opened:") for button in row.buttons)
        assert opened == (lot["lying"] not in {"stickered", "on-edge"})
