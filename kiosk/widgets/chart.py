"""Three days back as a solid line, four ahead as a dotted one with its spread, on the aim's band."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Mesh, Rectangle, SmoothEllipse, SmoothLine

from kiosk import theme
from kiosk.views import ChartView
from kiosk.widgets import chart_scale
from kiosk.widgets.chart_scale import Box, dots, ticks, unbroken, value_range
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text, measured
from kiosk.widgets.touchable import Touchable

REDRAW_S = 60.0
FIGURES = 7
DAYS = 9


def _differs(view: ChartView, drawn: ChartView) -> bool:
    """Whether waiting a minute would let the picture contradict the number beside it."""

    def kind(v: ChartView) -> tuple[object, ...]:
        return v.zone, v.emc_pct is None, not v.back, not v.ahead, v.dry_limit_pct, v.damp_limit_pct

    return kind(view) != kind(drawn)


class Chart(Touchable):
    """Redrawn at most once a minute, at once when the zone, the size or what there is to draw differs or when it is
    touched."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.view: ChartView | None = None
        self.drawn: ChartView | None = None
        self.times_drawn = 0
        self.box = Box(0, 0, 1, 1, 0, 1, 0.0, 1.0)
        self._drawn_s = float("-inf")
        self._due = Clock.schedule_once(lambda _: self.redraw(), REDRAW_S)
        self._due.cancel()
        self.figures = [Text(across="right", ink=theme.QUIET) for _ in range(FIGURES)]
        self.days = [Text(across="center", ink=theme.QUIET) for _ in range(DAYS)]
        self.aim, self.now = Text(ink=theme.QUIET), Text(across="center", bold=True)
        for text in (*self.figures, *self.days, self.aim, self.now):
            self.add_widget(text)
        self._resized = Clock.create_trigger(lambda _: self.redraw(), -1)
        self.bind(on_tap=lambda _: self.redraw())
        for name in ("pos", "size"):
            self.fbind(name, lambda *_: self._resized())

    def show(self, view: ChartView) -> None:
        if view == self.view:
            return
        self.view = view
        since_s = Clock.get_time() - self._drawn_s
        if self.drawn is None or _differs(view, self.drawn) or since_s >= REDRAW_S:
            self.redraw()
        elif not self._due.is_triggered:
            self._due.timeout = REDRAW_S - since_s
            self._due()

    def redraw(self) -> None:
        """Draw the newest view now."""
        view = self.view
        if view is None or self.width < 60 or self.height < 60:
            return
        self._due.cancel()
        self._drawn_s, self.drawn = Clock.get_time(), view
        self.times_drawn += 1
        low, high = value_range(view)
        small = METRICS.small
        left = self.x + measured("88", small, None, False)[0] + small * 0.45
        self.box = Box(
            left, self.y + small * 1.5, self.right, self.top - small * 0.5, view.from_ms, view.to_ms, low, high
        )
        self.canvas.before.clear()
        with self.canvas.before:
            self._aim_band(view)
            self._days(view)
            self._spread(view)
            self._lines(view)
        self._label(view)

    def _aim_band(self, view: ChartView) -> None:
        if view.dry_limit_pct is None or view.damp_limit_pct is None:
            return
        b = self.box
        bottom, top = b.y(view.dry_limit_pct), b.y(view.damp_limit_pct)
        Color(*theme.AIM_BAND)
        Rectangle(pos=(b.left, bottom), size=(b.right - b.left, top - bottom))

    def _days(self, view: ChartView) -> None:
        b = self.box
        Color(*theme.RULE)
        for day in view.days[1:]:
            x = round(b.x(day.from_ms))
            Rectangle(pos=(x, b.bottom), size=(1, max(4, METRICS.small * 0.3)))
        Rectangle(pos=(b.left, b.bottom), size=(b.right - b.left, 1))
        Color(*theme.QUIET)
        Rectangle(pos=(round(b.x(view.now_ms)), b.bottom), size=(max(1, round(1.4 * METRICS.scale)), b.top - b.bottom))

    def _spread(self, view: ChartView) -> None:
        if len(view.ahead) < 2:
            return
        b = self.box
        edges = [((b.x(t), b.y(low)), (b.x(t), b.y(high))) for t, _, low, high in view.ahead]
        vertices = [n for pair in edges for x, y in pair for n in (x, y, 0, 0)]
        Color(*theme.SPREAD)
        Mesh(vertices=vertices, indices=list(range(len(edges) * 2)), mode="triangle_strip")
        for side in (0, 1):  # a mesh has stair edges; a smooth line of its colour hides them
            SmoothLine(points=[n for pair in edges for n in pair[side]], width=1.0)

    def _lines(self, view: ChartView) -> None:
        b, u = self.box, max(METRICS.scale, 0.6)
        back = [(b.x(t), b.y(v)) for t, v in view.back]
        if view.emc_pct is not None and back:
            back.append((b.x(view.now_ms), b.y(view.emc_pct)))
        Color(*theme.TEXT)
        for piece in unbroken(back):
            SmoothLine(points=[n for point in piece for n in point], width=2.2 * u)
        if view.emc_pct is not None:
            size = 15 * u
            x, y = b.x(view.now_ms), b.y(view.emc_pct)
            SmoothEllipse(pos=(x - size / 2, y - size / 2), size=(size, size))
        dot = 4.4 * u
        for x, y in dots([(b.x(t), b.y(v)) for t, v, _, _ in view.ahead], 9.5 * u):
            SmoothEllipse(pos=(x - dot / 2, y - dot / 2), size=(dot, dot))

    def _label(self, view: ChartView) -> None:
        small, b = METRICS.small, self.box
        line = small * 1.25
        values = ticks(b.low, b.high, (b.top - b.bottom) / (line * 1.3), FIGURES)
        for i, text in enumerate(self.figures):
            place(text, str(values[i]) if i < len(values) else "", small)
            if text.text:
                text.size = (max(1, b.left - self.x - small * 0.4), line)
                text.pos = (self.x, b.y(values[i]) - line / 2)
        taken = chart_scale.day_places(view, b, lambda t: measured(t, small, None, True)[0])
        for text, day in zip(self.days, [*taken, *[("", 0.0, 1.0)] * DAYS], strict=False):
            place(text, day[0], small)
            text.size, text.center = (day[2] + 4, line), (day[1], self.y + line / 2)
        now = measured(view.now_label, small, None, True)[0]
        place(self.now, view.now_label, small)
        self.now.size, self.now.center = (now + 4, line), (b.x(view.now_ms), self.y + line / 2)
        self._label_aim(view, line)

    def _label_aim(self, view: ChartView, line: float) -> None:
        place(self.aim, view.aim_label if view.dry_limit_pct is not None else "", METRICS.small)
        if not self.aim.text or view.damp_limit_pct is None or view.dry_limit_pct is None:
            return
        width = measured(self.aim.text, METRICS.small, None, False)[0] + 2
        self.aim.size = (width, line)
        self.aim.pos = chart_scale.aim_place(view, self.box, width, line)


def place(text: Text, words: str, size: float) -> None:
    """Give a pooled text its words; an empty one takes no room."""
    text.text, text.size_px = words, size
    if not words:
        text.size = (1, 1)
