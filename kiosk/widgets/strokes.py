"""Many thin smooth lines as one drawing instruction: a mesh whose texture is clear at both edges.

A smooth line each for every ring, dash and ply of a page of cards would be a thousand instructions to walk at every
frame; this is one a kind, and giving it other points costs a fifth of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from kivy.graphics import Color, Mesh
from kivy.graphics.texture import Texture

from kiosk.theme import Colour

Line = Sequence[tuple[float, float]]
SOFT_PX = 0.5
"""Beyond half its width a line fades out over twice this."""
MITRE = 2.0
"""A corner reaches no further than this times half the width; sharper ones than 60 degrees are two lines."""


@lru_cache(maxsize=64)
def _across(width_px: float) -> Any:
    """How strong a line of that width is across itself, from one clear edge to the other."""
    texels, half = 64, 0.5 * width_px + SOFT_PX
    values = bytearray()
    for i in range(texels):
        off = abs((i + 0.5) / texels * 2 - 1) * half
        values += bytes((255, 255, 255, round(255 * min(1.0, max(0.0, (half - off) / (2 * SOFT_PX))))))
    texture = Texture.create(size=(texels, 1), colorfmt="rgba")
    texture.mag_filter = texture.min_filter = "linear"
    texture.wrap = "clamp_to_edge"
    texture.blit_buffer(bytes(values), colorfmt="rgba", bufferfmt="ubyte")
    return texture


class Strokes:
    """Made inside a canvas; ``draw`` gives it other lines. Lines are in pixels, each of two points or more."""

    def __init__(self, colour: Colour) -> None:
        self.colour = Color(*colour)
        self.mesh = Mesh(mode="triangles", fmt=[(b"vPosition", 2, "float"), (b"vTexCoords0", 2, "float")])
        self._width = 0.0

    def draw(self, lines: Sequence[Line], width_px: float, *, closed: bool = False) -> None:
        """Those lines, that wide; ``closed`` joins each one's end to its beginning."""
        half = 0.5 * width_px + SOFT_PX
        vertices: list[float] = []
        indices: list[int] = []
        for line in lines:
            first = len(vertices) // 4
            _strip(line, half, vertices, closed)
            last = len(vertices) // 4 - 2
            for i in range(first, last, 2):
                indices += (i, i + 1, i + 2, i + 1, i + 3, i + 2)
            if closed and last > first:
                indices += (last, last + 1, first, last + 1, first + 1, first)
        if width_px != self._width:
            self._width = width_px
            self.mesh.texture = _across(round(width_px, 1))
        self.mesh.indices = []  # never points of the old lines with the new ones' numbers
        self.mesh.vertices = vertices
        self.mesh.indices = indices


def _strip(line: Line, half: float, vertices: list[float], closed: bool) -> None:
    """Two vertices a point, to its left and right."""
    n = len(line)
    ways: list[tuple[float, float]] = []
    for i in range(n if closed else n - 1):
        (ax, ay), (bx, by) = line[i], line[(i + 1) % n]
        length = math.hypot(bx - ax, by - ay) or 1.0
        ways.append(((bx - ax) / length, (by - ay) / length))
    for i, (x, y) in enumerate(line):
        before = ways[i - 1] if i or closed else ways[0]
        after = ways[i] if i < len(ways) else ways[-1]
        dx, dy = before[0] + after[0], before[1] + after[1]
        size = math.hypot(dx, dy)
        if size < 1e-6:
            dx, dy, size = after[0], after[1], 1.0
        reach = min(MITRE, 2.0 / size) * half / size
        nx, ny = -dy * reach, dx * reach
        vertices += (x + nx, y + ny, 0.0, 0.5, x - nx, y - ny, 1.0, 0.5)
