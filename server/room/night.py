"""Tonight: from when to when, how warm the room is then as a rule, and what outdoors does meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from server.config import Shop
from server.config_zone import Zone
from server.outlook import Forecast, forecast
from server.reading import ClosedBin, ZoneAir
from server.room.hours import DAYS, HOUR_MS, Hours, Span, spans
from server.wood.air import Floats, saturation_pressure_pa
from server.wood.ranges import OUTDOORS_C

WORKED = dict.fromkeys(DAYS, "07:00-18:00")
"""Where a shop tells no hours. Common practice, no source."""
SHORTEST_MS, LONGEST_MS = 2 * HOUR_MS, 24 * HOUR_MS
"""What is left of a night for less than this is no night any more; over a weekend a day is looked ahead."""
OUTDOORS_BACK_MS = 430 * 24 * HOUR_MS
PRIOR_TEMPERATURE_K, PRIOR_LN_PRESSURE = 5.0, 0.4
"""By how much "as it is now" misses outdoors after some days, 80 %, until the yard's own past shows it. Common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Outdoors:
    """Outdoors through the night: mean and coldest hour of the temperature, °C, and mean vapour pressure, Pa, each
    with the ends of its central 80 %."""

    mean_c: float
    coldest_c: float
    coldest_c_low: float
    coldest_c_high: float
    pressure_pa: float
    pressure_pa_low: float
    pressure_pa_high: float


@dataclass(frozen=True, slots=True)
class Night:
    """``indoor_c`` is how warm the room is in such hours, by the nights that the half hours still hold (now's, where
    they hold none). ``outdoors`` is None where nothing measures it."""

    from_ms: int
    to_ms: int
    indoor_c: float
    outdoors: Outdoors | None

    @property
    def hours(self) -> float:
        """How long it is."""
        return (self.to_ms - self.from_ms) / HOUR_MS


def night_span(now_ms: int, shop: Shop) -> Span:
    """From the end of work, or now, until work begins: what is left of this night, or the next one."""
    worked = spans(shop.hours or WORKED, shop.timezone, now_ms - LONGEST_MS, now_ms + 8 * 24 * HOUR_MS)
    from_ms = now_ms
    for begin_ms, end_ms in worked:
        if end_ms > from_ms >= begin_ms - SHORTEST_MS:
            from_ms = end_ms
    to_ms = min((begin_ms for begin_ms, _ in worked if begin_ms > from_ms), default=from_ms + LONGEST_MS)
    return from_ms, min(to_ms, from_ms + LONGEST_MS)


def extractor_hours(zone: Zone, span: Span, timezone: str) -> float:
    """How many hours of the span its extractor runs."""
    told = spans(zone.extractor_hours, timezone, *span)
    return sum(max(0, min(end, span[1]) - max(begin, span[0])) for begin, end in told) / HOUR_MS


def usual_c(closed: Sequence[ClosedBin], span: Span, now_c: float) -> float:
    """The mean temperature of those half hours that lie in the same hours of the nights before."""
    day_ms = 24 * HOUR_MS
    alike = [b.temperature_c for b in closed if (b.end_ms - span[0]) % day_ms <= min(span[1] - span[0], day_ms)]
    return float(np.mean(alike)) if alike else now_c


def outdoors_tonight(hours: Hours, latest: ZoneAir, span: Span, now_ms: int, timezone: str) -> Outdoors | None:
    """By the outlook of the yard's temperature and vapour; None where nothing was heard for a day."""
    offset = datetime.fromtimestamp(now_ms / 1000.0, ZoneInfo(timezone)).utcoffset()
    ahead = partial(
        forecast, hours.start_ms, now_ms=now_ms, hours=-(-(span[1] - now_ms) // HOUR_MS),
        utc_offset_h=offset.total_seconds() / 3600.0 if offset else 0.0,
    )  # fmt: skip
    warmth = ahead(hours.temperature_c, latest=latest.temperature_c, prior_half_width=PRIOR_TEMPERATURE_K)
    ln_pa, now_ln_pa = (np.log(np.maximum(p, 1.0)) for p in (hours.pressure_pa, latest.vapour_pressure_pa))
    damp = ahead(ln_pa, latest=float(now_ln_pa), prior_half_width=PRIOR_LN_PRESSURE)
    return None if warmth is None or damp is None else _through(warmth, damp, span)


def _through(warmth: Forecast, damp: Forecast, span: Span) -> Outdoors:
    night = (warmth.t_ms >= span[0]) & (warmth.t_ms <= span[1])
    night |= ~night.any()  # a span between two hours
    # A sensor that the sun shines on says what no weather is; balances take what outdoors can be.
    warm, warm_low, warm_high = (np.clip(one, *OUTDOORS_C) for one in (warmth.middle, warmth.low, warmth.high))
    coldest, coldest_low, coldest_high = (float(one[night].min()) for one in (warm, warm_low, warm_high))
    saturated = saturation_pressure_pa(warm)
    low, middle, high = (_mean(np.minimum(np.exp(one), saturated), night) for one in (damp.low, damp.middle, damp.high))
    return Outdoors(_mean(warm, night), coldest, coldest_low, coldest_high, middle, low, high)


def _mean(values: Floats, night: NDArray[np.bool_]) -> float:
    return float(values[night].mean())
