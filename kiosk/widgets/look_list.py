"""What there is to look at: alerts and notices, worst first, paged. A fixed pool of rows, filled anew."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.views import LookItem
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.pager import Pager, page_of
from kiosk.widgets.text import Text
from kiosk.widgets.touchable import Touchable
from kiosk.widgets.vial import ASPECT, Vial
from kiosk.words import Words

ROWS = 8


class Row(Touchable):
    """A vial, a title, and since when; what has been acknowledged or shelved says so and is quieter."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.item: LookItem | None = None
        with self.canvas.before:
            self._lit_colour = Color(*theme.RAISED[:3], 0)
            self._lit = Rectangle()
            Color(*theme.RULE)
            self._rule = Rectangle(size=(0, 0))
        self.vial = Vial()
        self.title, self.since = Text(bold=True, down="bottom"), Text(ink=theme.QUIET, down="top")
        for part in (self.vial, self.title, self.since):
            self.add_widget(part)
        follow(self, self.arrange, "pressed")

    def show(self, item: LookItem | None) -> None:
        self.item = item
        self.opacity, self.disabled = (1, False) if item else (0, True)
        self.arrange()

    def arrange(self) -> None:
        item, m = self.item, METRICS
        if item is None or self.width < 40:
            return
        self._lit_colour.a = 1.0 if self.pressed else 0.0
        self._lit.pos, self._lit.size = self.pos, self.size
        self._rule.pos, self._rule.size = (self.x, self.top - 1), (self.width, 1)
        self.vial.word, self.vial.lean = item.word, item.lean
        self.vial.dull = item.state in {"acknowledged", "shelved", "suppressed"}
        self.title.text = item.title
        self.title.ink = theme.QUIET if self.vial.dull else theme.TEXT
        self.since.text = item.line
        height = min(22 * max(m.scale, 0.72), self.height * 0.4)
        self.vial.size = (height * ASPECT, height)
        self.title.size_px, self.title.floor_px = m.body * 0.96, m.floor
        self.since.size_px, self.since.floor_px = m.small, m.floor * 0.9
        left = self.x + self.vial.width + m.small * 0.6
        width, edge = max(1, self.right - left), self.height * 0.06
        lower = self.height * 0.45 if self.since.text else edge
        self.title.down = "bottom" if self.since.text else "middle"
        self.title.pos, self.title.size = (left, self.y + lower), (width, self.height - lower - edge)
        self.since.pos, self.since.size = (left, self.y + edge), (width, max(1, lower - edge))
        middle = self.title.size_px * 0.6 if self.since.text else self.title.height / 2
        self.vial.pos = (self.x, self.title.y + middle - height / 2)


class LookList(Widget):
    """``on_open`` carries the id of the item touched."""

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_open")
        super().__init__(**kwargs)
        self.page = 0
        self._items: tuple[LookItem, ...] = ()
        self._words: Words | None = None
        self.rows = [Row() for _ in range(ROWS)]
        self.pager = Pager()
        self.nothing = Text(ink=theme.QUIET, down="top")
        for part in (*self.rows, self.pager, self.nothing):
            self.add_widget(part)
        for row in self.rows:
            row.bind(on_tap=self._touched)
        self.pager.bind(on_tap=lambda _: self._turn())
        follow(self, self.arrange)

    def on_open(self, item: str) -> None:
        """For those who bind."""

    def _touched(self, row: Row) -> None:
        if row.item is not None:
            self.dispatch("on_open", row.item.id)

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def show(self, items: tuple[LookItem, ...], words: Words) -> None:
        if (items, words) != (self._items, self._words):
            self._items, self._words = items, words
            self.arrange()

    def arrange(self) -> None:
        words, m = self._words, METRICS
        if words is None or self.height < 20:
            return
        row = max(m.target, m.small * 3)
        room = max(1, min(ROWS, int((self.height + 1) // row)))
        seen, self.page, pages = page_of(self._items, self.page, room, room - 1)
        y = self.top
        for i, widget in enumerate(self.rows):
            item = seen[i] if i < len(seen) else None
            if item:
                y -= row
                widget.pos, widget.size = (self.x, y), (self.width, row)
            widget.show(item)
        self.pager.opacity, self.pager.disabled = (1, False) if pages > 1 else (0, True)
        self.pager.text = words("page-of", page=self.page + 1, pages=pages) if pages > 1 else ""
        self.pager.size = (self.width, m.target) if pages > 1 else (1, 1)
        self.pager.pos = (self.x, max(self.y, y - m.target))
        self.nothing.text = "" if self._items else words("nothing-to-look-at")
        self.nothing.size_px, self.nothing.floor_px = m.body, m.floor
        self.nothing.pos, self.nothing.size = self.pos, (self.size if self.nothing.text else (1, 1))
