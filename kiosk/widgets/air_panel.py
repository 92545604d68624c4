"""What this air draws wood to, on the scale, with the air itself under it."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.views import AirView
from kiosk.widgets.card import Panel
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.moisture_scale import yesterday_mark
from kiosk.widgets.text import Text

FIGURES = 3


class Rule(Widget):
    """A thin line between two parts of a card."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        with self.canvas:
            Color(*theme.RULE)
            self._line = Rectangle()
        follow(self, self._draw)

    def _draw(self) -> None:
        self._line.pos, self._line.size = (self.x, round(self.y + self.height / 2)), (self.width, 1)


class YesterdayKey(Widget):
    """The mark of yesterday as the scale draws it, and what it says."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.text = Text(ink=theme.QUIET)
        self.add_widget(self.text)
        self._drawn: tuple[Any, ...] = ()
        follow(self, self.arrange)

    def show(self, words: str) -> None:
        self.text.text = words
        self.arrange()

    def arrange(self) -> None:
        u = max(METRICS.scale, 0.6)
        self.text.size_px, self.text.floor_px = METRICS.small, METRICS.small * 0.85
        self.text.pos, self.text.size = (self.x + 24 * u, self.y), (max(1, self.width - 24 * u), self.height)
        now = (*self.pos, *self.size, u, bool(self.text.text))
        if now == self._drawn:
            return
        self._drawn = now
        self.canvas.before.clear()
        if self.text.text:
            with self.canvas.before:
                Color(*theme.QUIET)
                yesterday_mark(self.x + 8 * u, self.y + self.height / 2 + 4.5 * u, u)


class AirFigure(BoxLayout):
    """One figure of the air over its name; laid out in ``shop.kv``."""

    def show(self, value: str, label: str) -> None:
        self.ids.value.text, self.ids.label.text = value, label


class AirPanel(Panel):
    """Laid out in ``shop.kv``."""

    def show(self, air: AirView) -> None:
        ids = self.ids
        aged = air.live and air.age
        ids.heading.text = f"{air.heading} · {air.age}" if aged else air.heading  # an old figure never stands as fresh
        ids.aim.text = air.aim_text
        ids.figure.live = air.live
        ids.figure.number, ids.figure.unit, ids.figure.spread = air.number, air.unit, air.spread
        ids.figure.below = air.heard
        ids.scale.show(air)
        ids.yesterday.show(air.yesterday)
        for i in range(FIGURES):
            figure = air.figures[i] if i < len(air.figures) else None
            for place in ("beside", "under"):  # one of the two has no room, by the way the panel stands
                ids[f"{place}_{i}"].show(figure.value if figure else "", figure.label if figure else "")
