"""The window: touched, waited at, typed at, and counted."""

from __future__ import annotations

import gc
import itertools
import weakref
from typing import Any

import pytest
from kivy.uix.widget import Widget

from kiosk.choice import Choice
from kiosk.client import Link
from kiosk.figures import Units
from kiosk.window import ENTER, ESCAPE, FAR_AFTER_S, TAB
from tests.kiosk.fakes import FakeClient, document
from tests.kiosk.stage import SIZES, Stage, seen, words

AWAY = Link("away", "it does not answer")


def shop(window: Any) -> Any:
    return window.screens["shop"].ids


def test_the_shop_says_its_texts(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document())
    said = words(window)
    for text in ("The bench room is drying out", "This air draws wood to", "6.3", "± 0.5", "20.4 °C", "silent"):
        assert text in said
    assert "Broker shop-broker not reached" in said


def test_touching_a_zone_makes_it_the_big_one(stage: Stage) -> None:
    from kiosk.app import Kiosk
    from kiosk.words import Words

    client = FakeClient()
    kiosk = Kiosk(client, Words(), dpi=149)
    stage.begin(kiosk)
    client.start(kiosk.changed)
    client.offer(document())
    stage.frames(8)
    stage.tap(shop(kiosk.window).zones.cards[1])
    assert shop(kiosk.window).air.ids.figure.number == "6.8"
    stage.tap(shop(kiosk.window).zones.cards[2])
    assert shop(kiosk.window).air.ids.figure.number == "silent"
    assert "6.3" not in words(shop(kiosk.window).air.ids.figure)


def test_the_big_number_of_an_old_zone_says_its_age(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document(), chosen="rack-loft")
    assert "This air draws wood to · 3 min ago" in words(shop(window).air)
    stage.show(window, document(), chosen="bench-room")
    assert "ago" not in words(shop(window).air)


def test_language_and_units_change_while_it_runs(stage: Stage) -> None:
    """Words and figures of our own at once, though nothing of the snapshot differs; the server's with its answer."""
    from kiosk.app import Kiosk
    from kiosk.words import Words

    client, kept = FakeClient(), []
    kiosk = Kiosk(client, Words("en"), dpi=149, keep=kept.append)
    stage.begin(kiosk)
    client.start(kiosk.changed)
    client.offer(document())
    stage.frames(8)
    kiosk.use(language="de", units=Units("imperial"))
    stage.frames(8)
    said = words(kiosk.window)
    for text in ("Diese Luft zieht Holz auf", "6,3", "68,8 °F", "Holzlager", "Werkbuch", "Zum Ansehen", "stumm"):
        assert text in said, text
    for text in ("This air", "6.3", "Bench book", "To look at", "20.4"):
        assert text not in said, text
    kiosk.use(language="de")
    assert client.used == [("de", "imperial")], "the same again asks nobody"
    assert kept == [Choice("de", Units("imperial"))]
    kiosk.window.open_screen("rack")
    kiosk.use(language="en")
    stage.frames(4)
    assert "Bench book" in words(kiosk.window)
    assert "Werkbuch" not in words(kiosk.window)
    assert kept[-1] == Choice("en", Units("imperial"))
    with pytest.raises(ValueError, match="language: found 'xx'"):
        kiosk.use(language="xx")


def test_every_screen_opens_by_touch_and_by_key(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document())
    for place in window.navigation.places:
        stage.tap(place)
        assert window.screen_name == place.screen
        stage.pass_s(0.4)
    stage.tap(window.band.clock)
    assert window.screen_name == "setup"
    for key, name in zip("123450", window.screens, strict=True):
        window.on_key(ord(key), key)
        assert window.screen_name == name


def test_an_alert_opens_its_sheet_and_the_deed_goes_out_once(stage: Stage) -> None:
    window = stage.window()
    deeds: list[tuple[str, str]] = []
    window.bind(on_deed=lambda _, *deed: deeds.append(deed))
    stage.show(window, document())
    stage.tap(shop(window).look.rows[0])
    said = words(window.sheet)
    for text in ("falling fast", "follow its maker", "Wood Handbook", "Acknowledge", "Shelve 8 h", "Close"):
        assert text in said
    button = window.sheet.deeds["acknowledge"]
    stage.tap(button)
    stage.tap(button)  # a knuckle that bounces, or a second reader of the same finger
    assert deeds == [("a1f0", "acknowledge")]
    stage.pass_s(1.1)
    stage.tap(window.sheet.deeds["shelve"])
    assert deeds[-1] == ("a1f0", "shelve")
    stage.tap(window.sheet.close)
    assert window.sheet.parent is None


def test_a_second_tap_where_a_deed_was_does_nothing_else(stage: Stage) -> None:
    """The answer comes between two taps: Acknowledge is gone by then, and Shelve must not have slid into its place."""
    window = stage.window()
    deeds: list[Any] = []
    window.bind(on_deed=lambda _, *deed: deeds.append(deed))
    stage.show(window, document())
    window.open_item("a1f0")
    stage.frames()
    place = window.sheet.deeds["acknowledge"].center
    shelve = tuple(window.sheet.deeds["shelve"].pos)
    stage.touch(*place)
    doc = document()
    doc["alerts"][0]["state"] = "acknowledged"
    stage.show(window, doc)
    assert tuple(window.sheet.deeds["shelve"].pos) == shelve
    stage.pass_s(0.4)
    stage.touch(*place)
    stage.touch(*window.sheet.deeds["shelve"].center)  # too soon after a change to be meant
    assert deeds == [("a1f0", "acknowledge")]
    stage.pass_s(1.1)
    stage.touch(*window.sheet.deeds["shelve"].center)
    assert deeds == [("a1f0", "acknowledge"), ("a1f0", "shelve")]


def test_the_far_number_belongs_to_the_far_sentence(stage: Stage) -> None:
    from kiosk.app import Kiosk
    from kiosk.words import Words

    client = FakeClient()
    kiosk = Kiosk(client, Words(), dpi=149)
    stage.begin(kiosk)
    client.start(kiosk.changed)
    client.offer(document())
    stage.frames(8)
    stage.tap(shop(kiosk.window).zones.cards[1])
    assert shop(kiosk.window).air.ids.figure.number == "6.8"
    kiosk.window.go_far()
    stage.frames()
    assert "Bench room" in words(kiosk.window.far)
    assert shop(kiosk.window).air.ids.figure.number == "6.3"


def test_an_answer_that_cannot_be_drawn_leaves_the_last_wall(stage: Stage) -> None:
    from kiosk.app import Kiosk
    from kiosk.words import Words

    client = FakeClient()
    kiosk = Kiosk(client, Words(), dpi=149)
    stage.begin(kiosk)
    client.start(kiosk.changed)
    client.offer(document())
    stage.frames(8)
    before = words(kiosk.window)
    bad = document()
    bad["version"], bad["shop"]["timezone"] = "3f9a1c.119", "America"
    client.offer(bad)
    stage.pass_s(1)
    stage.frames(8)
    assert words(kiosk.window) == before


def test_two_readers_of_one_finger_are_one_press(stage: Stage) -> None:
    from kivy.tests.common import UnitTestTouch

    window = stage.window()
    deeds: list[Any] = []
    window.bind(on_deed=lambda _, *deed: deeds.append(deed))
    stage.show(window, document())
    window.open_item("a1f0")
    stage.frames()
    x, y = window.sheet.deeds["acknowledge"].center
    fingers = [UnitTestTouch(x, y), UnitTestTouch(x + 1, y)]
    for finger in fingers:
        finger.touch_down()
    for finger in fingers:
        finger.touch_up()
    assert len(deeds) == 1


def test_the_sheet_lets_nothing_through_and_follows_its_alert(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document())
    window.open_item("a1f0")
    stage.frames()
    stage.touch(10, 10)  # the bar is behind
    assert window.screen_name == "shop"
    doc = document()
    doc["alerts"][0]["state"] = "acknowledged"
    stage.show(window, doc)
    assert "Acknowledge" not in list(words(window.sheet).split(" | "))
    doc["alerts"] = doc["alerts"][1:]
    stage.show(window, doc)
    assert "This alert is over" in words(window.sheet)
    assert "Shelve 8 h" not in words(window.sheet)


def test_what_was_refused_is_said_on_the_sheet(stage: Stage) -> None:
    from kiosk.app import Kiosk
    from kiosk.words import Words

    client = FakeClient()
    client.refuse("No such alert")
    kiosk = Kiosk(client, Words(), dpi=149)
    stage.begin(kiosk)
    client.start(kiosk.changed)
    client.offer(document())
    stage.frames(10)
    kiosk.window.open_item("a1f0")
    stage.frames()
    stage.tap(kiosk.window.sheet.deeds["shelve"])
    stage.pass_s(0.5)
    assert client.sent[0].hours == 8
    assert "Not done: No such alert" in words(kiosk.window.sheet)


@pytest.mark.parametrize("size", SIZES)
def test_deeds_are_large_enough_and_far_enough_apart(stage: Stage, size: tuple[int, int]) -> None:
    window = stage.window(size)
    stage.show(window, document())
    window.open_item("a1f0")
    stage.frames()
    mm = SIZES[size] / 25.4
    small = (size[0] ** 2 + size[1] ** 2) ** 0.5 / SIZES[size] < 8
    buttons = [window.sheet.deeds["acknowledge"], window.sheet.deeds["shelve"], window.sheet.close]
    for button in buttons:
        assert min(button.size) >= (10 if small else 15) * mm
    for one, other in itertools.pairwise(buttons):
        assert other.x - one.right >= 12 * mm - 1e-6
    for row in shop(window).look.rows[:3]:
        assert row.height >= (10 if small else 15) * mm


def test_after_a_minute_the_far_view_and_the_first_touch_only_wakes(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document())
    stage.pass_s(FAR_AFTER_S - 1)
    stage.touch(640, 700)
    stage.pass_s(FAR_AFTER_S - 1)
    assert window.showing == "shop"
    stage.pass_s(2)
    assert window.showing == "far"
    assert "Bench room is drying out" in words(window.far)
    place = window.navigation.places[1]
    stage.tap(place)
    assert (window.showing, window.screen_name) == ("shop", "shop")
    stage.pass_s(0.4)
    stage.tap(place)
    assert window.screen_name == "rack"


def test_any_key_wakes_and_does_nothing_else(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document())
    for key, text in ((ESCAPE, ""), (ord("2"), "2")):
        window.go_far()
        window.on_key(key, text)
        assert window.showing == "shop"


@pytest.mark.parametrize("size", SIZES)
def test_capitals_of_the_far_view_are_9_mm(stage: Stage, size: tuple[int, int]) -> None:
    window = stage.window(size)
    for chosen, link in ((None, Link("live")), ("finishing-room", AWAY)):
        stage.show(window, document(), link, chosen=chosen)
        window.go_far()
        stage.frames()
        for text in (t for t in seen(window.far) if getattr(t, "text", "") and t.drawn[2]):
            assert text.fitted_px * 0.70 / SIZES[size] * 25.4 >= 9, text.text


def test_the_keyboard_reaches_and_presses_everything(stage: Stage) -> None:
    window = stage.window()
    deeds: list[Any] = []
    window.bind(on_deed=lambda _, *deed: deeds.append(deed))
    stage.show(window, document())
    reached = set()
    for _ in range(40):
        window.on_key(TAB, "")
        reached |= {id(t) for t in window._reachable() if t.focused}
    assert {id(p) for p in window.navigation.places} <= reached
    assert {id(c) for c in shop(window).zones.cards} <= reached
    window.open_item("a1f0")
    window.on_key(TAB, "")
    window.on_key(ENTER, "")
    assert deeds == [("a1f0", "acknowledge")]
    window.on_key(ESCAPE, "")
    assert window.sheet.parent is None


def test_nothing_is_drawn_while_nothing_changes(stage: Stage) -> None:
    window = stage.window()
    stage.show(window, document())
    stage.pass_s(1)
    before = stage.flips
    stage.pass_s(10)
    window.show(window.wall)
    stage.pass_s(10)
    assert stage.flips == before


def test_the_same_words_again_draw_nothing(stage: Stage) -> None:
    from dataclasses import replace

    window = stage.window()
    stage.show(window, document())
    stage.pass_s(1)
    before = stage.flips
    window.show(replace(window.wall, version="3f9a1c.200"))
    stage.pass_s(1)
    assert stage.flips == before


def test_the_chart_is_redrawn_once_a_minute_or_when_it_is_asked_for(stage: Stage) -> None:
    window = stage.window(far_after_s=None)
    stage.show(window, document())
    chart = shop(window).chart
    drawn = chart.times_drawn
    doc = document()
    for _second in range(30):
        doc["now_ms"] += 1000
        stage.show(window, doc)
        stage.pass_s(1)
    assert chart.times_drawn == drawn
    stage.pass_s(35)
    assert chart.times_drawn == drawn + 1
    assert chart.drawn.now_ms == doc["now_ms"]
    doc["now_ms"] += 1000
    stage.show(window, doc)
    stage.tap(chart)
    assert chart.drawn.now_ms == doc["now_ms"]
    stage.show(window, doc, chosen="rack-loft")
    assert chart.drawn.zone == "rack-loft"


def test_screens_are_built_once(stage: Stage) -> None:
    window = stage.window()
    docs = [document(), document()]
    docs[1]["alerts"], docs[1]["version"] = [], "3f9a1c.300"
    stage.show(window, docs[0])

    def alive() -> int:
        gc.collect()
        return sum(1 for o in gc.get_objects() if issubclass(type(o), Widget))

    for name in window.screens:  # once round, so that everything that is made late is made
        window.open_screen(name)
        stage.frames(2)
    before, first = alive(), weakref.ref(window.screens["rack"])
    names = list(window.screens)
    for i in range(500):
        window.open_screen(names[i % len(names)])
        if i % 25 == 0:
            stage.show(window, docs[i // 25 % 2])
        elif i % 5 == 0:
            stage.frames(1)
    assert alive() == before
    assert first() is window.screens["rack"]


def test_the_server_away_greys_the_picture_and_says_since_when(stage: Stage) -> None:
    window = stage.window()
    doc = document()
    doc["band"]["word"] = "act"
    stage.show(window, doc)
    assert window.band.amber
    bright = stage.picture()
    stage.show(window, doc, AWAY)
    assert "Server away since 7:42" in words(window)
    assert not window.band.amber
    assert stage.picture().mean() < bright.mean() * 0.7
    stage.show(window, doc)
    assert "Server away" not in words(window)
    assert (stage.picture() == bright).all()


@pytest.mark.parametrize("word", ["ready", "wait", "look", "act"])
def test_only_act_is_amber(stage: Stage, word: str) -> None:
    window = stage.window()
    doc = document()
    doc["band"]["word"] = word
    stage.show(window, doc)
    assert window.band.amber == (word == "act")


def test_many_alerts_and_zones_are_paged_and_all_reached(stage: Stage) -> None:
    window = stage.window()
    doc = document()
    doc["alerts"] = [{**doc["alerts"][0], "id": f"a{i}", "title": {"text": f"Alert {i}"}} for i in range(9)]
    doc["notices"] = []
    doc["zones"] = [{**doc["zones"][0], "id": f"z{i}", "name": f"Zone {i}"} for i in range(7)]
    stage.show(window, doc)
    alerts, zones = "", ""
    for _ in range(4):
        alerts += words(shop(window).look)
        zones += words(shop(window).zones)
        stage.tap(shop(window).look.pager)
        stage.tap(shop(window).zones.pager)
        stage.pass_s(0.4)
    assert all(f"Alert {i}" in alerts for i in range(9))
    assert all(f"Zone {i}" in zones for i in range(7))


def test_nothing_to_look_at_is_said(stage: Stage) -> None:
    window = stage.window()
    doc = document()
    doc["alerts"], doc["notices"] = [], []
    stage.show(window, doc)
    assert "Nothing to look at" in words(window)
