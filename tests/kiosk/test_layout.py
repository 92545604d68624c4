"""At every size and in every state: nothing cut, nothing on top of anything else, nothing outside its place."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from types import MappingProxyType
from typing import Any

import pytest

from kiosk.client import Link
from kiosk.figures import Units
from kiosk.widgets.text import wrapped
from kiosk.window import KioskWindow
from kiosk.words import Words
from server.words import Words as SaidByServer
from tests.kiosk.fakes import document
from tests.kiosk.stage import DE, EN, SIZES, Stage, texts

SERVER_DE = SaidByServer("de", strict=True)
AWAY = Link("away", "it does not answer")


class Long(Words):
    """A language whose words are longer than any we wrote."""

    said = MappingProxyType(
        {
            "draws-to": "Diese Raumluft zieht das Holz auf",
            "outlook": "Drei Tage zurück, vier voraus",
            "to-look-at": "Zum Nachsehen",
            "nothing-to-look-at": "Es gibt zurzeit nichts nachzusehen",
            "yesterday": "gestern um diese Zeit 6,9 %",
            "humidity": "Luftfeuchtigkeit",
            "dew-point": "Taupunkttemperatur",
            "air": "Lufttemperatur",
            "acknowledge": "Zur Kenntnis genommen",
            "shelve": "8 Stunden zurückstellen",
            "close": "Schließen",
            "clock-not-set": "Uhr nicht gestellt",
            "server-away": "Server nicht erreichbar seit 7:42",
            "silent": "verstummt",
            "screen-bench_book": "Werkbankbuch",
            "screen-glue_up": "Verleimung",
            "screen-seasons": "Jahreszeiten",
            "word-look": "nachsehen",
        }
    )

    def __call__(self, key: str, /, **values: str | int | float) -> str:
        usual = super().__call__(key, **values)
        return self.said.get(key, usual)


LONG = Long()


def long_document() -> dict[str, Any]:
    doc = document()
    doc["band"]["title"]["text"] = "Die Luft im Bankraum trocknet zusehends aus"
    doc["band"]["why"]["text"] = (
        "Geht es so weiter, zieht die Luft dort das Holz bis 21:00 Uhr unter 6 Prozent. Gehobeltes Holz einwickeln "
        "oder die Heizung niedriger stellen und die Tür zum Lager schließen."
    )
    doc["band"]["far"]["text"] = "Der Bankraum trocknet weiter a"
    doc["zones"][0]["name"] = "Handwerkliche Bankraumhälfte links"
    doc["zones"][0]["aim"]["text"]["text"] = "Zielbereich 6–10 %: Werkstücke für beheizte Wohnräume"
    doc["zones"][0]["chart_note"]["text"] = "Zieht das Holz voraussichtlich bis Donnerstagabend auf 5,9 %."
    doc["zones"][1]["state_text"]["text"] = "vor 3 Minuten gehört"
    doc["zones"][2]["heard_text"]["text"] = "zuletzt gehört um 17:16 Uhr"
    doc["alerts"][0]["title"]["text"] = "Bankraum: Holzausgleichsfeuchte fällt schnell"
    doc["alerts"][0]["why"]["text"] = (
        "Von 6,9 auf 6,3 % in sechs Stunden; geht es so weiter, liegt sie um 21:00 Uhr unter 6 %. "
        "Das ist der schnellste Rückgang seit dem Beginn der Heizperiode im vergangenen Oktober."
    )
    doc["alerts"][0]["caution"]["text"] = (
        "Heizgeräte und Luftbefeuchter in der Nähe von Staub oder Lösemitteldampf können brennen: Angaben des "
        "Herstellers und örtliche Vorschriften gehen vor."
    )
    doc["shop"]["clock_set"] = False
    return doc


def german(part: Any) -> Any:
    """A document with the sentences that the server says in German."""
    if isinstance(part, dict):
        said = {"text": SERVER_DE.say(part["key"], part["values"])} if {"text", "key", "values"} <= set(part) else {}
        return {key: german(value) for key, value in part.items()} | said
    return [german(one) for one in part] if isinstance(part, list) else part


def crowded() -> dict[str, Any]:
    doc = document()
    doc["alerts"] = [{**doc["alerts"][i % 2], "id": f"a{i}"} for i in range(9)]
    doc["zones"] = [{**doc["zones"][i % 3], "id": f"z{i}"} for i in range(5)]
    doc["zones"][0]["air"].update(emc_pct=18.46, temperature_c=-10.2, humidity_pct=100.0, dew_point_c=-10.2)
    doc["zones"][0]["aim"] = None
    doc["band"].update(word="act", zone="z0")
    return doc


def nothing(_: KioskWindow) -> None:
    """As it comes."""


def sheet(window: KioskWindow) -> None:
    window.open_item("a1f0")


CASES: dict[str, tuple[dict[str, Any], Link, dict[str, Any], Words, Callable[[KioskWindow], None]]] = {
    "shop": (document(), Link("live"), {}, EN, nothing),
    "imperial": (document(), Link("live"), {"units": Units("imperial")}, EN, nothing),
    "silent": (document(), Link("live"), {"chosen": "finishing-room"}, EN, nothing),
    "away": (document(), AWAY, {}, EN, nothing),
    "empty": (document("snapshot-empty"), Link("live"), {}, EN, nothing),
    "crowded": (crowded(), Link("live"), {}, EN, nothing),
    "sheet": (document(), Link("live"), {}, EN, sheet),
    "far": (document(), Link("live"), {}, EN, KioskWindow.go_far),
    "far silent away": (document(), AWAY, {"chosen": "finishing-room"}, EN, KioskWindow.go_far),
    "far empty": (document("snapshot-empty"), Link("live"), {}, EN, KioskWindow.go_far),
    "later": (document(), Link("live"), {}, EN, lambda w: w.open_screen("glue_up")),
    "long shop": (long_document(), Link("live"), {}, LONG, nothing),
    "long silent away": (long_document(), AWAY, {"chosen": "finishing-room"}, LONG, nothing),
    "long sheet": (long_document(), Link("live"), {}, LONG, sheet),
    "long far": (long_document(), Link("live"), {}, LONG, KioskWindow.go_far),
}


def top_of(window: KioskWindow) -> Any:
    """What covers the rest, where something does."""
    return window.far if window.far.parent else window.sheet if window.sheet.parent else window


@pytest.mark.parametrize("words", [EN, DE, LONG], ids=["english", "german", "long"])
@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_no_text_is_cut_or_overlapped(stage: Stage, size: tuple[int, int], words: Words) -> None:
    window = stage.window(size, words)
    for case, (said, link, how, language, do) in CASES.items():
        if language is words or (words is DE and language is EN):
            doc = german(said) if words is DE else said
            window.open_screen("shop")
            window.come_near()
            stage.show(window, doc, link, **how)
            do(window)
            stage.frames()
            check(window, size, case)


def check(window: KioskWindow, size: tuple[int, int], case: str) -> None:
    found = texts(top_of(window))
    assert len(found) >= 2, case
    for text in found:
        x, y, width, height = text.drawn
        box = f"{case}: {text.text!r} {text.drawn} in {text.parent.__class__.__name__}"
        assert width <= text.width + 1, box
        assert x >= -1, box
        assert x + width <= size[0] + 1, box
        assert y >= -1, box
        assert y + height <= size[1] + 1, box
        assert x >= text.parent.x - 1, box
        assert x + width <= text.parent.right + 1, box
        assert y >= text.parent.y - 1 - height * 0.2, box
        assert y + height <= text.parent.top + 1 + height * 0.2, box
        assert text.name or not text.shortened, box
    for one, other in itertools.combinations(found, 2):
        assert not overlap(one.drawn, other.drawn), f"{case}: {one.text!r} {one.drawn} and {other.text!r} {other.drawn}"


def overlap(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Whether two boxes share more than the blank that a line of letters has above and below."""
    wide = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    slack = 0.16 * min(one[3], other[3])
    high = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    return wide > 1 and high > slack


def test_the_overlap_is_seen_when_there_is_one() -> None:
    assert overlap((0, 0, 100, 30), (90, 10, 50, 30))
    assert not overlap((0, 0, 100, 30), (0, 28, 100, 30))
    assert not overlap((0, 0, 100, 30), (100, 0, 100, 30))


@pytest.mark.parametrize("size", [(1280, 800)], ids=["1280x800"])
def test_near_text_at_1280_is_22_px_or_more(stage: Stage, size: tuple[int, int]) -> None:
    window = stage.window(size)
    for how in ({}, {"chosen": "finishing-room"}):
        stage.show(window, document(), **how)
        # the figures under a scale, and what the digits of a date need, are the only smaller letters
        assert {t.text for t in texts(window) if t.fitted_px < 21.9} == set()


def test_no_line_ends_between_a_figure_and_its_unit(stage: Stage) -> None:
    """At every width: "unter 6" is never left without its "%"."""
    text = "Zieht Holz bis 21:00 auf 6 %, bei 20,4 °C und 12 mm in 3 h; 2 Bretter in 4 Wochen."
    for width in range(60, 700, 7):
        lines = wrapped(text, 22, width, False)
        assert " ".join(lines) == text
        for line in lines[1:]:
            assert not line.startswith(("%", "°C", "mm", "h;")), lines
    assert any(line.startswith("Bretter") for width in range(60, 700) for line in wrapped(text, 22, width, False))
