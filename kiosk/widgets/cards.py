"""Lots as cards: a name, the end grain, what to do, how it lies and what it holds. Pages, not scrolling."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, Rectangle

from kiosk import theme
from kiosk.blocks import Cards, CardView
from kiosk.grain import FACTORS, GrainView, common_factor, common_scale
from kiosk.grain_words import key_view
from kiosk.widgets.blocks import BlockWidget
from kiosk.widgets.card import Ground
from kiosk.widgets.end_grain import EndGrain
from kiosk.widgets.follow import follow
from kiosk.widgets.grain_parts import GrainKey
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.pager import Pager, page_of
from kiosk.widgets.text import Text, measured
from kiosk.widgets.touchable import Touchable
from kiosk.widgets.vial import ASPECT, Vial

MOST = 12


class LotCard(Ground, Touchable):
    """One lot. An amber edge at its left only where its word is act."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.view: CardView | None = None
        with self.canvas:
            self._edge_colour = Color(*theme.AMBER[:3], 0)
            self._edge = Rectangle()
        self.vial, self.grain = Vial(), EndGrain()
        self.title, self.tag = Text(bold=True, name=True), Text(ink=theme.QUIET, across="right")
        self.verdict = Text(bold=True)
        self.left_text, self.right_text = Text(ink=theme.QUIET), Text(ink=theme.QUIET, across="right")
        for part in (self.grain, self.vial, self.title, self.tag, self.verdict, self.left_text, self.right_text):
            self.add_widget(part)
        follow(self, self.arrange, "pressed")

    def show(self, view: CardView | None) -> None:
        self.view = view
        self.opacity, self.disabled = (1, False) if view else (0, True)
        self.arrange()

    def arrange(self) -> None:
        view, m = self.view, METRICS
        if view is None or self.width < 60 or self.height < 40:
            return
        self.ground = theme.RAISED if self.pressed else theme.PANEL
        self._edge_colour.a = 1.0 if view.word == "act" else 0.0
        self._edge.pos, self._edge.size = self.pos, (max(4, 8 * m.scale), self.height)
        self.title.text, self.tag.text, self.verdict.text = view.title, view.tag, view.verdict
        self.left_text.text, self.right_text.text = view.left, view.right
        pad = m.pad
        left, width = self.x + pad, self.width - 2 * pad
        head = m.body * 1.5
        tag = min(width * 0.5, measured(view.tag, m.small, None, False)[0] + 4) if view.tag else 1
        self.title.size_px, self.title.floor_px = m.body * 1.08, m.floor * 0.9
        self.tag.size_px, self.tag.floor_px = m.small, m.small * 0.8
        top = self.top - m.pad * 0.4
        self.title.pos, self.title.size = (left, top - head), (max(1, width - tag - m.small * 0.5), head)
        self.tag.pos, self.tag.size = (left + width - tag, top - head), (tag, head)
        self._foot(view, left, width)
        self.grain.ground = self.ground
        x, y, wide, high = self.picture_box
        self.grain.pos, self.grain.size = (x, y), (wide, high)
        self.grain.show(view.grain)

    def _foot(self, view: CardView, left: float, width: float) -> None:
        m, line = METRICS, METRICS.small * 1.4
        y = self.y + m.pad * 0.35
        right = min(width * 0.62, measured(view.right, m.small, None, False)[0] + 4) if view.right else 1
        for text in (self.left_text, self.right_text):
            text.size_px, text.floor_px = m.small, m.small * 0.75
        self.left_text.pos, self.left_text.size = (left, y), (max(1, width - right - m.small * 0.5), line)
        self.right_text.pos, self.right_text.size = (left + width - right, y), (right, line)
        self.vial.word, self.vial.lean = view.word or "ready", view.lean
        self.vial.opacity = 1 if view.word else 0
        high = min(22 * max(m.scale, 0.72), self.height * 0.2)
        row = m.body * 1.4
        self.vial.size = (high * ASPECT, high) if view.word else (1, 1)
        self.vial.pos = (left, y + line + (row - high) / 2)
        start = left + (self.vial.width + m.small * 0.5 if view.word else 0)
        self.verdict.size_px, self.verdict.floor_px = m.body, m.small * 0.85
        self.verdict.pos, self.verdict.size = (start, y + line), (max(1, left + width - start), row)

    @property
    def picture_box(self) -> tuple[float, float, float, float]:
        """Where the end grain goes: between the name and the verdict."""
        m = METRICS
        bottom = self.y + m.pad * 0.35 + m.small * 1.4 + m.body * 1.4
        top = self.top - m.pad * 0.4 - m.body * 1.5
        return self.x + m.pad, bottom + 4, self.width - 2 * m.pad, max(1.0, top - bottom - 8)


class CardsBlock(BlockWidget):
    """As many columns and rows as cards can be read in; the way to the next page at the lower right."""

    GROWS = True

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.cards = [LotCard() for _ in range(MOST)]
        self.pager = Pager()
        for card in self.cards:
            card.bind(on_tap=lambda card: card.view and self.dispatch("on_touched", card.view.name))
            self.add_widget(card)
        self.pager.bind(on_tap=lambda _: self._turn())
        self.key = GrainKey()
        self.add_widget(self.key)
        self.add_widget(self.pager)
        self.block, self.page = Cards("", ()), 0
        self.foot_left = 0.0  # what the page's deeds take of the lowest row

    def show(self, block: Cards) -> None:
        if block.key != self.block.key:
            self.page = 0
        self.block = block
        self.arrange()

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def arrange(self) -> None:
        m, cards = METRICS, self.block.cards
        if self.width < 60 or self.height < 60:
            return
        gap = m.gap
        columns = max(1, min(4, int((self.width + gap) // (m.body * 14 + gap))))
        least = m.body * 2.9 + m.small * 1.4 + m.pad * 0.8 + m.body * 1.9
        rows = max(1, min(MOST // columns, int((self.height + gap) // (least + gap))))
        room = columns * rows
        foot = (m.target if len(cards) > room or self.foot_left else m.small * 1.6) + gap * 0.6
        rows = max(1, min(MOST // columns, int((self.height - foot + gap) // (least + gap))))
        room = columns * rows
        seen, self.page, pages = page_of(cards, self.page, room, room)
        wide = (self.width - gap * (columns - 1)) / columns
        high = (self.height - foot - gap * (rows - 1)) / rows
        for i, card in enumerate(self.cards):
            row, column = divmod(i, columns)
            card.size = (round(wide), round(high))
            card.pos = (round(self.x + column * (wide + gap)), round(self.top - (row + 1) * high - row * gap))
            card.show(seen[i] if i < len(seen) else None)
        self._one_factor([card.grain for card in seen if card.grain is not None])
        self.pager.opacity, self.pager.disabled = (1, False) if pages > 1 else (0, True)
        self.pager.text = f"{self.page + 1} / {pages}" if pages > 1 else ""
        turn = max(m.target * 1.6, wide * 0.5) if pages > 1 else 1
        line = max(1.0, foot - gap * 0.6)
        self.pager.pos, self.pager.size = (self.right - turn, self.y), (turn, line if pages > 1 else 1)
        left = self.foot_left + gap if self.foot_left else 0.0
        key = max(1.0, self.width - left - turn - gap)
        self.key.opacity = 1 if key >= m.small * 6 else 0
        self.key.pos, self.key.size = (self.x + left, self.y), (key, line)

    def _one_factor(self, views: list[GrainView]) -> None:
        """All cups of a page are drawn by one factor, which the key says: cards beside each other compare."""
        _, _, wide, high = self.cards[0].picture_box
        scale = common_scale(views, wide, high)
        factor = common_factor(views, wide, high, scale)
        for card in self.cards:
            card.grain.px_per_mm, card.grain.most = scale, factor or FACTORS[0]
        if self.block.words is not None:
            self.key.show(key_view(self.block.words, factor))
