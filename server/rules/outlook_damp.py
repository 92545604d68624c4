"""A zone whose outlook crosses the damp limit of its aim."""

from __future__ import annotations

from pydantic import BaseModel

from server.rules.outlook_crosses import OutlookCrosses, OutlookCrossesParameters, Side
from server.rules.suppressing import Suppressor, away_wrapped, off_season, over_salt, spoken_by


class OutlookDampParameters(OutlookCrossesParameters):
    """``[rules.outlook-damp]``: how far ahead it looks for the damp limit."""


class OutlookDamp(OutlookCrosses):
    """One subject a zone that has an outlook."""

    name: str = "outlook-damp"
    side: Side = "damp"
    schema: type[BaseModel] = OutlookDampParameters
    suppressed_by: tuple[Suppressor, ...] = (over_salt, off_season, away_wrapped, spoken_by("damp-limit", "damp"))
