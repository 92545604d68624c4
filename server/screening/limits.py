"""What one sensor may say: the narrower of the shop's limits and its type's, unless its own table says otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from server.config import ScreeningTable, Sensor
from server.reading import Flag
from server.sensor_types import GENERIC, SENTINEL_WITHIN, Sentinel, is_sentinel, sensor_type, sentinel_of

SATURATED_PCT = 100.0
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Limits:
    """Ranges in °C and % RH as (least, most); ``suspect`` are the raw values, by quantity, that may be a sentinel."""

    temperature_c: tuple[float, float]
    humidity_pct: tuple[float, float]
    sentinels: tuple[Sentinel, ...]
    stuck_after_s: float
    wet_end_pct: float = SATURATED_PCT
    """What the sensor says when it is wet: of some the scale ends below 100."""
    suspect: Mapping[str, tuple[float, ...]] = field(init=False)

    def __post_init__(self) -> None:
        columns = zip(("temperature_c", "humidity_pct"), zip(*self.sentinels, strict=True), strict=False)
        suspect = {quantity: tuple(v for v in column if v is not None) for quantity, column in columns}
        object.__setattr__(self, "suspect", suspect)

    def is_suspect(self, quantity: str, raw: float) -> bool:
        """Whether it is worth asking what the sensor said of its other quantity."""
        for value in self.suspect.get(quantity, ()):  # noqa: SIM110 - for every reading: a generator costs more
            if -SENTINEL_WITHIN <= raw - value <= SENTINEL_WITHIN:
                return True
        return False

    def flags(self, quantity: str, raw: float, other: float | None) -> int:
        """Why a value cannot be air: what a dead sensor says, or beyond what the sensor can measure."""
        if self.is_suspect(quantity, raw) and is_sentinel(self.sentinels, quantity, raw, other):
            return int(Flag.SENTINEL)
        low, high = self.temperature_c if quantity == "temperature_c" else self.humidity_pct
        return 0 if low <= raw <= high else int(Flag.RANGE)


def limits_of(shop: ScreeningTable, sensor: Sensor | None) -> Limits:
    """Those of a configured sensor; of one that nobody configured, the shop's."""
    known = sensor_type(GENERIC if sensor is None else sensor.type)
    wet_end = shop.humidity_max_pct
    low_c, high_c = shop.temperature_min_c, shop.temperature_max_c
    low_c, high_c = max(low_c, known.temperature_c[0]), min(high_c, known.temperature_c[1])
    low_pct, high_pct = known.humidity_pct or (0.0, wet_end)
    # A curve that ends at 100 overshoots when wet, whatever the sheet says: there the shop's limit counts.
    low_pct, high_pct = max(low_pct, 0.0), wet_end if high_pct >= SATURATED_PCT else high_pct
    if sensor is None:
        return Limits((low_c, high_c), (low_pct, high_pct), known.sentinels, shop.stuck_after_h * SECONDS_PER_HOUR)
    sentinels = known.sentinels if sensor.sentinels is None else tuple(sentinel_of(s) for s in sensor.sentinels)
    return Limits(
        (_or(sensor.temperature_min_c, low_c), _or(sensor.temperature_max_c, high_c)),
        (_or(sensor.humidity_min_pct, low_pct), _or(sensor.humidity_max_pct, high_pct)),
        sentinels,
        _or(sensor.stuck_after_h, shop.stuck_after_h) * SECONDS_PER_HOUR,
        known.wet_end_pct,
    )


def _or(own: float | None, else_this: float) -> float:
    return else_this if own is None else own
