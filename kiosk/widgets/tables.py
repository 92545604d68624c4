"""Rows of a page, in pages where they are more than fit: a table, and questions with their answers."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle

from kiosk import theme
from kiosk.blocks import QuestionRow, Questions, Table, TableRow
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.pager import Pager, page_of
from kiosk.widgets.text import Text, measured
from kiosk.widgets.touchable import Touchable
from kiosk.widgets.vial import ASPECT, Vial

TABLE_ROWS, QUESTION_ROWS = 14, 10


class _TableLine(Touchable):
    """A label and its value; quiet where it cannot be touched."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.row: TableRow | None = None
        with self.canvas.before:
            self._lit = Color(*theme.RAISED[:3], 0)
            self._ground = Rectangle()
            Color(*theme.RULE)
            self._rule = Rectangle(size=(0, 0))
        self.label, self.value = Text(ink=theme.QUIET), Text(bold=True, across="right")
        self.add_widget(self.label)
        self.add_widget(self.value)
        follow(self, self.arrange, "pressed")

    def show(self, row: TableRow | None) -> None:
        self.row = row
        self.opacity, self.disabled = (1 if row else 0), not (row and row.name)
        self.arrange()

    def arrange(self) -> None:
        row, m = self.row, METRICS
        if row is None or self.width < 20:
            return
        self._lit.a = 1.0 if self.pressed or row.chosen else 0.0
        self._ground.pos, self._ground.size = self.pos, self.size
        self._rule.pos, self._rule.size = (self.x, self.y), (self.width, 1)
        self.label.text, self.value.text = row.label, row.value
        pad = m.small * 0.4
        label = measured(row.label, m.small, None, False)[0] + 4 if row.label else 0
        room = self.width - 3 * pad
        value = measured(row.value, m.body, None, True)[0] + 4 if row.value else 1
        label = min(label, max(room - value, room * 0.45))
        self.label.size_px, self.label.floor_px = m.small, m.small * 0.8
        self.value.size_px, self.value.floor_px = m.body, m.small * 0.8
        self.label.pos, self.label.size = (self.x + pad, self.y), (max(1, label), self.height)
        self.value.pos, self.value.size = (self.x + 2 * pad + label, self.y), (max(1, room - label), self.height)


class TableBlock(BlockWidget):
    """Rows of a table; where there are more than fit, a page of them, at first the one with the chosen row."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.lines = [_TableLine() for _ in range(TABLE_ROWS)]
        self.pager = Pager()
        for line in self.lines:
            line.bind(on_tap=lambda line: line.row and self.dispatch("on_touched", line.row.name))
            self.add_widget(line)
        self.add_widget(self.pager)
        self.pager.bind(on_tap=lambda _: self._turn())
        self.block, self.page = Table("", ()), 0

    def show(self, block: Table) -> None:
        if (block.key, self._chosen(block)) != (self.block.key, self._chosen(self.block)):
            self.page = -1
        self.block = block
        self.arrange()

    @staticmethod
    def _chosen(block: Table) -> int:
        return next((i for i, row in enumerate(block.rows) if row.chosen), 0)

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def arrange(self) -> None:
        rows, m = self.block.rows, METRICS
        if self.height < 2:
            return
        touched = any(row.name for row in rows)
        each = m.target if touched else m.small * 1.5
        room = min(TABLE_ROWS, max(1, int(self.height // each)))
        paged = min(TABLE_ROWS, max(1, int((self.height - m.target) // each)))
        if self.page < 0:
            self.page = self._chosen(self.block) // paged if len(rows) > room else 0
        seen, self.page, pages = page_of(rows, self.page, room, paged)
        if not touched and pages == 1 and rows:
            each = min(each, self.height / len(rows))
        for i, line in enumerate(self.lines):
            line.pos, line.size = (self.x, self.top - (i + 1) * each), (self.width, each)
            line.show(seen[i] if i < len(seen) else None)
        self.pager.opacity, self.pager.disabled = (1, False) if pages > 1 else (0, True)
        self.pager.text = f"{self.page + 1} / {pages}" if pages > 1 else ""
        self.pager.pos = (self.right - m.target * 1.6, self.y)
        self.pager.size = (m.target * 1.6, m.target) if pages > 1 else (1, 1)


class _QuestionLine(Touchable):
    """Vial, question, answer, word."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.row: QuestionRow | None = None
        with self.canvas.before:
            self._lit = Color(*theme.RAISED[:3], 0)
            self._ground = Rectangle()
        self.vial = Vial()
        self.title, self.line = Text(bold=True, down="bottom"), Text(ink=theme.QUIET, down="top")
        self.said = Text(across="right")
        for part in (self.vial, self.title, self.line, self.said):
            self.add_widget(part)
        follow(self, self.arrange, "pressed")

    def show(self, row: QuestionRow | None) -> None:
        self.row = row
        self.opacity, self.disabled = (1 if row else 0), not (row and row.name)
        self.arrange()

    def arrange(self) -> None:
        row, m = self.row, METRICS
        if row is None or self.width < 60:
            return
        self._lit.a = 1.0 if self.pressed else 0.0
        self._ground.pos, self._ground.size = self.pos, self.size
        self.vial.word, self.vial.lean = row.word or "ready", row.lean
        self.vial.opacity = 1 if row.word else 0
        high = min(24 * max(m.scale, 0.72), self.height * 0.4)
        self.vial.size = (high * ASPECT, high) if row.word else (1, 1)
        self.vial.pos = (self.x, self.center_y - high / 2)
        left = self.x + (self.vial.width + m.small * 0.6 if row.word else 0)
        said = measured(row.said, m.small, None, False)[0] + 4 if row.said else 1
        self.title.text, self.line.text, self.said.text = row.title, row.line, row.said
        self.said.ink = theme.WORDS.get(row.word, theme.QUIET)
        self.said.size_px = m.small
        self.said.pos, self.said.size = (self.right - said, self.y), (said, self.height)
        width = max(1, self.right - said - m.small * 0.4 - left)
        upper = self.height * 0.5 if row.line else 0
        self.title.down = "bottom" if row.line else "middle"
        self.title.size_px, self.title.floor_px = m.body, m.small * 0.85
        self.line.size_px, self.line.floor_px = m.small, m.small * 0.8
        self.title.pos, self.title.size = (left, self.y + upper), (width, self.height - upper)
        self.line.pos, self.line.size = (left, self.y), (width, max(1, upper))


class QuestionsBlock(BlockWidget):
    """Questions below each other, as high as a touch needs or as there is room for, paged where they are more."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.lines = [_QuestionLine() for _ in range(QUESTION_ROWS)]
        self.pager = Pager()
        for line in self.lines:
            line.bind(on_tap=lambda line: line.row and self.dispatch("on_touched", line.row.name))
            self.add_widget(line)
        self.add_widget(self.pager)
        self.pager.bind(on_tap=lambda _: self._turn())
        self.block, self.page = Questions("", ()), 0

    def show(self, block: Questions) -> None:
        if block.key != self.block.key:
            self.page = 0
        self.block = block
        self.arrange()

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def arrange(self) -> None:
        rows, m = self.block.rows, METRICS
        if self.height < 2:
            return
        least = max(m.target, m.body + m.small * 1.8) if any(row.name for row in rows) else m.body + m.small * 1.9
        room = min(QUESTION_ROWS, max(1, int(self.height // least)))
        paged = min(QUESTION_ROWS, max(1, int((self.height - m.target) // least)))
        seen, self.page, pages = page_of(rows, self.page, room, paged)
        free = self.height - (m.target if pages > 1 else 0)
        each = min(free / max(1, paged if pages > 1 else len(seen)), least * 1.35)
        for i, line in enumerate(self.lines):
            line.pos, line.size = (self.x, self.top - (i + 1) * each), (self.width, each * 0.96)
            line.show(seen[i] if i < len(seen) else None)
        self.pager.opacity, self.pager.disabled = (1, False) if pages > 1 else (0, True)
        self.pager.text = f"{self.page + 1} / {pages}" if pages > 1 else ""
        self.pager.pos = (self.right - m.target * 1.6, self.y)
        self.pager.size = (m.target * 1.6, m.target) if pages > 1 else (1, 1)
