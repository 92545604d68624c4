"""The season of each zone out of the record's daily means, worked out once a zone and day."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from server.stores.port import History
from server.wood.season import Season, season_of

DAY_MS = 86_400_000
BACK_MS = 1096 * DAY_MS
"""Three years: an older one tells of another roof, or another stove. Common practice, no source."""
LEAST_HEARD = 0.5
"""A day of which less was heard than this share of a usual one is left out."""


@dataclass(slots=True)
class ZoneSeasons:
    """What was worked out for each zone, and of which day of UTC. Past air that is put right counts from the next day
    on: it is little of a year, and verdicts need not ask within a day whether the season is still the same."""

    _found: dict[str, tuple[int, Season | None]] = field(default_factory=dict)

    def of(self, history: History, zone: str, at_ms: int) -> Season | None:
        """By the whole days before the day of ``at_ms``, counted from 1970 UTC; None of a zone without a year of
        record. From any thread. Raises StoreError."""
        day = at_ms // DAY_MS
        kept = self._found.get(zone)
        if kept is None or kept[0] != day:
            kept = self._found[zone] = day, zone_season(history, zone, day * DAY_MS)
        return kept[1]


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
