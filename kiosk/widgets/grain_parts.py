"""What stands around end grain: boards side by side under their triangle, the scale of a lot's depth, the key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kivy.graphics import Color, Rectangle
from kivy.graphics.texture import Texture
from kivy.properties import ColorProperty
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.grain import GrainView, Shape, fit_grain
from kiosk.grain_words import DepthText, KeyView
from kiosk.widgets.end_grain import EndGrain, Section
from kiosk.widgets.follow import follow
from kiosk.widgets.metrics import METRICS
from kiosk.widgets.strokes import Line, Strokes
from kiosk.widgets.text import Text, measured

BOARDS = 12
APART_PX = 3.0
KEY_AIM_PCT = (6.0, 10.0)
"""The key's strip is drawn against an aim of its own: it says what a colour means against any."""
SHELL = 1 / 6
"""Of the thickness, on each face; the core is its middle third."""


class BoardRow(Widget):
    """Boards as they will be glued, all to one scale, with the maker's triangle across them: whoever lays them out
    again finds each one's place and side by it. A pool of sections, which grows where a panel has more boards.
    ``shapes`` is how each stands in a box of its own."""

    ground = ColorProperty(theme.PANEL)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.views: tuple[GrainView, ...] = ()
        self.shapes: list[Shape] = []
        self.triangle: Line = []
        self._drawn: tuple[Any, ...] = ()
        self._sections: list[Section] = []
        self._grow(BOARDS)
        with self.canvas.after:
            self._strokes = Strokes(theme.TEXT)
        follow(self, self.draw, "ground")

    def _grow(self, count: int) -> None:
        with self.canvas:
            self._sections += [Section() for _ in range(count - len(self._sections))]

    def show(self, views: Sequence[GrainView]) -> None:
        """Other boards, from left to right."""
        if tuple(views) != self.views:
            self.views = tuple(views)
            self.draw()

    def draw(self) -> None:
        now = (self.views, *self.pos, *self.size, tuple(self.ground))
        if now == self._drawn or self.width < 20 or self.height < 12:
            return
        self._drawn = now
        self._grow(len(self.views))
        for section in self._sections[len(self.views) :]:
            section.hide()
        if not self.views:
            self.shapes = []
            self._strokes.draw([], 1.0)
            return
        mark = 0.22 * self.height
        high, gaps = self.height - mark, APART_PX * (len(self.views) - 1)
        free = max(2.0, 0.05 * high)
        wide = sum(view.width_mm for view in self.views)
        scale = min((self.width - gaps - 2 * free) / wide, 0.8 * high / max(v.thickness_mm for v in self.views))
        self.shapes = [fit_grain(view, view.width_mm * scale, high, scale, margin=0.0) for view in self.views]
        low, top = (f(shape.bounds()[i] for shape in self.shapes) for f, i in ((min, 1), (max, 3)))
        first = left = self.x + 0.5 * (self.width - gaps - wide * scale)
        y = self.y + 0.5 * (self.height - mark - (top - low)) - low
        for view, shape, section in zip(self.views, self.shapes, self._sections, strict=False):
            section.place(left, y)
            section.draw(view, shape, tuple(self.ground))
            left += view.width_mm * scale + APART_PX
        self._mark(first, left - APART_PX, y + top, mark)

    def _mark(self, left: float, right: float, top: float, high: float) -> None:
        low, inset = top + 0.2 * high, 0.04 * (right - left)
        one, peak, other = (left + inset, low), (0.5 * (left + right), top + 0.95 * high), (right - inset, low)
        self.triangle = [one, peak, other]
        self._strokes.draw([[one, peak], [peak, other], [one, other]], max(1.2, min(2.4, 0.05 * high + 1.0)))


class DepthGrain(Widget):
    """A section with its shell and core bracketed and their figures beside them; ``grain`` is the section."""

    ground = ColorProperty(theme.PANEL)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._texts = DepthText("", "")
        self.grain = EndGrain()
        self.shell, self.core = Text(name=True), Text(name=True)
        for part in (self.grain, self.shell, self.core):
            self.add_widget(part)
        with self.canvas:
            self._strokes = Strokes(theme.QUIET)
        follow(self, self.draw, "ground")

    def show(self, view: GrainView | None, texts: DepthText) -> None:
        """Another section, or other figures."""
        if (view, texts) != (self.grain.view, self._texts):
            self._texts = texts
            self.grain.show(view)
            self.draw()

    def draw(self) -> None:
        if self.width < 60 or self.height < 24:
            return
        size = METRICS.small
        said = (self._texts.shell, self._texts.core)
        aside = max(measured(text or " ", size, None, False)[0] for text in said) + 2.4 * size
        self.grain.ground = self.ground
        self.grain.pos, self.grain.size = self.pos, (max(12.0, self.width - aside), self.height)
        self.grain.draw()
        shape = self.grain.shape
        if shape is None:
            self._strokes.draw([], 1.0)
            return
        right = self.x + shape.bounds()[2] + 0.4 * size
        middle = self.y + shape.at(0.5 * shape.length, 0.0)[1]
        brackets = [_bracket(right, middle + a * shape.thick, middle + b * shape.thick, 0.35 * size)
                    for a, b in ((0.5 - SHELL, 0.5), (-SHELL, SHELL), (-0.5, SHELL - 0.5))]  # fmt: skip
        line = 1.25 * size
        core_y = min(max(middle, self.y + 0.5 * line), self.top - 1.5 * line)
        shell_y = min(self.top - 0.5 * line, max(middle + 0.42 * shape.thick, core_y + line))
        at = right + 1.5 * size
        leaders = [[(right + 0.35 * size, middle + 0.42 * shape.thick), (at - 0.25 * size, shell_y)],
                   [(right + 0.35 * size, middle), (at - 0.25 * size, core_y)]]  # fmt: skip
        self._strokes.draw([*brackets, *leaders] if all(said) else [], 1.3)
        for text, words, y in ((self.shell, said[0], shell_y), (self.core, said[1], core_y)):
            text.text, text.size_px = words, size
            text.pos, text.size = (at, y - 0.5 * line), (max(1, self.right - at), line)


def _bracket(x: float, low: float, high: float, reach: float) -> Line:
    return [(x, low + 1), (x + reach, low + 1), (x + reach, high - 1), (x, high - 1)]


class GrainKey(Widget):
    """``Colour: moisture inside, against its aim``, and the strip from dry to damp; what the cup is drawn by comes
    last, and goes last where there is no room."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.view: KeyView | None = None
        self.text, self.dry, self.damp, self.cup = (Text(ink=theme.QUIET) for _ in range(4))
        for part in (self.text, self.dry, self.damp, self.cup):
            self.add_widget(part)
        texture = Texture.create(size=(256, 1), colorfmt="rgb")
        low, high = KEY_AIM_PCT[0] - theme.BROWN_BELOW_PCT, KEY_AIM_PCT[1] + theme.TEAL_ABOVE_PCT
        shades = (theme.moisture_colour(low + (high - low) * (i + 0.5) / 256, *KEY_AIM_PCT) for i in range(256))
        texture.blit_buffer(bytes(round(255 * c) for shade in shades for c in shade[:3]), colorfmt="rgb")
        with self.canvas:
            Color(1, 1, 1, 1)
            self.strip = Rectangle(texture=texture, size=(0, 0))
        follow(self, self.draw)

    def show(self, view: KeyView) -> None:
        """Other words."""
        if view != self.view:
            self.view = view
            self.draw()

    def draw(self) -> None:
        view = self.view
        if view is None or self.width < 60 or self.height < 8:
            return
        size = min(METRICS.small, self.height / 1.25)
        gap = 0.5 * size
        words = [view.text, view.dry, view.damp, view.cup]
        wide = [measured(word, size, None, False)[0] + 2 if word else 0.0 for word in words]
        least = 4.0 * size
        if view.cup and wide[1] + wide[2] + wide[3] + 6 * gap + least > self.width:  # the one or the other
            for label in (self.text, self.dry, self.damp):
                _set(label, "", self.pos, (1, 1), size)
            self.strip.size = (0, 0)
            _set(self.cup, view.cup, self.pos, self.size, size)
            return
        said = wide[1] + wide[2] + 4 * gap + least
        cup = view.cup and said + wide[3] + 2 * gap <= self.width  # what a drawing exaggerates is said before all else
        text = wide[0] + said + (wide[3] + 2 * gap if cup else 0) <= self.width
        room = self.width - said + least - (wide[0] + 2 * gap if text else 0) - (wide[3] + 2 * gap if cup else 0)
        strip = max(1.0, min(16.0 * size, room))
        x = self.x
        for label, word, width, after in (
            (self.text, view.text if text else "", wide[0], 2 * gap), (self.dry, view.dry, wide[1], gap)
        ):  # fmt: skip
            _set(label, word, (x, self.y), (width, self.height), size)
            x += width + after if word else 0.0
        self.strip.pos, self.strip.size = (round(x), round(self.center_y - 0.35 * size)), (strip, round(0.7 * size))
        _set(self.damp, view.damp, (x + strip + gap, self.y), (wide[2], self.height), size)
        x += strip + wide[2] + 3 * gap
        _set(self.cup, view.cup if cup else "", (x, self.y), (wide[3], self.height), size)


def _set(label: Text, word: str, pos: tuple[float, float], size: tuple[float, float], size_px: float) -> None:
    label.text, label.size_px, label.pos = word, size_px, pos
    label.size = size if word else (1, 1)
