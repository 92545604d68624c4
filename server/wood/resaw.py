"""What the halves of a resawn board do: each has what was the board's inside on its sawn face.

A half is a piece that is left of the board (:mod:`server.wood.milling`), sawn off while the board stood as its profile
bent it. In a board that has been drying the inside is the wetter, so at once the outer face of each half, the drier
one, goes hollow; as the half evens out that goes back. What growth and kiln have left in the board comes on top.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from server.wood.milling import LEAST_LEFT_M, Cut, Milled, Stood, after

Lying = Literal["both", "sawn"]


@dataclass(frozen=True, slots=True)
class Half:
    """One of the two: ``milled`` is positive where the face that looked up in the board is hollow; ``towards_sawn`` is
    the same, positive where the sawn face is. ``flat_m``: the thickest flat piece that is in it at its worst."""

    which: Literal["top", "bottom"]
    milled: Milled
    flat_m: float

    @property
    def towards_sawn(self) -> Milled:
        """Departures with the sign that both halves share."""
        if self.which == "bottom":
            return self.milled
        m = self.milled
        return replace(m, at_once_mm=-m.at_once_mm, peak_mm=-m.peak_mm, settled_mm=-m.settled_mm)


def resaw(
    stood: Stood, kerf_m: float, *, film: float, lying: Lying = "both", top_m: float | None = None, coefficient: float,
    width_m: float,
) -> tuple[Half, Half]:  # fmt: skip
    """The top and the bottom half, with ``kerf_m`` taken out of the middle, or below a top half ``top_m`` thick.

    They lie with both faces, or the sawn face alone, open to the same air through ``film``, kg/(m² s Pa). Mirrored
    boards give mirrored halves, and a board that is alike from both sides two that are mirror images of each other.
    Raises ValueError where kerf and halves do not fit into the board.
    """
    whole = float(stood.boards.thickness_m[0])
    top = 0.5 * (whole - kerf_m) if top_m is None else top_m
    bottom = whole - kerf_m - top
    if not kerf_m >= 0 or min(top, bottom) < LEAST_LEFT_M:
        found = f"a kerf of {1000 * kerf_m:g} mm below {1000 * top:g} mm of {1000 * whole:g} mm"
        raise ValueError(f"kerf: found {found}; would be right: 0 or more, with 0.3 mm or more left on both sides")
    outer = film if lying == "both" else 0.0
    cuts = (Cut(0.0, top, outer, film), Cut(whole - bottom, bottom, film, outer))
    up, down = after(stood, cuts, coefficient=coefficient, width_m=width_m)
    return Half("top", up, _flat_m(up)), Half("bottom", down, _flat_m(down))


def _flat_m(half: Milled) -> float:
    return max(half.thickness_m - abs(half.peak_mm) / 1000, 0.0)
