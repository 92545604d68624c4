"""What was done to a lot, as the moisture model needs it: in order, on the grid of half hours.

An act holds from the beginning of the half hour in which it happened. Lots that were never wood of the model (sheet
goods, species without a density) have none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from server.bins import BIN_MS


@dataclass(frozen=True, slots=True)
class Begin:
    """A lot comes to be known: even at ``level_pct``, one standard deviation ``sigma_pct``."""

    thickness_m: float
    specific_gravity: float
    volumetric_shrinkage: float
    level_pct: float
    sigma_pct: float


@dataclass(frozen=True, slots=True)
class From:
    """It begins as other lots stand at that moment: the mean of them by their share. ``glued`` to each other they have
    a shape nobody has looked at."""

    lots: tuple[str, ...]
    shares: tuple[float, ...]
    glued: bool = False


@dataclass(frozen=True, slots=True)
class Lie:
    """From now on it lies in a zone's air, each face behind a cover's resistance, m² s Pa/kg; inf passes nothing."""

    zone: str
    top_m2_s_pa_kg: float
    bottom_m2_s_pa_kg: float


@dataclass(frozen=True, slots=True)
class Mill:
    """So much comes off the top and the bottom face, m."""

    top_m: float
    bottom_m: float


@dataclass(frozen=True, slots=True)
class Halve:
    """Sawn through the middle of its thickness; what is left of each half has its old core at the bottom."""

    kerf_m: float


@dataclass(frozen=True, slots=True)
class Reweigh:
    """Its pieces weigh something else, and not for the water in them: ripped, or coated."""


@dataclass(frozen=True, slots=True)
class Hear:
    """A witness speaks. ``values`` are those its kind takes."""

    kind: Literal["pins", "dielectric", "wrap", "scale", "straightedge"]
    values: tuple[float | str | bool | None, ...]


@dataclass(frozen=True, slots=True)
class End:
    """It is no longer in the shop."""


Act = Begin | From | Lie | Mill | Halve | Reweigh | Hear | End


@dataclass(frozen=True, slots=True)
class Done:
    """An act at its half hour: ``edge_ms`` is the beginning of it, ``entry`` who said so, ``order`` its place among
    all: that of its fact, then which of that fact's it is."""

    edge_ms: int
    order: tuple[int, int, str, int]
    entry: str
    act: Act


def edge_of(t_ms: int) -> int:
    """The beginning of the half hour in which a moment lies."""
    return t_ms - t_ms % BIN_MS
