"""Spans of time as a lot's sentences say them: hours where it is a matter of few days, no count past this season."""

from __future__ import annotations

import math

from server.book.board_request import COUNTED_IN_HOURS_DAYS, after
from server.wood.ensemble import Spread
from server.wood.outcome import SEASON_DAYS

__all__ = ["Said", "after", "counted"]
Said = dict[str, float | int | str]


def counted(time: Spread, of: int = 0, *, lasting: bool = False) -> Said:
    """The values of ``book-count``: ``spread`` is "season" where it may come later than this season or not at all, and
    an hour where it would be of minutes. What is up soon is counted in hours. ``lasting`` is how long something stays
    as it is: only its near end bears on what to do, and hours go by its middle."""
    middle, low, high = (float(getattr(time, name)[of]) for name in ("middle", "low", "high"))
    latest = middle if lasting or math.isnan(high) else high
    unit, each = ("h", 24.0) if latest < COUNTED_IN_HOURS_DAYS else ("days", 1.0)
    count, most = max(1.0, each * middle), max(1.0, each * high)
    spread = "hour" if unit == "h" and most <= 1.0 else "closed"
    if math.isnan(low):
        spread = "open"
    elif lasting:
        spread = "lasts"
    elif not high <= SEASON_DAYS:
        spread = "season"
    return {
        "count": count, "count_low": 0.0 if math.isnan(low) else each * low,
        "count_high": 1.0 if math.isnan(most) else most, "unit": unit, "spread": spread,
    }  # fmt: skip
