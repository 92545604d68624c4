"""Rows that are answered: a name and how it stands, and its answers beside it as buttons; in pages, not scrolling."""

from __future__ import annotations

from typing import Any

from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.blocks import AnswerRow, AnswerRows
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.choices import ChoiceButton
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.pager import Pager, page_of
from kiosk.widgets.text import Text, measured

ROWS, ANSWERS = 14, 3


class _Row(Widget):
    """One of them; a pool of its buttons."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.title, self.line = Text(bold=True, down="bottom", name=True), Text(ink=theme.QUIET, down="top")
        self.buttons = [ChoiceButton() for _ in range(ANSWERS)]
        for part in (self.title, self.line, *self.buttons):
            self.add_widget(part)

    def arrange(self, row: AnswerRow | None, wide: float) -> None:
        """Filled, with buttons ``wide`` pixels wide; nothing of it is seen without a row."""
        m, count = METRICS, len(row.buttons) if row else 0
        self.opacity, self.disabled = (1, False) if row else (0, True)
        self.title.text, self.line.text = (row.title, row.line) if row else ("", "")
        x = self.right
        for i in range(ANSWERS - 1, -1, -1):
            button = row.buttons[i] if row and i < count else None
            one = self.buttons[i]
            if button is not None:
                x -= wide
                one.pos, one.size = (x, self.y), (wide, self.height)
                x -= 2
            one.show(button)
        room = max(1.0, x - self.x - m.small * 0.4)
        for text, size, y, high in (
            (self.title, m.body, self.y + self.height * 0.46, self.height * 0.5),
            (self.line, m.small, self.y, self.height * 0.44),
        ):
            text.size_px, text.floor_px = size, m.small * 0.75
            text.pos, text.size = (self.x, y), (room if row else 1, high)


class AnswerRowsBlock(BlockWidget):
    """See :class:`kiosk.blocks.AnswerRows`. Two columns where there is room, and a way to the next page."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.rows = [_Row() for _ in range(ROWS)]
        self.pager = Pager()
        for row in self.rows:
            for one in row.buttons:
                one.bind(on_tap=lambda one: one.button and self.dispatch("on_touched", one.button.name))
            self.add_widget(row)
        self.pager.bind(on_tap=lambda _: self._turn())
        self.add_widget(self.pager)
        self.block, self.page = AnswerRows("", ()), 0

    def show(self, block: AnswerRows) -> None:
        if block.key != self.block.key:
            self.page = 0
        self.block = block
        self.arrange()

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def arrange(self) -> None:
        m, rows = METRICS, self.block.rows
        if self.height < 4 or self.width < 40:
            return
        texts = [button.text for row in rows for button in row.buttons]
        most = max((len(row.buttons) for row in rows), default=1)
        longest = max((measured(text, m.body, None, True)[0] for text in texts), default=0) + m.small
        gap = max(4.0, m.gap * 0.4)
        columns = 2 if self.width >= 2 * (most * m.target + m.body * 7) + m.gap else 1
        each = (self.width - m.gap * (columns - 1)) / columns
        wide = max(m.target, min(longest, each * 0.2))
        lines = max(1, int((self.height + gap) // (m.target + gap)))
        room = min(ROWS, columns * lines)
        seen, self.page, pages = page_of(rows, self.page, room, room - 1)
        for i, one in enumerate(self.rows):
            line, column = divmod(i, columns)
            one.size = (each, m.target)
            one.pos = (self.x + column * (each + m.gap), self.top - line * (m.target + gap) - m.target)
            one.arrange(seen[i] if i < len(seen) else None, wide)
        last = self.rows[room - 1]
        self.pager.opacity, self.pager.disabled = (1, False) if pages > 1 else (0, True)
        self.pager.text = f"{self.page + 1} / {pages}" if pages > 1 else ""
        self.pager.size = (min(each, m.target * 2), m.target) if pages > 1 else (1, 1)
        self.pager.pos = (last.right - self.pager.width, last.y)
