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
        self._joined = halves(rest[-1], pairs)
        self._pairs = pairs
        self._pivot = np.empty(shape)
        self._factor = np.empty((rows - 1, *rest))
        self._spare = np.empty(rest)
        self._pivots, self._factors = list(self._pivot), list(self._factor)

    def factorise(self, widths: Floats, between: Floats, face: Floats, across: Floats) -> None:
        """Take in a matrix: what passes ``between`` cells (n - 1, m), by the ``face`` (m), ``across`` middles (pairs),
        in metres as the widths are."""
        pivot, factor, spare = self._pivot, self._factor, self._spare
        np.add(widths[0], face, out=pivot[0])
        np.add(widths[1:], between, out=pivot[1:])
        pivot[:-1] += between
        top, bottom = self._joined
        pivot[-1, ..., top] += across
        pivot[-1, ..., bottom] += across
        np.multiply(between, between, out=factor)
        for above, here, square in zip(self._pivots[:-1], self._pivots[1:], self._factors, strict=True):
            np.divide(square, above, out=spare)
            np.subtract(here, spare, out=here)
        np.reciprocal(pivot, out=pivot)
        np.multiply(between, pivot[:-1], out=factor)
        down, up = across * pivot[-1, ..., top], across * pivot[-1, ..., bottom]
        self._across = down, up, 1.0 / (1.0 - down * up)

    def solve(self, right: Floats) -> Floats:
        """x for ``right`` (n, m), which is overwritten with it."""
        spare, rows = self._spare, list(right)
        for above, here, share in zip(rows[:-1], rows[1:], self._factors, strict=True):
            np.multiply(share, above, out=spare)
            np.add(here, spare, out=here)
        right *= self._pivot
        self._join(rows[-1])
        for here, below, share in zip(rows[-2::-1], rows[:0:-1], self._factors[::-1], strict=True):
            np.multiply(share, below, out=spare)
            np.add(here, spare, out=here)
        return right

    def _join(self, middle_row: Floats) -> None:
        """The last two unknowns of a whole board know of each other: two equations in two unknowns."""
        if not self._pairs:
            return
        top, bottom = self._joined
        down, up, share = self._across
        x, y = middle_row[..., top], middle_row[..., bottom]
        middle_row[..., top], middle_row[..., bottom] = share * (x + down * y), share * (y + up * x)
