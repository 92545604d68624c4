"""Many tridiagonal systems side by side, eliminated from the faces towards the middle."""

from __future__ import annotations

import numpy as np

from server.wood.air import Floats


def halves(columns: int, pairs: int) -> tuple[slice, slice]:
    """Where the tops and the bottoms of whole boards lie among the columns: last, all tops before all bottoms."""
    return slice(columns - 2 * pairs, columns - pairs), slice(columns - pairs, columns)


class HalfSystems:
    """(W + L) x = f for m half boards of n cells: W the widths, L what passes in a stage between cells and by the face.

    Arrays are (n, m), or (n, k, m) for k systems of each. Row 0 lies at the face, row n - 1 in the middle. Of the m
    columns the last 2 ``pairs`` are halves of ``pairs`` boards (all tops, then all bottoms), joined in the middle; for
    the others the middle passes nothing. Both halves are eliminated at once, so a board costs n steps of a long vector
    and not 2 n. Diagonally dominant: no pivoting.
    """

    def __init__(self, shape: tuple[int, ...], pairs: int) -> None:
        rows, *rest = shape
        self.right = np.empty(shape)
        """Where f is put before :meth:`solve`, which leaves x there."""
        self._pairs = pairs
        self._pivot, self._factor, self._spare = np.empty(shape), np.empty((rows - 1, *rest)), np.empty(rest)
        pivots, factors, right = list(self._pivot), list(self._factor), list(self.right)
        self._pivots = list(zip(pivots[:-1], pivots[1:], factors, strict=True))
        self._down = list(zip(right[:-1], right[1:], factors, strict=True))
        self._up = list(zip(right[-2::-1], right[:0:-1], factors[::-1], strict=True))
        self._ends, self._x = ([row[..., part] for part in halves(rest[-1], pairs)] for row in (pivots[-1], right[-1]))

    def factorise(self, widths: Floats, between: Floats, face: Floats, across: Floats) -> None:
        """Take in a matrix: what passes ``between`` cells (n - 1, m), by the ``face`` (m), ``across`` middles (pairs),
        in metres as the widths are."""
        pivot, factor, spare, divide, subtract = self._pivot, self._factor, self._spare, np.divide, np.subtract
        np.add(widths[0], face, pivot[0])
        np.add(widths[1:], between, pivot[1:])
        pivot[:-1] += between
        top, bottom = self._ends
        top += across
        bottom += across
        np.multiply(between, between, factor)
        for above, here, square in self._pivots:
            divide(square, above, spare)
            subtract(here, spare, here)
        np.reciprocal(pivot, pivot)
        np.multiply(between, pivot[:-1], factor)
        down, up = across * top, across * bottom
        self._across = down, up, 1.0 / (1.0 - down * up)

    def solve(self) -> Floats:
        """x, in the place of f: :attr:`right`, until the next one is put there."""
        spare, add, multiply = self._spare, np.add, np.multiply
        for above, here, share in self._down:
            multiply(share, above, spare)
            add(here, spare, here)
        self.right *= self._pivot
        self._join()
        for here, below, share in self._up:
            multiply(share, below, spare)
            add(here, spare, here)
        return self.right

    def _join(self) -> None:
        """The last two unknowns of a whole board know of each other: two equations in two unknowns."""
        if not self._pairs:
            return
        x, y = self._x
        down, up, share = self._across
        one, other = down * y, up * x
        one += x
        other += y
        np.multiply(share, one, x)
        np.multiply(share, other, y)
