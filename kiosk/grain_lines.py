"""The lines of an end-grain section: rings by its cut, plies of a sheet, its cover, and what it lies on. No Kivy.

Rings, plies and joints are in a section's own coordinates (:class:`kiosk.grain.Shape`) and are bent with it; marks of
how it lies are in the box's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from kiosk.grain import GrainView, Point, Shape

Line = list[Point]
MOST_RINGS = 90
PLY_MM = 1.5


def rings(view: GrainView, shape: Shape) -> list[Line]:
    """The rings of each board of it, in the section's own coordinates."""
    ends = [-0.5, *(at - 0.5 for at in view.joints), 0.5]
    found: list[Line] = []
    for i, (left, right) in enumerate(pairwise(ends)):
        up = (view.bark == "top") != (view.alternating and i % 2 == 1)
        half, middle = 0.5 * (right - left) * shape.length, 0.5 * (left + right) * shape.length
        found += [[(middle + x, z if up else -z) for x, z in line] for line in _board(view, shape, half, i)]
    return found


def _board(view: GrainView, shape: Shape, half: float, i: int) -> Iterator[Line]:
    """Around a pith that lies below: under the middle flatsawn, aslant rift, at the side quartersawn."""
    thick, told = shape.thick, view.ring_radius_mm * shape.px_per_mm
    lean = math.sin(2.1 * i + 0.7)  # no two boards of a panel are alike
    if view.cut == "flat":
        radius = max(told, 1.1 * half)
        pith, apart = (0.25 * half * lean, -radius), min(24.0, max(4.0, 0.27 * thick))
    elif view.cut == "rift":
        radius = max(told, 4.4 * half)
        pith, apart = (-0.707 * radius, -0.707 * radius), min(26.0, max(6.0, 0.55 * thick))
    else:
        radius = max(0.8 * told, 2.2 * half)
        pith, apart = (-radius, -0.10 * radius), min(26.0, max(6.5, 0.6 * thick))
    box = (half, 0.5 * thick)
    near = math.hypot(max(0.0, abs(pith[0]) - half), max(0.0, abs(pith[1]) - box[1]))
    far = math.hypot(abs(pith[0]) + half, abs(pith[1]) + box[1])
    r, k = near + apart * (0.35 + 0.2 * lean), i
    for _ in range(MOST_RINGS):
        if r >= far:
            return
        yield from _inside(pith, r, box)
        k += 1
        r += apart * (1.0 + 0.34 * math.sin(2.4 * k))  # years differ


def _inside(pith: Point, r: float, box: Point) -> Iterator[Line]:
    """The parts of a circle within a box that reaches ``box`` to each side of the origin."""
    crossings = [0.0, 2 * math.pi]
    for edge in (-box[0], box[0]):
        c = (edge - pith[0]) / r
        if abs(c) < 1:
            crossings += [math.acos(c), 2 * math.pi - math.acos(c)]
    for edge in (-box[1], box[1]):
        s = (edge - pith[1]) / r
        if abs(s) < 1:
            crossings += [math.asin(s) % (2 * math.pi), math.pi - math.asin(s)]
    crossings.sort()
    for one, other in pairwise(crossings):
        x, z = _on(pith, r, 0.5 * (one + other))
        if abs(x) <= box[0] and abs(z) <= box[1] and r * (other - one) > 2.0:
            n = max(2, min(24, math.ceil(r * (other - one) / 9.0)))
            yield [_on(pith, r, one + (other - one) * j / n) for j in range(n + 1)]


def _on(pith: Point, r: float, angle: float) -> Point:
    return pith[0] + r * math.cos(angle), pith[1] + r * math.sin(angle)


def ply_ends(view: GrainView, shape: Shape) -> list[float]:
    """Of plywood, where its plies meet, z from the lowest up: an odd number of plies, no thinner than can be seen."""
    inner = [0.0, *sorted(view.layers), 1.0]
    low, high = max(a for a in inner if a < 0.5), min(a for a in inner if a > 0.5)
    plies = max(3, round(view.thickness_mm * (high - low) / PLY_MM) | 1)
    while plies > 3 and shape.thick * (high - low) / plies < 3.0:
        plies -= 2
    return [(0.5 - high + (high - low) * n / plies) * shape.thick for n in range(plies + 1)]


def sheet_lines(view: GrainView, shape: Shape) -> list[Line]:
    """What is seen at a sheet's edge: plies, strands or chips; nothing in fibreboard. And the lines of its veneers."""
    found = [_along(shape, (0.5 - at) * shape.thick) for at in view.layers]
    if view.cut == "plywood":
        found += [_along(shape, z) for z in ply_ends(view, shape)[1:-1]]
    elif view.cut in {"osb", "particleboard"}:
        found += _chips(shape, long=view.cut == "osb")
    return found


def cross_plies(view: GrainView, shape: Shape) -> list[Line]:
    """The middles of every second ply of plywood, which lies across."""
    ends = ply_ends(view, shape) if view.cut == "plywood" else []
    return [_along(shape, 0.5 * (a + b)) for a, b in list(pairwise(ends))[1::2]]


def _along(shape: Shape, z: float) -> Line:
    half = 0.5 * shape.length
    return [(-half + 2 * half * n / 24, z) for n in range(25)]


def _chips(shape: Shape, *, long: bool) -> list[Line]:
    """Short strokes that lie flat, the same at every drawing; strands are long, chips small and finer at the faces."""
    found: list[Line] = []
    rows = max(3, min(14, int(shape.thick / (6.0 if long else 4.5))))
    reach = min(44.0, 2.2 * shape.thick) if long else min(9.0, 0.5 * shape.thick)
    seed = 7
    for row in range(rows):
        z = (row + 0.5) / rows - 0.5
        x = -0.5 * shape.length
        while True:
            seed = (seed * 1103515245 + 12345) % 2**31
            share = seed / 2**31
            size = reach * (0.4 + 0.6 * share) * (1.0 if long else 1.0 - 1.2 * abs(z))
            x += size * (0.25 + share)
            if x + size > 0.5 * shape.length:
                break
            found.append([(x, z * shape.thick), (x + size, (z + 0.12 * (share - 0.5) / rows) * shape.thick)])
            x += size
    return found


def joint_lines(view: GrainView, shape: Shape) -> list[Line]:
    """The glue lines of a panel."""
    half = 0.5 * shape.thick
    return [[((at - 0.5) * shape.length, -half), ((at - 0.5) * shape.length, half)] for at in view.joints]


def outline(shape: Shape, off: float = 0.0) -> Line:
    """Around it in the section's own coordinates, ``off`` pixels outside it and rounded by them; not closed."""
    half, deep, n = 0.5 * shape.length, 0.5 * shape.thick, 20 if shape.bend else 1
    found: Line = []
    for sx, sz, turn in ((1, -1, -0.5), (1, 1, 0.0), (-1, 1, 0.5), (-1, -1, 1.0)):
        for j in range(5 if off else 1):
            angle = math.pi * (turn + j / 8)
            found.append((sx * half + off * math.cos(angle), sz * deep + off * math.sin(angle)))
        if (sx, sz) in {(1, 1), (-1, -1)}:  # then along the top to the left, or along the bottom to the right
            found += [(sx * half * (1 - 2 * j / n), sz * (deep + off)) for j in range(1, n)]
    return found


def dashes(path: Line, dash: float, gap: float) -> list[Line]:
    """A closed path as dashes, as many as go evenly around it."""
    closed = [*path, path[0]]
    lengths = [math.dist(a, b) for a, b in pairwise(closed)]
    count = max(4, round(sum(lengths) / (dash + gap)))
    step = sum(lengths) / count
    on = step * dash / (dash + gap)
    found: list[Line] = []
    travelled, k, line = 0.0, 0, list[Point]()
    for (a, b), length in zip(pairwise(closed), lengths, strict=True):
        done = 0.0
        while length > 0 and done < length:
            lit = travelled + 1e-9 < k * step + on
            until = k * step + on if lit else (k + 1) * step
            go = min(length - done, until - travelled)
            start, end = done / length, (done + go) / length
            if lit:
                line = line or [_between(a, b, start)]
                line.append(_between(a, b, end))
            done, travelled = done + go, travelled + go
            if travelled >= until - 1e-9:
                if lit and len(line) > 1:
                    found.append(line)
                line, k = [], k if lit else k + 1
    return found


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def film(shape: Shape) -> list[Line]:
    """The wrap around it: dashes, in the box's coordinates."""
    off = 0.62 * shape.margin
    dash = max(3.5, 1.15 * shape.margin)
    return dashes(shape.path(outline(shape, off)), dash, 0.62 * dash)


def break_line(shape: Shape) -> Line:
    """Where it is cut short: a wave across it, in the section's own coordinates, a little beyond both faces."""
    reach, at = 0.5 * shape.thick + 2.0, 0.27 * shape.length
    swing = min(4.0, 0.1 * shape.thick + 1.0)
    return [(at + swing * math.sin(2 * math.pi * n / 12), -reach + 2 * reach * n / 12) for n in range(13)]


def marks(view: GrainView, shape: Shape) -> tuple[list[Line], list[Line]]:
    """What it lies on, in the box's coordinates: (bars as thick as :func:`bar_px`, thin lines). Sticks above and below;
    a hatched bench under one face or at an edge; neighbours on both faces of a dead stack."""
    left, low, right, top = shape.bounds()
    bar, over = bar_px(shape), 0.55 * shape.margin
    lower, upper = low - 1.0 - 0.5 * bar, top + 1.0 + 0.5 * bar
    match view.lying:
        case "stickered":
            return [[(left - over, y), (right + over, y)] for y in (lower, upper)], []
        case "one-face":
            return [], _bench((left - over, low - 1.0), (right + over, low - 1.0), 0.7 * shape.margin)
        case "on-edge":
            return [], _bench((left - 1.0, top + over), (left - 1.0, low - over), 0.7 * shape.margin)
        case "dead-stacked":
            reach = 0.6 * shape.margin
            return [], [
                [(left, y + s * reach), (left, y), (right, y), (right, y + s * reach)]
                for y, s in ((low - 1.0, -1), (top + 1.0, 1))
            ]
    return [], []


def bar_px(shape: Shape) -> float:
    """How thick a stick is drawn."""
    return max(1.4, 0.36 * shape.margin)


def _bench(a: Point, b: Point, reach: float) -> list[Line]:
    """A line from ``a`` to ``b`` with hatching on its right hand, as ground is drawn."""
    length = math.dist(a, b)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    aside = (along[1] * reach, -along[0] * reach)
    count = max(2, round(length / max(5.0, 1.3 * reach)))
    found: list[Line] = [[a, b]]
    for n in range(1, count + 1):
        x, y = a[0] + along[0] * length * n / count, a[1] + along[1] * length * n / count
        found.append([(x, y), (x - along[0] * reach + aside[0], y - along[1] * reach + aside[1])])
    return found
