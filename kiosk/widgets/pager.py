"""Pages instead of scrolling: which items are seen, and the button that turns the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from kivy.graphics import Color, SmoothLine
from kivy.properties import StringProperty

from kiosk import theme
from kiosk.widgets.card import Ground
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text
from kiosk.widgets.touchable import Touchable

Item = TypeVar("Item")


def page_of(items: Sequence[Item], page: int, room: int, room_paged: int) -> tuple[list[Item], int, int]:
    """(items seen, page from 0, number of pages): all of them when they fit ``room``, else ``room_paged`` at a time."""
    if len(items) <= room:
        return list(items), 0, 1
    each = max(1, room_paged)
    pages = -(-len(items) // each)
    page %= pages
    return list(items[page * each : (page + 1) * each]), page, pages


class Pager(Ground, Touchable):
    """Shows "1 of 2" and a chevron; pressing it asks for the next page."""

    text = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("ground", theme.RAISED)
        super().__init__(**kwargs)
        self.label = Text(across="center", ink=theme.QUIET)
        self.add_widget(self.label)
        with self.canvas:
            Color(*theme.TEXT)
            self._chevron = SmoothLine(width=1.5)
        follow(self, self._arrange, "text")

    def _arrange(self) -> None:
        m = METRICS
        self.label.text = self.text
        self.label.size_px, self.label.floor_px = m.small, m.small * 0.7
        beside = self.width > self.height * 1.6
        reach = m.small * 0.36
        if beside:
            self.label.pos, self.label.size = (self.x + 4, self.y), (max(1, self.width - 5 * reach - 4), self.height)
            x, y = self.right - 3 * reach, self.center_y
        else:
            self.label.pos, self.label.size = (self.x + 4, self.y + 4), (max(1, self.width - 8), self.height * 0.45)
            x, y = self.center_x, self.y + self.height * 0.7
        self._chevron.points = (
            [x - reach / 2, y + reach, x + reach / 2, y, x - reach / 2, y - reach] if self.text else []
        )
