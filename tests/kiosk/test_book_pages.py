"""The bench book: every question asked by touch alone, answered by the server's own book; no window, no wire."""

from __future__ import annotations

from typing import Any

import pytest

from kiosk.blocks import Caution, Choices, Facts, Heading, Line, Pad, Table
from kiosk.client import Ask, Refused, Tell
from kiosk.desk import Desk
from kiosk.figures import System, Units
from kiosk.pages.book_answer import sentences
from kiosk.pages.book_questions import BY_NAME, GROUPS
from kiosk.pages.catalog import FIRST
from kiosk.words import Words as KioskWords
from kiosk.words import languages
from server.api.salt_checks import SaltCheckDocument
from server.book.base import BadRequest, ask
from server.book.catalog import QUESTIONS
from server.words import Words
from tests.kiosk.fakes import FakeClient, answer, document
from tests.kiosk.test_pages import Hand


class BookClient(FakeClient):
    """Answers from the book itself: what is sent is checked against the question's schema, as over HTTP."""

    def __init__(self, language: str, units: str) -> None:
        super().__init__()
        self.language, self.units = language, units
        self.holds = {"/api/species": answer("species"), "/api/lots": answer("lots")}

    def _answer_from(self, of: Ask | Tell, found: Any) -> None:
        if of.path.startswith("/api/book/"):
            try:
                said = ask(QUESTIONS[of.path.rpartition("/")[2]], dict(of.body or {}), as_json=True)
                found = said.document(Words(self.language), self.units)
            except BadRequest as bad:
                first = bad.mistakes[0]
                found = Refused(str(first), first.field, first.found, first.would_be_right)
        super()._answer_from(of, found)


class Asker(Hand):
    """A hand at the bench book."""

    def __init__(self, language: str = "en", units: System = "metric") -> None:
        self.client = BookClient(language, units)
        self.desk = Desk(self.client, KioskWords(language), FIRST, lambda: 0.0, Units(units))
        self.client.start(lambda: self.desk.take(self.client.latest()))
        self.client.offer(document())
        self.desk.open_screen("bench_book")
        self.touches = 1

    def through(self, **wanted: str) -> Asker:
        """Touch on until it is answered; ``wanted`` are touches for fields that matter."""
        for _ in range(30):
            at = getattr(self.desk.page, "at", "")
            if not at:
                return self
            self.touch(wanted.get(at) or easiest(self.desk))
        raise AssertionError(f"still asked: {at}")

    def answer(self) -> dict[str, Any]:
        found = self.client.latest().answers["book"].document
        assert found is not None, self.client.latest().answers["book"].refused
        held: dict[str, Any] = found
        return held


def easiest(desk: Desk) -> str:
    """A touch that answers the open question."""
    view = desk.view()
    assert view is not None
    blocks = [block for column in view.columns for block in column.blocks]
    buttons = [b for block in blocks if isinstance(block, Choices) for b in block.buttons]
    buttons += [b for block in blocks if isinstance(block, Pad) for b in block.quick if b.name.startswith("value:")]
    if buttons:
        return min(buttons, key=lambda b: b.name.startswith("letter:")).name
    return "next" if any(deed.name == "next" and deed.enabled for deed in view.deeds) else "pad:5"


def test_every_question_of_the_book_is_on_the_first_page() -> None:
    assert set(BY_NAME) == {*QUESTIONS, "offers"}
    assert {name for _, names in GROUPS for name in names} == set(QUESTIONS)
    assert {f"ask:{name}" for name in BY_NAME} <= Asker().names()


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("name", sorted(QUESTIONS))
def test_every_question_is_asked_by_touch_alone(name: str, language: str, units: System) -> None:
    hand = Asker(language, units).touch(f"ask:{name}")
    assert isinstance(hand, Asker)
    said = hand.through().answer()
    first, _ = sentences(said["sentence"])
    assert first in {line.text for line in hand.blocks(Line) if line.strong}
    assert [one.text for one in hand.blocks(Caution)] == [said["caution"]]
    if name not in {"species", "price"}:
        assert hand.blocks(Facts), "figures stand large"
    hand.touch("rests")
    assert said["source"] in {line.text for line in hand.blocks(Line)}
    assert hand.touches <= 15


def test_a_gap_takes_six_touches_and_says_what_the_book_says() -> None:
    hand = Asker().touch("ask:gap", "choose:oak_white" if "choose:oak_white" in _open() else "letter:O")
    assert isinstance(hand, Asker)
    hand.through(species="choose:oak_white", width_mm="value:150.0", now_pct="value:8.0")
    assert hand.touches <= 7
    assert hand.answer() == _asked("gap", hand)
    facts = [fact for block in hand.blocks(Facts) for fact in block.facts]
    assert facts[0].label == "gap today"
    assert facts[0].value == f"{hand.answer()['gap_today_mm']:.1f} mm"


def _open() -> set[str]:
    return Asker().touch("ask:gap").names()


def _asked(name: str, hand: Asker) -> dict[str, Any]:
    body = hand.client.asked[-1].body
    found: dict[str, Any] = ask(QUESTIONS[name], dict(body or {}), as_json=True).document(Words("en"), "metric")
    return found


def test_the_air_of_a_zone_is_the_usual_air_and_another_can_be_entered() -> None:
    hand = Asker().touch("ask:emc")
    assert isinstance(hand, Asker)
    zone = document()["zones"][0]
    body = hand.client.asked[-1].body
    assert body is not None
    assert body["temperature_c"] == round(zone["air"]["temperature_c"])
    assert body["humidity_pct"] == round(zone["air"]["humidity_pct"])
    hand.touch("change", "field:air", "choose:typed", "pad:1", "pad:8", "next", "pad:5", "pad:5", "next")
    body = hand.client.asked[-1].body
    assert body == {"temperature_c": 18.0, "humidity_pct": 55.0}


def test_a_line_touched_asks_otherwise_and_the_old_answer_never_stands_under_new_questions() -> None:
    hand = Asker().touch("ask:movement")
    assert isinstance(hand, Asker)
    before = hand.through(from_pct="value:8.0", to_pct="value:12.0").answer()["change_mm"]
    hand.touch("change", "field:to_pct", "value:10.0")
    after = hand.answer()["change_mm"]
    assert 0 < after < before, "from 8 to 10, not to 12 %"
    hand.client.holds.clear()
    hand.touch("change", "field:width_mm", "value:300.0", "change")
    texts = {row.name: row.value for row in hand.blocks(Table)[0].rows}
    assert texts["field:width_mm"] == "300 mm"


def test_what_cannot_be_answered_says_what_would_be_right() -> None:
    hand = Asker().touch("ask:emc", "change", "field:humidity_pct", "pad:1", "pad:2", "pad:0", "next")
    assert any("humidity_pct" in line.text for line in hand.blocks(Line))
    assert "That cannot be answered" in {heading.text for heading in hand.blocks(Heading)}


def test_the_offers_that_were_told_are_compared_by_what_is_needed() -> None:
    hand = Asker()
    two = [{"label": "Ash, 12/4", "cost": 83.7, "cost_per_usable_bf": 20.574, "board_feet": 9.3, "settled_days": 204.4}]
    said = {"offers": [*two, {**two[0], "label": "Walnut", "settled_days": None}], "sentence": "Ash costs less.",
            "source": "ours", "caution": "Cut a fork test."}  # fmt: skip
    hand.client.holds["/api/offers/compare"] = said
    hand.touch("ask:offers", "value:20")
    assert hand.client.asked[-1].body == {"need_mm": 20.0}
    rows = {row.label: row.value for row in hand.blocks(Table)[0].rows}
    assert rows["a usable board foot"] == "20.57 · 20.57"
    assert rows["settled"] == "over 60 days · –"


def test_inches_are_asked_in_millimetres_and_answered_in_inches() -> None:
    hand = Asker(units="imperial").touch("ask:movement")
    assert isinstance(hand, Asker)
    hand.through(width_mm="value:300.0")
    body = hand.client.asked[-1].body
    assert body is not None
    assert body["width_mm"] == 300.0
    facts = [fact for block in hand.blocks(Facts) for fact in block.facts]
    assert facts[0].value.endswith(" in")


def salt_check(state: str) -> dict[str, Any]:
    said = {"text": "Leave it 9 hours more.", "key": "salt", "values": {}}
    now_ms = int(document()["now_ms"])
    made = SaltCheckDocument(
        id="c1", sensor="bench", salt="NaCl", salt_name="sodium chloride", state=state, line=said, caution=said,
        begun_ms=now_ms - 3 * 3_600_000, ended_ms=None, due_ms=None, humidity_pct=74.1, temperature_c=20.0,
        published_pct=75.5, published_uncertainty_pct=0.2, slope_pct_per_h=0.1, scatter_pct=0.1, correction=None,
        source="Greenspan 1977",
    )  # type: ignore[arg-type]  # fmt: skip
    return made.model_dump(mode="json")


@pytest.mark.parametrize("language", languages())
def test_a_salt_check_shows_its_hours_and_is_finished_only_once_it_is_steady(language: str) -> None:
    hand = Asker(language)
    hand.client.holds["/api/salt-checks"] = [salt_check("settling")]
    hand.touch("salt-checks")
    (choices,) = hand.blocks(Choices)
    assert "3 h" in choices.buttons[0].note
    hand.touch("check:c1")
    assert "salt:finish" not in hand.names()
    assert [caution.text for caution in hand.blocks(Caution)] == ["Leave it 9 hours more."]
    hand.client.holds["/api/salt-checks"] = [salt_check("steady")]
    hand.desk.again()
    hand.touch("salt:finish")
    assert hand.client.told[-1].path == "/api/salt-checks/c1/finish"
    assert set(hand.client.told[-1].body or {}) == {"command_id"}


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("300 mm shrink by 2.2 mm from 8.0 to 6.0 % MC.", "300 mm shrink by 2.2 mm from 8.0 to 6.0 % MC."),
        ("It moves 5.9 mm. Wood as moist moves more.", "It moves 5.9 mm."),
        ("Am 18. März 402,4 mm breit. Danach weniger.", "Am 18. März 402,4 mm breit."),
    ],
)
def test_the_first_sentence_ends_where_it_ends(text: str, first: str) -> None:
    assert sentences(text)[0] == first
