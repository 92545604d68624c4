"""Many tridiagonal systems side by side, eliminated from the faces towards the middle."""

from __future__ import annotations

import numpy as np

from server.wood.air import Floats


class HalfSystems:
    """(W + s L) x = f for m half boards of n cells: W the widths, L the conductances between cells and to the face.

    Row 0 lies at the face, row n - 1 in the middle. Of the m columns the last 2 ``pairs`` are halves of ``pairs``
    boards (all tops, then all bottoms), joined in the middle; for the others the middle passes nothing. Both halves are
    eliminated at once, so a board costs n steps of a long vector and not 2 n. Diagonally dominant: no pivoting.
    """

    def __init__(self, rows: int, columns: int, pairs: int) -> None:
        self._joined = (slice(columns - 2 * pairs, columns - pairs), slice(columns - pairs, columns))
        self._pairs = pairs
        self._inverse = np.empty((rows, columns))
        self._factor = np.empty((rows, columns))
        self._off = np.empty((rows, columns))
        self._spare = np.empty(columns)

    def factorise(self, widths: Floats, between: Floats, face: Floats, middle: Floats, scale: float) -> None:
        """Take in a matrix: ``between`` (n - 1, m), ``face`` (m), ``middle`` (pairs) conduct; ``scale`` is s."""
        inverse, factor, off, spare = self._inverse, self._factor, self._off, self._spare
        np.multiply(between, scale, out=off[:-1])
        np.multiply(face, scale, out=inverse[0])
        inverse[0] += widths[0]
        np.add(widths[1:], off[:-1], out=inverse[1:])
        inverse[:-1] += off[:-1]
        top, bottom = self._joined
        self._middle = scale * middle
        inverse[-1, top] += self._middle
        inverse[-1, bottom] += self._middle
        np.reciprocal(inverse[0], out=inverse[0])
        for above, here, link, share in zip(inverse[:-1], inverse[1:], off, factor, strict=False):
            np.multiply(link, above, out=share)
            np.multiply(link, share, out=spare)
            np.subtract(here, spare, out=here)
            np.reciprocal(here, out=here)

    def solve(self, right: Floats) -> Floats:
        """x for ``right`` (n, m), which is overwritten with it."""
        factor, spare = self._factor, self._spare
        for above, here, share in zip(right[:-1], right[1:], factor, strict=False):
            np.multiply(share, above, out=spare)
            np.add(here, spare, out=here)
        right *= self._inverse
        self._join(right[-1])
        for here, below, share in zip(right[-2::-1], right[:0:-1], factor[-2::-1], strict=True):
            np.multiply(share, below, out=spare)
            np.add(here, spare, out=here)
        return right

    def _join(self, middle_row: Floats) -> None:
        """The last two unknowns of a whole board know of each other: two equations in two unknowns."""
        if not self._pairs:
            return
        top, bottom = self._joined
        a = self._middle * self._inverse[-1, top]
        b = self._middle * self._inverse[-1, bottom]
        x, y = middle_row[top], middle_row[bottom]
        middle_row[top], middle_row[bottom] = (x + a * y) / (1.0 - a * b), (y + b * x) / (1.0 - a * b)
