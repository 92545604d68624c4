"""A zone whose air, at the pace of the last six hours, draws wood below the dry limit within a day.

A straight line knows no mornings: it takes every daily dip for a fall that goes on. So the zone's outlook, where there
is one, has to agree: its low end must reach the limit in the same time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, model_validator

from server.reading import Finding
from server.rules.base import RuleView, ZoneView
from server.rules.past_limit import SLACK_PCT
from server.rules.suppressing import Suppressor, away_wrapped, off_season, over_salt, spoken_by
from server.rules.unwatched import without_air

HOUR_MS = 3_600_000
WINDOW_H = 6.0
OUTLOOK = "outlook-dry"
ARRIVED_S = 3600.0
"""As in :mod:`server.rules.outlook_crosses`."""
SHORTEST_RECORD_H = 4.5
"""Six hours seen through closed half hours span at least five; one may be missing at an end. A line through less is no
pace of six hours: one opened door would speak for a day."""
SAID_TO_MS = HOUR_MS // 2
"""The crossing time is said to the next half hour: the line knows no more, and a figure that changes must not dance."""


class FallingFastParameters(BaseModel):
    """``[rules.falling-fast]``: how steep a fall counts. Defaults: common practice, no source; half a day to clear
    was chosen with the parameters of :mod:`server.rules.outlook_crosses`."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    within_h: float = Field(24.0, gt=0.0, le=72.0, description="hours in which the line must reach the dry limit")
    fallen_pct: float = Field(0.3, gt=0.0, le=5.0, description="fall over the last six hours that counts, in % EMC")
    raise_after_min: float = Field(0.0, ge=0.0, le=1440.0, description="minutes the fall must last to be raised")
    clear_within_h: float = Field(30.0, gt=0.0, le=96.0, description="hours; beyond them the limit is far again")
    clear_fallen_pct: float = Field(0.2, ge=0.0, le=5.0, description="fall over six hours that is none, in % EMC")
    clear_after_min: float = Field(720.0, ge=0.0, le=1440.0, description="minutes without a fall before it is cleared")

    @model_validator(mode="after")
    def _clear_is_wider(self) -> Self:
        if self.clear_within_h < self.within_h:
            raise ValueError(
                f"clear_within_h: found {self.clear_within_h:g}; would be right: at least within_h ({self.within_h:g})"
            )
        if self.clear_fallen_pct > self.fallen_pct:
            raise ValueError(
                f"clear_fallen_pct: found {self.clear_fallen_pct:g}; "
                f"would be right: at most fallen_pct ({self.fallen_pct:g})"
            )
        return self


@dataclass(frozen=True, slots=True)
class Pace:
    """A least-squares line through a zone's EMC: its value six hours ago and now, and when it crosses."""

    from_pct: float
    to_pct: float
    crosses_ms: float
    """When the line is at the limit; infinite for a line that does not come down to it."""

    @property
    def fallen_pct(self) -> float:
        return self.from_pct - self.to_pct


def pace(points: Sequence[tuple[int, float]], limit_pct: float, now_ms: int) -> Pace | None:
    """The straight line through ``points`` of (t_ms, emc_pct), oldest first; None for a record too short for one."""
    if len(points) < 3 or points[-1][0] - points[0][0] < SHORTEST_RECORD_H * HOUR_MS:
        return None
    table = np.asarray(points, dtype=np.float64)
    hours, emc = (table[:, 0] - now_ms) / HOUR_MS, table[:, 1]
    middle_h, mean_pct = float(hours.mean()), float(emc.mean())
    away = hours - middle_h
    slope = float(away @ (emc - mean_pct)) / float(away @ away)
    crosses_h = middle_h + (limit_pct - mean_pct) / slope if slope < 0 else math.inf
    return Pace(
        from_pct=mean_pct - slope * (middle_h + WINDOW_H),
        to_pct=mean_pct - slope * middle_h,
        crosses_ms=now_ms + crosses_h * HOUR_MS,
    )


class FallingFast:
    """A fall that crosses the dry limit soon, while the air is still above it: time to wrap what is milled."""

    name: str = "falling-fast"
    schema: type[BaseModel] = FallingFastParameters
    told_after: bool = False
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, away_wrapped, spoken_by("dry-limit", "dry"))

    def __init__(self, parameters: FallingFastParameters | None = None) -> None:
        self._own = parameters or FallingFastParameters()
        self.parameters: BaseModel = self._own

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone."""
        return [self._of_zone(zone, view.now_ms, told=(OUTLOOK, zone.zone) in view.standing) for zone in view.zones]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        if reason := without_air(view):
            return reason
        paces = (
            pace(zone.last_6_h, zone.aim.dry_limit_pct, view.now_ms) for zone in view.zones if zone.air is not None
        )
        return None if any(paces) else "not-watched-short-record"

    def _of_zone(self, zone: ZoneView, now_ms: int, *, told: bool) -> Finding:
        p, limit_pct = self._own, zone.aim.dry_limit_pct
        line = pace(zone.last_6_h, limit_pct, now_ms) if zone.air is not None else None
        raises = clears = arrived = False
        values: dict[str, float | int | str] = {}
        if zone.air is not None and zone.air.emc_pct < limit_pct:
            clears = arrived = True  # from here on the dry limit speaks
        elif zone.air is not None and line is not None:
            left_h = max(line.crosses_ms - now_ms, 0.0) / HOUR_MS
            raises = (
                not told
                and left_h <= p.within_h
                and line.fallen_pct >= p.fallen_pct - SLACK_PCT
                and _outlook_agrees(zone, now_ms, p.within_h)
            )
            clears = (
                left_h > p.clear_within_h
                or line.fallen_pct <= p.clear_fallen_pct
                or not _outlook_agrees(zone, now_ms, p.clear_within_h)
            )
            if not clears:
                values = {
                    "from_pct": round(line.from_pct, 1),
                    "to_pct": round(line.to_pct, 1),
                    "emc_pct": round(zone.air.emc_pct, 1),
                    "limit_pct": limit_pct,
                    "crosses_ms": _next_half_hour(max(line.crosses_ms, now_ms)),
                }
        return Finding(
            self.name,
            zone.zone,
            raises,
            clears,
            word="look",
            lean="dry",
            values=values,
            unknown=not arrived and line is None,
            raise_after_s=p.raise_after_min * 60.0,
            clear_after_s=min(ARRIVED_S, p.clear_after_min * 60.0) if arrived else p.clear_after_min * 60.0,
        )


def _outlook_agrees(zone: ZoneView, now_ms: int, within_h: float) -> bool:
    """Whether the low end of the zone's outlook passes the dry limit in that time. Without one the line decides."""
    until_ms = now_ms + within_h * HOUR_MS
    lows = [point.emc_low_pct for point in zone.outlook if now_ms <= point.t_ms <= until_ms]
    return not lows or min(lows) < zone.aim.dry_limit_pct


def _next_half_hour(t_ms: float) -> int:
    return math.ceil(t_ms / SAID_TO_MS) * SAID_TO_MS
