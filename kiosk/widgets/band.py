"""The band on top: what to do, then why; and the clock, which opens Setup."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.views import Wall
from kiosk.widgets.follow import follow, tint
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text
from kiosk.widgets.touchable import Touchable
from kiosk.widgets.vial import ASPECT, Vial


class Clock(Touchable):
    """The snapshot's time, never this machine's; above it what is wrong with it, if anything is."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.note = Text(across="right", down="bottom", ink=theme.LOOK, bold=True)
        self.time = Text(across="right", bold=True, even=True)
        self.add_widget(self.note)
        self.add_widget(self.time)
        follow(self, self.arrange)

    def arrange(self) -> None:
        size = METRICS.small
        self.time.size_px = self.note.size_px = size * 1.08
        self.time.floor_px = self.note.floor_px = size
        line = size * 1.4
        self.time.pos, self.time.size = (self.x, self.y + METRICS.pad * 0.4), (self.width, line)
        self.note.pos = (self.x, self.time.top)
        self.note.size = (self.width, max(1, self.top - METRICS.pad * 0.4 - self.time.top))


class Band(Widget):
    """Amber for act alone, and only while the server is heard: an amber band that is always there is no band."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        with self.canvas.before:
            self._colour = Color(*theme.PANEL)
            self._ground = Rectangle()
        self.vial = Vial()
        self.title = Text(bold=True, down="bottom")
        self.why = Text(down="top")
        self.clock = Clock()
        for part in (self.vial, self.title, self.why, self.clock):
            self.add_widget(part)
        follow(self, self.arrange)

    @property
    def amber(self) -> bool:
        return tuple(self._colour.rgba) == theme.AMBER

    def show(self, wall: Wall) -> None:
        band, away = wall.band, bool(wall.away_since)
        amber = band.word == "act" and not away
        tint(self._colour, theme.AMBER if amber else theme.PANEL)
        self.vial.word, self.vial.lean = band.word, band.lean
        self.vial.dark, self.vial.dull = amber, away
        self.title.text, self.why.text = band.title, band.why
        self.clock.time.text, self.clock.note.text = wall.clock, wall.clock_note
        self.title.ink = theme.GROUND if amber else theme.QUIET if away else theme.TEXT
        self.why.ink = theme.GROUND if amber else theme.QUIET
        self.clock.time.ink = theme.GROUND if amber else theme.QUIET
        self.clock.note.ink = theme.GROUND if amber else theme.LOOK

    def arrange(self) -> None:
        self._ground.pos, self._ground.size = self.pos, self.size
        pad, m = METRICS.pad, METRICS
        side = max(m.target, m.small * 8.2)
        self.clock.size = (side, self.height)
        self.clock.pos = (self.right - side - pad, self.y)
        height = min(46 * m.scale, self.height * 0.5)
        self.vial.size = (height * ASPECT, height)
        self.vial.pos = (self.x + pad, self.center_y - height / 2)
        left = self.vial.right + pad
        width = max(1, self.clock.x - left - pad * 0.5)
        self.title.size_px, self.title.floor_px = m.title, m.floor
        self.why.size_px, self.why.floor_px = m.body, m.floor
        title = m.title * 1.22
        edge = self.height * 0.05
        self.title.pos, self.title.size = (left, self.top - edge - title), (width, title)
        self.why.pos, self.why.size = (left, self.y + edge), (width, max(1, self.title.y - self.y - edge))
