"""What the dry and the damp rule share: one limit, a time past it to raise, a margin and a time inside it to clear."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from server.reading import Finding
from server.rules.base import ZoneView

SLACK_PCT = 1e-9
"""So that a figure standing on its limit to the last digit is not lost to binary rounding."""


class PastLimitParameters(BaseModel):
    """When a zone's air counts as past a limit of its aim, and when as back inside. Defaults: common practice, no
    source. Six hours and 0.4 % to clear: air that wanders about its limit by as much as a sensor and a door make it
    (tests/proof/records.py, noise) is one thing to say, and wood takes no notice of less."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    raise_after_min: float = Field(
        30.0, ge=0.0, le=1440.0, description="minutes past the limit, without a break, before the alert is raised"
    )
    clear_after_min: float = Field(
        360.0, ge=0.0, le=1440.0, description="minutes back inside, without a break, before the alert is cleared"
    )
    clear_inside_pct: float = Field(
        0.4, ge=0.0, le=3.0, description="how far inside the limit counts as back, in % EMC"
    )


def past_limit_finding(
    rule: str, zone: ZoneView, side: Literal["dry", "damp"], parameters: PastLimitParameters
) -> Finding:
    """One zone against one end of its aim. Without air nothing is known, so an alert stays as it is."""
    limit_pct = zone.aim.dry_limit_pct if side == "dry" else zone.aim.damp_limit_pct
    past_pct: float | None = None
    values: dict[str, float | int | str] = {}
    if zone.air is not None:
        past_pct = limit_pct - zone.air.emc_pct if side == "dry" else zone.air.emc_pct - limit_pct
        values = {
            "emc_pct": round(zone.air.emc_pct, 1),
            "limit_pct": limit_pct,
            "past_limit_pct": round(max(past_pct, 0.0), 1),
        }
    return Finding(
        rule=rule,
        subject=zone.zone,
        raise_holds=past_pct is not None and past_pct > SLACK_PCT,
        clear_holds=past_pct is not None and past_pct <= SLACK_PCT - parameters.clear_inside_pct,
        word="look",  # air alone harms no named piece: it never says act
        lean=side,
        values=values,
        unknown=zone.air is None,
        raise_after_s=parameters.raise_after_min * 60.0,
        clear_after_s=parameters.clear_after_min * 60.0,
    )
