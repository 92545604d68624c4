"""What the sheet of an adhesive's maker says, typed in: it takes the place of its family's figures."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

Points = tuple[tuple[float, float], ...]
"""Pairs of wood temperature, °C, and hours, coldest first."""
SHEET = "the maker's sheet, as typed in"


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the sheet says, as far as it was typed in. Temperatures are the wood's, °C; times in hours by them."""

    mc_pct: tuple[float, float] | None = None
    lowest_c: float | None = None
    clamp_h: Points = ()
    cure_h: Points = ()
    rest_days: float | None = None

    def __post_init__(self) -> None:
        """Raises ValueError naming the field, what was found and what would be right."""
        if self.mc_pct is not None and not 0 <= self.mc_pct[0] < self.mc_pct[1] <= 30:
            raise ValueError(f"mc_pct: found {self.mc_pct}; would be right: two figures, 0 to 30 % MC, the drier first")
        if self.lowest_c is not None and not -20 <= self.lowest_c <= 40:
            raise ValueError(f"lowest_c: found {self.lowest_c:g}; would be right: -20 to 40 °C")
        if self.rest_days is not None and not 0 <= self.rest_days <= 60:
            raise ValueError(f"rest_days: found {self.rest_days:g}; would be right: 0 to 60 days")
        for name, points in (("clamp_h", self.clamp_h), ("cure_h", self.cure_h)):
            rising = all(a[0] < b[0] and a[1] >= b[1] for a, b in pairwise(points))
            if not rising or not all(-20 <= t <= 60 and 0 < h <= 1000 for t, h in points):
                right = "pairs of °C (-20 to 60) and hours (above 0, to 1,000), coldest and longest first"
                raise ValueError(f"{name}: found {points}; would be right: {right}")
