"""What is asked before a glue-up, and what its questions see: values, worked out of boards as lots are looked at.

The boards against the panel's aim decide first, then whether they are even inside; of the others the worst answer, of
two alike the first. A limit
that a sheet or a source that was read sets may say ``act``, and only where it is broken in the middle of what is held;
one recalled or doubtful says ``look`` at the most.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from pydantic import ConfigDict, Field

from server.advice.base import Held, Line, LotView, held_now
from server.model.air import ShopAir
from server.outlook import Forecast
from server.reading import Aim, Word
from server.shop.deed import Id, Number, Thickness, Width
from server.shop.gluing import Boards, ClampTime, Rings, WithAdhesive
from server.shop.receiving import Aimed
from server.wood.adhesive import Family
from server.wood.air import Floats, dew_point_c, saturation_pressure_pa
from server.wood.belief import sigma_of
from server.wood.emc import emc_pct
from server.wood.ensemble import END_OF_80
from server.wood.expected_air import ExpectedAir
from server.wood.season import Season
from server.words import Sentence, Telling
from server.words.sentence import Value

RING_RADIUS_MM = 150.0
"""Where nobody looked at the end grain. Common practice, no source."""
EXAMPLES: list[Any] = [
    {
        "boards": [{"lot": "ash-1", "pieces": 4}], "adhesive": "pva", "clamp_h": 4, "zone": "bench",
        "aim": {"dry_limit_pct": 6, "damp_limit_pct": 10}, "rings": "alternating",
    },
    {
        "boards": [{"lot": "oak-1", "pieces": 2}], "sheet": {"lowest_c": 10, "clamp_h": [[10, 8], [20, 4]]},
        "clamp_h": 6, "aim": {"destination": "heated"}, "shelf": "loft", "width_mm": 200,
    },
]  # fmt: skip
CHAPTER_10 = "Wood Handbook FPL-GTR-190 chapter 10, from memory"


class GlueUp(WithAdhesive):
    """A glue-up that is thought of. What has no value is taken from the boards."""

    model_config = ConfigDict(json_schema_extra={"examples": EXAMPLES})
    boards: Boards
    clamp_h: ClampTime
    aim: Aimed = Field(description="where the panel will live: a destination of the shop, or two numbers in % MC")
    zone: Id | None = Field(None, description="where it is glued; else where the first board lies")
    shelf: Id | None = Field(None, description="the zone where the glue stands; else where it is glued")
    width_mm: Width | None = Field(None, description="its width across the grain, 1 to 3,000 mm; else all the boards")
    thickness_mm: Thickness | None = Field(None, description="its thickness, 0.3 to 300 mm; else the boards'")
    house_zone: Id | None = Field(
        None, description="a zone with a year of record, as the house's own air; else its year is the aim's band"
    )
    jointed_h: Number | None = Field(
        None,
        ge=0,
        le=240,
        description="hours since all their edges were jointed, 0 to 240 h; else by when the journal has them milled",
    )
    rings: Rings = Field("not-told", description="alternating, alike or not-told: which way the growth rings turn")
    ring_radius_mm: Number = Field(
        RING_RADIUS_MM,
        ge=20,
        le=2000,
        description="the radius of the rings, 20 to 2,000 mm; 150 if not given",
    )


@dataclass
class Refused(Exception):
    """What cannot be asked so: a name that nothing has (``unknown``), or boards that cannot be glued so."""

    unknown: bool
    field: str
    found: str
    would_be_right: str


@dataclass(frozen=True, slots=True)
class Board:
    """The ``pieces`` of one lot; ``view`` sees it with the panel's aim, ``mean`` is its ``mean_pct`` with its ends."""

    view: LotView
    pieces: int
    mean: Mapping[str, float]

    @classmethod
    def of(cls, view: LotView, pieces: int) -> Board:
        """Of a lot of which something is held."""
        assert view.held is not None  # noqa: S101 - looked at before
        return cls(view, pieces, held_now(view, view.held, "mean_pct"))

    @property
    def id(self) -> str:
        return self.view.lot.id

    @property
    def name(self) -> str:
        return self.view.lot.name

    @property
    def held(self) -> Held:
        assert self.view.held is not None  # noqa: S101 - looked at before the view was made
        return self.view.held

    @property
    def mean_pct(self) -> float:
        """The middle of its mean."""
        return self.held.mean_pct

    @property
    def temperature_c(self) -> float:
        """The wood's, which is behind the air's."""
        return float(self.held.wood.belief.moisture.temperature_c[0])

    @property
    def slow(self) -> float:
        """By what times are multiplied and divided for the rate of its wood, 80 %."""
        return float(np.exp(END_OF_80 * sigma_of(self.held.wood.belief.ln_rate)[0]))


@dataclass(frozen=True, slots=True)
class RoomAir:
    """A zone's air: the last week of half hours and what is expected. ``warmth`` is its temperature hour by hour, °C,
    by the outlook of its own past; None where that is too short."""

    zone: str
    recent: ShopAir
    ahead: ExpectedAir
    warmth: Forecast | None = None

    @property
    def heard(self) -> bool:
        """Whether its air of now is known."""
        return bool(self.recent.known[-1, 0])

    @property
    def temperature_c(self) -> float:
        return float(self.recent.temperature_c[-1, 0])

    @property
    def emc_pct(self) -> float:
        """What it draws wood to now."""
        c, pa = self.temperature_c, float(self.recent.pressure_pa[-1, 0])
        return float(emc_pct(c, min(pa / float(saturation_pressure_pa(c)), 1.0)))

    @property
    def dew_point_c(self) -> float | None:
        """None of air without vapour."""
        pa = float(self.recent.pressure_pa[-1, 0])
        return float(dew_point_c(pa)) if pa > 0 else None


@dataclass(frozen=True, slots=True)
class GlueView:
    """A glue-up at ``at_ms``, a closed half hour. ``family`` has the maker's sheet's limits in place of its own;
    ``room`` is where it is glued, ``shelf`` where the glue stands; ``zones`` are all there are, ``air_of`` looks up the
    air of each: it reads the record. ``strips_mm`` are the strips side by side, each with which board it is of."""

    asked: GlueUp
    boards: tuple[Board, ...]
    aim: Aim
    at_ms: int
    telling: Telling
    family: Family
    room: RoomAir
    shelf: RoomAir
    strips_mm: tuple[tuple[int, float], ...]
    thickness_mm: float
    zones: tuple[str, ...]
    air_of: Callable[[str], RoomAir]
    season: Season | None = None
    """Of the house, where a zone's record stands for it and holds a year."""

    def others(self) -> dict[str, RoomAir]:
        """The other zones of which anything was heard in the last week."""
        found = {zone: self.air_of(zone) for zone in self.zones if zone != self.room.zone}
        return {zone: air for zone, air in found.items() if air.recent.known.any()}

    @property
    def width_mm(self) -> float:
        return sum(mm for _, mm in self.strips_mm)

    @property
    def shares(self) -> Floats:
        """Which part of the width each board makes."""
        found = np.zeros(len(self.boards))
        for board, mm in self.strips_mm:
            found[board] += mm
        return np.asarray(found / found.sum())

    def name(self, zone: str) -> str:
        """What a person calls a zone."""
        return self.telling.name(zone)


class GlueQuestion(Protocol):
    """One question: its name on every door, a line saying what it answers, whether its answer may ``decide`` the
    verdict, and a pure answer."""

    name: str
    summary: str
    decides: bool

    def answer(self, view: GlueView, /) -> Line:
        """The answer. A word that is not ``ready`` is one against gluing now."""


Values = dict[str, Value]
Answered = tuple[Word, Sentence | None, tuple[Sentence, ...]]
"""The word of an answer, its title, and what it says."""


def names(boards: Sequence[Board]) -> str:
    """Of some boards, as a sentence takes them: the first three and how many more."""
    said = [board.name for board in boards[:3]]
    return ", ".join(said) + (f" + {len(boards) - 3}" if len(boards) > 3 else "")
