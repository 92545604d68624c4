"""A line of a true length, to be held against a rule: whether the window knows the panel's density."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle

from kiosk import theme
from kiosk.blocks import Ruler
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.metrics import METRICS

MOST_CM, THICK_PX = 10, 2


class RulerBlock(BlockWidget):
    """See :class:`kiosk.blocks.Ruler`: the line, and a stroke across it at each centimetre."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.block = Ruler(0)
        with self.canvas:
            Color(*theme.TEXT)
            self.line = Rectangle(size=(0, 0))
            self.strokes = [Rectangle(size=(0, 0)) for _ in range(MOST_CM + 1)]

    def show(self, block: Ruler) -> None:
        self.block = block
        self.arrange()

    def wanted(self, width: float) -> float:
        return min(METRICS.target, width)

    def arrange(self) -> None:
        each, count = 10 * METRICS.px_per_mm, int(self.block.mm // 10)
        long = self.block.mm * METRICS.px_per_mm
        self.line.pos, self.line.size = (self.x, self.center_y - THICK_PX / 2), (long, THICK_PX)
        for i, stroke in enumerate(self.strokes):
            high = self.height * (0.8 if i in {0, count} else 0.4) if i <= count else 0
            # the ends' outer edges are what is measured
            left = self.x + i * each - (0 if i == 0 else THICK_PX if i == count else THICK_PX / 2)
            stroke.pos, stroke.size = (left, self.center_y - high / 2), (THICK_PX if high else 0, high)
