"""A drawing in a page: a chart, or whatever else there is a widget for."""

from __future__ import annotations

from typing import Any

from kiosk import theme
from kiosk.blocks import Picture
from kiosk.glue_views import BoardsView, WidthView
from kiosk.grain import GrainView, fit_grain
from kiosk.grain_words import cup_text
from kiosk.views import ChartView
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.chart import Chart
from kiosk.widgets.end_grain import EndGrain
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text
from kiosk.widgets.width_bars import BoardsPicture, WidthBars

DRAWN: dict[type[Any], type[Any]] = {
    ChartView: Chart, GrainView: EndGrain, BoardsView: BoardsPicture, WidthView: WidthBars,
}  # fmt: skip
"""Which widget draws which view; each has ``show``."""


class PictureBlock(BlockWidget):
    """Fills the room it is given, or stands as high as its block says."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.high = 0.0
        self._made: dict[type[Any], Any] = {}
        self._shown: Any = None
        self._block: Picture | None = None
        self.said = Text(ink=theme.QUIET, across="center")

    def show(self, block: Picture) -> None:
        self._block = block
        self.high, self.GROWS = block.high, not block.high
        kind = type(block.view)
        widget = self._made.get(kind) or DRAWN[kind]()
        self._made[kind] = widget
        if widget is not self._shown:
            self.clear_widgets()
            self.add_widget(widget)
            self.add_widget(self.said)
            self._shown = widget
        widget.show(block.view)
        self.arrange()

    def wanted(self, width: float) -> float:
        return min(self.high * METRICS.body, width)

    def arrange(self) -> None:
        if self._shown is None or self._block is None:
            return
        line, words, view = METRICS.small * 1.4, self._block.words, self._block.view
        text = ""
        if words is not None and isinstance(view, GrainView):
            text = cup_text(words, fit_grain(view, self.width, max(1.0, self.height - line)).factor)
        self.said.text, self.said.size_px = text, METRICS.small
        low = line if text else 0
        self.said.pos, self.said.size = self.pos, (self.width, max(1, low))
        self._shown.pos, self._shown.size = (self.x, self.y + low), (self.width, max(1, self.height - low))
