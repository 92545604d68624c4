"""The one scale: brown for dry, straw on the aim, blue-green for damp, with the aim boxed, now and yesterday marked."""

from __future__ import annotations

import math
from array import array
from typing import Any

from kivy.graphics import Color, Rectangle, SmoothLine, SmoothTriangle
from kivy.graphics.texture import Texture
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.views import AirView
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.text import Text

STEP_PCT = 2
LABELS = 9
SAMPLES = 512
USUAL_PCT = (4, 14)


def scale_range(air: AirView) -> tuple[int, int]:
    """Even whole % MC around everything to be shown; 4 to 14 unless something lies outside."""
    marks = [air.emc_pct, air.yesterday_pct, air.dry_limit_pct, air.damp_limit_pct]
    known = [m for m in marks if m is not None]
    low = min([USUAL_PCT[0], *(math.floor(m / STEP_PCT) * STEP_PCT for m in known)])
    high = max([USUAL_PCT[1], *(math.ceil(m / STEP_PCT) * STEP_PCT for m in known)])
    return low, high


class MoistureScale(Widget):
    """Drawn from an :class:`AirView`; ``x_of`` gives the pixel a % MC stands at."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._view: AirView | None = None
        self._drawn: tuple[Any, ...] = ()
        self._texture = Texture.create(size=(SAMPLES, 1), colorfmt="rgb")
        self._texture.mag_filter = self._texture.min_filter = "linear"
        self._tinted: tuple[Any, ...] = ()
        self.range_pct = USUAL_PCT
        self.labels = [Text(across="center", ink=theme.QUIET) for _ in range(LABELS)]
        for label in self.labels:
            self.add_widget(label)
        follow(self, self._draw)

    @staticmethod
    def wanted(scale: float, small: float) -> float:
        """Height it needs: pointer, bar, yesterday's mark, figures."""
        return round((22 + 28 + 14) * max(scale, 0.6) + small * 1.25)

    def show(self, view: AirView) -> None:
        self._view = view
        self._draw()

    def x_of(self, pct: float) -> float:
        low, high = self.range_pct
        inset = METRICS.small * 0.5
        return float(self.x + inset + (self.width - 2 * inset) * (pct - low) / (high - low))

    def bar(self) -> tuple[float, float]:
        """(bottom, top) of the coloured bar, in pixels."""
        u = max(METRICS.scale, 0.6)
        return self.top - 50 * u, self.top - 22 * u

    def _draw(self) -> None:
        air = self._view
        if air is None or self.width < 20:
            return
        marks = (air.emc_pct, air.yesterday_pct, air.dry_limit_pct, air.damp_limit_pct)
        now = (marks, *self.pos, *self.size, METRICS.small)
        if now == self._drawn:
            return
        self._drawn = now
        self.range_pct = scale_range(air)
        self._tint(air)
        bottom, top = self.bar()
        low, high = self.range_pct
        self.canvas.before.clear()
        with self.canvas.before:
            Color(1, 1, 1, 1)
            left, right = self.x_of(low), self.x_of(high)
            Rectangle(pos=(left, bottom), size=(right - left, top - bottom), texture=self._texture)
            self._aim(air, bottom, top)
            self._marks(air, bottom, top)
        self._figures()

    def _tint(self, air: AirView) -> None:
        dry, damp = air.dry_limit_pct, air.damp_limit_pct
        key = (dry, damp, self.range_pct)
        if key == self._tinted:
            return
        self._tinted = key
        low, high = self.range_pct
        out = array("B")
        for i in range(SAMPLES):
            pct = low + (high - low) * (i + 0.5) / SAMPLES
            # without an aim nothing is too dry or too damp: all straw
            shade = theme.STRAW if dry is None or damp is None else theme.moisture_colour(pct, dry, damp)
            out.extend(round(c * 255) for c in shade[:3])
        self._texture.blit_buffer(out.tobytes(), colorfmt="rgb", bufferfmt="ubyte")

    def _aim(self, air: AirView, bottom: float, top: float) -> None:
        if air.dry_limit_pct is None or air.damp_limit_pct is None:
            return
        left, right = self.x_of(air.dry_limit_pct), self.x_of(air.damp_limit_pct)
        over = 5 * max(METRICS.scale, 0.6)
        Color(*theme.TEXT)
        SmoothLine(rectangle=(left, bottom - over, right - left, top - bottom + 2 * over), width=1.6)

    def _marks(self, air: AirView, bottom: float, top: float) -> None:
        u = max(METRICS.scale, 0.6)
        if air.emc_pct is not None:
            at = self.x_of(air.emc_pct)
            Color(*theme.TEXT)
            half, tip = 12 * u, top + 1
            SmoothTriangle(points=[at - half, tip + 19 * u, at + half, tip + 19 * u, at, tip])
        if air.yesterday_pct is not None:
            Color(*theme.QUIET)
            yesterday_mark(self.x_of(air.yesterday_pct), bottom - 7 * u, u)

    def _figures(self) -> None:
        low, high = self.range_pct
        step = STEP_PCT * (1 if (high - low) / STEP_PCT < LABELS else 2)
        values = list(range(low, high + 1, step))
        height = METRICS.small * 1.25
        for i, label in enumerate(self.labels):
            label.text = str(values[i]) if i < len(values) else ""
            if label.text:
                label.size_px = METRICS.small
                label.size = (METRICS.small * 1.6, height)
                label.center = (self.x_of(values[i]), self.y + height / 2)
            else:
                label.size = (1, 1)


def yesterday_mark(x: float, top: float, unit: float) -> None:
    """A small hollow triangle pointing up at ``x``, its tip at ``top``; the same in the scale and in its key."""
    half, high = 6.5 * unit, 11 * unit
    points = [x - half, top - high, x + half, top - high, x, top]
    SmoothLine(points=points, close=True, width=max(1.0, 1.1 * unit), joint="miter")
