"""What a person told us to add: offsets, a sensor whose humidity is over ice, and a salt check's correction.

The order is the order of causes. A humidity over ice becomes one over water; the humidity offset is added; a
temperature offset moves the humidity along with it, since the vapour in the air is what it is (Field pitfall 13: a chip
warmed by its own board reads too warm *and* too dry). The salt check, made with all that in force, comes last.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from server.config import Sensor
from server.reading import Correction
from server.wood.air import humidity_at_temperature, humidity_over_water

NOTHING = Correction()


@dataclass(frozen=True, slots=True)
class Away:
    """A sensor that stands over a salt and not in its zone: from, and until (None: until told otherwise), ms UTC."""

    from_ms: int
    until_ms: int | None = None

    def at(self, t_ms: int) -> bool:
        """Whether a reading of that time was taken there."""
        return t_ms >= self.from_ms and (self.until_ms is None or t_ms < self.until_ms)


@dataclass(slots=True)
class Calibration:
    """What is in force, by sensor. Made from the journal by whoever folds it; screening only applies it."""

    corrections: Mapping[str, Correction] = field(default_factory=dict)
    away: Mapping[str, Away] = field(default_factory=dict)
    due_ms: Mapping[str, int] = field(default_factory=dict)
    """When a sensor that was checked is due again."""

    def is_away(self, sensor: str, t_ms: int, *, live: bool = False) -> bool:
        """Whether the sensor stood over a salt at that time. ``live``: it says so now, and while nobody has taken it
        from the jar it is there, whatever a clock that was set makes of the label."""
        away = self.away.get(sensor)
        return away is not None and ((live and away.until_ms is None) or away.at(t_ms))

    def back_for_s(self, sensor: str, now_ms: int) -> float | None:
        """Seconds since it came back to its zone; 0 while it is away, None if it never was."""
        away = self.away.get(sensor)
        if away is None:
            return None
        if away.until_ms is None:
            return 0.0
        return None if now_ms < away.from_ms else max(0.0, (now_ms - away.until_ms) / 1000.0)


@dataclass(frozen=True, slots=True)
class Corrector:
    """The corrections of one sensor that its configuration names."""

    offset_c: float = 0.0
    offset_humidity_pct: float = 0.0
    over_ice: bool = False

    @staticmethod
    def of(sensor: Sensor | None) -> Corrector | None:
        """None where there is nothing to correct."""
        if sensor is None:
            return None
        made = Corrector(sensor.offset_c, sensor.offset_humidity_pct, sensor.humidity_over == "ice")
        return None if made == Corrector() else made

    @property
    def wants_temperature(self) -> bool:
        """Whether the humidity cannot be corrected without the temperature of the same sample."""
        return self.over_ice or self.offset_c != 0.0

    def humidity_pct(self, raw_pct: float, raw_c: float | None) -> float:
        """% RH over water, not held within 0..100 yet. Without a temperature what needs one is left out."""
        humidity = raw_pct
        if self.over_ice and raw_c is not None:
            humidity = 100.0 * float(humidity_over_water(raw_c, humidity / 100.0))
        humidity += self.offset_humidity_pct
        if self.offset_c and raw_c is not None:
            humidity = 100.0 * float(humidity_at_temperature(raw_c, humidity / 100.0, raw_c + self.offset_c))
        return humidity
