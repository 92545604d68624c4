"""A page of large lines: an empty wall's next steps, or a screen that is not there yet."""

from __future__ import annotations

from typing import Any

from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.widgets.card import Ground
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text, measured

LINES = 8


class Page(Ground, Widget):
    """A title and up to eight paragraphs, each as large as there is room for; more than one are numbered."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.title = Text(bold=True)
        self.numbers = [Text(bold=True, ink=theme.QUIET, down="top", across="right") for _ in range(LINES)]
        self.lines = [Text(wrap_first=True, down="top") for _ in range(LINES)]
        for text in (self.title, *self.numbers, *self.lines):
            self.add_widget(text)
        follow(self, self.arrange)

    def show(self, title: str, lines: tuple[str, ...]) -> None:
        self.title.text = title
        for i, (number, text) in enumerate(zip(self.numbers, self.lines, strict=True)):
            text.text = lines[i] if i < len(lines) else ""
            number.text = str(i + 1) if text.text and len(lines) > 1 else ""
        self.arrange()

    def arrange(self) -> None:
        if self.width < 100 or self.height < 60:
            return
        m = METRICS
        left, width = self.x + m.pad * 1.5, self.width - 3 * m.pad
        head = m.title * 1.35
        self.title.size_px, self.title.floor_px = m.title, m.heading
        self.title.pos, self.title.size = (left, self.top - m.pad - head), (width, head)
        many = any(n.text for n in self.numbers)
        start = left + (m.heading * 1.4 if many else 0)
        wide = width - (start - left)
        room = self.title.y - self.y - m.pad * 1.5
        size = m.heading * 1.25
        gap = m.pad * 0.7
        while size > m.floor * 0.8 and self._need(size, wide, gap) > room:
            size *= 0.96
        y = self.title.y - m.pad * 0.5
        for number, text in zip(self.numbers, self.lines, strict=True):
            high = measured(text.text, size, wide, False)[1] + 2 if text.text else 1
            y -= high
            text.size_px = text.floor_px = size
            text.pos, text.size = (start, y), (wide, high)
            number.size_px = size
            number.pos, number.size = (left, y), (m.heading if number.text else 1, high)
            y -= gap if text.text else 0

    def _need(self, size: float, wide: float, gap: float) -> float:
        return float(sum(measured(t.text, size, wide, False)[1] + 2 + gap for t in self.lines if t.text))
