"""The bar at the bottom: one place for each screen, the open one lit and marked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.properties import BooleanProperty, StringProperty
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text
from kiosk.widgets.touchable import Touchable


class Place(Touchable):
    """One word of the bar. The open screen has a lighter ground, bold letters and a line on top: never colour alone."""

    text = StringProperty("")
    open = BooleanProperty(False)

    def __init__(self, screen: str, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.screen = screen
        with self.canvas.before:
            self._ground_colour = Color(*theme.SUNK)
            self._ground = Rectangle()
            self._line_colour = Color(*theme.TEXT[:3], 0)
            self._line = Rectangle()
        self.label = Text(across="center", name=True)
        self.add_widget(self.label)
        follow(self, self.arrange, "text", "open", "pressed")

    def arrange(self) -> None:
        lit = self.open or self.pressed
        self._ground_colour.rgba = theme.RAISED if lit else theme.SUNK
        self._ground.pos, self._ground.size = self.pos, self.size
        self._line_colour.a = 1.0 if self.open else 0.0
        thick, inset = max(3, 5 * METRICS.scale), self.width * 0.11
        self._line.pos, self._line.size = (self.x + inset, self.top - thick), (self.width - 2 * inset, thick)
        self.label.text, self.label.bold = self.text, self.open
        self.label.ink = theme.TEXT if self.open else theme.QUIET
        self.label.size_px, self.label.floor_px = METRICS.heading * 1.1, METRICS.floor * 0.8
        edge = self.width * 0.05
        self.label.pos, self.label.size = (self.x + edge, self.y), (max(1, self.width - 2 * edge), self.height)


class Navigation(Widget):
    """``on_choose`` carries the screen's name."""

    def __init__(self, screens: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        self.register_event_type("on_choose")
        super().__init__(**kwargs)
        self.places = [Place(name, text=text) for name, text in screens]
        for place in self.places:
            place.bind(on_tap=lambda p: self.dispatch("on_choose", p.screen))
            self.add_widget(place)
        follow(self, self.arrange)

    def on_choose(self, screen: str) -> None:
        """For those who bind."""

    def show(self, screen: str) -> None:
        for place in self.places:
            place.open = place.screen == screen

    def arrange(self) -> None:
        n = len(self.places)
        for i, place in enumerate(self.places):
            left, right = round(self.width * i / n), round(self.width * (i + 1) / n)
            place.pos, place.size = (self.x + left, self.y), (right - left, self.height)
            place.arrange()
