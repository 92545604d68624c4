"""The small blocks of a page: words and figures. Each is a widget that is filled anew.

``show`` takes the block; ``wanted`` says how high it would be in a width; those with ``GROWS`` take what room is left.
"""

from __future__ import annotations

from typing import Any

from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.blocks import Caution, Facts, Heading, Line
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text, measured

FACTS = 6


class BlockWidget(Widget):
    """``on_touched`` carries a name."""

    GROWS = False

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_touched")
        super().__init__(**kwargs)
        follow(self, self.arrange)

    def on_touched(self, name: str) -> None:
        """For those who bind."""

    def wanted(self, width: float) -> float:
        """Pixels; those that grow want nothing."""
        return 0.0 * width

    def arrange(self) -> None:
        """Put every part in its place."""


class WordsBlock(BlockWidget):
    """A heading, a line, or a caution under its word."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.head = Text(bold=True, ink=theme.LOOK)
        self.text = Text(down="top")
        self.add_widget(self.head)
        self.add_widget(self.text)
        self.block: Heading | Line | Caution = Line("")

    def show(self, block: Heading | Line | Caution) -> None:
        self.block = block
        heading = isinstance(block, Heading)
        self.head.text = block.heading if isinstance(block, Caution) else ""
        self.text.text = block.text
        self.text.bold = isinstance(block, Line) and block.strong
        quiet = heading or isinstance(block, Caution) or (isinstance(block, Line) and block.quiet)
        self.text.ink = theme.QUIET if quiet else theme.TEXT
        self.text.wrap_first = not heading
        self.arrange()

    @property
    def _size(self) -> float:
        m = METRICS
        return (
            m.heading
            if isinstance(self.block, Heading)
            else m.small * 1.05
            if self.text.ink != list(theme.TEXT)
            else m.body
        )

    def wanted(self, width: float) -> float:
        size = self._size
        if isinstance(self.block, Heading):
            return size * 1.4
        high = measured(self.text.text, size, width, self.text.bold)[1] + size * 0.3 if self.text.text else 0.0
        return high + (METRICS.small * 1.4 if self.head.text else 0.0)

    def arrange(self) -> None:
        m, head = METRICS, METRICS.small * 1.4 if self.head.text else 0
        self.head.size_px = m.small
        self.head.pos, self.head.size = (self.x, self.top - head), (self.width, max(1, head))
        self.text.size_px, self.text.floor_px = self._size, m.floor * 0.8
        self.text.pos, self.text.size = self.pos, (self.width, max(1, self.height - head))


class FactsBlock(BlockWidget):
    """Figures side by side, two rows of them where one would be too narrow."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.values = [Text(bold=True, even=True) for _ in range(FACTS)]
        self.labels = [Text(ink=theme.QUIET, down="top") for _ in range(FACTS)]
        for text in (*self.values, *self.labels):
            self.add_widget(text)
        self.block = Facts(())

    def show(self, block: Facts) -> None:
        self.block = block
        for i, (value, label) in enumerate(zip(self.values, self.labels, strict=True)):
            fact = block.facts[i] if i < len(block.facts) else None
            value.text, label.text = (fact.value, fact.label) if fact else ("", "")
        self.arrange()

    def _rows(self, width: float) -> int:
        n, m = len(self.block.facts), METRICS
        return 2 if n > 3 and width / max(1, n) < m.body * 5 else 1

    def wanted(self, width: float) -> float:
        return self._rows(width) * (METRICS.body * 1.6 + METRICS.small * 1.45)

    def arrange(self) -> None:
        n, m = len(self.block.facts), METRICS
        rows = self._rows(self.width)
        columns = max(1, -(-n // rows))
        wide, high = self.width / columns, self.height / rows
        for i, (value, label) in enumerate(zip(self.values, self.labels, strict=True)):
            row, column = divmod(i, columns)
            x, top = self.x + column * wide, self.top - row * high
            shown = i < n
            value.size_px, value.floor_px = m.body * 1.25, m.floor * 0.8
            label.size_px, label.floor_px = m.small, m.small * 0.8
            lower = high * 0.46
            value.pos, value.size = (
                (x, top - high + lower),
                (max(1, wide - m.small * 0.5) if shown else 1, high - lower),
            )
            label.pos, label.size = (x, top - high), (max(1, wide - m.small * 0.5) if shown else 1, lower)
