"""What a rule sees and what it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from pydantic import BaseModel

from server.reading import Aim, Finding, OutlookPoint, Surroundings, ZoneAir
from server.rules.lot_view import LotView
from server.rules.spans import Span, span_with


@dataclass(frozen=True, slots=True)
class SensorView:
    """One sensor as a rule sees it. ``period_s`` is learnt (median of 20), None until known; ``heard_ms`` is the last
    good reading, None if there was none yet; ``silent_for_s`` is measured on the monotonic clock since then or since
    the start. ``stuck`` says that what it sends has not moved for too long, ``wet`` that it has stood at 100 % for so
    long that it is wet itself, or has failed. ``talking`` says that something came from it lately, believed or not;
    ``quiet_for_s`` is since that, or since the start. ``check_due_ms`` is when its last salt check grows too old; None
    if it never had one."""

    sensor: str
    zone: str
    heard_ms: int | None
    silent_for_s: float
    period_s: float | None
    stuck: bool = False
    wet: bool = False
    check_due_ms: int | None = None
    talking: bool = False
    quiet_for_s: float = 0.0


@dataclass(frozen=True, slots=True)
class ZoneView:
    """One zone as a rule sees it. ``air`` is None while no good sensor has been heard lately; ``last_6_h`` are (t_ms,
    emc_pct) of its air, oldest first; ``outlook`` is empty until there is one."""

    zone: str
    aim: Aim
    air: ZoneAir | None
    last_6_h: tuple[tuple[int, float], ...] = ()
    outlook: tuple[OutlookPoint, ...] = ()


@dataclass(frozen=True, slots=True)
class NeighbourView:
    """Two sensors of one zone over weeks: ``sensor`` less ``mate`` in EMC at one temperature (% MC) and in vapour
    pressure (``apart_pa``), median of the last seven days. ``trend_emc_pct_per_month`` is a straight line through the
    days of the last month, ``days`` how many those are; None for fewer than 14. In a heated room 1 % RH a month makes
    0.15, and with a month of days the trend of two right sensors stays within 0.08."""

    zone: str
    sensor: str
    mate: str
    apart_emc_pct: float
    trend_emc_pct_per_month: float | None
    days: int
    apart_pa: float = 0.0


@dataclass(frozen=True, slots=True)
class RuleView:
    """Everything a rule may look at. ``lots`` is None until they are first worked out, which goes on beside the loop;
    ``work`` are the hours of the days around now in which somebody works, none where the shop tells none; ``away`` the
    times in which nobody is there, as told."""

    now_ms: int
    zones: Sequence[ZoneView] = ()
    sensors: Sequence[SensorView] = ()
    surroundings: Surroundings = field(default_factory=Surroundings)
    clock_is_set: bool = True
    neighbours: Sequence[NeighbourView] = ()
    not_watched: dict[str, str] = field(default_factory=dict)
    lots: tuple[LotView, ...] | None = None
    work: tuple[Span, ...] = ()
    away: tuple[Span, ...] = ()

    @property
    def nobody_until_ms(self) -> int | None:
        """Until when nobody is there who could do anything, by what was told of being away; None while somebody is."""
        now = span_with(self.away, self.now_ms)
        return None if now is None else now[1]


class Rule(Protocol):
    """A rule: a name, a schema of its own parameters (handed to the configuration by the app), and a pure function."""

    name: str
    parameters: BaseModel

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding for every subject it watches, whether or not anything is wrong with it."""
