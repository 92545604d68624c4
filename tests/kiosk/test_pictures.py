"""Pictures: against references a person looked at, and pixels that follow from the figures alone.

``STILLSTACK_NEW_PICTURES=1 tests/run tests/kiosk/test_pictures.py`` writes the references anew; look at every one of
them before committing it.
"""

from __future__ import annotations

import itertools
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from kivy.graphics.texture import Texture

from kiosk import theme
from kiosk.client import Link
from kiosk.window import KioskWindow
from tests.kiosk.fakes import document
from tests.kiosk.stage import Stage, at, load, rgb

PICTURES = Path(__file__).parent / "pictures"
SEEN = 24  # levels of 255 by which a pixel must differ to count
TILE = 20  # pixels; a tile about the size of a digit, so that one wrong digit is not lost in a large picture
ALLOWED = 0.1  # share of such pixels in the worst tile: another software renderer may soften edges a little differently
SMALL = {(1280, 800): "1280x800", (800, 480): "800x480"}


def act() -> dict[str, Any]:
    doc = document()
    doc["band"].update(
        word="act", title={"text": "Wrap the cherry leaves now"}, far={"text": "Wrap the cherry leaves now"}
    )
    return doc


def open_sheet(window: KioskWindow) -> None:
    window.open_item("a1f0")


CASES: dict[str, tuple[dict[str, Any], dict[str, Any], Any]] = {
    "shop": (document(), {}, None),
    "far": (document(), {}, KioskWindow.go_far),
    "silent": (document(), {"chosen": "finishing-room"}, None),
    "empty": (document("snapshot-empty"), {}, None),
    "alert": (document(), {}, open_sheet),
    "act": (act(), {}, None),
    "away": (document(), {"link": Link("away", "it does not answer")}, None),
}


def different(one: np.ndarray, other: np.ndarray) -> float:
    """Share of pixels that a person could tell apart, in the tile where it is largest."""
    if one.shape != other.shape:
        return 1.0
    seen = np.abs(one.astype(int) - other.astype(int)).max(axis=2) > SEEN
    down, across = one.shape[0] // TILE, one.shape[1] // TILE
    tiles = seen[: down * TILE, : across * TILE].reshape(down, TILE, across, TILE)
    return float(tiles.mean(axis=(1, 3)).max())


def draw(stage: Stage, size: tuple[int, int], case: str) -> np.ndarray:
    doc, how, do = CASES[case]
    window = stage.window(size)
    stage.show(window, doc, **how)
    if do:
        do(window)
    stage.frames()
    return stage.picture()


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("size", SMALL, ids=SMALL.values())
def test_the_picture_is_the_one_looked_at(stage: Stage, size: tuple[int, int], case: str) -> None:
    drawn = draw(stage, size, case)
    path = PICTURES / f"{case}-{SMALL[size]}.png"
    if os.environ.get("STILLSTACK_NEW_PICTURES"):
        write(drawn, path)
    assert different(drawn, load(path)) <= ALLOWED


def write(picture: np.ndarray, path: Path) -> None:
    height, width, _ = picture.shape
    texture = Texture.create(size=(width, height), colorfmt="rgb")
    texture.blit_buffer(np.ascontiguousarray(picture).tobytes(), colorfmt="rgb", bufferfmt="ubyte")
    path.parent.mkdir(exist_ok=True)
    texture.save(str(path), flipped=False)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d["zones"][0]["air"].update(emc_pct=6.34 + 0.3),
        lambda d: d["zones"][0]["aim"].update(damp_limit_pct=10.5),
        lambda d: d["zones"][0].update(yesterday_emc_pct=7.4),
        lambda d: d["band"].update(lean="damp"),
        lambda d: d["zones"][1]["air"].update(emc_pct=6.92),
    ],
    ids=["pointer", "aim", "yesterday", "lean", "a zone's figure"],
)
def test_a_wrong_picture_is_told_from_the_right_one(stage: Stage, spoil: Any) -> None:
    doc = document()
    spoil(doc)
    window = stage.window()
    stage.show(window, doc)
    assert different(stage.picture(), load(PICTURES / "shop-1280x800.png")) > ALLOWED


@pytest.fixture
def shop(stage: Stage) -> Any:
    window = stage.window()
    stage.show(window, document())
    return window.screens["shop"].ids


def x_on_scale(scale: Any, pct: float, low: float = 4, high: float = 14) -> float:
    """Where a % MC must stand, by its own arithmetic: the scale's ends are where their figures stand."""
    left = scale.labels[0].x + scale.labels[0].width / 2
    right = scale.labels[5].x + scale.labels[5].width / 2
    return float(left + (right - left) * (pct - low) / (high - low))


def test_the_pointer_stands_at_the_emc(stage: Stage, shop: Any) -> None:
    scale = shop.air.ids.scale
    picture = stage.picture()
    _, top = scale.bar()
    row = picture[picture.shape[0] - 1 - round(top + 14)]
    lit = [x for x in range(round(scale.x), round(scale.right)) if (row[x] > 200).all()]
    assert np.mean(lit) == pytest.approx(x_on_scale(scale, 6.31), abs=1.0)


def test_the_aim_box_ends_at_the_aims_limits(stage: Stage, shop: Any) -> None:
    scale = shop.air.ids.scale
    picture = stage.picture()
    bottom, _ = scale.bar()
    row = picture[picture.shape[0] - 1 - round(bottom - 2)]  # under the bar, inside the box's overhang: only its sides
    lit = [x for x in range(round(scale.x), round(scale.right)) if (row[x] > 180).all()]
    assert min(lit) == pytest.approx(x_on_scale(scale, 6.0), abs=2.0)
    assert max(lit) == pytest.approx(x_on_scale(scale, 10.0), abs=2.0)


@pytest.mark.parametrize("pct", [4.3, 5.2, 7.5, 11.0, 13.5])
def test_the_scales_colour_is_that_of_the_moisture(stage: Stage, shop: Any, pct: float) -> None:
    scale = shop.air.ids.scale
    bottom, top = scale.bar()
    found = at(stage.picture(), x_on_scale(scale, pct), (bottom + top) / 2)
    assert found == pytest.approx(rgb(theme.moisture_colour(pct, 6.0, 10.0)), abs=4)


def test_yesterday_is_marked_under_the_bar(stage: Stage, shop: Any) -> None:
    scale = shop.air.ids.scale
    picture = stage.picture()
    bottom, _ = scale.bar()
    rows = picture[picture.shape[0] - round(bottom - 9) : picture.shape[0] - round(bottom - 20)]
    lit = np.where((rows > 120).all(axis=2).any(axis=0))[0]
    lit = lit[(lit > scale.x) & (lit < scale.right)]
    assert (lit.min() + lit.max()) / 2 == pytest.approx(x_on_scale(scale, 6.94), abs=1.5)


@pytest.mark.parametrize("word", ["ready", "wait", "look", "act"])
def test_the_band_is_amber_only_for_act(stage: Stage, word: str) -> None:
    doc = document()
    doc["band"]["word"] = word
    window = stage.window()
    stage.show(window, doc)
    corner = at(stage.picture(), 5, 795)
    assert corner == rgb(theme.AMBER if word == "act" else theme.PANEL)


def test_no_amber_at_all_without_an_act(stage: Stage, shop: Any) -> None:
    amber = np.array(rgb(theme.AMBER))
    assert not (np.abs(stage.picture().astype(int) - amber).max(axis=2) < 12).any()


def test_the_bubble_is_left_for_dry_right_for_damp_and_centred_for_ready(stage: Stage) -> None:
    from kiosk.widgets.vial import bubbles

    for word in ("wait", "look", "act"):
        (dry, _), (damp, _) = bubbles(word, "dry")[0], bubbles(word, "damp")[0]
        assert dry == -damp < 0
        assert [b[0] for b in bubbles(word, "none")] == [dry, damp]
    assert bubbles("ready", "none")[0][0] == 0
    order = [abs(bubbles(word, "dry")[0][0]) for word in ("ready", "wait", "look", "act")]
    assert order == sorted(order)


def test_the_chart_is_solid_behind_and_dotted_ahead(stage: Stage, shop: Any) -> None:
    chart, picture = shop.chart, stage.picture()
    box, view = chart.box, chart.drawn

    def lit_share(points: list[tuple[int, float]]) -> float:
        found = []
        for (t0, v0), (t1, v1) in itertools.pairwise(points):
            for k in range(8):
                x, y = box.x(t0 + (t1 - t0) * k / 8), box.y(v0 + (v1 - v0) * k / 8)
                near = picture[picture.shape[0] - 1 - round(y) - 1 :][:3, round(x)]
                found.append((near > 200).all(axis=1).any())
        return float(np.mean(found))

    assert lit_share(list(view.back)) > 0.95
    ahead = [(t, v) for t, v, _, _ in view.ahead[3:]]
    assert 0.2 < lit_share(ahead) < 0.8


def test_the_spread_lies_between_its_ends(stage: Stage, shop: Any) -> None:
    box, view, picture = shop.chart.box, shop.chart.drawn, stage.picture()
    t, mean, low, high = view.ahead[-8]
    inside = rgb(theme.SPREAD)
    for v in ((mean + low) / 2, (mean + high) / 2):
        assert at(picture, box.x(t), box.y(v)) == pytest.approx(inside, abs=3)
    assert at(picture, box.x(t), box.y(high) + 6) == pytest.approx(rgb(theme.AIM_BAND), abs=3)
    assert at(picture, box.x(t), box.y(low) - 6) == pytest.approx(rgb(theme.PANEL), abs=3)
