"""Grounds and buttons: a rounded rectangle, and one that can be pressed."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, SmoothLine, SmoothRoundedRectangle
from kivy.properties import ColorProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text
from kiosk.widgets.touchable import Touchable


class Ground(Widget):
    """Draws its own rounded ground; mixed into whatever lays out its children."""

    ground = ColorProperty(theme.PANEL)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        with self.canvas.before:
            self._ground_colour = Color(*self.ground)
            self._ground = SmoothRoundedRectangle(pos=self.pos, size=self.size, radius=[METRICS.corner])
        follow(self, self._draw_ground)
        self.fbind("ground", self._tint_ground)

    def _draw_ground(self) -> None:
        self._ground.pos, self._ground.size = self.pos, self.size
        self._ground.radius = [min(METRICS.corner, self.width / 2, self.height / 2)]

    def _tint_ground(self, *_: object) -> None:
        self._ground_colour.rgba = self.ground


class Panel(Ground, BoxLayout):
    """A card of a screen: padding, and its children below each other."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("orientation", "vertical")
        super().__init__(**kwargs)


class PressButton(Ground, Touchable):
    """A word that does something when pressed. At least :attr:`Metrics.target` in both directions, by its layout."""

    text = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("ground", theme.RAISED)
        super().__init__(**kwargs)
        self.label = Text(across="center", bold=True)
        self.add_widget(self.label)
        with self.canvas:
            Color(*theme.EDGE)
            self._edge = SmoothLine(width=1.1)
        follow(self, self._arrange, "text", "pressed", "disabled")
        METRICS.fbind("body", lambda *_: self._arrange())
        self._arrange()

    def _arrange(self) -> None:
        self.label.text = self.text
        self.label.size_px, self.label.floor_px = METRICS.body, METRICS.floor
        self.label.size = (max(1, self.width - METRICS.pad), self.height)
        self.label.center = self.center
        self.label.ink = theme.QUIET if self.disabled else theme.TEXT
        self._edge.rounded_rectangle = (self.x, self.y, self.width, self.height, max(2, METRICS.corner), 16)
        self.ground = theme.RULE if self.pressed else theme.RAISED
