"""A zone whose outlook crosses the dry limit of its aim."""

from __future__ import annotations

from pydantic import BaseModel

from server.rules.outlook_crosses import OutlookCrosses, OutlookCrossesParameters, Side
from server.rules.suppressing import Suppressor, away_wrapped, off_season, over_salt, spoken_by


class OutlookDryParameters(OutlookCrossesParameters):
    """``[rules.outlook-dry]``: how far ahead it looks for the dry limit."""


class OutlookDry(OutlookCrosses):
    """One subject a zone that has an outlook."""

    name: str = "outlook-dry"
    side: Side = "dry"
    schema: type[BaseModel] = OutlookDryParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, away_wrapped, spoken_by("dry-limit", "dry"))
    told_by: tuple[str, ...] = ("falling-fast",)
