"""What is asked of a room tonight, and what an answer is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from server.config_zone import Zone
from server.reading import Aim, OutlookPoint, ZoneAir
from server.room.learning import Learnt
from server.room.night import Night
from server.room.stock import NO_STOCK, StockWater
from server.wood.air import relative_humidity
from server.wood.emc import humidity_for_emc
from server.words import Sentence, Telling

EMC_SOURCE = "EMC: Wood Handbook FPL-GTR-282, equation 4-5."
BALANCE_SOURCE = (
    "Humidity ratio and air change: ASHRAE Handbook Fundamentals (2017), chapter 1, equations 20 and 26, and chapter "
    "16 (from memory)."
)
INSIDE_PCT = 0.5
"""So far inside the limit that is nearer is what is to be held, where nobody says what: a sensor's error does not eat
it. Common practice, no source."""
Side = Literal["dry", "damp"]


@dataclass(frozen=True, slots=True)
class RoomView:
    """A zone tonight, as values. ``hold_pct`` (% MC) is what its air is to draw wood to, ``side`` on which side of that
    it stands. ``extractor_h`` are the hours of the night in which it blows. ``stock_held`` is what its stock gives
    through the night in air that is held there, ``stock_now`` in air as it is."""

    zone: Zone
    aim: Aim
    air: ZoneAir
    night: Night
    learnt: Learnt
    telling: Telling
    hold_pct: float
    side: Side
    ahead: tuple[OutlookPoint, ...] = ()
    extractor_h: float = 0.0
    stock_now: StockWater = NO_STOCK
    stock_held: StockWater = NO_STOCK

    @property
    def hold_rh(self) -> float:
        """The humidity, 0..1, that holds it as warm as the room is at night."""
        return float(humidity_for_emc(self.night.indoor_c, self.hold_pct))

    @property
    def night_rh(self) -> float:
        """The humidity, 0..1, of the air as it is once it is as warm as at night."""
        return min(1.0, float(relative_humidity(self.night.indoor_c, self.air.vapour_pressure_pa)))


@dataclass(frozen=True, slots=True)
class RoomLine:
    """One question answered. Keys of ``figures`` end in their unit; ``_low`` and ``_high`` are the ends of a figure's
    central 80 %, None where there is none. ``flags`` name what is missing or refused."""

    question: str
    said: tuple[Sentence, ...]
    figures: Mapping[str, float | int | None] = field(default_factory=dict)
    sources: tuple[str, ...] = ()
    caution: Sentence | None = None
    flags: tuple[str, ...] = ()


class RoomQuestion(Protocol):
    """One question about a room: its name, and a pure answer; None where it makes no sense to ask it."""

    name: str

    def answer(self, view: RoomView, /) -> RoomLine | None:
        """The answer."""


def held_by(aim: Aim, emc_pct: float) -> tuple[float, Side]:
    """What to hold where nobody says it, % MC, and the side on which air that draws wood to ``emc_pct`` stands: by the
    limit that is nearer."""
    middle = 0.5 * (aim.dry_limit_pct + aim.damp_limit_pct)
    inside = min(INSIDE_PCT, middle - aim.dry_limit_pct)
    return (aim.dry_limit_pct + inside, "dry") if emc_pct <= middle else (aim.damp_limit_pct - inside, "damp")
