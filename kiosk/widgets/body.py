"""A page as it is drawn: its columns, the note, and the deeds along the bottom. Widgets are kept and filled anew."""

from __future__ import annotations

from typing import Any

from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.blocks import (
    AnswerRows,
    Block,
    Button,
    Cards,
    Caution,
    Choices,
    Column,
    Facts,
    Heading,
    Keyboard,
    Line,
    Pad,
    PageView,
    Picture,
    Questions,
    Ruler,
    Table,
)
from kiosk.widgets.answer_rows import AnswerRowsBlock
from kiosk.widgets.blocks import BlockWidget, FactsBlock, WordsBlock
from kiosk.widgets.card import Ground
from kiosk.widgets.cards import CardsBlock
from kiosk.widgets.choices import ButtonPool, ChoicesBlock, PadBlock
from kiosk.widgets.follow import follow
from kiosk.widgets.keyboard import KeyboardBlock
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.picture import PictureBlock
from kiosk.widgets.ruler import RulerBlock
from kiosk.widgets.tables import QuestionsBlock, TableBlock
from kiosk.widgets.text import Text, measured

COLUMNS, DEEDS = 3, 9
WIDGETS: dict[type[Any], type[BlockWidget]] = {
    Heading: WordsBlock, Line: WordsBlock, Caution: WordsBlock, Facts: FactsBlock, Table: TableBlock,
    Questions: QuestionsBlock, AnswerRows: AnswerRowsBlock,
    Choices: ChoicesBlock, Pad: PadBlock, Keyboard: KeyboardBlock, Cards: CardsBlock,
    Picture: PictureBlock, Ruler: RulerBlock,
}  # fmt: skip


class ColumnWidget(Ground, Widget):
    """Blocks below each other; those that grow share what room is left."""

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_touched")
        super().__init__(**kwargs)
        self.column = Column(())
        self._kept: dict[type[Any], list[BlockWidget]] = {}
        self.used: list[BlockWidget] = []
        follow(self, self.arrange)

    def on_touched(self, name: str) -> None:
        """For those who bind."""

    def show(self, column: Column | None) -> None:
        self.opacity, self.disabled = (1, False) if column else (0, True)
        column = column or Column(())
        self.ground = theme.GROUND if column.bare else theme.PANEL
        if column == self.column:
            return
        self.column = column
        free = {kind: list(widgets) for kind, widgets in self._kept.items()}
        used = []
        for block in column.blocks:
            widget = self._widget(free, block)
            widget.show(block)  # each takes its own kind
            used.append(widget)
        for widget in self.used:
            if widget not in used:
                self.remove_widget(widget)
        for widget in used:
            if widget.parent is None:
                self.add_widget(widget)
        self.used = used
        self.arrange()

    def _widget(self, free: dict[type[Any], list[BlockWidget]], block: Block) -> BlockWidget:
        kind = WIDGETS[type(block)]
        if free.get(kind):
            return free[kind].pop(0)
        made = kind()
        made.bind(on_touched=lambda _, name: self.dispatch("on_touched", name))
        self._kept.setdefault(kind, []).append(made)
        return made

    def arrange(self) -> None:
        m = METRICS
        if self.width < 40 or self.height < 20 or not self.used:
            return
        pad = 0 if self.column.bare else m.pad
        width = max(1, self.width - 2 * pad)
        gap = m.small * 0.3
        room = self.height - (0 if self.column.bare else m.pad * 0.9) - gap * (len(self.used) - 1)
        fixed = {w: w.wanted(width) for w in self.used if not w.GROWS}
        growing = [w for w in self.used if w.GROWS]
        left = room - sum(fixed.values())
        shrink = min(1.0, room / sum(fixed.values())) if fixed and not growing and sum(fixed.values()) > room else 1.0
        if growing and left < room * 0.35:  # what is touched keeps a third of the room
            shrink, left = max(0.2, room * 0.65 / max(1.0, sum(fixed.values()))), room * 0.35
        y = self.top - (0 if self.column.bare else m.pad * 0.45)
        for widget in self.used:
            high = left / len(growing) if widget.GROWS else fixed[widget] * shrink
            y -= high
            widget.size, widget.pos = (width, max(1, high)), (self.x + pad, y)
            widget.arrange()
            y -= gap


class DeedRow(ButtonPool):
    """The deeds, left to right, 12 mm apart where there is room, and never touching."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(DEEDS, **kwargs)
        self.deeds: tuple[Button, ...] = ()

    def _wants(self) -> list[float]:
        m = METRICS
        said = (
            max(measured(d.text, m.body, None, True)[0], measured(d.note, m.small, None, False)[0] * 0.9)
            for d in self.deeds
        )
        return [max(m.target * 1.35, wide + m.pad * 1.6) for wide in said]

    @property
    def natural(self) -> float:
        """How wide all of them are side by side."""
        wants = self._wants()
        return sum(wants) + METRICS.deed_gap * max(0, len(wants) - 1)

    def show(self, deeds: tuple[Button, ...]) -> None:
        self.deeds = deeds
        self.arrange()

    def arrange(self) -> None:
        deeds, m = self.deeds, METRICS
        if self.width < 20:
            return
        n = max(1, len(deeds))
        gap = min(m.deed_gap, (self.width - n * m.target) / max(1, n - 1)) if n > 1 else 0
        wants = self._wants()
        if gap * (n - 1) + sum(wants) > self.width:
            share = max(0.0, (self.width - gap * (n - 1)) / max(1.0, sum(wants)))
            wants = [max(m.target, w * share) for w in wants]
        gap = max(4.0, min(m.deed_gap, (self.width - sum(wants)) / max(1, n - 1))) if n > 1 else 0
        x = self.x
        for i, one in enumerate(self.buttons):
            if i < len(deeds):
                one.pos, one.size = (x, self.y), (wants[i], self.height)
                x += wants[i] + gap
            one.show(deeds[i] if i < len(deeds) else None)


class Body(Widget):
    """A whole page between band and bar. ``on_touched`` carries a name."""

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_touched")
        super().__init__(**kwargs)
        self.page: PageView | None = None
        self.columns = [ColumnWidget() for _ in range(COLUMNS)]
        self.deeds, self.note = DeedRow(), Text(ink=theme.LOOK)
        touched: tuple[Any, ...] = (*self.columns, self.deeds)
        for part in touched:
            part.bind(on_touched=lambda _, name: self.dispatch("on_touched", name))
            self.add_widget(part)
        self.add_widget(self.note)
        follow(self, self.arrange)

    def on_touched(self, name: str) -> None:
        """For those who bind."""

    def show(self, page: PageView) -> None:
        if page == self.page:
            return
        self.page = page
        for i, widget in enumerate(self.columns):
            widget.show(page.columns[i] if i < len(page.columns) else None)
        self.deeds.show(page.deeds)
        self.note.text = page.note
        self.arrange()

    def _cards(self) -> CardsBlock | None:
        """The cards, of a page of nothing else, and without something to be said under them."""
        page, blocks = self.page, self.columns[0].used
        if page is None or page.note or len(page.columns) != 1 or len(blocks) != 1:
            return None
        return blocks[0] if isinstance(blocks[0], CardsBlock) else None

    def arrange(self) -> None:
        page, m = self.page, METRICS
        if page is None or self.width < 60 or self.height < 60:
            return
        deeds = m.target if page.deeds else 0
        note = m.small * 1.5 if page.note else 0
        self.deeds.pos, self.deeds.size = self.pos, (self.width, max(1, deeds))
        self.deeds.deeds = page.deeds
        beside = self._cards() if deeds and not m.upright and self.deeds.natural < self.width * 0.72 else None
        if beside is not None:  # the cards' own foot stands beside the deeds
            beside.foot_left = self.deeds.natural
        elif (cards := self._cards()) is not None:
            cards.foot_left = 0.0
        self.note.size_px, self.note.floor_px = m.small, m.small * 0.7
        self.note.pos, self.note.size = (self.x, self.y + deeds), (self.width, max(1, note))
        bottom = self.y if beside is not None else self.y + deeds + note + (m.gap * 0.6 if deeds else 0)
        wide, high = self.width, self.top - bottom
        shares, gap = [c.share for c in page.columns], m.gap
        along = high if m.upright else wide
        each = [(along - gap * (len(shares) - 1)) * share / sum(shares) for share in shares]
        at = 0.0
        for widget, length in zip(self.columns, each, strict=False):
            if m.upright:
                widget.size, widget.pos = (wide, length), (self.x, self.top - at - length)
            else:
                widget.size, widget.pos = (length, high), (self.x + at, bottom)
            at += length + gap
        for widget in self.columns[len(each) :]:  # Kivy lets a disabled widget take the touches on it
            widget.size, widget.pos = (0, 0), self.pos
