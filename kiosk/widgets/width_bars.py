"""A panel's width through the year, around its width as glued: a bar each way, with its figures."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Line, RoundedRectangle
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.glue_views import BoardsView, WidthView
from kiosk.widgets.follow import follow
from kiosk.widgets.grain_parts import BoardRow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text, measured

BARS = 2
INKS = (theme.TEXT, theme.QUIET)


class BoardsPicture(BoardRow):
    """The boards of a glue-up."""

    def show(self, view: BoardsView) -> None:  # type: ignore[override]
        super().show(view.boards)


class WidthBars(Widget):
    """A heading and up to two bars below each other to one scale."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.view: WidthView | None = None
        self.heading = Text(bold=True)
        self.labels = [Text(ink=theme.QUIET) for _ in range(BARS)]
        self.less = [Text(bold=True, across="right") for _ in range(BARS)]
        self.more = [Text(bold=True) for _ in range(BARS)]
        for text in (self.heading, *self.labels, *self.less, *self.more):
            self.add_widget(text)
        self.bars, self.marks = [], []
        with self.canvas:
            for ink in INKS:
                Color(*ink)
                self.bars.append(RoundedRectangle(size=(0, 0), radius=[3]))
            Color(*theme.SUNK)
            self.marks = [Line(width=1.2) for _ in range(BARS)]
        follow(self, self.draw)

    def show(self, view: WidthView) -> None:
        """Other figures."""
        if view != self.view:
            self.view = view
            self.draw()

    def draw(self) -> None:
        """Bring it up to view, size and place."""
        view, m = self.view, METRICS
        if view is None or self.width < 60 or self.height < 20:
            return
        n = len(view.bars)
        head = min(m.body * 1.4, self.height * 0.45)
        self.heading.text, self.heading.size_px, self.heading.floor_px = view.heading, m.body, m.small * 0.8
        self.heading.pos, self.heading.size = (self.x, self.top - head), (self.width, head)
        row = min(m.body * 2.2, (self.height - head) / max(1, n))
        label = max((measured(bar.label, m.small, None, False)[0] for bar in view.bars), default=0) + m.small * 0.6
        less = max((measured(bar.less, m.small, None, True)[0] for bar in view.bars), default=0) + m.small * 0.6
        more = max((measured(bar.more, m.small, None, True)[0] for bar in view.bars), default=0) + m.small * 0.6
        label = min(label, self.width * 0.35)
        room = max(10.0, self.width - label - less - more)
        left_mm = max((bar.shrinks_mm for bar in view.bars), default=0.0)
        both = max(0.001, left_mm + max((bar.swells_mm for bar in view.bars), default=0.0))
        middle = self.x + label + less + room * left_mm / both
        for i in range(BARS):
            self._bar(i, (self.top - head - (i + 1) * row, row), (middle, room / both), label)

    def _bar(self, i: int, at: tuple[float, float], scale: tuple[float, float], label: float) -> None:
        (y, row), (middle, per_mm) = at, scale
        view, m = self.view, METRICS
        texts = (self.labels[i], self.less[i], self.more[i])
        if view is None or i >= len(view.bars):
            for text in texts:
                text.text, text.size = "", (1, 1)
            self.bars[i].size, self.marks[i].points = (0, 0), []
            return
        bar = view.bars[i]
        high = min(row * 0.62, m.body)
        low = y + (row - high) / 2
        left, right = middle - bar.shrinks_mm * per_mm, middle + bar.swells_mm * per_mm
        self.bars[i].pos, self.bars[i].size = (left, low), (max(1.0, right - left), high)
        self.marks[i].points = [middle, low - 2, middle, low + high + 2]
        for text, words in zip(texts, (bar.label, bar.less, bar.more), strict=True):
            text.text, text.size_px, text.floor_px = words, m.small, m.small * 0.75
        gap = m.small * 0.3
        self.labels[i].pos, self.labels[i].size = (self.x, y), (max(1, label), row)
        wide = max(1, left - gap - self.x - label)
        self.less[i].pos, self.less[i].size = (self.x + label, y), (wide, row)
        self.more[i].pos, self.more[i].size = (right + gap, y), (max(1, self.right - right - gap), row)
