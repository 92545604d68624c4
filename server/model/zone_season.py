"""The season of each zone out of the record's daily means, worked out once a zone and day."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from server.outlook import Forecast, forecast
from server.stores.port import History
from server.wood.season import Season, season_of

DAY_MS = 86_400_000
BACK_MS = 1096 * DAY_MS
"""Three years: an older one tells of another roof, or another stove. Common practice, no source."""
LEAST_HEARD = 0.5
"""A day of which less was heard than this share of a usual one is left out."""
WARMTH_MS, LEAST_WARMTH_H = 60 * DAY_MS, 14 * 24
"""Two months of a room's temperature tell its habits of heating, and a fortnight is the least. Common practice, no
source."""
WARMTH_H = 8 * 24
"""Four days until a clamp time may begin, and as many in the clamps."""
PRIOR_WARMTH_K = 3.0


@dataclass(slots=True)
class ZoneSeasons:
    """What was worked out for each zone, and of which day of UTC. Past air that is put right counts from the next day
    on: it is little of a year, and verdicts need not ask within a day whether the season is still the same."""

    _found: dict[str, tuple[int, Season | None]] = field(default_factory=dict)
    _ahead: dict[str, tuple[tuple[int, float, float], Forecast | None]] = field(default_factory=dict)

    def of(self, history: History, zone: str, at_ms: int) -> Season | None:
        """By the whole days before the day of ``at_ms``, counted from 1970 UTC; None of a zone without a year of
        record. From any thread. Raises StoreError."""
        day = at_ms // DAY_MS
        kept = self._found.get(zone)
        if kept is None or kept[0] != day:
            kept = self._found[zone] = day, zone_season(history, zone, day * DAY_MS)
        return kept[1]

    def warmth(
        self, history: History, zone: str, at_ms: int, latest_c: float, utc_offset_h: float
    ) -> Forecast | None:  # fmt: skip
        """A zone's temperature hour by hour from then on, for :data:`WARMTH_H`, worked out once a half hour; None where
        it was heard for less than :data:`LEAST_WARMTH_H`, or not of late. From any thread. Raises StoreError."""
        of, kept = (at_ms, latest_c, utc_offset_h), self._ahead.get(zone)
        if kept is None or kept[0] != of:
            kept = self._ahead[zone] = of, _warmth(history, zone, *of)
        return kept[1]


def _warmth(history: History, zone: str, at_ms: int, latest_c: float, utc_offset_h: float) -> Forecast | None:
    rows = history.rollups(f"zone:{zone}/temperature_c", "hour", at_ms - WARMTH_MS, at_ms)
    if len(rows) < LEAST_WARMTH_H:
        return None
    past = [row.start_ms for row in rows], [row.mean for row in rows]
    return forecast(
        *past, at_ms, latest_c, hours=WARMTH_H, utc_offset_h=utc_offset_h, prior_half_width=PRIOR_WARMTH_K
    )  # fmt: skip


def zone_season(history: History, zone: str, until_ms: int) -> Season | None:
    """That of the days of a zone that are over by then. Raises StoreError."""
    columns: list[dict[int, float]] = []
    for quantity in ("temperature_c", "emc_pct"):
        rows = history.rollups(f"zone:{zone}/{quantity}", "day", until_ms - BACK_MS, until_ms)
        rows = [row for row in rows if row.start_ms + DAY_MS <= until_ms]
        if not rows:
            return None
        usual = float(np.median([row.count for row in rows]))
        columns.append({row.start_ms: row.mean for row in rows if row.count >= LEAST_HEARD * usual})
    warmth, draws = columns
    days = sorted(warmth.keys() & draws.keys())
    middles = np.array(days, np.float64) / DAY_MS + 0.5
    return season_of(middles, [warmth[day] for day in days], [draws[day] for day in days])
