"""The end-grain section by numbers: where its points stand, how its cup is drawn, and what lines it has."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest

from kiosk import grain_lines
from kiosk.grain import (
    FACTORS,
    MOST_HOLLOW,
    GrainView,
    Shape,
    common_factor,
    common_scale,
    fit_grain,
    grain_of,
    own_scale,
)
from kiosk.grain_words import DepthText, depth_text, key_view
from kiosk.words import Words
from tests.kiosk.fakes import document
from tests.kiosk.grains import SHEET, board, drying, from_top

SIZES = [(60, 20), (106, 46), (346, 115), (900, 300), (300, 300), (40, 200)]
LOT: dict[str, Any] = {
    "thickness_mm": 20.0, "width_mm": 200.0, "cut": "rift", "sheet": None, "lying": "wrapped", "construction": None,
    "panel": None, "aim_low_pct": 6.0, "aim_high_pct": 10.0,
    "end_grain": {"bark_face": "bottom", "ring_radius_mm": 80.0, "entry": "e"},
    "moisture": {"depth_mm": [1.0, 10.0, 19.0], "profile_pct": [5.0, 7.0, 9.0]},
    "cup": {"mm": 0.4, "low_mm": 0.2, "high_mm": 0.6},
}  # fmt: skip


def drawn(lot: dict[str, Any]) -> GrainView:
    """The section of a document that has one."""
    view = grain_of(lot)
    assert view is not None
    return view


def points(view: GrainView, shape: Shape) -> list[tuple[float, float]]:
    """Every point of everything that is drawn, in its box."""
    own = [*grain_lines.rings(view, shape), *grain_lines.joint_lines(view, shape), grain_lines.outline(shape)]
    if not view.wooden:
        own += [*grain_lines.sheet_lines(view, shape), *grain_lines.cross_plies(view, shape)]
    if shape.shortened:
        own.append(grain_lines.break_line(shape))
    bars, thin = grain_lines.marks(view, shape)
    return [p for line in (*map(shape.path, own), *bars, *thin, *grain_lines.film(shape)) for p in line]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SHEET)
def test_all_of_it_stays_in_its_box(name: str, size: tuple[int, int]) -> None:
    view = SHEET[name]
    for scale in (0.0, 3.0):
        shape = fit_grain(view, *size, scale)
        for x, y in points(view, shape):
            assert -0.5 <= x <= size[0] + 0.5, name
            assert -0.5 <= y <= size[1] + 0.5, name


@pytest.mark.parametrize("cup_mm", [0.1, 0.5, 2.0, 30.0])
def test_a_positive_cup_hollows_the_top_as_deep_as_its_factor_says(cup_mm: float) -> None:
    """A hollow top is lower in its middle than at its ends; the other sign is its mirror image."""
    up, down = (fit_grain(board(20, 200, from_top(5, 9), cup_mm=mm), 346, 115) for mm in (cup_mm, -cup_mm))
    deep = 0.5 * up.thick
    assert up.at(0, deep)[1] < up.at(0.5 * up.length, deep)[1]
    assert down.at(0, -deep)[1] > down.at(0.5 * down.length, -deep)[1]
    assert up.factor == down.factor
    assert up.hollow == pytest.approx(-down.hollow)
    assert up.hollow == pytest.approx(cup_mm * up.px_per_mm * up.factor, rel=1e-6)
    assert up.factor in FACTORS
    assert up.hollow <= MOST_HOLLOW * 346
    left, _, right, _ = up.bounds()
    assert right - left <= 346


def test_more_cup_is_drawn_more_by_one_factor_while_there_is_room() -> None:
    shapes = [fit_grain(board(20, 200, (), cup_mm=mm), 346, 115) for mm in (0.1, 0.2, 0.4, 0.8)]
    assert {shape.factor for shape in shapes} == {20.0}
    assert [s.hollow / shapes[0].hollow for s in shapes] == pytest.approx([1, 2, 4, 8], rel=1e-6)
    flat = fit_grain(board(20, 200, (), cup_mm=0.001), 346, 115)
    assert (flat.factor, flat.hollow) == (0.0, 0.0)


def test_the_bend_keeps_lengths_and_thickness() -> None:
    shape = fit_grain(board(20, 200, (), cup_mm=0.9), 346, 115)
    middle = [shape.at(shape.length * (n / 200 - 0.5), 0) for n in range(201)]
    assert sum(math.dist(a, b) for a, b in itertools.pairwise(middle)) == pytest.approx(shape.length, rel=1e-4)
    for x in (-100, 0, 70):
        assert math.dist(shape.at(x, -0.5 * shape.thick), shape.at(x, 0.5 * shape.thick)) == pytest.approx(shape.thick)


def test_thickness_is_to_scale_whatever_is_drawn() -> None:
    thin, thick = (fit_grain(board(mm, 160, ()), 346, 115) for mm in (20, 50))
    assert thick.thick / thin.thick == pytest.approx(2.5)
    assert thin.thick / thin.px_per_mm == pytest.approx(20)
    assert thin.length / thin.px_per_mm == pytest.approx(160)
    wide = fit_grain(board(20, 900, ()), 346, 115)
    assert wide.shortened
    assert wide.thick == thin.thick
    assert not thin.shortened


def test_a_page_has_one_scale_that_its_thickest_fits() -> None:
    views = [board(mm, 160, ()) for mm in (40, 130)]
    scale = common_scale(views, 346, 115)
    assert scale < own_scale(346, 115) == common_scale(views[:1], 346, 115)
    shapes = [fit_grain(view, 346, 115, scale) for view in views]
    assert shapes[1].thick / shapes[0].thick == pytest.approx(3.25)


def _slope(line: list[tuple[float, float]]) -> float:
    (ax, az), (bx, bz) = line[0], line[-1]
    return math.degrees(math.atan2(abs(bz - az), abs(bx - ax)))


@pytest.mark.parametrize(("cut", "low", "high"), [("flat", 0, 45), ("rift", 30, 60), ("quarter", 75, 90)])
def test_rings_stand_as_the_cut_says(cut: str, low: float, high: float) -> None:
    view = board(25, 180, (), cut)
    shape = fit_grain(view, 346, 115)
    found = [line for line in grain_lines.rings(view, shape) if len(line) > 2]
    assert 4 <= len(found) <= 40
    assert all(low <= _slope(line) <= high for line in found)


def test_the_bark_side_is_the_round_one() -> None:
    """Rings of a flatsawn board bend around the pith, which lies away from the bark."""
    for bark, sign in (("top", 1), ("bottom", -1)):
        view = board(25, 180, (), bark=bark)
        lines = [line for line in grain_lines.rings(view, fit_grain(view, 346, 115)) if len(line) > 8]
        for line in lines:
            chord = 0.5 * (line[0][1] + line[-1][1])
            assert sign * (line[len(line) // 2][1] - chord) > 0


def test_a_ring_is_a_circle_of_the_radius_told() -> None:
    view = board(40, 90, (), ring_radius_mm=200.0)
    shape = fit_grain(view, 346, 115)
    line = max(grain_lines.rings(view, shape), key=len)
    (ax, ay), (bx, by), (cx, cy) = line[0], line[len(line) // 2], line[-1]
    area = abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) / 2
    sides = math.dist(line[0], line[len(line) // 2]), math.dist(line[len(line) // 2], line[-1]), math.dist(
        line[0], line[-1]
    )  # fmt: skip
    radius = math.prod(sides) / (4 * area)  # of the circle through three points
    assert radius / shape.px_per_mm == pytest.approx(200, abs=20.5)  # the middle of its thickness has the radius told


def test_plywood_has_an_odd_number_of_plies_and_fibreboard_no_lines() -> None:
    for thick, width in itertools.product((6, 12, 18, 24), (60, 346)):
        view = GrainView(thick, 600, "plywood")
        ends = grain_lines.ply_ends(view, fit_grain(view, width, 115))
        assert len(ends) % 2 == 0
        assert len(ends) >= 4
    shape = fit_grain(GrainView(18, 600, "mdf"), 346, 115)
    assert grain_lines.sheet_lines(GrainView(18, 600, "mdf"), shape) == []
    assert grain_lines.sheet_lines(GrainView(18, 600, "osb"), shape)


def test_dashes_go_evenly_around() -> None:
    square = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)]
    found = grain_lines.dashes(square, 9, 6)
    lengths = [sum(math.dist(a, b) for a, b in itertools.pairwise(line)) for line in found]
    assert len(found) == 20
    assert lengths == pytest.approx([300 / 20 * 0.6] * 20)
    assert all(x in {0, 100} or y in {0, 50} for line in found for x, y in line)


def test_a_lots_document_becomes_its_section() -> None:
    view = drawn(LOT)
    assert view == GrainView(
        20, 200, "rift", ((0.05, 5.0), (0.5, 7.0), (0.95, 9.0)), 6.0, 10.0, 0.4, "wrapped", "bottom", 80.0
    )
    assert view.known
    assert view == drawn(LOT)
    bare = drawn({**LOT, "moisture": None, "cup": None, "end_grain": None})
    assert (bare.known, bare.cup_mm, bare.bark) == (False, 0.0, "top")
    assert not drawn({**LOT, "aim_low_pct": None}).known
    boards = [{"pieces": 2, "share": 0.6}, {"pieces": 1, "share": 0.4}]
    panel = drawn({**LOT, "panel": {"boards": boards, "rings": "alternating"}})
    assert panel.joints == (0.3, 0.6)
    assert panel.alternating
    veneered = {"top": [{"thickness_mm": 2.0}, {"thickness_mm": None}], "bottom": None}
    sheet = drawn({**LOT, "sheet": "mdf", "construction": veneered})
    assert (sheet.cut, sheet.layers) == ("mdf", (0.1,))


def test_figures_that_are_no_numbers_are_not_drawn() -> None:
    nan = math.nan
    view = drawn({**LOT, "cup": {"mm": nan}, "moisture": {"depth_mm": [1.0], "profile_pct": [nan]}})
    assert (view.cup_mm, view.known) == (0.0, False)


@pytest.mark.parametrize(
    "garbage",
    [
        {}, {**LOT, "thickness_mm": 0}, {**LOT, "thickness_mm": math.nan}, {**LOT, "width_mm": "wide"},
        {**LOT, "moisture": [8.0]}, {**LOT, "moisture": {"depth_mm": [1.0], "profile_pct": [None]}},
        {**LOT, "panel": {"boards": [{"pieces": 2}]}},
    ],
)  # fmt: skip
def test_of_garbage_nothing_is_drawn_and_nothing_raised(garbage: dict[str, Any]) -> None:
    assert grain_of(garbage) is None


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"thickness_mm": 0}, "thickness_mm: found 0; would be right: above 0 to 300 mm"),
        ({"width_mm": math.nan}, "width_mm: found nan; would be right: above 0 to 3000 mm"),
        ({"cup_mm": math.inf}, "cup_mm: found inf; would be right: a number of mm"),
        ({"profile": ((1.5, 8.0),)}, r"profile: found \(\(1.5, 8.0\),\); would be right: shares 0 to 1"),
    ],
)
def test_what_cannot_be_drawn_is_refused(wrong: dict[str, Any], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        GrainView(**{"thickness_mm": 20, "width_mm": 100, "profile": drying(7, 8), **wrong})


def test_every_lot_the_server_lists_becomes_a_section() -> None:
    """The contract's list is what the server's own models take and give back."""
    lots: Any = document("lots")
    found = {lot["id"]: drawn(lot) for lot in lots}
    assert {view.cut for view in found.values()} >= {"flat", "quarter", "plywood"}
    sapele = found["sapele-boards"]
    assert sapele.known
    assert fit_grain(sapele, 346, 115).hollow < 0  # its bottom is hollow, as the server says of it
    (advised,) = [lot for lot in lots if lot["id"] == "sapele-boards"]
    assert advised["cup"]["mm"] < 0
    assert not found["ply-bottoms"].known


def test_a_pages_cups_are_all_drawn_alike() -> None:
    views = [board(20, 200, (), cup_mm=mm) for mm in (0.2, 2.0, 0.0)]
    factor = common_factor(views, 346, 115)
    alone = [fit_grain(view, 346, 115).factor for view in views]
    assert alone[0] > alone[1] == factor
    shapes = [fit_grain(view, 346, 115, most=factor) for view in views]
    assert [shape.factor for shape in shapes] == [factor, factor, 0]
    assert shapes[1].hollow / shapes[0].hollow == pytest.approx(10)
    assert common_factor([], 346, 115) == 0


@pytest.mark.parametrize(
    ("language", "factor", "says"),
    [
        ("en", 20.0, "cup drawn 20 times"), ("en", 1.0, "cup drawn as it is"), ("en", 0.5, "cup drawn 0.5 times"),
        ("en", 0.0, ""), ("de", 20.0, "Wölbung 20-fach gezeichnet"), ("de", 0.5, "Wölbung 0,5-fach gezeichnet"),
    ],
)  # fmt: skip
def test_the_factor_is_said(language: str, factor: float, says: str) -> None:
    assert key_view(Words(language), factor).cup == says


def test_shell_and_core_are_said_or_that_nothing_is_known() -> None:
    moisture = {"shell": {"pct": 7.46}, "core": {"pct": 7.94}}
    assert depth_text(Words("en"), {"moisture": moisture}) == DepthText("shell 7.5 %", "core 7.9 %")
    assert depth_text(Words("de"), {"moisture": None}) == DepthText("Feuchte nicht bekannt", "")
