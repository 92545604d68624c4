"""What the outlook's two rules share: a zone whose air is inside its aim, and whose outlook crosses a limit, told while
there is time to wrap and to heat less, or to keep damp air out.

Each side is an alert of its own, with its own life: what was told of one limit says nothing of the other. Only while
the middle crosses one of them is the other's not raised, nor what is to be done against it asked for.

The outlook knows no weather to come: its middle leans back to the season and hardly ever crosses a limit that the air
has not reached. So the end of its central 80 % counts on its own, over fewer hours: one such fall in ten goes further.

Of one dry-out, the rule that told it first goes on alone: the dry side and :mod:`server.rules.falling_fast` each hold
back while an alert of the other about that zone stands. Once the air is past a limit, that limit's own rule speaks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from server.reading import Aim, Finding, OutlookPoint
from server.rules.base import RuleView, ZoneView
from server.rules.past_limit import SLACK_PCT
from server.rules.unwatched import without_air

Side = Literal["dry", "damp"]
BOTH: tuple[Side, ...] = ("dry", "damp")
HOUR_MS = 3_600_000
ARRIVED_S = 3600.0
"""Once the air is past the limit this alert is over an hour later, however long it would stand otherwise."""
SAID_TO_MS = HOUR_MS // 2
"""As in :mod:`server.rules.falling_fast`."""


class OutlookCrossesParameters(BaseModel):
    """How far ahead it looks. Defaults: by trial on winters of the demo, a town and a house, no source. Half a day to
    clear: what is inside by day and outside by night is one thing to say."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    within_h: float = Field(36.0, gt=0.0, le=96.0, description="hours in which the outlook's middle must cross a limit")
    end_within_h: float = Field(36.0, ge=0.0, le=96.0, description="the same for the end of its 80 %; 0: not looked at")
    end_past_pct: float = Field(0.0, ge=0.0, le=3.0, description="so far past the limit that end must lie, in % EMC")
    raise_after_min: float = Field(120.0, ge=0.0, le=1440.0, description="minutes it must say so to be raised")
    clear_inside_pct: float = Field(0.4, ge=0.0, le=3.0, description="so far back inside is no crossing, in % EMC")
    clear_after_min: float = Field(720.0, ge=0.0, le=1440.0, description="minutes without a crossing to be cleared")

    @model_validator(mode="after")
    def _end_is_nearer(self) -> Self:
        if self.end_within_h > self.within_h:
            right = f"at most within_h ({self.within_h:g})"
            raise ValueError(f"end_within_h: found {self.end_within_h:g}; would be right: {right}")
        return self


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where an outlook crosses: on which side, and when its middle or else its end does. ``sure`` says that the middle
    does."""

    side: Side
    at_ms: int
    sure: bool


@dataclass(frozen=True, slots=True)
class Looked:
    """What an outlook was found to do, seen from a half hour against an aim: where it crosses this side, whether that
    is to be ``said``, and whether it comes near this side. It is not where its middle crosses the other side."""

    outlook: tuple[OutlookPoint, ...]
    of: tuple[int, Aim]
    found: Crossing | None
    said: bool
    near: bool


class OutlookCrosses:
    """One subject a zone that has an outlook, against one limit of its aim."""

    name: str
    side: Side
    schema: type[BaseModel] = OutlookCrossesParameters
    told_after: bool = False
    told_by: tuple[str, ...] = ()
    """Rules that look ahead to the same limit: while one of their alerts stands, nothing more is said."""

    def __init__(self, parameters: OutlookCrossesParameters | None = None) -> None:
        self._own = parameters or OutlookCrossesParameters()
        self.parameters: BaseModel = self._own
        self._looked: dict[str, Looked] = {}

    def findings(self, view: RuleView) -> Sequence[Finding]:
        """One finding a zone. An outlook stands for an hour: it is walked through once a half hour, not once a turn."""
        before, self._looked = self._looked, {}
        return [self._of_zone(zone, view, before.get(zone.zone)) for zone in view.zones]

    def unwatched(self, view: RuleView) -> str | None:
        """The key of the reason why this rule has nothing to watch, or None."""
        if reason := without_air(view):
            return reason
        return None if any(zone.outlook for zone in view.zones) else "not-watched-no-outlook"

    def _of_zone(self, zone: ZoneView, view: RuleView, before: Looked | None) -> Finding:
        p, aim, air = self._own, zone.aim, zone.air
        raises = clears = arrived = False
        found: Crossing | None = None
        if air is not None and zone.outlook:
            looked = self._look(zone, view.now_ms // SAID_TO_MS, before)
            arrived = not aim.dry_limit_pct <= air.emc_pct <= aim.damp_limit_pct
            found = None if arrived else looked.found
            told = any((rule, zone.zone) in view.standing for rule in self.told_by)
            raises = found is not None and looked.said and not told
            clears = arrived or not looked.near
        values: dict[str, float | int | str] = {}
        if found is not None and air is not None:
            limit = aim.dry_limit_pct if self.side == "dry" else aim.damp_limit_pct
            values = {
                "emc_pct": round(air.emc_pct, 1),
                "limit_pct": limit,
                "crosses_ms": -(-found.at_ms // SAID_TO_MS) * SAID_TO_MS,
                "sure": int(found.sure),
            }
        return Finding(
            self.name,
            zone.zone,
            raises,
            clears,
            word="look",  # air alone harms no named piece
            lean=self.side,
            values=values,
            unknown=air is None or not zone.outlook,
            raise_after_s=p.raise_after_min * 60.0,
            clear_after_s=min(ARRIVED_S, p.clear_after_min * 60.0) if arrived else p.clear_after_min * 60.0,
        )

    def _look(self, zone: ZoneView, half_hour: int, before: Looked | None) -> Looked:
        of = half_hour, zone.aim
        if before is None or before.outlook is not zone.outlook or before.of != of:
            now_ms = half_hour * SAID_TO_MS
            found, first = self._crossing(zone, now_ms, (self.side,)), self._crossing(zone, now_ms, BOTH)
            said = first is None or not first.sure or first == found
            near = found or self._crossing(zone, now_ms, (self.side,), self._own.clear_inside_pct)
            before = Looked(zone.outlook, of, found, said=said, near=near is not None)
        self._looked[zone.zone] = before
        return before

    def _crossing(
        self, zone: ZoneView, now_ms: int, sides: tuple[Side, ...], inside_pct: float = 0.0
    ) -> Crossing | None:
        """The first one of ``sides``; limits lie ``inside_pct`` closer to each other than the aim's."""
        p, past = self._own, self._own.end_past_pct
        low = zone.aim.dry_limit_pct + inside_pct if "dry" in sides else -math.inf
        high = zone.aim.damp_limit_pct - inside_pct if "damp" in sides else math.inf
        until_ms, end_until_ms = now_ms + p.within_h * HOUR_MS, now_ms + p.end_within_h * HOUR_MS
        by_end: Crossing | None = None
        for point in zone.outlook:
            if point.t_ms > until_ms:
                break
            if point.t_ms <= now_ms:
                continue
            if side := _beyond(point.emc_pct, point.emc_pct, low, high):
                return Crossing(side, point.t_ms, sure=True)
            if by_end is None and point.t_ms <= end_until_ms:
                by_end = _end(point, low - past, high + past)
        return by_end


def _end(point: OutlookPoint, low: float, high: float) -> Crossing | None:
    side = _beyond(point.emc_low_pct, point.emc_high_pct, low, high)
    return Crossing(side, point.t_ms, sure=False) if side else None


def _beyond(least: float, most: float, low: float, high: float) -> Side | None:
    if least < low - SLACK_PCT:
        return "dry"
    return "damp" if most > high + SLACK_PCT else None
