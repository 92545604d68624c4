"""The catalogue, the Fluent files and the code agree; the contract's sentences are the ones said."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest
from fluent.syntax import FluentParser, ast
from fluent.syntax.visitor import Visitor

from server.config import Shop
from server.words import Language, Sentence, Telling, Words, WordsError, languages, loader, render
from server.words.keys import PARTS, SENTENCES
from server.words.keys_of_glueup import GLUE_UP
from server.words.keys_of_lots import LOTS
from server.words.keys_of_panels import PANELS
from server.words.loader import texts
from server.words.of_band import FAR_LETTERS, LONGEST_FAR_NAME, far
from tests.unit.words.samples import NAMES, NOW_MS, every_sentence, verdicts

FOLDER = Path(__file__).parents[3] / "server" / "words"
CONTRACT = Path(__file__).parents[2] / "contract"
SAID_WITHOUT = {
    ("notice-port-lost-title", "source"),
    ("alert-silent-title", "sensor"),
    ("alert-talking-title", "sensor"),
}
"""Values that the documents carry for a client and that the English sentence does without."""


LANGUAGES = get_args(Language)
DRAWN = {"en": ("draw", "expected to"), "de": ("zieh", "voraussichtlich")}
"""What is said with the figure that air draws wood to."""
MOISTURE = {"en": "moisture", "de": "holzfeuchte"}
OF_WOOD = {"en": ("lot-",), "de": ("lot-", "book-meter", "book-movement", "book-price", "book-species")}
"""Sentences about wood: German has no sign for its moisture such as MC, and names it in full."""


@cache
def every() -> tuple[Sentence, ...]:
    """Made once: the code behind some of them runs the model."""
    return tuple(every_sentence())


class Variables(Visitor):
    """Collects the values a message asks for, and the messages it says within itself."""

    def __init__(self) -> None:
        self.names: set[str] = set()
        self.within: set[str] = set()

    def visit_VariableReference(self, node: Any) -> None:  # noqa: N802 (the library's name)
        self.names.add(node.id.name)

    def visit_MessageReference(self, node: Any) -> None:  # noqa: N802 (the library's name)
        self.within.add(node.id.name)


def messages(language: str) -> dict[str, set[str]]:
    found: dict[str, Variables] = {}
    for entry in FluentParser().parse("\n".join(texts(language))).body:
        assert not isinstance(entry, ast.Junk), entry.content
        if isinstance(entry, ast.Message):
            assert entry.id.name not in found, f"{entry.id.name} stands twice"
            variables = Variables()
            variables.visit(entry)
            found[entry.id.name] = variables
    return {key: asked(found, key) for key in found}


def asked(found: dict[str, Variables], key: str) -> set[str]:
    return found[key].names.union(*(asked(found, part) for part in found[key].within))


@pytest.mark.parametrize("language", languages())
def test_the_file_holds_every_key_of_the_catalogue_and_no_other(language: str) -> None:
    assert set(messages(language)) == set(SENTENCES) | set(PARTS)


@pytest.mark.parametrize("language", languages())
def test_a_sentence_asks_for_no_value_that_it_is_not_given(language: str) -> None:
    for key, asked in messages(language).items():
        given = set(SENTENCES.get(key, ())) or set(PARTS.get(key, ()))
        assert asked <= given, key
        if language == "en":
            assert {(key, name) for name in given - asked} <= SAID_WITHOUT, key


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_code_makes_every_sentence_of_the_catalogue_with_just_its_values(language: Language) -> None:
    made = set()
    words = Words(language, strict=True)
    for sentence in every():
        made.add(sentence.key)
        assert set(sentence.values) == SENTENCES[sentence.key], sentence.key
        text = str(render(sentence, words)["text"])
        assert text
        assert "\u2068" not in text, "isolation marks"
        assert json.dumps(render(sentence, words))
    assert made == set(SENTENCES)


def said_in(part: Any) -> Iterator[dict[str, Any]]:
    if isinstance(part, dict):
        if {"text", "key", "values"} == set(part):
            yield part
        for value in part.values():
            yield from said_in(value)
    elif isinstance(part, list):
        for value in part:
            yield from said_in(value)


@pytest.mark.parametrize("name", ["snapshot.json", "snapshot-empty.json", "listen.json"])
def test_the_contract_sentences_are_the_ones_said(name: str) -> None:
    words = Words("en", strict=True)
    found = list(said_in(json.loads((CONTRACT / name).read_text(encoding="utf-8"))))
    assert len(found) >= 8
    for said in found:
        assert set(said["values"]) == SENTENCES[said["key"]], said["key"]
        assert words.say(said["key"], said["values"]) == said["text"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_title_of_a_lot_a_panel_and_a_glue_up_is_at_most_24_letters(language: Language) -> None:
    words = Words(language, strict=True)
    titled = [one for one in every() if one.key.endswith("-title") and one.key in {**LOTS, **PANELS, **GLUE_UP}]
    assert len({one.key for one in titled}) >= 50
    for one in titled:
        text = str(render(one, words)["text"])
        assert len(text) <= 24, f"{one.key}: {text}"


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_far_sentence_is_at_most_30_letters_for_names_up_to_15(language: Language) -> None:
    words, widest = Words(language, strict=True), "W" * LONGEST_FAR_NAME
    fars = [key for key in SENTENCES if key.startswith("band-") and ("-far" in key)]
    assert len(fars) >= 17
    for key in fars:
        values = dict.fromkeys(SENTENCES[key], widest)
        assert len(words.say(key, values)) <= FAR_LETTERS, key
        if "zone" in SENTENCES[key]:
            longer = render(far(key, widest + "W"), words)
            assert longer["key"] == f"{key}-short"
    for zone in NAMES:
        for verdict in verdicts(zone):
            assert len(str(render(verdict.far, words)["text"])) <= FAR_LETTERS


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_calls_the_air_s_figure_the_wood_s_moisture(language: Language) -> None:
    words = Words(language, strict=True)
    for sentence in every():
        text = str(render(sentence, words)["text"]).lower()
        assert MOISTURE[language] not in text or sentence.key.startswith(OF_WOOD[language]), text
        assert "emc" not in text, text
        assert "the wood is" not in text, text
        if "emc_pct" in sentence.values:
            assert MOISTURE[language] not in text, text
            assert any(word in text for word in DRAWN[language]), text


def test_what_cannot_be_said_shows_as_its_key(caplog: pytest.LogCaptureFixture) -> None:
    loader._missed.clear()
    words = Words("en")
    assert words.say("no-such-key") == "[no-such-key]"
    assert words.say("alert-since", {}) == "[alert-since]"
    assert words.say("alert-since", {}) == "[alert-since]"
    assert [r.getMessage() for r in caplog.records if "alert-since" in r.getMessage()] == [
        "Cannot say 'alert-since' in 'en': Unknown external: at"
    ]
    assert render(Sentence("no-such-key"), words)["text"] == "[no-such-key]"


def test_what_a_language_lacks_is_said_in_english_whole(monkeypatch: pytest.MonkeyPatch, caplog: Any) -> None:
    """The moment inside it too: no sentence is half in one language and half in another."""
    german = "alert-since = seit { $at }\nwhen-other = { $clock } am { $weekday } { $date }. { $month }\n"
    monkeypatch.setattr(loader, "texts", lambda language: [german] if language == "de" else texts(language))
    loader._bundle.cache_clear()
    loader._missed.clear()
    try:
        words, telling = Words("de"), Telling(NOW_MS, "America/New_York")
        note = Sentence("outlook-note", {"emc_pct": 6.2, "day": telling.day(NOW_MS)})
        for _ in range(2):
            assert render(note, words)["text"] == "Expected to draw to 6.2 % by Tuesday."
        assert [r.getMessage() for r in caplog.records] == ["Cannot say 'outlook-note' in 'de': no such sentence"]
        assert render(Sentence("alert-since", {"at": telling.at(NOW_MS)}), words)["text"] == "seit 7:42"
        with pytest.raises(WordsError, match="de: cannot say 'when-tomorrow'"):
            Words("de", strict=True).say("when-tomorrow", {"clock": "7:42"})
    finally:
        loader._bundle.cache_clear()
        loader._missed.clear()


def test_the_languages_with_a_file_are_those_that_may_be_asked_for() -> None:
    assert set(languages()) == set(get_args(Language))
    assert set(get_args(Shop.model_fields["language"].annotation)) == set(get_args(Language))


@pytest.mark.parametrize(
    ("count", "unit", "within", "lasting"),
    [
        (1.2, "days", "in 1 Tag, frühestens in 0.", "1 Tag, mindestens 0."),
        (3.0, "days", "in 3 Tagen, frühestens in 2.", "3 Tage, mindestens 2."),
        (5.0, "h", "in 5 h, frühestens in 4.", "5 h, mindestens 4."),
    ],
)
def test_a_german_count_follows_its_sentence(count: float, unit: str, within: str, lasting: str) -> None:
    words = Words("de", strict=True)
    counted = {"count": count, "count_low": count - 1, "count_high": count + 1, "unit": unit, "spread": "lasts"}
    assert words.say("lot-mill-wait", counted) == f"Hobelreif {within}"
    assert words.say("lot-mill-until", counted) == f"So bleibt es: {lasting}"


def test_german_names_no_gender_and_no_number_of_a_name() -> None:
    """A name of one or of many, of any gender: no article stands before it and no verb behind it."""
    name = "Zzz"
    for key in (key for key in SENTENCES if key.startswith(("panel-", "band-", "alert-lot-", "glue-aim-outside"))):
        values = {v: name if v in {"name", "zone"} else "yes" if v in {"rank", "why"} else 2 for v in SENTENCES[key]}
        text = Words("de").say(key, values)
        assert not re.search(rf"\b(der|die|das|den|dem|ein|eine|einen|im|am|zur|zum) {name}", text), text
        assert not re.search(rf"{name} (ist|hat|hatte|war|wird|liegt|kann|darf|steht|geht|bleibt|braucht)\b", text), (
            text
        )
