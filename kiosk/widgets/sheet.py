"""One alert or notice, opened: why, the caution, where the limit comes from, and the deeds."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Rectangle
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.client import Outcome
from kiosk.viewmodel import SHELVE_HOURS
from kiosk.views import LookItem
from kiosk.widgets.card import Ground, PressButton
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text, measured
from kiosk.widgets.vial import ASPECT, Vial
from kiosk.words import Words

DEEDS = ("acknowledge", "shelve", "unshelve")
SLOTS = {"acknowledge": 0, "shelve": 1, "unshelve": 1}
"""Where each deed stands, always: one that slides under a finger would be done by a second tap on another."""
REST_S = 1.0
"""After a deed, and after the deeds of the alert on show have changed, the sheet takes none for this long."""


class Face(Ground, Widget):
    """The sheet's own ground."""


class Sheet(Widget):
    """Covers the screen and takes every touch. ``on_deed`` carries (alert id, deed); ``on_close`` nothing."""

    def __init__(self, **kwargs: Any) -> None:
        self.register_event_type("on_deed")
        self.register_event_type("on_close")
        super().__init__(**kwargs)
        self.item: LookItem | None = None
        self._changed_s = float("-inf")
        with self.canvas.before:
            Color(*theme.SUNK[:3], 0.86)
            self._dim = Rectangle()
        self.face = Face()
        self.vial = Vial()
        self.title, self.since = Text(bold=True), Text(ink=theme.QUIET)
        self.why = Text(wrap_first=True, down="top")
        self.caution_head = Text(bold=True, ink=theme.LOOK)
        self.caution = Text(wrap_first=True, down="top")
        self.source, self.said = Text(ink=theme.QUIET), Text(bold=True, ink=theme.LOOK)
        self.deeds = {name: PressButton() for name in DEEDS}
        self.close = PressButton()
        for part in (self.face, self.vial, *self._texts(), *self.deeds.values(), self.close):
            self.add_widget(part)
        for name, button in self.deeds.items():
            button.bind(on_tap=lambda _, deed=name: self._done(deed))
        self.close.bind(on_tap=lambda _: self.dispatch("on_close"))
        follow(self, self.arrange)

    def _texts(self) -> tuple[Text, ...]:
        return (self.title, self.since, self.why, self.caution_head, self.caution, self.source, self.said)

    def on_deed(self, alert: str, deed: str) -> None:
        """For those who bind."""

    def on_close(self) -> None:
        """For those who bind."""

    def _done(self, deed: str) -> None:
        now_s = Clock.get_time()
        if self.item is not None and now_s - self._changed_s >= REST_S:
            self._changed_s = now_s
            self.dispatch("on_deed", self.item.id, deed)

    def show(self, item: LookItem, words: Words, outcome: Outcome | None, *, over: bool = False) -> None:
        """Fill it. ``over`` says that the alert has gone from the snapshot: its last words stay, its deeds do not."""
        if self.item is not None and self.item.id == item.id and self.item.deeds != item.deeds:
            self._changed_s = Clock.get_time()
        self.item = item
        self.vial.word, self.vial.lean, self.vial.dull = item.word, item.lean, over
        self.title.text, self.why.text, self.caution.text = item.title, item.why, item.caution
        state = words("alert-over") if over else item.state_text
        self.since.text = " · ".join(part for part in (item.since, state) if part)
        self.caution_head.text = words("caution") if item.caution else ""
        self.source.text = item.source
        sending = False
        self.said.text = ""
        if outcome is not None and outcome.command.alert == item.id:
            sending = outcome.status == "sending"
            if outcome.status in {"refused", "failed"}:
                self.said.text = words("not-done", reason=outcome.reason)
            elif sending:
                self.said.text = words("sending")
        deeds = {
            "acknowledge": words("acknowledge"),
            "shelve": words("shelve", hours=SHELVE_HOURS),
            "unshelve": words("unshelve"),
        }
        for name, button in self.deeds.items():
            button.text = deeds[name]
            button.opacity = 1 if name in item.deeds and not over else 0
            button.disabled = sending or button.opacity == 0
        self.close.text = words("close")
        self.arrange()

    def on_touch_down(self, touch: Any) -> bool:
        super().on_touch_down(touch)
        return True  # nothing behind the sheet is reached through it

    def arrange(self) -> None:
        if self.width < 100 or self.item is None:
            return
        m = METRICS
        self._dim.pos, self._dim.size = self.pos, self.size
        margin = max(m.gap, min(self.width * 0.06, 80 * m.scale))
        high = self._wanted(self.width - 2 * (margin + m.pad))
        height = min(self.height - 2 * m.gap, high)
        self.face.pos = (self.x + margin, self.center_y - height / 2)
        self.face.size = (self.width - 2 * margin, height)
        left, width = self.face.x + m.pad, self.face.width - 2 * m.pad
        foot = self._arrange_deeds(left, width)
        top = self._arrange_head(left, width)
        bottom = foot + m.pad * 0.5
        for text, size in ((self.said, m.body), (self.source, m.small)):
            line = size * 1.35 if text.text else 1
            text.size_px, text.floor_px = size, m.floor * 0.9
            text.pos, text.size = (left, bottom), (width, line)
            bottom += line
        self._arrange_body(left, width, bottom + m.pad * 0.3, top - m.pad * 0.5)

    def _arrange_head(self, left: float, width: float) -> float:
        m = METRICS
        tall = 40 * max(m.scale, 0.72)
        row = m.title * 1.25
        y = self.face.top - m.pad * 0.8 - row
        self.vial.size = (tall * ASPECT, tall)
        self.vial.pos = (left, y + (row - tall) / 2)
        start = self.vial.right + m.pad * 0.8
        self.title.size_px, self.title.floor_px = m.title, m.floor
        self.title.pos, self.title.size = (start, y), (left + width - start, row)
        line = m.body * 1.35 if self.since.text else 1
        self.since.size_px, self.since.floor_px = m.small, m.floor
        self.since.pos, self.since.size = (start, y - line), (left + width - start, line)
        return float(y - line)

    def _arrange_body(self, left: float, width: float, bottom: float, top: float) -> None:
        m = METRICS
        paragraphs = [(self.why, m.heading), (self.caution, m.body)]
        needs = [self._lines(text, size, width) for text, size in paragraphs]
        head = m.body * 1.35 if self.caution.text else 0
        room = max(2.0, top - bottom - head - (m.pad * 0.4 if head else 0))
        share = min(1.0, room / sum(needs)) if sum(needs) else 1.0
        self.why.size_px, self.why.floor_px = m.heading, m.floor
        self.why.size = (width, max(1, needs[0] * share))
        self.why.pos = (left, top - self.why.height)
        y = self.why.y - (m.pad * 0.4 if head else 0) - head
        self.caution_head.size_px = m.body
        self.caution_head.pos, self.caution_head.size = (left, y), (width, max(1, head))
        self.caution.size_px, self.caution.floor_px = m.body, m.floor
        self.caution.size = (width, max(1, needs[1] * share))
        self.caution.pos = (left, y - self.caution.height)

    @staticmethod
    def _lines(text: Text, size: float, width: float) -> float:
        return measured(text.text, size, width, text.bold)[1] + 2 if text.text else 0.0

    def _wanted(self, width: float) -> float:
        m = METRICS
        body = self._lines(self.why, m.heading, width) + self._lines(self.caution, m.body, width)
        lines = [(self.since, m.body), (self.caution_head, m.body), (self.source, m.small), (self.said, m.body)]
        body += sum(size * 1.35 for text, size in lines if text.text)
        return float(body + m.title * 1.25 + m.target + m.pad * 4.6)

    def _arrange_deeds(self, left: float, width: float) -> float:
        """Deeds from the left, Close at the right; 12 mm between all of them. Answers the top of the row."""
        m = METRICS
        y = self.face.y + m.pad * 0.8
        each = min(m.body * 11, max(m.target, (width - m.deed_gap * 2) / 3))
        for name, button in self.deeds.items():
            shown = bool(button.opacity)
            button.pos = (left + (SLOTS[name] * (each + m.deed_gap) if shown else 0), y)
            button.size = (each, m.target) if shown else (1, 1)
        self.close.pos, self.close.size = (left + width - each, y), (each, m.target)
        return float(y + m.target)
