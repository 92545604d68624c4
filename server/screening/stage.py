"""What is believed of what was heard. Everything is kept; only good readings move anything.

A sample becomes one reading a quantity, with flags that say why it is not plainly good and the raw value where it was
changed. The checks: is the time believable, is it a replay, does the sensor stand where it belongs, does its heater
run, has it stood still or wet for too long, is the value physically possible, what must be added, did it jump. Limits
come from the configuration; humidity leaves within 0..100 or flagged as out of range (Field pitfall 12).
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from sensors.sample import QUANTITIES, Quantity, RawSample, RefusedPayload
from server.clock import Instant
from server.config import ScreeningTable, Sensor
from server.reading import SPOILING, Flag, Reading, Refused
from server.screening.corrections import NOTHING, Calibration
from server.screening.jumps import jumps, remember_move
from server.screening.labels import believable_time, in_order, is_live, measured_mono_s
from server.screening.limits import SATURATED_PCT
from server.screening.track import Moment, Track
from server.screening.watched import Watched

PERIODS_PAIRED = 2.0
"""A humidity that comes alone is corrected with a temperature this many of its periods old at most."""
RECENT_KEPT = 32


@dataclass(frozen=True, slots=True)
class Screened:
    """One turn's worth: readings in the order heard, refused payloads, and who was heard (sensor id to monotonic s:
    when it came or, where it had waited at a broker and says so, when it was measured)."""

    readings: tuple[Reading, ...]
    refused: tuple[Refused, ...]
    heard: Mapping[str, float]
    measured: tuple[float, ...] = ()
    """When each of the readings was measured, monotonic s."""


@dataclass(slots=True)
class Screening:
    """Holds what is remembered of every sensor; :meth:`screen` is the stage."""

    limits: ScreeningTable
    sensors: Iterable[Sensor]
    calibration: Calibration = field(default_factory=Calibration)
    """What salt checks found, and who stands over a salt; replaced whole when that changes."""
    rejected: dict[str, dict[Flag, int]] = field(default_factory=dict)
    """Per series and reason, how many were not believed since the start."""
    configured: dict[str, Sensor] = field(default_factory=dict)
    """Every sensor there is now, by id."""
    _watched: dict[str, Watched] = field(default_factory=dict)
    _by_wire: dict[tuple[str, str], str] = field(default_factory=dict)
    _mates: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for sensor in self.sensors:
            self.add_sensor(sensor)

    def add_sensor(self, sensor: Sensor) -> None:
        """One more sensor: from now on what is heard there is its."""
        self._by_wire[sensor.source, sensor.device] = sensor.id
        self.configured[sensor.id] = sensor
        self._acquaint(sensor.zone)

    def remove_sensor(self, sensor: Sensor) -> None:
        """It is taken away; what it said stays in the record, and nothing of it is remembered here."""
        self._by_wire.pop((sensor.source, sensor.device), None)
        for kept in (self.configured, self._watched, self._mates):
            kept.pop(sensor.id, None)
        self._acquaint(sensor.zone)

    def move_sensor(self, sensor: Sensor) -> None:
        """It hangs in another zone now, and is remembered as it is."""
        before, self.configured[sensor.id] = self.configured[sensor.id], sensor
        for zone in (before.zone, sensor.zone):
            self._acquaint(zone)

    def _acquaint(self, zone: str) -> None:
        """Tell the sensors of a zone who hangs there with them."""
        together = [one.id for one in self.configured.values() if one.zone == zone]
        self._mates.update({one: tuple(other for other in together if other != one) for one in together})
        for one in together if len(together) > 1 else ():
            for track in self._watch(one).tracks.values():  # one that was alone so far has kept no moves
                track.recent = deque(maxlen=RECENT_KEPT) if track.recent is None else track.recent

    def sensor_of(self, source: str, device: str) -> str | None:
        """The configured sensor heard there. A sensor configured without a device name takes all of its source."""
        return self._by_wire.get((source, device)) or self._by_wire.get((source, ""))

    def stuck(self, sensor: str) -> bool:
        """Whether what it sends has not moved for too long."""
        return sensor in self._watched and self._watched[sensor].still.stuck

    def wet(self, sensor: str) -> bool:
        """Whether it has stood at its wet end for so long that it is wet itself, or has failed."""
        return sensor in self._watched and self._watched[sensor].wet

    def quiet_for_s(self, sensor: str, now: Instant) -> float | None:
        """Since it last said anything, believed or not; None if it never did."""
        return self._watched[sensor].quiet_for_s(now) if sensor in self._watched else None

    def forget(self) -> None:
        """Begin anew, to be told again by :meth:`remember`; what is configured and in force stays."""
        self._watched.clear()

    def remember(self, readings: Iterable[Reading]) -> None:
        """Start from what the record holds, a sensor's quantities together and in time order, so that a restart neither
        forgets a value, a jump that waits for its witness, nor how long a sensor has stood still. Whose label each was,
        the record does not say."""
        for reading in readings:
            sensor, _, quantity = reading.series.rpartition("/")
            track = self._track(self._watch(sensor), quantity)
            track.stated_ms = track.given_ms = reading.t_ms
            if not reading.flags & Flag.BACKLOG:
                track.clock_ms = reading.t_ms
            raw = reading.value if reading.raw is None else reading.raw
            self._watch(sensor).remember(quantity, raw, reading)
            track.say(raw, Moment(reading.t_ms, reading.t_ms, None, stated=True))
            if reading.good:
                track.good_t_ms, track.good_value, track.held_t_ms = reading.t_ms, reading.value, None
            elif reading.flags & Flag.RATE:
                track.held_t_ms, track.held_value = reading.t_ms, reading.value

    def screen(self, items: Sequence[RawSample | RefusedPayload], now: Instant) -> Screened:
        """Judge a batch in the order it was heard."""
        readings: list[Reading] = []
        refused: list[Refused] = []
        heard: dict[str, float] = {}
        measured: list[float] = []
        for item in items:
            if isinstance(item, RefusedPayload):
                refused.append(Refused(item.source, item.heard_ms, item.where, item.payload, item.reason))
                continue
            values = item.values
            if not all(math.isfinite(raw) for _, raw in values):
                refused.extend(_no_numbers(item))
                values = tuple((quantity, raw) for quantity, raw in values if math.isfinite(raw))
            if not values:
                continue
            sensor = self.sensor_of(item.source, item.device)
            flags = 0 if sensor else int(Flag.UNPLACED)
            found = self._sample(item, values, sensor or _unplaced_id(item), flags, now)
            readings.extend(found)
            mono_s = measured_mono_s(item, found[0].t_ms, now)
            measured.extend([mono_s] * len(found))
            if sensor and any(r.good for r in found):
                heard[sensor] = max(mono_s, heard.get(sensor, -math.inf))
        return Screened(tuple(readings), tuple(refused), heard, tuple(measured))

    def _sample(
        self, sample: RawSample, values: tuple[tuple[Quantity, float], ...], sensor: str, flags: int, now: Instant
    ) -> list[Reading]:
        t_ms, time_flags = believable_time(sample, now)
        flags |= time_flags
        at = Moment(
            t_ms, sample.heard_ms, sample.heard_mono_s, sample.own_ms is not None and not time_flags & Flag.TIME
        )
        watched = self._watch(sensor)
        judged = [(self._track(watched, quantity), quantity, raw) for quantity, raw in values]
        if sample.redelivered and all(track.last_raw == raw for track, _, raw in judged):
            flags |= int(Flag.DUPLICATE)
        for track, _, raw in judged:
            track.say(raw, at)
        away = self.calibration.is_away(sensor, t_ms, live=is_live(sample))
        if away:
            flags |= int(Flag.UNPLACED)
        flags |= watched.flags(values, at, heating=sample.heating, away=away)
        return [self._value(watched, track, quantity, raw, at=at, flags=flags) for track, quantity, raw in judged]

    def _watch(self, sensor: str) -> Watched:
        watched = self._watched.get(sensor)
        if watched is None:
            watched = self._watched[sensor] = Watched.of(sensor, self.limits, self.configured.get(sensor))
        return watched

    def _track(self, watched: Watched, quantity: str) -> Track:
        track = watched.tracks.get(quantity)
        if track is None:
            recent = deque[tuple[int, float]](maxlen=RECENT_KEPT) if self._mates.get(watched.sensor) else None
            track = watched.tracks[quantity] = Track(f"{watched.sensor}/{quantity}", recent=recent)
        return track

    def _value(self, watched: Watched, track: Track, quantity: str, raw: float, *, at: Moment, flags: int) -> Reading:
        value, value_flags = self._judged(watched, quantity, raw, at, placed=not flags & Flag.UNPLACED)
        t_ms, order_flags = in_order(track, value, at)
        flags |= value_flags | order_flags
        if not flags & SPOILING:
            if jumps(self.limits, track, quantity, value, at=at, mates=self._mates_of(watched.sensor, quantity)):
                flags |= int(Flag.RATE)
            else:
                track.good_t_ms, track.good_mono_s, track.good_value = t_ms, at.mono_s, value
                track.held_t_ms = None
            remember_move(track, value, t_ms)
        if flags & SPOILING:
            self._count(track.series, flags)
        return Reading(track.series, t_ms, value, Flag(flags) if flags else Flag.NONE, None if value == raw else raw)

    def _judged(
        self, watched: Watched, quantity: str, raw: float, at: Moment, *, placed: bool = True
    ) -> tuple[float, int]:
        """The value to keep, and what is to be said of it."""
        limits = watched.limits
        other = self._other_raw(watched, quantity, at) if limits.is_suspect(quantity, raw) else None
        flags = limits.flags(quantity, raw, other)
        if flags:
            return raw, flags
        corrector = watched.corrector
        if quantity == "temperature_c":
            if corrector is None or not corrector.offset_c:
                return raw, 0
            return raw + corrector.offset_c, int(Flag.CORRECTED)
        value = raw
        if corrector is not None:
            t_c = self._believable_c(watched, corrector.offset_c, at) if corrector.wants_temperature else None
            if t_c is None and corrector.wants_temperature:
                return raw, int(Flag.UNCORRECTED)
            value = corrector.humidity_pct(raw, t_c)
        # Over a salt the sensor is judged as it is, not as the last check left it.
        if placed and self.calibration.corrections:
            value = self.calibration.corrections.get(watched.sensor, NOTHING).corrected_pct(value)
        corrected = int(Flag.CORRECTED) if value != raw else 0
        # A wet sensor's curve overshoots: just above 100 it is the saturated end, not a fault.
        if value >= SATURATED_PCT:
            return SATURATED_PCT, corrected | int(Flag.SATURATED)
        return max(value, 0.0), corrected

    def _other_raw(self, watched: Watched, quantity: str, at: Moment) -> float | None:
        """What the sensor said of its other quantity, in the same message or lately."""
        other = watched.tracks.get(QUANTITIES[1] if quantity == QUANTITIES[0] else QUANTITIES[0])
        return None if other is None else other.raw_within(PERIODS_PAIRED, at)

    def _believable_c(self, watched: Watched, offset_c: float, at: Moment) -> float | None:
        """The sensor's own temperature in or near this message; where there is none, or it cannot be air, its last good
        one, however old: better than none, and of one that is too old the zone makes nothing anyway."""
        track = watched.tracks.get("temperature_c")
        if track is None:
            return None
        raw = self._other_raw(watched, "humidity_pct", at)
        if raw is None and track.good_t_ms is None:
            raw = track.last_raw
        if raw is not None and not watched.limits.flags("temperature_c", raw, None):
            return raw
        return None if track.good_t_ms is None else track.good_value - offset_c

    def _mates_of(self, sensor: str, quantity: str) -> Iterable[Track]:
        for name in self._mates.get(sensor, ()):
            mate = self._watched.get(name)
            if mate is not None and quantity in mate.tracks:
                yield mate.tracks[quantity]

    def _count(self, series: str, flags: int) -> None:
        counts = self.rejected.setdefault(series, {})
        for flag in Flag(flags & SPOILING):
            counts[flag] = counts.get(flag, 0) + 1


def _unplaced_id(sample: RawSample) -> str:
    """A name for what was heard but not configured, so that it is kept and Setup can offer it."""
    return f"{sample.source}:{sample.device}"


def _no_numbers(sample: RawSample) -> Iterable[Refused]:
    """What no physics can take and no record keeps, said as a payload that could not be read."""
    for quantity, raw in sample.values:
        if not math.isfinite(raw):
            reason = f"{quantity}: found {raw}; would be right: a finite number"
            yield Refused(sample.source, sample.heard_ms, sample.device, repr(raw).encode(), reason)
