"""The end grain in pixels: against a sheet of sections that a person looked at, and what follows from figures alone.

``STILLSTACK_NEW_PICTURES=1 tests/run tests/kiosk/test_grain_pictures.py`` writes the sheet anew; look at it.
"""

from __future__ import annotations

import itertools
import os
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from kivy.core.window import Window
from kivy.uix.floatlayout import FloatLayout

from kiosk import theme
from kiosk.grain import GrainView
from kiosk.grain_words import DepthText, KeyView
from kiosk.widgets.card import Ground
from kiosk.widgets.end_grain import EndGrain
from kiosk.widgets.grain_parts import BoardRow, DepthGrain, GrainKey
from kiosk.widgets.text import Text
from tests.kiosk.conftest import WHOLE
from tests.kiosk.grains import SHEET, board, drying, from_top
from tests.kiosk.stage import Stage, at, load, rgb, texts, words
from tests.kiosk.test_pictures import ALLOWED, PICTURES, different, write

SIZES = [(60, 20), (106, 46), (300, 100), (346, 115), (900, 300)]


def put(stage: Stage, widgets: Sequence[Any], size: tuple[int, int] = (1280, 800)) -> np.ndarray:
    """The picture of those widgets, placed by their own pos and size, on a plain ground."""
    stage.size = size
    for old in list(Window.children):
        Window.remove_widget(old)
    root = FloatLayout(size=size)
    for widget in widgets:
        widget.size_hint = (None, None)
        root.add_widget(widget)
    Window.add_widget(root)
    stage.frames()
    return stage.picture()


def sheet(stage: Stage) -> np.ndarray:
    """Every section of the sheet as a card has it, the first few again as small as a row has them."""
    made: list[Any] = []
    for i, (name, view) in enumerate(SHEET.items()):
        x, y = 16 + 316 * (i % 4), 800 - 128 * (i // 4 + 1)
        if i % 4 == 0:
            made.append(Ground(pos=(4, y - 4), size=(1272, 124)))
        grain = EndGrain(pos=(x, y), size=(300, 94))
        grain.show(view)
        label = Text(text=name, size_px=18, ink=theme.QUIET, pos=(x + 8, y + 92), size=(284, 24))
        made += [grain, label]
    for i, view in enumerate(list(SHEET.values())[:8]):
        small = EndGrain(pos=(16 + 158 * i, -2), size=((106, 46) if i % 2 else (60, 20)), ground=theme.GROUND)
        small.show(view)
        made.append(small)
    return put(stage, made)


def large(stage: Stage, view: GrainView) -> np.ndarray:
    grain = EndGrain(pos=(190, 250), size=(900, 300), ground=theme.GROUND)
    grain.show(view)
    return put(stage, [grain])


def parts(stage: Stage) -> np.ndarray:
    """Boards under their triangle, a lot's depth, and the key, at two widths each."""
    key = KeyView("Colour: moisture inside, against its aim", "dry", "damp", "cup drawn 20 times")
    boards = [board(22, 80, drying(7.6 + 0.3 * i, 8.3), bark="top" if i % 2 else "bottom") for i in range(6)]
    made: list[Any] = [Ground(pos=(4, 4), size=(1272, 792))]
    for x, wide, high in ((20, 480, 110), (560, 240, 60)):
        row = BoardRow(pos=(x, 660), size=(wide, high))
        row.show(boards)
        made.append(row)
    mixed = BoardRow(pos=(860, 660), size=(380, 110))
    mixed.show([board(25, w, from_top(5.2, 8), cup_mm=0.4) for w in (60, 95, 70, 120)])
    made.append(mixed)
    for x, y, wide, high in ((20, 330, 820, 260), (860, 400, 400, 110), (860, 300, 400, 60)):
        depth = DepthGrain(pos=(x, y), size=(wide, high))
        depth.show(board(44, 180, drying(7.2, 12.6), lying="stickered"), DepthText("shell 7.5 %", "core 12.2 %"))
        made.append(depth)
    hollow = DepthGrain(pos=(20, 110), size=(500, 160))
    hollow.show(
        board(20, 180, from_top(4.8, 7.6), cup_mm=0.5, lying="one-face"), DepthText("shell 6.2 %", "core 6.2 %")
    )
    made.append(hollow)
    for x, y, wide in ((20, 30, 880), (560, 150, 560), (560, 200, 300)):
        shown = GrainKey(pos=(x, y), size=(wide, 30))
        shown.show(key)
        made.append(shown)
    return put(stage, made)


def columns(picture: np.ndarray, grain: EndGrain, share: float) -> np.ndarray:
    """The middle colour across the section at a depth, between its rings, by where its own shape says that is."""
    shape = grain.shape
    assert shape is not None
    found = []
    for i in range(-40, 41):
        x, y = shape.at(shape.length * i / 90, shape.thick * (0.5 - share))
        found.append(at(picture, grain.x + x, grain.y + y))
    return np.median(np.array(found), axis=0)


def lowest(picture: np.ndarray, grain: EndGrain, x_share: float) -> tuple[float, float]:
    """(bottom, top) of what is as light as wood, in a column of pixels across the section."""
    assert grain.shape is not None
    left, _, right, _ = grain.shape.bounds()
    x = round(grain.x + left + (right - left) * x_share)
    rows = [y for y in range(round(grain.y), round(grain.top)) if min(at(picture, x, y)[:2]) > 110]
    return min(rows), max(rows)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("dry", ["top", "bottom"])
def test_the_drier_face_goes_hollow_and_is_the_brown_one(stage: Stage, dry: str, size: tuple[int, int]) -> None:
    """A positive cup is a hollow top: its middle lies lower than its ends, and that face is browner than the other."""
    sign = 1 if dry == "top" else -1
    profile = from_top(4.2, 8.0) if dry == "top" else from_top(8.0, 4.2)
    grain = EndGrain(pos=(100, 100), size=size, ground=theme.GROUND)
    grain.show(board(22, 180, profile, cup_mm=0.8 * sign))
    picture = put(stage, [grain])
    ends = [lowest(picture, grain, share) for share in (0.1, 0.9)]
    middle = lowest(picture, grain, 0.5)
    for end in ends:
        assert sign * (end[1] - middle[1]) >= 1
        assert sign * (end[0] - middle[0]) >= 1
    if grain.shape is None or grain.shape.thick < 8:
        return  # hardly more than its outline
    face, other = (columns(picture, grain, share) for share in ((0.25, 0.75) if dry == "top" else (0.75, 0.25)))
    assert face[2] < other[2]  # brown has less blue than straw


@pytest.mark.parametrize("cut", ["flat", "rift", "quarter"])
def test_colours_are_those_of_the_moisture_at_each_depth(stage: Stage, cut: str) -> None:
    grain = EndGrain(pos=(190, 250), size=(900, 300), ground=theme.GROUND)
    profile = from_top(4.0, 13.0)
    grain.show(board(48, 200, profile, cut, cup_mm=0.6))
    picture = put(stage, [grain])
    for share in (0.1, 0.2, 0.5, 0.8, 0.9):
        wanted = rgb(theme.moisture_colour(4.0 + 9.0 * share, 6.0, 10.0))
        assert columns(picture, grain, share) == pytest.approx(wanted, abs=6), share


def test_what_is_not_known_makes_no_claim_of_colour(stage: Stage) -> None:
    """Grey-brown as the panel's rules are: nowhere on the scale from brown over straw to blue-green."""
    for view in (SHEET["not known"], SHEET["no aim"], SHEET["plywood"]):
        picture = large(stage, view)
        inside = np.unique(picture[250:550, 190:1090].reshape(-1, 3), axis=0).astype(int)
        for share in np.linspace(0, 1, 40):
            shade = np.array(rgb(theme.moisture_colour(3 + 11 * share, 6.0, 10.0)))
            assert not (np.abs(inside - shade).max(axis=1) < 10).any()


def lit(picture: np.ndarray, shape: Any, off: float, x: float, y: float) -> list[bool]:
    """Along the top, ``off`` pixels above the face: where something is lighter than the ground."""
    found = []
    for i in range(-300, 301):
        px, py = shape.at(shape.length * i / 640, 0.5 * shape.thick + off)
        around = [at(picture, x + px, y + py + d) for d in (-1, 0, 1)]
        found.append(max(min(one) for one in around) > 110)
    return found


@pytest.mark.parametrize("cup_mm", [0.0, 0.5, -0.5])
def test_a_wrapped_board_has_dashes_around_it_and_no_other_has(stage: Stage, cup_mm: float) -> None:
    for lying, many in (("wrapped", True), ("", False)):
        grain = EndGrain(pos=(190, 250), size=(900, 300), ground=theme.GROUND)
        grain.show(board(25, 200, drying(7, 9), lying=lying, cup_mm=cup_mm))
        picture = put(stage, [grain])
        shape = grain.shape
        assert shape is not None
        seen = lit(picture, shape, 0.62 * shape.margin, 190, 250)
        changes = sum(a != b for a, b in itertools.pairwise(seen))
        assert (changes > 20) == many
        assert (0.3 < np.mean(seen) < 0.9) == many


def batches(views: list[GrainView], size: int) -> list[list[GrainView]]:
    return [views[i : i + size] for i in range(0, len(views), size)]


@pytest.mark.parametrize("size", SIZES)
def test_nothing_is_drawn_outside_its_box(stage: Stage, size: tuple[int, int]) -> None:
    """As many at once as the window holds, eight pixels apart."""
    wide, high = size[0] + 8, size[1] + 8
    across, down = WHOLE[0] // wide, WHOLE[1] // high
    for some in batches(list(SHEET.values()), across * down):
        grains = []
        for i, view in enumerate(some):
            grain = EndGrain(pos=(4 + wide * (i % across), 4 + high * (i // across)), size=size, ground=theme.GROUND)
            grain.show(view)
            grains.append(grain)
        picture = put(stage, grains, WHOLE).astype(np.int16)[::-1]
        drawn = np.abs(picture - np.array(rgb(theme.GROUND))).max(axis=2) > 6
        for grain in grains:
            x, y = int(grain.x), int(grain.y)
            assert drawn[y : y + size[1], x : x + size[0]].any()
            drawn[y - 1 : y + size[1] + 1, x - 1 : x + size[0] + 1] = False
        assert not drawn.any()


def test_plywood_shows_its_plies(stage: Stage) -> None:
    picture = large(stage, SHEET["plywood"])
    light = picture[250:550, 700].astype(int).sum(axis=1)
    turns = np.diff(np.sign(np.diff(light)))
    assert np.count_nonzero(turns) > 12


def test_a_section_is_drawn_again_only_where_it_differs(stage: Stage) -> None:
    grain = EndGrain(pos=(190, 250), size=(900, 300), ground=theme.GROUND)
    view = board(25, 200, from_top(5, 9), cup_mm=0.5)
    grain.show(view)
    before = put(stage, [grain])
    flips = stage.flips
    grain.show(replace(view))
    stage.frames(3)
    assert stage.flips == flips  # an equal view is no other one
    grain.show(replace(view, profile=from_top(7, 9)))
    stage.frames(3)
    assert stage.flips > flips
    after = stage.picture()
    assert (before != after).any()
    grain.show(view)
    assert (stage.picture() == before).all()
    grain.show(None)
    assert (stage.picture() == np.array(rgb(theme.GROUND), dtype=np.uint8)).all()


def test_the_triangle_lies_across_all_boards(stage: Stage) -> None:
    row = BoardRow(pos=(100, 100), size=(600, 120), ground=theme.GROUND)
    row.show([board(22, wide, drying(7, 9)) for wide in (60, 90, 75)])
    put(stage, [row])
    (left, low), (peak, high), (right, _) = row.triangle
    assert [shape.length for shape in row.shapes] == pytest.approx([n * row.shapes[0].px_per_mm for n in (60, 90, 75)])
    assert 100 < left < 100 + row.shapes[0].length
    assert right > 700 - row.shapes[2].length
    assert (peak, low < high <= 220) == (pytest.approx(400), True)
    row.show([])
    assert (stage.picture() == np.array(rgb(theme.GROUND), dtype=np.uint8)).all()


def test_the_keys_words_are_whole_and_its_ends_the_scales(stage: Stage) -> None:
    key = GrainKey(pos=(20, 100), size=(900, 30))
    key.show(KeyView("Colour: moisture inside, against its aim", "dry", "damp", "cup drawn 20 times"))
    picture = put(stage, [key])
    assert words(key).count("|") == 3
    assert not any(text.shortened for text in texts(key))
    (x, y), (wide, high) = key.strip.pos, key.strip.size
    assert at(picture, x + 1, y + high / 2) == pytest.approx(rgb(theme.BROWN), abs=6)
    assert at(picture, x + wide - 2, y + high / 2) == pytest.approx(rgb(theme.TEAL), abs=6)


@pytest.mark.parametrize(("name", "made"), [("grains", sheet), ("grain-parts", parts)])
def test_the_picture_is_the_one_looked_at(stage: Stage, name: str, made: Any) -> None:
    drawn = made(stage)
    path = PICTURES / f"{name}.png"
    if os.environ.get("STILLSTACK_NEW_PICTURES"):
        write(drawn, path)
    assert different(drawn, load(path)) <= ALLOWED


def test_a_wrong_sheet_is_told_from_the_right_one(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    """One section's cup turned round is enough."""
    view = SHEET["flat, hollow top"]
    monkeypatch.setitem(SHEET, "flat, hollow top", replace(view, cup_mm=-view.cup_mm))
    assert different(sheet(stage), load(PICTURES / "grains.png")) > ALLOWED
