"""What only a panel has: what it was glued of and how, and how far it has come. A value beside its lot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from server.shop.acts import Hear
from server.shop.deed import Cut
from server.shop.gluing import SCREW_MM, Against, Fit, House, Rings
from server.shop.receiving import Aimed
from server.wood.maker_sheet import Sheet

Stage = Literal["glued", "flattened", "finished", "fitted", "crated", "delivered"]
"""What was last done to it. Of a glued one, advice says whether it cures or rests."""


NOT_ASKED = House()


@dataclass(frozen=True, slots=True)
class Board:
    """So many pieces of a lot in a panel, how wide each was, and which share of its width they make."""

    lot: str
    pieces: int
    width_mm: float
    cut: Cut
    share: float


@dataclass(frozen=True, slots=True)
class Fitting:
    """When and how it was fitted, and how wide it was recorded to be then. ``slot_outside_mm`` is what was free on the
    outer side of its screws, away from where it is ``fixed``."""

    t_ms: int
    entry: str
    held: Literal["free", "restrained"]
    fit: Fit | None
    clearance_mm: float | None
    slot_mm: float | None
    screw_mm: float | None
    width_mm: float
    slot_outside_mm: float | None = None
    fixed: Literal["middle", "edge"] | None = None

    @property
    def share(self) -> float:
        """How far a screw goes in its slot for each mm of the whole width."""
        return 1.0 if self.fixed == "edge" else 0.5

    @property
    def free_mm(self) -> tuple[float, float] | None:
        """What was free in each slot on the outer and on the inner side of its screw; the same on both where nobody
        said. None without slots."""
        if self.slot_mm is None:
            return None
        free = max(0.0, self.slot_mm - (self.screw_mm or SCREW_MM))
        outside = 0.5 * free if self.slot_outside_mm is None else self.slot_outside_mm
        return outside, max(0.0, free - outside)


@dataclass(frozen=True, slots=True)
class Home:
    """When it was delivered, to whom, where its moisture belongs there (None: as it was aimed at), and its house."""

    t_ms: int
    entry: str
    to: str
    aim: Aimed | None
    house: House


@dataclass(frozen=True, slots=True)
class ReadThere:
    """What a meter said at the customer's place, and the air there if somebody measured it."""

    t_ms: int
    entry: str
    act: Hear
    temperature_c: float | None
    humidity_pct: float | None


@dataclass(frozen=True, slots=True)
class Panel:
    """``adhesive`` is a family's key, None where only the maker's ``sheet`` is known. ``flattened_ms`` is when both
    faces were last planed; what is None has not happened. ``house`` is what was asked of it before it left."""

    glued_ms: int
    entry: str
    boards: tuple[Board, ...]
    adhesive: str | None
    sheet: Sheet | None
    clamp_h: float
    rings: Rings
    against: tuple[Against, ...]
    stage: Stage = "glued"
    flattened_ms: int | None = None
    finished_ms: int | None = None
    fitting: Fitting | None = None
    crated_ms: int | None = None
    house: House = NOT_ASKED
    home: Home | None = None
    read_there: tuple[ReadThere, ...] = ()
