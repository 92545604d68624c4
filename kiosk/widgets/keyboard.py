"""Letters and digits to name things with; keys touch each other."""

from __future__ import annotations

from typing import Any

from kiosk.blocks import Button, Keyboard
from kiosk.widgets.choices import ButtonPool
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text

ROWS = ("1234567890", "qwertyuiop", "asdfghjkl-", "zxcvbnmäöü")
NARROW_ROWS = ("1234567", "890qwer", "tyuiopa", "sdfghjk", "l-zxcvb", "nmäöü")
"""Where ten keys beside each other would be too small to touch."""


class KeyboardBlock(ButtonPool):
    """See :class:`kiosk.blocks.Keyboard`."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(sum(map(len, ROWS)) + 2, **kwargs)
        self.shown = Text(bold=True, name=True)
        self.add_widget(self.shown)
        self.block = Keyboard("", "")

    def show(self, block: Keyboard) -> None:
        self.block = block
        self.arrange()

    def arrange(self) -> None:
        m = METRICS
        if self.width < 20 or self.height < 20:
            return
        rows = ROWS if self.width / 10 >= m.target * 0.66 else NARROW_ROWS
        head = m.title * 1.2
        self.shown.text, self.shown.size_px, self.shown.floor_px = self.block.shown or "_", m.title, m.body
        self.shown.pos, self.shown.size = (self.x, self.top - head), (self.width, head)
        high = (self.height - head) / (len(rows) + 1)
        keys = [
            (key, row, i / len(letters), 1 / len(letters))
            for row, letters in enumerate(rows)
            for i, key in enumerate(letters)
        ]
        keys += [("space", len(rows), 0.0, 0.7), ("back", len(rows), 0.7, 0.3)]
        for one, (key, row, left, share) in zip(self.buttons, keys, strict=True):
            one.pos = (self.x + left * self.width + 1, self.top - head - (row + 1) * high + 1)
            one.size = (share * self.width - 2, high - 2)
            one.show(Button(f"key:{key}", {"space": "", "back": "«"}.get(key, key)))
