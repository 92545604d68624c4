"""Buttons in a grid, and the number pad: what is chosen or entered by touch."""

from __future__ import annotations

import math
from typing import Any

from kivy.graphics import Color, SmoothLine

from kiosk import theme
from kiosk.blocks import Button, Choices, Pad
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.card import Ground
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.pager import Pager, page_of
from kiosk.widgets.text import Text, measured
from kiosk.widgets.touchable import Touchable
from kiosk.widgets.vial import ASPECT, Vial

MOST = 24
KEYS = ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "back")
QUICK, UNITS = 12, 3


class ChoiceButton(Ground, Touchable):
    """A button with a text, and if need be a vial before it and a quiet line under it. The chosen one is edged."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("ground", theme.RAISED)
        super().__init__(**kwargs)
        self.button: Button | None = None
        self.vial = Vial()
        self.label, self.note = Text(bold=True, across="center"), Text(ink=theme.QUIET, across="center", down="top")
        for part in (self.vial, self.label, self.note):
            self.add_widget(part)
        with self.canvas:
            self._edge_colour = Color(*theme.EDGE)
            self._edge = SmoothLine(width=1.1)
        follow(self, self.arrange, "pressed")

    def show(self, button: Button | None) -> None:
        self.button = button
        self.opacity, self.disabled = (1, not button.enabled) if button else (0, True)
        self.arrange()

    def arrange(self) -> None:
        button, m = self.button, METRICS
        if button is None or self.width < 8:
            return
        self.ground = theme.RULE if self.pressed else theme.RAISED
        self._edge_colour.rgba = theme.TEXT if button.chosen else theme.EDGE
        self._edge.width = 2.2 if button.chosen else 1.1
        self._edge.rounded_rectangle = (self.x, self.y, self.width, self.height, max(2, m.corner), 16)
        self.label.text, self.note.text = button.text, button.note
        self.label.ink = theme.TEXT if button.enabled else theme.QUIET
        self.label.size_px, self.label.floor_px = m.body, m.small * 0.8
        self.note.size_px, self.note.floor_px = m.small * 0.95, m.small * 0.7
        pad = min(m.pad * 0.5, self.width * 0.06)
        high = min(22 * max(m.scale, 0.72), self.height * 0.4)
        self.vial.opacity = 1 if button.word else 0
        vial = high * ASPECT + m.small * 0.4 if button.word else 0
        if button.word:
            self.vial.word, self.vial.lean = button.word, button.lean
        text = min(measured(button.text, m.body, None, True)[0] + 4, self.width - 2 * pad - vial)
        left = self.center_x - (text + vial) / 2 if button.word else self.x + pad
        lower = self.height * 0.42 if button.note else 0
        self.vial.size, self.vial.pos = (
            (max(1, vial - m.small * 0.4), high),
            (left, self.y + lower + ((m.body * 1.25 if button.note else self.height) - high) / 2),
        )
        self.label.across = "left" if button.word else "center"
        self.label.down = "bottom" if button.note else "middle"
        wide = text if button.word else self.width - 2 * pad
        self.label.pos, self.label.size = (left + vial, self.y + lower), (max(1, wide), self.height - lower)
        self.note.pos, self.note.size = (self.x + pad, self.y + 2), (self.width - 2 * pad, max(1, lower - 2))


class ButtonPool(BlockWidget):
    """So many buttons, used as they are needed; each says its name when touched."""

    def __init__(self, count: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.buttons = [ChoiceButton() for _ in range(count)]
        for one in self.buttons:
            one.bind(on_tap=lambda one: one.button and self.dispatch("on_touched", one.button.name))
            self.add_widget(one)


def grid(n: int, width: float, height: float, least: tuple[float, float], gap: float) -> tuple[int, int, float, float]:
    """(columns, rows, width, height) of the buttons of n that are seen: as few columns as their height allows."""
    rows_most = max(1, int((height + gap) // (least[1] + gap)))
    columns_most = max(1, int((width + gap) // (least[0] + gap)))
    columns = min(columns_most, max(1, math.ceil(n / rows_most)))
    rows = min(rows_most, math.ceil(n / columns)) if n else 1
    each = (width - gap * (columns - 1)) / columns
    high = min((height - gap * (rows - 1)) / rows, least[1] * 1.6)
    return columns, rows, each, high


class ChoicesBlock(ButtonPool):
    """See :class:`kiosk.blocks.Choices`."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(MOST, **kwargs)
        self.pager = Pager()
        self.pager.bind(on_tap=lambda _: self._turn())
        self.add_widget(self.pager)
        self.block, self.page = Choices("", ()), 0

    def show(self, block: Choices) -> None:
        if block.key != self.block.key:
            chosen = next((i for i, one in enumerate(block.buttons) if one.chosen), None)
            self.page = 0 if chosen is None else -1 - chosen
        self.block = block
        self.arrange()

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def arrange(self) -> None:
        buttons, m = self.block.buttons, METRICS
        if self.height < 4 or self.width < 4:
            return
        gap = max(4.0, m.gap * 0.5)
        longest = max((measured(one.text, m.body, None, True)[0] for one in buttons), default=0)
        least = min(self.width, max(m.target * 1.3, min(longest + m.pad, (self.width - gap) / 2))), m.target
        columns, rows, each, high = grid(len(buttons), self.width, self.height, least, gap)
        room = min(MOST, columns * rows)
        if self.page < 0:
            self.page = (-1 - self.page) // max(1, room - 1) if len(buttons) > room else 0
        seen, self.page, pages = page_of(buttons, self.page, room, room - 1)
        for i, one in enumerate(self.buttons):
            row, column = divmod(i, columns)
            one.size = (each, high)
            one.pos = (self.x + column * (each + gap), self.top - (row + 1) * high - row * gap)
            one.show(seen[i] if i < len(seen) else None)
        self.pager.opacity, self.pager.disabled = (1, False) if pages > 1 else (0, True)
        self.pager.text = f"{self.page + 1} / {pages}" if pages > 1 else ""
        last = self.buttons[min(room, MOST) - 1]
        self.pager.size, self.pager.pos = (last.size, last.pos) if pages > 1 else ((1, 1), self.pos)


class PadBlock(ButtonPool):
    """Digits, what stands there so far, its unit, quick values. Keys touch each other, as on any pad."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(len(KEYS) + QUICK + UNITS, **kwargs)
        self.keys, rest = self.buttons[: len(KEYS)], self.buttons[len(KEYS) :]
        self.quick, self.units = rest[:QUICK], rest[QUICK:]
        self.shown, self.unit = Text(bold=True, even=True, across="right"), Text(ink=theme.QUIET)
        self.hint = Text(ink=theme.QUIET, wrap_first=True, down="top")
        for text in (self.shown, self.unit, self.hint):
            self.add_widget(text)
        self.block = Pad("", "", "", ".")

    def show(self, block: Pad) -> None:
        self.block = block
        self.arrange()

    def arrange(self) -> None:
        block, m = self.block, METRICS
        if self.height < 4 or self.width < 4:
            return
        head = m.title * 1.4
        hint = measured(block.hint, m.small, self.width, False)[1] + m.small * 0.3 if block.hint else 0
        side = self.width * 0.34 if block.quick or block.units else 0
        pad = self.width - side - (m.gap * 0.5 if side else 0)
        unit = measured(block.unit, m.heading, None, False)[0] + m.small if block.unit else 1
        self.shown.text, self.unit.text, self.hint.text = block.shown, block.unit, block.hint
        self.shown.size_px, self.shown.floor_px, self.unit.size_px = m.title * 1.1, m.body, m.heading
        self.shown.pos, self.shown.size = (self.x, self.top - head), (max(1, pad - unit - m.small * 0.4), head)
        self.unit.pos, self.unit.size = (self.x + pad - unit, self.top - head), (unit, head)
        self.hint.size_px, self.hint.floor_px = m.small, m.small * 0.75
        self.hint.pos, self.hint.size = self.pos, (self.width, max(1, hint))
        room = max(8.0, self.height - head - hint)
        high, wide = room / 4, pad / 3
        for i, key in enumerate(KEYS):
            row, column = divmod(i, 3)
            text = {".": block.point, "back": "«"}.get(key, key)
            self.keys[i].pos = (self.x + column * wide + 1, self.top - head - (row + 1) * high + 1)
            self.keys[i].size = (wide - 2, high - 2)
            self.keys[i].show(Button(f"pad:{key}", text) if text else None)
        self._beside(self.x + pad + m.gap * 0.5, side, self.y + hint)

    def _beside(self, left: float, width: float, bottom: float) -> None:
        """Units on top, quick values below each other in one column, or in two."""
        block, m, gap = self.block, METRICS, 4.0
        shown = [*block.units, *block.quick]
        columns = 2 if len(block.quick) * m.target > self.height - bottom + self.y and block.quick else 1
        cells = len(block.units) + -(-len(block.quick) // columns)
        high = min(m.target * 1.3, (self.top - bottom) / max(1, cells))
        for one in (*self.units, *self.quick):
            one.show(None)
        y = self.top
        for i, button in enumerate(shown):
            unit = i < len(block.units)
            one = self.units[i] if unit else self.quick[i - len(block.units)]
            column = 0 if unit else (i - len(block.units)) % columns
            wide = width if unit else (width - gap * (columns - 1)) / columns
            if column == 0:
                y -= high
            one.pos, one.size = (left + column * (wide + gap), y + gap / 2), (wide, high - gap)
            one.show(button)
