"""The end-grain section of a lot: its moisture through the depth, its rings, its cup and how it lies.

Where nothing is known of the moisture, or of the aim it is held against, the wood is drawn without its colours.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace
from functools import lru_cache
from typing import Any

from kivy.graphics import Color, Mesh, PopMatrix, PushMatrix, Translate
from kivy.graphics.texture import Texture
from kivy.properties import ColorProperty, NumericProperty
from kivy.uix.widget import Widget

from kiosk import grain_lines, theme
from kiosk.grain import FACTORS, GrainView, Point, Shape, fit_grain
from kiosk.widgets.follow import follow, tint
from kiosk.widgets.strokes import Strokes

ROWS = 128
"""Colours from face to face."""
COLUMNS = 32
"""Parts that a bent section is drawn in."""
STEP_PCT, MOST_PCT = 0.05, 40.0
UNSAID = theme.RULE
"""Wood of which nothing is said: on no scale of ours."""
RING, RING_UNSAID = theme.colour("#3a2c1c"), theme.EDGE
STICK = theme.mixed(theme.EDGE, theme.QUIET, 0.35)
FILM = theme.colour("#d9e6f2")


@lru_cache(maxsize=64)
def palette(dry_limit_pct: float, damp_limit_pct: float) -> tuple[bytes, ...]:
    """The colour of each moisture against that aim, from 0 % up by :data:`STEP_PCT`."""
    shades = (
        theme.moisture_colour(i * STEP_PCT, dry_limit_pct, damp_limit_pct) for i in range(round(MOST_PCT / STEP_PCT))
    )
    return tuple(bytes(round(255 * c) for c in shade[:3]) for shade in shades)


def column(view: GrainView, rows: int = ROWS) -> bytes:
    """Its colours from the top face to the bottom, straight between the depths of its profile."""
    if not view.known or view.dry_limit_pct is None or view.damp_limit_pct is None:
        return bytes(round(255 * c) for c in UNSAID[:3]) * rows
    colours = palette(view.dry_limit_pct, view.damp_limit_pct)
    return b"".join(
        colours[min(len(colours) - 1, max(0, round(pct / STEP_PCT)))] for pct in depths_pct(view.profile, rows)
    )


def depths_pct(profile: tuple[Point, ...], rows: int) -> list[float]:
    """Moisture at the middles of that many even layers, % MC."""
    shares = [share for share, _ in profile]
    found = []
    for row in range(rows):
        at = (row + 0.5) / rows
        i = bisect_right(shares, at)
        if i in {0, len(profile)}:
            found.append(profile[min(i, len(profile) - 1)][1])
            continue
        (low, one), (high, other) = profile[i - 1], profile[i]
        found.append(one + (other - one) * (at - low) / (high - low))
    return found


class Section:
    """One section's instructions, made once inside a canvas; ``place`` and ``draw`` change them."""

    def __init__(self) -> None:
        PushMatrix()
        self._at = Translate(0, 0)
        self._bars, self._thin = Strokes(STICK), Strokes(theme.EDGE)
        self._fill_colour = Color(1, 1, 1, 0)
        self._texture = Texture.create(size=(1, ROWS), colorfmt="rgb")
        self._texture.mag_filter = self._texture.min_filter = "linear"
        self._texture.wrap = "clamp_to_edge"
        self._fill = Mesh(
            mode="triangle_strip",
            fmt=[(b"vPosition", 2, "float"), (b"vTexCoords0", 2, "float")],
            indices=list(range(2 * COLUMNS + 2)),
            texture=self._texture,
        )
        self._plies, self._rings = Strokes((*RING[:3], 0.20)), Strokes((*RING[:3], 0.45))
        self._joints, self._edge = Strokes(theme.SUNK), Strokes(theme.SUNK)
        self._cut_edge, self._cut = Strokes(theme.SUNK), Strokes(theme.PANEL)
        self._film = Strokes(FILM)
        PopMatrix()
        self._drawn: tuple[Any, ...] = ()
        self._coloured: tuple[Any, ...] = ()

    def place(self, x: float, y: float) -> None:
        """The box's lower left corner; whole pixels, so that lines stay as sharp wherever it stands."""
        if (self._at.x, self._at.y) != (round(x), round(y)):
            self._at.xy = (round(x), round(y))

    def draw(self, view: GrainView, shape: Shape, ground: theme.Colour) -> None:
        """That view in that shape, on a ground of that colour; only what differs from what stands is drawn."""
        colours = (view.profile, view.dry_limit_pct, view.damp_limit_pct)
        if colours != self._coloured:
            self._coloured = colours
            self._texture.blit_buffer(column(view), colorfmt="rgb", bufferfmt="ubyte")
        lines = (replace(view, profile=(), cup_mm=0.0), view.known, shape, tuple(ground))
        if lines == self._drawn:
            self._fill.texture = self._texture  # a frame is due
            return
        self._drawn = lines
        self._fill_colour.a = 1.0
        self._fill.vertices = _strip(shape)
        self._grain(view, shape)
        line = max(1.2, min(2.4, 0.035 * shape.thick + 0.9))
        self._edge.draw([shape.path(grain_lines.outline(shape))], line, closed=True)
        tint(self._cut.colour, ground)
        broken = [shape.path(grain_lines.break_line(shape))] if shape.shortened else []
        self._cut_edge.draw(broken, 2.7 * line)
        self._cut.draw(broken, 1.5 * line)
        bars, thin = grain_lines.marks(view, shape)
        self._bars.draw(bars, grain_lines.bar_px(shape))
        self._thin.draw(thin, max(1.0, 0.6 * line))
        self._film.draw(grain_lines.film(shape) if view.lying == "wrapped" else [], max(1.1, 0.95 * line))

    def hide(self) -> None:
        """Nothing is seen of it."""
        if self._drawn:
            self._drawn = ()
            self._fill_colour.a = 0.0
            for strokes in (self._bars, self._thin, self._plies, self._rings, self._joints, self._edge,
                            self._cut_edge, self._cut, self._film):  # fmt: skip
                strokes.draw([], 1.0)

    def _grain(self, view: GrainView, shape: Shape) -> None:
        ink, strong = (RING, 0.45) if view.known else (RING_UNSAID, 0.8)
        tint(self._rings.colour, (*ink[:3], strong))
        tint(self._plies.colour, (*ink[:3], 0.45 * strong))
        own = grain_lines.rings(view, shape) if view.wooden else grain_lines.sheet_lines(view, shape)
        across = grain_lines.cross_plies(view, shape)
        ends = grain_lines.ply_ends(view, shape) if across else [0.0, 1.0]
        self._plies.draw([shape.path(line) for line in across], ends[1] - ends[0] - 1.0)
        self._rings.draw([shape.path(line) for line in own], max(0.9, min(2.0, 0.022 * shape.thick + 0.55)))
        self._joints.draw([shape.path(line) for line in grain_lines.joint_lines(view, shape)], 1.2)


def _strip(shape: Shape) -> list[float]:
    vertices: list[float] = []
    half, deep = 0.5 * shape.length, 0.5 * shape.thick
    for i in range(COLUMNS + 1):
        x = -half + shape.length * i / COLUMNS
        (ax, ay), (bx, by) = shape.at(x, deep), shape.at(x, -deep)
        vertices += (ax, ay, 0.5, 0.0, bx, by, 0.5, 1.0)
    return vertices


class EndGrain(Widget):
    """One section in its box. ``px_per_mm`` is 0 for the box's own scale; ``ground`` is the colour it lies on.
    ``most`` is how many times its cup is drawn at the most (:func:`kiosk.grain.common_factor` of a page).
    ``shape`` is how it stands, in pixels from the widget's lower left corner, None before it was drawn."""

    px_per_mm = NumericProperty(0.0)
    most = NumericProperty(FACTORS[0])
    ground = ColorProperty(theme.PANEL)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.view: GrainView | None = None
        self.shape: Shape | None = None
        with self.canvas:
            self._section = Section()
        follow(self, self.draw, "px_per_mm", "most", "ground")

    def show(self, view: GrainView | None) -> None:
        """Another section; None shows nothing."""
        if view != self.view:
            self.view = view
            self.draw()

    def draw(self) -> None:
        """Bring the picture up to view, size and place."""
        if self.view is None or self.width < 12 or self.height < 6:
            self.shape = None
            self._section.hide()
            return
        self.shape = fit_grain(self.view, self.width, self.height, self.px_per_mm, most=self.most)
        self._section.place(self.x, self.y)
        self._section.draw(self.view, self.shape, tuple(self.ground))
