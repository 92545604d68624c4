"""Everyday tasks on a real server by injected touches alone: what is told at the wall stands in the shop's journal."""

from __future__ import annotations

import json
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from kiosk.app import Kiosk
from kiosk.http_client import HttpClient
from kiosk.widgets.pager import Pager
from kiosk.widgets.touchable import reachable
from kiosk.words import Words
from tests.flow.small_shop import served
from tests.kiosk.stage import SIZES, Stage

pytestmark = pytest.mark.whole
PLACES = {"rack": 1, "glue_up": 2, "seasons": 3, "bench_book": 4}
WAYS = [((1280, 800), "en"), ((800, 480), "de")]
"""Two sizes, and with them both languages."""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("shop")) as (url, said):
        _until(lambda: _answers(url), 60.0, said)
        yield url


def _answers(url: str) -> bool:
    try:
        return bool(asked(url, "/api/lots"))
    except OSError:
        return False


def _until(true: Callable[[], bool], timeout_s: float, said: Path | None = None) -> None:
    """What another process does shows only when it is asked."""
    end_s = time.monotonic() + timeout_s
    while not true():
        assert time.monotonic() < end_s, said.read_text()[-2000:] if said else "not in time"
        time.sleep(0.02)


def asked(url: str, path: str) -> Any:
    with urllib.request.urlopen(url + path, timeout=10) as answer:  # noqa: S310 - our own server
        return json.load(answer)


class Finger:
    """Finds what is shown by its name, and touches it where it is. ``touches`` counts."""

    def __init__(self, stage: Stage, url: str, size: tuple[int, int], language: str) -> None:
        self.stage, self.url = stage, url
        self.client = HttpClient(url, lang=language, wait_s=1)
        self.kiosk = Kiosk(self.client, Words(language), dpi=SIZES[size], far_after_s=None)
        self.client.start(self.kiosk.changed)
        stage.begin(self.kiosk, size)
        self.touches = 0
        self.until(lambda: self.kiosk.snapshot is not None)

    def shown(self) -> list[str]:
        """The names of all that can be touched."""
        every = (getattr(t, k, None) for t in reachable(self.kiosk.window) for k in ("button", "view", "row"))
        return [str(one.name) for one in every if getattr(one, "name", None)]

    def until(self, true: Callable[[], bool]) -> None:
        """Frames go by until it is so."""

        def frame() -> bool:
            self.stage.frames(2)
            return true()

        _until(frame, 20.0)

    def named(self, name: str) -> Any:
        for target in reachable(self.kiosk.window):
            shown = next((v for k in ("button", "view", "row") if (v := getattr(target, k, None)) is not None), None)
            if getattr(shown, "name", None) == name:
                return target
        return None

    def screen(self, name: str) -> None:
        self.stage.tap(self.kiosk.window.navigation.places[PLACES[name]])
        self.touches += 1
        self.until(lambda: not self.kiosk.desk.waiting)

    def touch(self, *names: str) -> None:
        for name in names:
            since_s = time.monotonic()
            try:
                self.until(lambda name=name, since_s=since_s: self.found(name, since_s))  # type: ignore[misc]
            except AssertionError:
                pytest.fail(f"{name}: found {self.shown()}")
            self.stage.pass_s(0.4)
            self.stage.tap(self.named(name))
            self.touches += 1

    def found(self, name: str, since_s: float) -> bool:
        """Whether it is there; a page is turned only once what is on its way has had its time."""
        if self.named(name) is not None:
            return True
        return self.turn() if time.monotonic() - since_s > 1.0 else False

    def turn(self) -> bool:
        """What is not on this page of a choice may be on its next one, as far as a person would look."""
        pagers = [one for one in reachable(self.kiosk.window) if isinstance(one, Pager)]
        for pager in pagers if not self.kiosk.desk.waiting else ():
            self.stage.pass_s(0.4)
            self.stage.tap(pager)
            self.touches += 1
        return False

    def journal(self) -> list[dict[str, Any]]:
        entries: list[dict[str, Any]] = asked(self.url, "/api/journal?limit=200")
        return entries

    def told(self, deed: dict[str, Any]) -> dict[str, Any]:
        """The entry of such a deed, once the journal has it."""
        found: list[dict[str, Any]] = []

        def there() -> bool:
            found[:] = [e for e in self.journal() if deed.items() <= e["deed"].items()]
            return bool(found)

        self.until(there)
        return found[0]

    def stop(self) -> None:
        self.client.stop()


@pytest.fixture(params=WAYS, ids=[f"{size[0]}x{size[1]} {language}" for size, language in WAYS])
def finger(stage: Stage, server: str, request: pytest.FixtureRequest) -> Iterator[Finger]:
    size, language = request.param
    made = Finger(stage, server, size, language)
    yield made
    made.stop()


def test_a_lot_is_wrapped_in_three_touches_and_that_is_taken_back(finger: Finger) -> None:
    finger.screen("rack")
    finger.touch("lot:ash-1", "quick:wrapped")
    assert finger.touches == 3
    entry = finger.told({"kind": "wrapped", "lot": "ash-1"})
    finger.touch("desk:undo")
    finger.told({"kind": "undone", "entry": entry["id"]})


def test_a_lot_is_metered(finger: Finger) -> None:
    finger.screen("rack")
    finger.touch("lot:ash-1", "doing", "deed:metered", "pad:8", "pad:.", "pad:5", "next", "tell")
    finger.told({"kind": "metered", "lot": "ash-1", "reading_pct": 8.5})
    finger.until(lambda: finger.named("doing") is not None)  # and back at the lot


def test_a_lot_is_moved(finger: Finger) -> None:
    before = {lot["id"]: lot for lot in asked(finger.url, "/api/lots")}["ash-1"]["zone"]
    zone = "loft" if before == "bench" else "bench"
    finger.screen("rack")
    finger.touch("lot:ash-1", "doing", "deed:moved", f"choose:{zone}", "tell")
    finger.told({"kind": "moved", "lot": "ash-1", "zone": zone})


def test_stock_comes_in_with_twelve_touches(finger: Finger) -> None:
    finger.screen("rack")
    finger.touch("add", "choose:ash_white", "value:27", "pad:7", "next", "choose:unknown", "choose:nothing", "tell")
    assert finger.touches <= 12
    deed = finger.told({"kind": "received", "species": "ash_white", "thickness_mm": 27.0, "pieces": 7})["deed"]
    finger.until(lambda: finger.named(f"lot:{deed['lot']}") is not None or _pages(finger))


def _pages(finger: Finger) -> bool:
    """The new lot may stand on another page of the rack."""
    lots = finger.kiosk.desk.seen().document("lots") or ()
    return any(lot["pieces"] == 7 for lot in lots)


def test_what_cannot_be_is_refused_with_its_reason_and_nothing_is_lost(finger: Finger) -> None:
    finger.screen("rack")
    finger.touch("lot:ash-1", "doing", "deed:milled", "value:3", "value:3")
    finger.touch("field:take_top_mm", "pad:9", "pad:9", "next", "tell")
    window = finger.kiosk.window
    finger.until(lambda: window.page is not None and "take_top_mm" in window.page.note)
    assert not [e for e in finger.journal() if e["deed"].get("take_top_mm") == 99]
    assert finger.named("tell") is not None
