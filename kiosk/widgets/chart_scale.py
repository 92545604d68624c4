"""Where things stand in the chart: pixels from time and % MC. No Kivy, so that it is tested by numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kiosk.views import ChartView

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """The plotting area in pixels, and the times (ms) and values (% MC) at its edges."""

    left: float
    bottom: float
    right: float
    top: float
    from_ms: int
    to_ms: int
    low: float
    high: float

    def x(self, t_ms: float) -> float:
        return self.left + (self.right - self.left) * (t_ms - self.from_ms) / (self.to_ms - self.from_ms)

    def y(self, pct: float) -> float:
        return self.bottom + (self.top - self.bottom) * (pct - self.low) / (self.high - self.low)


def value_range(view: ChartView) -> tuple[float, float]:
    """Lowest and highest % MC of the picture: the aim and all data always inside, with a little room around."""
    values = [v for _, v in view.back] + [n for point in view.ahead for n in point[1:]]
    values += [v for v in (view.emc_pct, view.dry_limit_pct, view.damp_limit_pct) if v is not None]
    if not values:
        return 4.0, 14.0
    low, high = min(values), max(values)
    room = max(0.5, (high - low) * 0.08)
    return max(0.0, low - room), high + room


def ticks(low: float, high: float, fit: float, most: int) -> list[int]:
    """Whole % MC to label, as many as ``fit`` and ``most`` allow."""
    for step in (1, 2, 5, 10, 20, 50):
        first = math.ceil(low / step) * step
        values = list(range(first, math.floor(high) + 1, step))
        if len(values) <= max(2.0, min(fit, most)):
            return values[:most]
    return []


def dots(points: Sequence[Point], apart: float) -> list[Point]:
    """Points every ``apart`` pixels along the line, its own beginning left out (the mark for now stands there)."""
    found: list[Point] = []
    left_over = apart
    for (x0, y0), (x1, y1) in pairwise(points):
        length = math.hypot(x1 - x0, y1 - y0)
        at = left_over
        while at <= length:
            found.append((x0 + (x1 - x0) * at / length, y0 + (y1 - y0) * at / length))
            at += apart
        left_over = at - length
    return found


def day_places(view: ChartView, box: Box, width_of: Callable[[str], float]) -> list[tuple[str, float, float]]:
    """(name, centre x, width) of each day's name in the middle of what is seen of the day.

    A name that would touch "now", another name or the picture's edge is moved inside its day if it can be, else it is
    left out.
    """
    gap = width_of("n") * 0.6
    half = width_of(view.now_label) / 2
    now = box.x(view.now_ms)
    taken = [(now - half, now + half)]
    found = []
    for day in view.days:
        left, right, width = box.x(day.from_ms), box.x(day.to_ms), width_of(day.label)
        least, most = max(left, box.left) + width / 2, min(right, box.right) - width / 2
        for centre in ((left + right) / 2, least, most):
            span = (centre - width / 2, centre + width / 2)
            inside = least - 1 <= centre <= most + 1
            if inside and all(span[1] + gap < a or span[0] - gap > b for a, b in taken):
                taken.append(span)
                found.append((day.label, centre, width))
                break
    return found


def aim_place(view: ChartView, box: Box, width: float, height: float) -> Point:
    """Bottom left of the word "aim" inside its band, in the corner that the lines are farthest from."""
    dry, damp = view.dry_limit_pct or 0.0, view.damp_limit_pct or 0.0
    bottom, top = box.y(dry), box.y(damp)
    gap = height * 0.2
    now = box.x(view.now_ms)
    line = [(box.x(t), box.y(v), box.y(v)) for t, v in view.back]
    line += [(box.x(t), box.y(low), box.y(high)) for t, _, low, high in view.ahead]
    corners = [(x, y) for x in (now + gap * 2, box.left + gap * 2) for y in (top - height - gap, bottom + gap)]

    def room(corner: Point) -> float:
        cx, cy = corner[0] + width / 2, corner[1] + height / 2
        near = [max(low - cy, cy - high) for x, low, high in line if abs(x - cx) < width]
        return min(near, default=box.top - box.bottom)

    return max(corners, key=room)


def unbroken(points: Sequence[tuple[float, float]]) -> list[list[tuple[float, float]]]:
    """``points`` (oldest first) in pieces without a gap: a silence of two steps or more is not drawn as if measured.
    Pieces of a single point are left out."""
    steps = sorted(b[0] - a[0] for a, b in pairwise(points))
    longest = 2.0 * steps[len(steps) // 2] + 0.5 if steps else 0.0
    pieces: list[list[tuple[float, float]]] = [[]]
    for point in points:
        if pieces[-1] and point[0] - pieces[-1][-1][0] > longest:
            pieces.append([])
        pieces[-1].append(point)
    return [piece for piece in pieces if len(piece) > 1]
