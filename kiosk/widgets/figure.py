"""The big number with its spread, or the word that stands in its place."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, ColorProperty, NumericProperty, StringProperty
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.widgets.follow import follow
from kiosk.widgets.text import Text, measured

UNIT_SHARE = 0.36
SPREAD_SHARE = 0.26
BIGGEST_PX = 170
ROOM = 1.28  # height of the box over the number's own, so that it does not touch what stands above and below


class Figure(Widget):
    """``number`` as large as its box allows; ``unit`` and ``spread`` beside it, no smaller than ``least_px``.

    When ``live`` is False the number is a word, and ``below`` (when it was last heard) stands under it.
    """

    number = StringProperty("")
    unit = StringProperty("")
    spread = StringProperty("")
    below = StringProperty("")
    live = BooleanProperty(True)
    least_px = NumericProperty(22)
    biggest_px = NumericProperty(BIGGEST_PX)
    centred = BooleanProperty(False)
    ink = ColorProperty(theme.TEXT)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.main = Text(bold=True, tight=True, even=True, down="middle")
        self.beside = Text(ink=theme.QUIET, down="top", tight=True)
        self.under = Text(ink=theme.QUIET, down="bottom", tight=True, even=True)
        self.word = Text(bold=True, down="bottom")
        self.heard = Text(ink=theme.QUIET, down="top")
        for part in (self.main, self.beside, self.under, self.word, self.heard):
            self.add_widget(part)
        follow(self, self.arrange, "number", "unit", "spread", "below", "live", "least_px", "centred", "ink")

    def _widths(self, px: float) -> tuple[float, float]:
        number = measured(self.number, px, None, True, True)[0]
        side = max(
            measured(self.unit, max(self.least_px, px * UNIT_SHARE), None, False)[0] if self.unit else 0,
            measured(self.spread, max(self.least_px, px * SPREAD_SHARE), None, False, True)[0] if self.spread else 0,
        )
        return number, side

    def arrange(self) -> None:
        for part in (self.main, self.beside, self.under, self.word, self.heard):
            part.size = (1, 1)
        if self.width < 10 or self.height < 10 or not self.number:
            self._say("", "", "", "", "")
        elif self.live:
            self._arrange_number()
        else:
            self._arrange_word()

    def _say(self, main: str, beside: str, under: str, word: str, heard: str) -> None:
        self.main.text, self.beside.text, self.under.text = main, beside, under
        self.word.text, self.heard.text = word, heard

    def _arrange_number(self) -> None:
        self._say(self.number, self.unit, self.spread, "", "")
        px = min(self.biggest_px, self.height / (theme.CAP_HEIGHT * ROOM))
        while px > self.least_px and sum(self._widths(px)) + px * 0.14 > self.width:
            px *= 0.97
        number, side = self._widths(px)
        gap = px * 0.14
        left = self.x + ((self.width - number - gap - side) / 2 if self.centred else 0)
        tall = px * (theme.CAP_HEIGHT + 0.05)
        base = self.center_y - tall / 2
        self.main.size_px, self.main.ink = px, self.ink
        self.main.pos, self.main.size = (left, base), (number + 2, tall + 2)
        for text, share, y_share in ((self.beside, UNIT_SHARE, None), (self.under, SPREAD_SHARE, 0)):
            text.size_px = max(self.least_px, px * share)
            high = text.size_px * (theme.CAP_HEIGHT + 0.06) + 2
            text.size = (max(1, min(side + 4, self.right - left - number - gap)), high)
            text.pos = (left + number + gap, base if y_share == 0 else base + tall - high)

    def _arrange_word(self) -> None:
        self._say("", "", "", self.number, self.below)
        across = "center" if self.centred else "left"
        self.word.across = self.heard.across = across
        lower = self.least_px * 1.3 if self.below else 0
        self.heard.size_px = self.heard.floor_px = self.least_px
        self.heard.pos, self.heard.size = self.pos, (self.width, max(1, lower))
        self.word.size_px = min(self.biggest_px * 0.55, (self.height - lower) / 1.2)
        self.word.floor_px, self.word.ink = min(self.least_px, self.word.size_px), theme.LOOK
        self.word.pos, self.word.size = (self.x, self.y + lower), (self.width, max(1, self.height - lower))
