"""What a rule sees of one panel: figures that were worked out beside the loop, at a half hour that closed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from server.rules.lot_view import Band

Kind = Literal["drawer", "door", "groove", "slot", "not-told"]


@dataclass(frozen=True, slots=True)
class Cure:
    """The glue of a panel that is not flattened yet, by its wood's modelled temperature; °C.

    Below ``lowest_c`` it does not set (None where nobody says), at ``keep_c`` it surely does; ``hard`` says that a
    sheet, or a source that was read, sets that, and that its time in the clamps is not over: it can still be lost.
    ``doubtful`` says that it was: it was ``cold_h`` too cold in its clamps, and no joint of it can be trusted.
    ``coldest_c`` at ``coldest_ms`` is the coldest its wood gets before it
    is cured, within a day, if that goes as the last one did; None where the last one was not heard. The clamps come off
    at ``off_ms`` as they were told; ``ready_ms`` is when its time in them is over, at the least and the most, if it
    stays as warm (None where no time is known for it). ``drier_pct`` is how far its air draws its faces below its mean,
    air of ``air_c``; ``cured_ms`` when it is cured at the latest.
    """

    wood_c: float
    lowest_c: float | None
    keep_c: float | None
    hard: bool
    coldest_c: float | None
    coldest_ms: int
    off_ms: int
    ready_ms: tuple[int, int] | None
    drier_pct: Band
    air_c: float
    cured: bool
    cured_ms: int | None = None
    doubtful: bool = False
    cold_h: float = 0.0


@dataclass(frozen=True, slots=True)
class Grown:
    """How much wider than when it was fitted a panel is at one moment, mm; negative where it is narrower."""

    t_ms: int
    mm: Band


@dataclass(frozen=True, slots=True)
class Fit:
    """How a panel sits that is free to move: the room it was given to widen, and by how much its whole width may grow
    and shrink from when it was fitted until its screws stand at the outer and at the inner end of their slots, mm; None
    where neither was told. ``grown`` is of now and of moments to come, in the air expected where it stands; ``share``
    is how far a screw goes in its slot for each mm of the width."""

    kind: Kind
    room_mm: float | None
    travel_mm: tuple[float, float] | None
    width_mm: float
    grown: tuple[Grown, ...]
    share: float = 0.5

    def until(self, t_ms: int) -> tuple[Grown, ...]:
        """Now and up to a moment."""
        return tuple(one for i, one in enumerate(self.grown) if i == 0 or one.t_ms <= t_ms)


@dataclass(frozen=True, slots=True)
class PanelView:
    """One panel in the shop as a rule sees it, beside the lot that it is. ``cure`` is None once it is flattened,
    ``fit`` until it is fitted, both where nothing could be worked out; ``flat`` says that it may be flattened, since
    ``flat_since_ms`` as far as it is known, within ``aim_pct``. What is not ``worked_out`` was stopped by a bug of
    ours, or its time has not come yet."""

    id: str
    name: str
    zone: str
    at_ms: int
    wrapped: bool = False
    fitted: bool = False
    crated: bool = False
    cure: Cure | None = None
    flat: bool | None = None
    flat_since_ms: int | None = None
    fit: Fit | None = None
    aim_pct: tuple[float, float] | None = None
    worked_out: bool = True
