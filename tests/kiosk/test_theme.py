"""Colours and sizes. Contrast and luminance as WCAG 2.2 defines them (its own examples: black on white is 21:1)."""

from __future__ import annotations

import itertools

import pytest

from kiosk import theme
from kiosk.catalog import SCREENS
from kiosk.words import Words

SURE = 7.0


def test_the_contrast_formula_gives_the_published_ends() -> None:
    black, white = theme.colour("#000000"), theme.colour("#ffffff")
    assert theme.contrast(black, white) == pytest.approx(21.0)
    assert theme.contrast(white, white) == pytest.approx(1.0)
    # WCAG technique G17 counts #767676 as passing 4.5:1 on white, #777777 as just failing
    assert theme.contrast(theme.colour("#767676"), white) >= 4.5 > theme.contrast(theme.colour("#777777"), white)


@pytest.mark.parametrize(
    ("ink", "ground"),
    [
        *itertools.product((theme.TEXT, theme.QUIET), (theme.GROUND, theme.PANEL, theme.RAISED, theme.SUNK)),
        *itertools.product(
            (theme.READY, theme.WAIT, theme.LOOK, theme.AMBER), (theme.GROUND, theme.PANEL, theme.RAISED)
        ),
        (theme.GROUND, theme.AMBER),
        (theme.QUIET, theme.AIM_BAND),
    ],
)
def test_every_text_is_seven_to_one(ink: theme.Colour, ground: theme.Colour) -> None:
    assert theme.contrast(ink, ground) >= SURE


def test_moisture_goes_from_brown_over_straw_to_teal_without_a_step() -> None:
    assert theme.moisture_colour(8, 6, 10) == theme.STRAW
    assert theme.moisture_colour(6, 6, 10) == pytest.approx(theme.STRAW)
    assert theme.moisture_colour(3, 6, 10) == pytest.approx(theme.BROWN)
    assert theme.moisture_colour(14, 6, 10) == pytest.approx(theme.TEAL)
    shades = [theme.moisture_colour(n / 10, 6, 10) for n in range(20, 160)]
    steps = [max(abs(a - b) for a, b in zip(x, y, strict=True)) for x, y in itertools.pairwise(shades)]
    assert max(steps) < 0.05


@pytest.mark.parametrize(
    ("size", "dpi", "mm"), [((1280, 800), 149, 15), ((800, 480), 133, 10), ((1920, 1200), 224, 15)]
)
def test_a_touch_target_is_15_mm_or_10_under_8_inches(size: tuple[int, int], dpi: float, mm: float) -> None:
    sizes = theme.sizes(*size, dpi)
    for length in (sizes.target, sizes.bar, sizes.band, sizes.zone_row):
        assert length / dpi * 25.4 >= mm
    assert sizes.deed_gap / dpi * 25.4 >= 12
    assert sizes.far_text * theme.CAP_HEIGHT / dpi * 25.4 >= 9


def test_text_of_the_near_view_is_22_px_or_more_at_1280() -> None:
    sizes = theme.sizes(1280, 800, 149)
    assert min(sizes.small, sizes.body, sizes.heading, sizes.title, sizes.floor) >= 22


@pytest.mark.parametrize(
    ("size", "dpi", "says"),
    [
        ((200, 800), 96, "size: found 200x800; would be right: at least 320x320"),
        ((1280, 800), 5, "dpi: found 5; would be right: 30 to 1000"),
    ],
)
def test_impossible_sizes_are_refused(size: tuple[int, int], dpi: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        theme.sizes(*size, dpi)


def test_screens_stand_in_the_vocabularys_order() -> None:
    assert [Words()(f"screen-{s.name}") for s in SCREENS] == [
        "Shop",
        "Rack",
        "Glue-up",
        "Seasons",
        "Bench book",
        "Setup",
    ]
    assert [s.key for s in SCREENS] == ["1", "2", "3", "4", "5", "0"]
