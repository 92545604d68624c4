"""The air of zones made anew from raw readings, as it would have been had the sensors been known to stand where they
stood: the stage of the live path (:mod:`server.zones`), stretch by stretch."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from server.config import Sensor
from server.placing import Place, zone_at, zones_since
from server.reading import Reading, ZoneAir
from server.stores.port import History
from server.zones import Zones

HOUR_MS = 3_600_000
SEED_MS = 24 * HOUR_MS
"""So long before its beginning each sensor is listened to, for its rhythm and its last word."""
ROWS_A_STRETCH = 500
LONGEST_STRETCH_H = 24


@dataclass(frozen=True, slots=True)
class Stretch:
    """All the air of the zones with ``from_ms <= t_ms < to_ms``."""

    from_ms: int
    to_ms: int
    air: tuple[ZoneAir, ...]


class Remix:
    """Walks from ``from_ms`` to ``to_ms``; each step of the iteration reads the record, so not on the event loop.

    ``stood`` says where each sensor stood when, ``sensors`` their tables as far as they are still configured. A stretch
    is whole hours, short enough to be written in one small transaction.
    """

    def __init__(
        self,
        history: History,
        stood: Mapping[str, Sequence[Place]],
        sensors: Mapping[str, Sensor],
        zones: Collection[str],
        span_ms: tuple[int, int],
    ) -> None:
        self._history, self._zones, self._sensors = history, frozenset(zones), sensors
        self._from_ms, self._to_ms = span_ms
        self._stood = {
            name: tuple(one) for name, one in stood.items() if zones_since(one, self._from_ms - SEED_MS) & self._zones
        }
        self._mix = Zones([], (self._from_ms - SEED_MS) / 1000.0)
        self._hanging: dict[str, str] = {}

    def __iter__(self) -> Iterator[Stretch]:
        self._heard_until(max(0, self._from_ms - SEED_MS), self._from_ms)
        begin_ms = self._from_ms
        while begin_ms < self._to_ms:
            air: list[ZoneAir] = []
            end_ms, hours = begin_ms, 0
            while end_ms < self._to_ms and len(air) < ROWS_A_STRETCH and hours < LONGEST_STRETCH_H:
                next_ms = min(self._to_ms, end_ms - end_ms % HOUR_MS + HOUR_MS)
                air += self._heard_until(end_ms, next_ms)
                end_ms, hours = next_ms, hours + 1
            yield Stretch(begin_ms, end_ms, tuple(air))
            begin_ms = end_ms

    def _heard_until(self, from_ms: int, to_ms: int) -> list[ZoneAir]:
        """Listen from one moment to another, moving the sensors between."""
        moves = {place.from_ms for one in self._stood.values() for place in one if from_ms < place.from_ms < to_ms}
        air: list[ZoneAir] = []
        readings = self._readings(from_ms, to_ms)
        for begin_ms, end_ms in pairwise(sorted({from_ms, *moves, to_ms})):
            self._hang(begin_ms)
            heard = [r for r in readings if begin_ms <= r.t_ms < end_ms]
            air += self._mix.combine(heard, [r.t_ms / 1000.0 for r in heard])
        return [one for one in air if one.zone in self._zones]

    def _readings(self, from_ms: int, to_ms: int) -> list[Reading]:
        found: list[Reading] = []
        for name in self._stood:
            for quantity in ("temperature_c", "humidity_pct"):
                found += self._history.readings(f"{name}/{quantity}", from_ms, to_ms)
        return sorted(found, key=lambda r: r.t_ms)

    def _hang(self, at_ms: int) -> None:
        """Every sensor where it stood at that moment."""
        for name, one in self._stood.items():
            zone, before = zone_at(one, at_ms), self._hanging.get(name)
            if zone == before:
                continue
            if before is None and zone is not None:
                self._mix.add_sensor(self._table(name, zone), at_ms / 1000.0)
            elif zone is None:
                self._mix.remove_sensor(name)
            else:
                self._mix.move_sensor(self._table(name, zone), at_ms)
            self._hanging.pop(name, None)
            if zone is not None:
                self._hanging[name] = zone

    def _table(self, name: str, zone: str) -> Sensor:
        """Of one that is configured no longer only the zone matters."""
        known = self._sensors.get(name)
        if known is None:
            return Sensor.model_construct(id=name, source="", zone=zone, accuracy_c=0.3, accuracy_humidity_pct=2.0)
        return known.model_copy(update={"zone": zone})
