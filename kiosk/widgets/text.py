"""A text in a box: fitted, drawn once, drawn again only when it differs."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from kivy.clock import Clock
from kivy.core.text import Label as CoreLabel
from kivy.graphics import Color, Rectangle
from kivy.properties import BooleanProperty, ColorProperty, NumericProperty, OptionProperty, StringProperty
from kivy.uix.widget import Widget

from kiosk import theme
from kiosk.widgets.fit import fit

FONT = "Stillstack"
FIGURES = "Stillstack figures"  # every digit of one width: a number that changes must not dance
ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"


NEAR = 0.97
"""Share of the width from which a line's length is not left to a sum."""


@lru_cache(maxsize=16384)
def extents(text: str, size: float, bold: bool, even: bool) -> tuple[float, float]:
    """Width and height in pixels of one line."""
    label = CoreLabel(font_name=FIGURES if even else FONT, font_size=size, bold=bold)
    label.resolve_font_name()
    width, height = label.get_extents(text)
    return float(width), float(height)


BREAKS = re.compile(r"(?<!\d) | (?!(?:%|°[CF]|mm|in|h|min|d|l|gal)(?!\w))")
"""Where a line may end: at a space, but never between a figure and its unit."""


@lru_cache(maxsize=4096)
def wrapped(text: str, size: float, width: float, bold: bool, even: bool = False) -> tuple[str, ...]:
    """``text`` in lines of whole words no wider than ``width``. Kivy's own wrapping lays every candidate out anew,
    which made the first picture half a second late; word widths are remembered instead. Their sum is a pixel or two off
    (kerning, rounding), so a line that comes close to the width is measured whole."""
    space = extents(" ", size, bold, even)[0]
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line, reached = "", 0.0
        for word in BREAKS.split(paragraph):
            wide = extents(word, size, bold, even)[0]
            joined = reached + space + wide
            near = joined > NEAR * width and joined <= width
            if line and (joined > width or (near and extents(f"{line} {word}", size, bold, even)[0] > width)):
                lines.append(line)
                line, reached = word, wide
            else:
                line, reached = (f"{line} {word}", joined) if line else (word, wide)
        lines.append(line)
    return tuple(lines)


@lru_cache(maxsize=4096)
def measured(text: str, size: float, width: float | None, bold: bool, even: bool = False) -> tuple[float, float]:
    """Extents in pixels of ``text`` as it will be drawn, wrapped at ``width`` unless that is None."""
    lines = text.split("\n") if width is None else wrapped(text, size, width, bold, even)
    return max(extents(n, size, bold, even)[0] for n in lines), len(lines) * extents("H", size, bold, even)[1]


class Text(Widget):
    """``size_px`` is wanted, ``floor_px`` the smallest before wrapping. ``tight`` draws a number no taller than its
    capitals, so that it can stand close to its neighbours. ``drawn`` is the box (x, y, width, height) of what
    is seen."""

    text = StringProperty("")
    size_px = NumericProperty(26)
    floor_px = NumericProperty(0)
    bold = BooleanProperty(False)
    ink = ColorProperty(theme.TEXT)
    across = OptionProperty("left", options=["left", "center", "right"])
    down = OptionProperty("middle", options=["top", "middle", "bottom"])
    name = BooleanProperty(False)
    wrap_first = BooleanProperty(False)
    tight = BooleanProperty(False)
    even = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.drawn: tuple[float, float, float, float] = (0, 0, 0, 0)
        self.fitted_px = 0.0
        self.shortened = False
        self._made: tuple[Any, ...] = ()
        self._texture: Any = None
        with self.canvas:
            self._colour = Color(*self.ink)
            self._rectangle = Rectangle(size=(0, 0))
        self._again = Clock.create_trigger(lambda _: self.refresh(), -1)
        self.fbind("ink", self._tint)
        for name in (
            "text",
            "size_px",
            "floor_px",
            "bold",
            "across",
            "down",
            "name",
            "wrap_first",
            "tight",
            "even",
            "size",
            "pos",
        ):
            self.fbind(name, self._again)
        self._again()

    def _tint(self, *_: object) -> None:
        self._colour.rgba = self.ink

    def refresh(self) -> None:
        """Fit and place now (a frame does it by itself)."""
        if not self.text or self.width < 2 or self.height < 2:
            self._show(None)
            return
        key = (self.text, self.width, self.height, self.size_px, self.floor_px, self.bold, self.across, self.name,
               self.wrap_first, self.tight, self.even)  # fmt: skip
        if key != self._made:
            self._made = key
            self._texture = self._make()
        self._show(self._texture)

    def _make(self) -> Any:
        def measure(text: str, size: float, width: float | None) -> tuple[float, float]:
            w, h = measured(text, size, width, self.bold, self.even)
            return w, (h * theme.CAP_HEIGHT / (theme.ASCENT + theme.DESCENT) if self.tight else h)

        floor = self.floor_px or self.size_px
        box = (self.width, self.height)
        found = fit(self.text, box, self.size_px, floor, measure, name=self.name, wrap_first=self.wrap_first)
        text = self._short(found.size, found.width) if found.ellipsis else self.text
        self.fitted_px, self.shortened = found.size, found.ellipsis
        if found.width is not None:
            text = "\n".join(wrapped(text, found.size, found.width, self.bold, self.even))
        font = FIGURES if self.even else FONT
        label = CoreLabel(text=text, font_name=font, font_size=found.size, bold=self.bold, halign=self.across)
        label.refresh()
        texture = label.texture
        if not self.tight:
            return texture
        line = texture.height / (theme.ASCENT + theme.DESCENT)
        bottom, height = int(line * (theme.DESCENT - 0.02)), int(line * (theme.CAP_HEIGHT + 0.04)) + 1
        return texture.get_region(0, bottom, texture.width, height)

    def _short(self, size: float, width: float | None) -> str:
        text = self.text
        while len(text) > 1:
            text = text[:-1].rstrip(" ,.·:")
            w, h = measured(text + ELLIPSIS, size, width, self.bold, self.even)
            if w <= self.width and (h <= self.height or width is None):
                break
        return text + ELLIPSIS

    def _show(self, texture: Any) -> None:
        if texture is None:
            self.drawn = (self.x, self.y, 0, 0)
            if self._rectangle.size != (0, 0):
                self._rectangle.size = (0, 0)
            return
        width, height = texture.size
        x = {"left": self.x, "center": self.center_x - width / 2, "right": self.right - width}[self.across]
        y = {"top": self.top - height, "middle": self.center_y - height / 2, "bottom": self.y}[self.down]
        self.drawn = (round(x), round(y), width, height)
        if self._rectangle.texture is not texture:
            self._rectangle.texture = texture
        if self._rectangle.size != (width, height):
            self._rectangle.size = (width, height)
        if self._rectangle.pos != (round(x), round(y)):
            self._rectangle.pos = (round(x), round(y))
