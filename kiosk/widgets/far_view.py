"""What is read from across the shop: the number with its spread, the word with its vial, one short sentence."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.views import Wall
from kiosk.widgets.figure import Figure
from kiosk.widgets.follow import follow, tint
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text, measured
from kiosk.widgets.vial import ASPECT, Vial


class FarView(Widget):
    """Every capital is at least 9 mm high at the panel's true density."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._figure_wanted = False
        with self.canvas.before:
            self._colour = Color(*theme.GROUND)
            self._ground = Rectangle()
        self.figure = Figure(centred=True)
        self.vial = Vial()
        self.word = Text(bold=True)
        self.sentence = Text(bold=True, wrap_first=True, across="center")
        self.away = Text(bold=True, wrap_first=True, across="center", ink=theme.LOOK)
        for part in (self.figure, self.vial, self.word, self.sentence, self.away):
            self.add_widget(part)
        follow(self, self.arrange)

    def show(self, wall: Wall) -> None:
        band, air, away = wall.band, wall.air, bool(wall.away_since)
        amber = band.word == "act" and not away
        tint(self._colour, theme.AMBER if amber else theme.GROUND)
        ink = theme.GROUND if amber else theme.QUIET if away else theme.TEXT
        self.vial.word, self.vial.lean = band.word, band.lean
        self.vial.dark, self.vial.dull = amber, away
        self.word.text, self.sentence.text, self.away.text = band.word_text, band.far, wall.away_since
        self.word.ink = ink if amber or away else theme.WORDS[band.word]
        self.sentence.ink = ink
        self._figure_wanted = air is not None
        if air is not None:
            self.figure.number, self.figure.live, self.figure.below = air.number, air.live, "" if away else air.heard
            self.figure.unit, self.figure.spread, self.figure.ink = air.unit, air.spread, ink
            self.figure.beside.ink = self.figure.under.ink = theme.GROUND if amber else theme.QUIET
        self.arrange()
        if air is not None and amber:
            self.figure.word.ink = self.figure.heard.ink = theme.GROUND

    def arrange(self) -> None:
        if self.width < 100:
            return
        m = METRICS
        self._ground.pos, self._ground.size = self.pos, self.size
        far, edge = m.far_text, self.height * 0.05
        width = self.width - 2 * m.gap
        y = self.y + edge
        for text in (self.away, self.sentence):
            text.size_px = text.floor_px = far
            high = measured(text.text, far, width, True)[1] + 2 if text.text else 1
            text.pos, text.size = (self.x + m.gap, y), (width, high)
            y += high
        line = far * 1.3
        wide = measured(self.word.text, far * 1.15, None, True)[0] + 4
        vial = far * 0.85
        left = self.center_x - (vial * ASPECT + far * 0.4 + wide) / 2
        y += edge * 0.4
        if not self._figure_wanted:  # nothing to stand above them: the words keep to the middle
            shift = (self.top - y - line) / 2 - edge
            self.away.y, self.sentence.y, y = self.away.y + shift, self.sentence.y + shift, y + shift
        self.vial.size, self.vial.pos = (vial * ASPECT, vial), (left, y + (line - vial) / 2)
        self.word.size_px = self.word.floor_px = far * 1.15
        self.word.pos, self.word.size = (self.vial.right + far * 0.4, y), (wide, line)
        y += line + edge * 0.6
        self.figure.least_px, self.figure.biggest_px = far, 420 * m.scale
        if self._figure_wanted:
            self.figure.pos, self.figure.size = (self.x + m.gap, y), (width, max(1, self.top - edge - y))
        else:
            self.figure.size = (1, 1)
