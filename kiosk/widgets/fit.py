"""How a text is made to fit its box: shrink to a floor, then wrap (as large as that allows), then shrink on; only a
name ends in an ellipsis.

Measuring is handed in, so the rules are tested without a font.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

Measure = Callable[[str, float, float | None], tuple[float, float]]
"""(text, font size, wrapping width or None) to (width, height) in pixels."""

LAST_RESORT = 0.55  # of the floor: better small than cut, for a sentence in a language we did not try
STEP = 0.94


@dataclass(frozen=True, slots=True)
class Fit:
    """``width`` is the wrapping width, None for one line; ``ellipsis`` says that the text must be shortened."""

    size: float
    width: float | None
    ellipsis: bool = False


def fit(
    text: str, box: tuple[float, float], size: float, floor: float, measure: Measure, *, name: bool, wrap_first: bool
) -> Fit:
    """The largest way that fits ``box`` (width, height). ``wrap_first`` is for paragraphs: wrap before shrinking."""
    width, height = box
    top = max(1.0, size)
    floor = min(floor, top)
    if wrap_first:
        wrapped = _largest(text, box, top, floor, measure)
        return wrapped or _last(text, box, floor, measure, name=name)
    candidate = top
    while True:
        w, h = measure(text, candidate, None)
        if w <= width and h <= height:
            return Fit(candidate, None)
        if candidate <= floor:
            break
        candidate = max(floor, math.floor(candidate * STEP))
    if name:
        return Fit(floor, None, ellipsis=True)
    return _largest(text, box, top, floor, measure) or _last(text, box, floor, measure, name=name)


def _largest(text: str, box: tuple[float, float], top: float, floor: float, measure: Measure) -> Fit | None:
    size = top
    while True:
        w, h = measure(text, size, box[0])
        if h <= box[1] and w <= box[0] and _words_fit(text, size, box[0], measure):
            return Fit(size, _balanced(text, size, box[0], h, measure))
        if size <= floor:
            return None
        size = max(floor, math.floor(size * STEP))


def _balanced(text: str, size: float, width: float, height: float, measure: Measure) -> float:
    """The narrowest wrapping width that takes no more lines, so that no word is left alone on the last one."""
    if measure(text, size, None)[0] <= width:
        return width
    low, high = width / 2, width
    while high - low > max(8, width * 0.02):
        middle = (low + high) / 2
        if measure(text, size, middle)[1] <= height and _words_fit(text, size, middle, measure):
            high = middle
        else:
            low = middle
    return high


def _words_fit(text: str, size: float, width: float, measure: Measure) -> bool:
    longest = max(text.split(), key=len, default="")
    return measure(longest, size, None)[0] <= width


def _last(text: str, box: tuple[float, float], floor: float, measure: Measure, *, name: bool) -> Fit:
    smaller = None if name else _largest(text, box, floor, floor * LAST_RESORT, measure)
    return smaller or Fit(floor * LAST_RESORT, box[0], ellipsis=True)
