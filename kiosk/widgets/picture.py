"""A drawing in a page: a chart, or whatever else there is a widget for."""

from __future__ import annotations

from typing import Any

from kiosk.blocks import Picture
from kiosk.views import ChartView
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.chart import Chart

DRAWN: dict[type[Any], type[Any]] = {ChartView: Chart}
"""Which widget draws which view; each has ``show``."""


class PictureBlock(BlockWidget):
    """Fills the room it is given."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.share = 1.0
        self._made: dict[type[Any], Any] = {}
        self._shown: Any = None

    def show(self, block: Picture) -> None:
        self.share = block.share
        kind = type(block.view)
        widget = self._made.get(kind) or DRAWN[kind]()
        self._made[kind] = widget
        if widget is not self._shown:
            self.clear_widgets()
            self.add_widget(widget)
            self._shown = widget
        widget.show(block.view)
        self.arrange()

    def arrange(self) -> None:
        if self._shown is not None:
            self._shown.pos, self._shown.size = self.pos, self.size
