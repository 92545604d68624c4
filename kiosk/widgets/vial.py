"""The vial: a spirit level seen from the front, the mark of a verdict.

Bubble between the lines = ready; off centre with a chevron pointing home = wait; off centre = look; hard at the end on
amber = act. Left is dry, right is damp. Where a verdict has no side (a silent sensor), the bubble is in two halves, one
on either side, at the place it would have for a side: off level, but neither dry nor damp.
"""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, SmoothEllipse, SmoothLine, SmoothRoundedRectangle
from kivy.properties import BooleanProperty, OptionProperty
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.widgets.follow import follow

ASPECT = 2.2


def bubbles(word: str, lean: str) -> tuple[tuple[float, float], ...]:
    """(centre -1..1 along the free way of the bubble, size as a share of a whole bubble) for each bubble."""
    if word == "ready":
        return ((0.0, 1.0),)
    place = {"wait": 0.62, "look": 0.72, "act": 1.0}[word]
    if lean == "none":
        return ((-place, 0.62), (place, 0.62))
    return ((-place if lean == "dry" else place, 1.0),)


class Vial(Widget):
    """Fills its box at most, keeping its shape. ``dark`` is for a band that is amber itself."""

    word = OptionProperty("ready", options=["ready", "wait", "look", "act"])
    lean = OptionProperty("none", options=["dry", "damp", "none"])
    dark = BooleanProperty(False)
    dull = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._drawn: tuple[Any, ...] = ()
        follow(self, self._draw, "word", "lean", "dark", "dull")

    def _draw(self) -> None:
        now = (self.word, self.lean, self.dark, self.dull, *self.pos, *self.size)
        if now == self._drawn or self.width < 8 or self.height < 4:
            return
        self._drawn = now
        width = min(self.width, self.height * ASPECT)
        height = width / ASPECT
        x, y = round(self.x + (self.width - width) / 2), round(self.y + (self.height - height) / 2)
        filled = self.word == "act" and not self.dark and not self.dull
        ink = theme.QUIET if self.dull else theme.GROUND if self.dark or filled else theme.WORDS[self.word]
        self.canvas.clear()
        with self.canvas:
            line = max(1.2, height * 0.045)
            if filled:
                Color(*theme.AMBER)
                SmoothRoundedRectangle(pos=(x, y), size=(width, height), radius=[height / 2])
            Color(*ink)
            if not filled:
                inside = (x + line, y + line, width - 2 * line, height - 2 * line, height / 2 - line, 40)
                SmoothLine(rounded_rectangle=inside, width=line)
            self._lines(x, y, width, height, line)
            self._bubbles(x, y, width, height)

    def _lines(self, x: float, y: float, width: float, height: float, line: float) -> None:
        for side in (-1, 1):
            at = x + width / 2 + side * width * 0.16
            SmoothLine(points=[at, y + line * 2, at, y + height - line * 2], width=line * 0.8)

    def _bubbles(self, x: float, y: float, width: float, height: float) -> None:
        whole = height * 0.52
        free = width / 2 - height * 0.14 - whole / 2
        for place, share in bubbles(self.word, self.lean):
            size = whole * share
            centre = x + width / 2 + place * free
            if abs(place) == 1.0 and share < 1:
                centre += (1 if place > 0 else -1) * (whole - size) / 2
            SmoothEllipse(pos=(centre - size / 2, y + height / 2 - size / 2), size=(size, size))
            if self.word == "wait":
                self._chevron(
                    x + width / 2 + (0.055 if place > 0 else -0.055) * width, y + height / 2, height * 0.12, place
                )

    def _chevron(self, x: float, y: float, reach: float, place: float) -> None:
        tip = -1 if place > 0 else 1
        points = [x - tip * reach / 2, y + reach, x + tip * reach / 2, y, x - tip * reach / 2, y - reach]
        SmoothLine(points=points, width=max(1.0, reach * 0.3))
