"""What a rule sees and what it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from pydantic import BaseModel

from server.reading import Aim, Finding, OutlookPoint, Surroundings, ZoneAir


@dataclass(frozen=True, slots=True)
class SensorView:
    """One sensor as a rule sees it. ``period_s`` is learnt (median of 20), None until known; ``heard_ms`` is the last
    good reading, None if there was none yet; ``silent_for_s`` is measured on the monotonic clock since then or since
    the start. ``stuck`` says that what it sends has not moved for too long, ``wet`` that it has stood at 100 % for so
    long that it is wet itself, or has failed. ``check_due_ms`` is when its last salt check grows too old; None if it
    never had one."""

    sensor: str
    zone: str
    heard_ms: int | None
    silent_for_s: float
    period_s: float | None
    stuck: bool = False
    wet: bool = False
    check_due_ms: int | None = None


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
class RuleView:
    """Everything a rule may look at."""

    now_ms: int
    zones: Sequence[ZoneView] = ()
    sensors: Sequence[SensorView] = ()
    surroundings: Surroundings = field(default_factory=Surroundings)
    clock_is_set: bool = True
    not_watched: dict[str, str] = field(default_factory=dict)


class Rule(Protocol):
    """A rule: a name, a schema of its own parameters (handed to the configuration by the app), and a pure function."""

    name: str
    parameters: BaseModel

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding for every subject it watches, whether or not anything is wrong with it."""
