"""The rules of fitting a text and of placing the chart, by numbers: every letter here is half its size wide."""

from __future__ import annotations

import itertools
import textwrap

import pytest

from kiosk.client import Link, Update
from kiosk.viewmodel import build
from kiosk.views import ChartView
from kiosk.widgets.chart_scale import Box, aim_place, day_places, dots, ticks, unbroken, value_range
from kiosk.widgets.fit import fit
from kiosk.widgets.pager import page_of
from kiosk.words import Words
from tests.kiosk.fakes import document


def measure(text: str, size: float, width: float | None) -> tuple[float, float]:
    letter = size / 2
    if width is None:
        return len(text) * letter, size * 1.2
    lines = textwrap.wrap(text, max(1, int(width / letter))) or [""]
    return max(map(len, lines)) * letter, len(lines) * size * 1.2


SENTENCE = "wrap the stock that is milled and bring the heating down"


def test_what_fits_keeps_its_size() -> None:
    assert fit("short", (200, 40), 26, 22, measure, name=False, wrap_first=False).size == 26


def test_it_shrinks_before_it_wraps_and_never_under_the_floor() -> None:
    found = fit("x" * 18, (205, 100), 26, 22, measure, name=False, wrap_first=False)
    assert 22 <= found.size < 26
    assert found.width is None


def test_a_sentence_wraps_when_the_floor_is_reached_and_no_word_is_left_alone() -> None:
    found = fit(SENTENCE, (340, 60), 26, 22, measure, name=False, wrap_first=False)
    assert found.size >= 22
    assert found.width is not None
    lines = textwrap.wrap(SENTENCE, int(found.width / (found.size / 2)))
    assert len(lines) == 2
    assert min(map(len, lines)) > 0.6 * max(map(len, lines))


def test_a_paragraph_wraps_first() -> None:
    assert fit(SENTENCE, (340, 200), 26, 22, measure, name=False, wrap_first=True).size == 26


def test_only_a_name_is_shortened() -> None:
    name = fit("Sheet bay by the north door", (120, 30), 26, 22, measure, name=True, wrap_first=False)
    assert name.ellipsis
    sentence = fit(SENTENCE, (260, 60), 26, 22, measure, name=False, wrap_first=False)
    assert not sentence.ellipsis


def chart(zone: str = "bench-room") -> ChartView:
    view = build(Update(document(), Link("live")), Words(), chosen=zone).chart
    assert view is not None
    return view


def box(view: ChartView, width: float = 350) -> Box:
    return Box(40, 30, 40 + width, 300, view.from_ms, view.to_ms, *value_range(view))


def test_the_range_always_holds_the_aim_and_all_data() -> None:
    view = chart()
    low, high = value_range(view)
    assert low < min(6.0, *(p[2] for p in view.ahead))
    assert high > max(10.0, *(v for _, v in view.back))


def test_time_and_value_go_to_pixels_linearly() -> None:
    view = chart()
    b = box(view)
    assert b.x(view.from_ms) == 40
    assert b.x(view.to_ms) == 390
    assert b.x(view.now_ms) == pytest.approx(40 + 350 * 3 / 7)  # three days back, four ahead
    assert b.y(b.low) == 30
    assert b.y(b.high) == 300


@pytest.mark.parametrize("width", [120, 200, 280, 350, 600, 1100])
def test_the_days_names_never_touch(width: float) -> None:
    view = chart()
    b = box(view, width)
    places = day_places(view, b, lambda text: len(text) * 11.0)
    spans = [(x - w / 2, x + w / 2) for _, x, w in places]
    spans.append((b.x(view.now_ms) - 16.5, b.x(view.now_ms) + 16.5))
    spans.sort()
    assert all(a[1] < c[0] for a, c in itertools.pairwise(spans))
    assert spans[0][0] >= b.left - 1
    assert spans[-1][1] <= b.right + 1


def test_ticks_are_whole_and_as_many_as_fit() -> None:
    assert ticks(4.6, 10.5, 9, 7) == [5, 6, 7, 8, 9, 10]
    assert ticks(4.6, 10.5, 3, 7) == [6, 8, 10]
    assert len(ticks(0, 60, 20, 7)) <= 7


def test_dots_are_evenly_apart_along_a_bent_line() -> None:
    found = dots([(0, 0), (30, 0), (30, 40)], 10)
    assert found == [(10, 0), (20, 0), (30, 0), (30, 10), (30, 20), (30, 30), (30, 40)]


def test_the_word_aim_stands_inside_its_band_away_from_the_lines() -> None:
    view = chart()
    b = box(view)
    x, y = aim_place(view, b, 30, 26)
    assert b.y(6.0) <= y
    assert y + 26 <= b.y(10.0)
    assert all(abs(b.y(v) - (y + 13)) > 13 for t, v in view.back if abs(b.x(t) - x) < 30)


@pytest.mark.parametrize(("n", "room", "paged", "pages"), [(0, 3, 2, 1), (3, 3, 2, 1), (4, 3, 2, 2), (9, 3, 2, 5)])
def test_pages_hold_everything_once(n: int, room: int, paged: int, pages: int) -> None:
    items = list(range(n))
    found = [page_of(items, page, room, paged) for page in range(pages)]
    assert [i for seen, _, _ in found for i in seen] == items
    assert all(count == pages for _, _, count in found)
    assert page_of(items, pages, room, paged)[1] == 0  # after the last comes the first


def test_a_silence_breaks_the_line() -> None:
    steady = [(float(x), 6.0) for x in range(0, 50, 5)]
    assert unbroken(steady) == [steady]
    gap = [*steady[:4], *steady[8:]]
    assert unbroken(gap) == [steady[:4], steady[8:]]
    assert unbroken([(0.0, 6.0)]) == []
