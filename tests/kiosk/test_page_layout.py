"""Every page at every size in both languages: nothing cut, nothing on top of anything else, every target big enough."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from kiosk.app import Kiosk
from kiosk.figures import Units
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.ruler import RulerBlock
from kiosk.widgets.touchable import Touchable, reachable
from kiosk.words import Words, languages
from tests.kiosk.fakes import FakeClient, answer, document, shop
from tests.kiosk.stage import SIZES, Stage, texts
from tests.kiosk.test_layout import overlap

LONG = "Kirschbaumbretter der Kommode, hinten unten links"
PAGES: dict[str, tuple[str, ...]] = {
    "rack": ("screen:rack",),
    "filters": ("screen:rack", "filter"),
    "lot": ("screen:rack", "lot:sapele-boards"),
    "a question": ("screen:rack", "lot:sapele-boards", "line:good-to-mill"),
    "deeds": ("screen:rack", "lot:sapele-boards", "doing"),
    "metered": ("screen:rack", "lot:sapele-boards", "doing", "deed:metered", "pad:9"),
    "journal": ("screen:rack", "lot:sapele-boards", "journal"),
    "wrapped": ("screen:rack", "lot:sapele-boards", "doing", "deed:wrapped", "field:hour"),
    "species": ("screen:rack", "add"),
    "letter": ("screen:rack", "add", "letter:C"),
    "thickness": ("screen:rack", "add", "choose:cherry_black", "pad:2", "pad:7"),
    "came from": ("screen:rack", "add", "choose:cherry_black", "value:27", "pad:8", "next"),
    "checked": (
        "screen:rack", "add", "choose:cherry_black", "value:27", "pad:8", "next", "choose:kiln-dried-yard",
        "choose:some",
    ),
    "name": ("screen:rack", "add", "choose:cherry_black", "value:27", "field:name", "key:a"),
    "setup": ("screen:setup",),
    "language": ("screen:setup", "setup:language"),
    "sources": ("screen:setup", "setup:sources"),
    "source": ("screen:setup", "setup:sources", "source:loft-bus"),
    "zones": ("screen:setup", "setup:zones"),
    "zone": ("screen:setup", "setup:zones", "zone:bench-room"),
    "zone name": ("screen:setup", "setup:zones", "new", "key:a"),
    "zone destination": ("screen:setup", "setup:zones", "zone:bench-room", "destination"),
    "record": ("screen:setup", "setup:record"),
    "machine": ("screen:setup", "setup:machine"),
    "ruler": ("screen:setup", "setup:ruler"),
    "boards": ("screen:glue_up", "lot:sapele-boards"),
    "pieces": ("screen:glue_up", "lot:cherry-chest", "row:pieces:cherry-chest"),
    "adhesive": ("screen:glue_up", "lot:sapele-boards", "row:adhesive"),
    "glue-up": ("screen:glue_up", "lot:sapele-boards", "ask"),
    "against": ("screen:glue_up", "lot:sapele-boards", "ask", "glued"),
    "glued": ("screen:glue_up", "lot:sapele-boards", "ask", "glued", "all-the-same"),
    "round": ("screen:rack", "round", "as-it-was:ply-bottoms"),
    "round, moved": ("screen:rack", "round", "move:ply-bottoms"),
}  # fmt: skip


def long_shop() -> FakeClient:
    """With the longest names that the server takes."""
    client = shop()
    lots = answer("lots")
    for lot in lots:
        lot["name"] = LONG[:40]
        if lot["verdict"]:
            lot["verdict"]["title"]["text"] = "Auspacken Do, hobeln Sa."
    client.holds["/api/lots"] = lots
    client.holds["/api/lots/sapele-boards"] = {**answer("lot"), "name": LONG[:40]}
    return client


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_no_text_of_a_page_is_cut_or_overlapped(stage: Stage, size: tuple[int, int], language: str) -> None:
    for client, units in ((shop(), "metric"), (long_shop(), "imperial")):
        kiosk = Kiosk(client, Words(language), units=Units(units), dpi=SIZES[size], far_after_s=None)
        client.start(kiosk.changed)
        client.offer(document())
        stage.begin(kiosk, size)
        stage.frames()
        for name, steps in PAGES.items():
            kiosk.window.open_screen("shop")
            for step in steps:
                kind, _, what = step.partition(":")
                kiosk.window.open_screen(what) if kind == "screen" else kiosk.touch(step)
            stage.frames(8)
            check(kiosk.window, size, f"{name}, {units}")
        stage.clear()
        stage.again()


def check(window: Any, size: tuple[int, int], case: str) -> None:
    found = texts(window)
    assert len(found) >= 5, case
    for text in found:
        x, y, width, height = text.drawn
        box = f"{case}: {text.text!r} {text.drawn} in {text.parent.__class__.__name__} {text.pos} {text.size}"
        assert width <= text.width + 1, box
        assert min(x, y) >= -1, box
        assert x + width <= size[0] + 1, box
        assert y + height <= size[1] + 1, box
        assert y >= text.parent.y - 1 - height * 0.2, box
        assert y + height <= text.parent.top + 1 + height * 0.2, box
        assert text.name or not text.shortened, box
    for one, other in itertools.combinations(found, 2):
        assert not overlap(one.drawn, other.drawn), f"{case}: {one.text!r} {one.drawn} and {other.text!r} {other.drawn}"
    for target in reachable(window):
        least = METRICS.target * 0.66 if in_pad(target) else METRICS.target * 0.98
        assert min(target.width, target.height) >= least, f"{case}: {target} {target.size} of {METRICS.target}"


def in_pad(target: Touchable) -> bool:
    """Keys touch each other, and may be as small as a fingertip."""
    return target.parent.__class__.__name__ in {"PadBlock", "KeyboardBlock"}


@pytest.mark.parametrize("size", [(1280, 800), (800, 480)], ids=lambda s: f"{s[0]}x{s[1]}")
def test_the_line_of_fifty_millimetres_is_as_long_as_the_panel_s_density_says(
    stage: Stage, size: tuple[int, int]
) -> None:
    client = shop()
    kiosk = Kiosk(client, Words(), dpi=SIZES[size], far_after_s=None)
    client.start(kiosk.changed)
    client.offer(document())
    stage.begin(kiosk, size)
    stage.frames()
    kiosk.window.open_screen("setup")
    kiosk.touch("setup:ruler")
    stage.frames(8)
    (ruler,) = (one for one in kiosk.window.walk() if isinstance(one, RulerBlock))
    long = 50 / 25.4 * SIZES[size]  # NIST SP 811 appendix B: an inch is 25.4 mm
    assert ruler.line.size[0] == pytest.approx(long, abs=0.5)
    assert ruler.strokes[0].pos[0] == pytest.approx(ruler.x)
    assert ruler.strokes[5].pos[0] + ruler.strokes[5].size[0] == pytest.approx(ruler.x + long, abs=0.5)
    assert long <= ruler.width
