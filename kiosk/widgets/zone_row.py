"""The zones as cards, three to a page. Touch one and it becomes the big one."""

from __future__ import annotations

from typing import Any

from kivy.graphics import Color, SmoothLine
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.views import ZoneCard
from kiosk.widgets.card import Ground
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.pager import Pager, page_of
from kiosk.widgets.text import Text, measured
from kiosk.widgets.touchable import Touchable
from kiosk.words import Words

A_PAGE = 3
NARROW = 9.5  # inner width in body sizes under which name and figure stand below each other


class Card(Ground, Touchable):
    """One zone: its name and figure, its air, and its age only when it is not fresh."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.view: ZoneCard | None = None
        self.title, self.figure = Text(bold=True, name=True), Text(bold=True, even=True)
        self.line, self.age = Text(ink=theme.QUIET), Text(ink=theme.QUIET, across="right")
        for text in (self.title, self.figure, self.line, self.age):
            self.add_widget(text)
        with self.canvas:
            self._edge_colour = Color(*theme.QUIET[:3], 0)
            self._edge = SmoothLine(width=1.3)
        follow(self, self.arrange)

    def show(self, view: ZoneCard | None) -> None:
        if view == self.view:
            return
        self.view = view
        self.arrange()

    def arrange(self) -> None:
        view, m = self.view, METRICS
        if view is None or self.width < 40:
            return
        self.ground = theme.RAISED if view.chosen else theme.PANEL
        self._edge_colour.a = 1.0 if view.chosen else 0.0
        self._edge.rounded_rectangle = (self.x + 1, self.y + 1, self.width - 2, self.height - 2, max(2, m.corner), 16)
        self.title.text, self.figure.text, self.line.text, self.age.text = view.name, view.figure, view.line, view.age
        self.figure.ink = theme.TEXT if view.live else theme.LOOK if view.silent else theme.QUIET
        self.age.ink = theme.LOOK if view.age else theme.QUIET
        self.title.size_px, self.title.floor_px = m.body, m.floor
        self.line.size_px = self.age.size_px = m.small
        self.line.floor_px = self.age.floor_px = m.small * 0.85
        pad = min(m.pad, self.width * 0.06)
        inner = self.width - 2 * pad
        if inner < NARROW * m.body:
            self._rows_three(pad, inner)
        else:
            self._rows_two(pad, inner)

    def _rows_two(self, pad: float, inner: float) -> None:
        m = METRICS
        self.figure.size_px, self.figure.floor_px, self.figure.across = m.body * 1.4, m.body, "right"
        upper, lower = self.height * 0.56, self.height * 0.44
        edge = self.height * 0.06
        figure = min(inner * 0.6, measured(self.figure.text, self.figure.size_px, None, True, True)[0] + 2)
        age = min(inner * 0.5, measured(self.age.text, m.small, None, False)[0] + 2) if self.age.text else 1
        self.figure.pos, self.figure.size = (self.right - pad - figure, self.y + lower), (figure, upper - edge)
        self.title.pos, self.title.size = (self.x + pad, self.y + lower), (inner - figure - m.small * 0.5, upper - edge)
        self.age.pos, self.age.size = (self.right - pad - age, self.y + edge), (age, lower - edge)
        self.line.pos, self.line.size = (self.x + pad, self.y + edge), (inner - age - m.small * 0.5, lower - edge)

    def _rows_three(self, pad: float, inner: float) -> None:
        m = METRICS
        self.figure.size_px, self.figure.floor_px, self.figure.across = m.body * 1.3, m.small, "left"
        edge = self.height * 0.05
        row = (self.height - 2 * edge) / 3
        y = self.y + edge
        figure = min(inner * 0.55, measured(self.figure.text, self.figure.size_px, None, True, True)[0] + 2)
        self.line.pos, self.line.size = (self.x + pad, y), (inner, row)
        self.figure.pos, self.figure.size = (self.x + pad, y + row), (figure, row)
        self.age.pos = (self.x + pad + figure + m.small * 0.4, y + row)
        self.age.size = (max(1, inner - figure - m.small * 0.4), row)
        self.title.pos, self.title.size = (self.x + pad, y + 2 * row), (inner, row)


class ZoneRow(Widget):
    """``on_zone`` carries the id of the zone touched."""

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_zone")
        super().__init__(**kwargs)
        self.page = 0
        self.cards = [Card() for _ in range(A_PAGE)]
        self.pager = Pager()
        self._zones: tuple[ZoneCard, ...] = ()
        self._words: Words | None = None
        for card in self.cards:
            card.bind(on_tap=self._touched)
            self.add_widget(card)
        self.pager.bind(on_tap=lambda _: self._turn())
        self.add_widget(self.pager)
        follow(self, self.arrange)

    def on_zone(self, zone: str) -> None:
        """For those who bind."""

    def _touched(self, card: Card) -> None:
        if card.view is not None:
            self.dispatch("on_zone", card.view.id)

    def _turn(self) -> None:
        self.page += 1
        self.arrange()

    def show(self, zones: tuple[ZoneCard, ...], words: Words) -> None:
        if (zones, words) == (self._zones, self._words):
            return
        chosen = next((i for i, z in enumerate(zones) if z.chosen), 0)
        before = next((z.id for z in self._zones if z.chosen), None)
        if zones and zones[chosen].id != before:  # a new big zone is on the page that is seen
            self.page = chosen // A_PAGE
        self._zones, self._words = zones, words
        self.arrange()

    def arrange(self) -> None:
        seen, self.page, pages = page_of(self._zones, self.page, A_PAGE, A_PAGE)
        gap = METRICS.gap
        turn = METRICS.target if pages > 1 else 0
        self.pager.opacity = 1 if pages > 1 else 0
        self.pager.text = (
            self._words("page-of", page=self.page + 1, pages=pages) if pages > 1 and self._words is not None else ""
        )
        self.pager.pos, self.pager.size = (self.right - turn, self.y), (turn, self.height if turn else 0)
        wide = self.width - (turn + gap if turn else 0)
        each = (wide - gap * (A_PAGE - 1)) / A_PAGE
        for i, card in enumerate(self.cards):
            view = seen[i] if i < len(seen) else None
            card.opacity, card.disabled = (1, False) if view else (0, True)
            card.pos, card.size = (round(self.x + i * (each + gap)), self.y), (round(each), self.height)
            card.show(view)
