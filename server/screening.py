"""What is believed of what was heard. Everything is kept; only good readings move anything.

A sample becomes one reading a quantity, with flags that say why it is not plainly good and the raw value where it was
changed. The checks: is the time believable, is it a replay, has the sensor stood still for too long, is the value
physically possible, did it jump (held until a second reading agrees). Limits come from the configuration.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from sensors.sample import QUANTITIES, RawSample, RefusedPayload
from server.clock import Instant
from server.config import ScreeningTable, Sensor
from server.reading import SPOILING, Flag, Reading, Refused

FUTURE_LIMIT_MS = 120_000
"""A device's own time may run this far ahead of ours before it is not believed."""
PAST_LIMIT_MS = 400 * 86_400_000
"""Nor may it lie further back than this: a device with an unset clock says 1970."""
CORRECTED_MS = 5000
"""The wall clock may be corrected back by this much and labels go on from the last; further back, it was set."""
SECONDS_PER_HOUR = 3600.0


@dataclass(slots=True)
class Track:
    """What is remembered of one series: the last good value, a jump waiting for a witness, how long it stood still."""

    series: str
    good_t_ms: int | None = None
    good_mono_s: float | None = None
    good_value: float = 0.0
    stated_ms: int | None = None
    """The newest label that was the device's own."""
    given_ms: int | None = None
    """The last label that we gave, and what the wall clock said then: in a burst labels run ahead of it."""
    clock_ms: int | None = None
    held_t_ms: int | None = None
    held_mono_s: float | None = None
    held_value: float = 0.0
    last_raw: float | None = None
    same_since_ms: int = 0
    same_since_mono_s: float | None = None


class Moment(NamedTuple):
    """When a sample was measured, as far as is known: its label, both clocks when it was heard, and whether the label
    is the device's own."""

    t_ms: int
    heard_ms: int
    mono_s: float
    stated: bool


@dataclass(frozen=True, slots=True)
class Screened:
    """One turn's worth: readings in the order heard, refused payloads, and who was heard (sensor id to monotonic s:
    when it came or, where it had waited at a broker and says so, when it was measured)."""

    readings: tuple[Reading, ...]
    refused: tuple[Refused, ...]
    heard: Mapping[str, float]


@dataclass(slots=True)
class Screening:
    """Holds the tracks; :meth:`screen` is the stage."""

    limits: ScreeningTable
    sensors: Iterable[Sensor]
    _tracks: dict[tuple[str, str], Track] = field(default_factory=dict)
    _by_wire: dict[tuple[str, str], str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for sensor in self.sensors:
            self._by_wire[sensor.source, sensor.device] = sensor.id

    def sensor_of(self, source: str, device: str) -> str | None:
        """The configured sensor heard there. A sensor configured without a device name takes all of its source."""
        return self._by_wire.get((source, device)) or self._by_wire.get((source, ""))

    def remember(self, readings: Iterable[Reading]) -> None:
        """Start from what the record holds, in time order, so that a restart neither forgets a value, a jump that waits
        for its witness, nor how long a sensor has stood still. Whose label each was, the record does not say."""
        for reading in readings:
            sensor, _, quantity = reading.series.rpartition("/")
            track = self._track(sensor, quantity)
            track.stated_ms = track.given_ms = reading.t_ms
            if not reading.flags & Flag.BACKLOG:
                track.clock_ms = reading.t_ms
            raw = reading.value if reading.raw is None else reading.raw
            if raw != track.last_raw:
                track.last_raw, track.same_since_ms, track.same_since_mono_s = raw, reading.t_ms, None
            if reading.good:
                track.good_t_ms, track.good_value, track.held_t_ms = reading.t_ms, reading.value, None
            elif reading.flags & Flag.RATE:
                track.held_t_ms, track.held_value = reading.t_ms, reading.value

    def screen(self, items: Sequence[RawSample | RefusedPayload], now: Instant) -> Screened:
        """Judge a batch in the order it was heard."""
        readings: list[Reading] = []
        refused: list[Refused] = []
        heard: dict[str, float] = {}
        for item in items:
            if isinstance(item, RefusedPayload):
                refused.append(Refused(item.source, item.heard_ms, item.where, item.payload, item.reason))
                continue
            sensor = self.sensor_of(item.source, item.device)
            found = self._sample(item, sensor or _unplaced_id(item), 0 if sensor else int(Flag.UNPLACED), now)
            readings.extend(found)
            if sensor and any(r.good for r in found):
                heard[sensor] = max(_measured_mono_s(item, found[0].t_ms, now), heard.get(sensor, -math.inf))
        return Screened(tuple(readings), tuple(refused), heard)

    def _sample(self, sample: RawSample, sensor: str, flags: int, now: Instant) -> list[Reading]:
        t_ms, time_flags = _believable_time(sample, now)
        flags |= time_flags
        stated = sample.own_ms is not None and not time_flags & Flag.TIME
        tracks = [self._track(sensor, quantity) for quantity, _ in sample.values]
        judged = [(track, quantity, raw) for track, (quantity, raw) in zip(tracks, sample.values, strict=True)]
        if sample.redelivered and all(track.last_raw == raw for track, _, raw in judged):
            flags |= int(Flag.DUPLICATE)
        moment = Moment(t_ms, sample.heard_ms, sample.heard_mono_s, stated)
        for track, _, raw in judged:
            if raw != track.last_raw:
                track.last_raw, track.same_since_ms, track.same_since_mono_s = raw, t_ms, sample.heard_mono_s
        if self._stands_still(sensor, moment):
            flags |= int(Flag.STUCK)
        return [self._value(track, quantity, raw, moment, flags) for track, quantity, raw in judged]

    def _track(self, sensor: str, quantity: str) -> Track:
        track = self._tracks.get((sensor, quantity))
        if track is None:
            track = self._tracks[sensor, quantity] = Track(f"{sensor}/{quantity}")
        return track

    def _stands_still(self, sensor: str, at: Moment) -> bool:
        """Whether all this sensor measures has been bit-identical for longer than allowed (noise alone moves a live
        sensor), also when its quantities come in messages of their own."""
        tracks = [self._tracks[sensor, q] for q in QUANTITIES if (sensor, q) in self._tracks]
        still_s = min(_since_s(track.same_since_ms, track.same_since_mono_s, at) for track in tracks)
        return still_s >= self.limits.stuck_after_h * SECONDS_PER_HOUR

    def _value(self, track: Track, quantity: str, raw: float, at: Moment, flags: int) -> Reading:
        value, range_flags = self._in_range(quantity, raw)
        t_ms, order_flags = self._in_order(track, value, at)
        flags |= range_flags | order_flags
        if not flags & SPOILING:
            if self._jumps(track, quantity, value, at):
                flags |= int(Flag.RATE)
            else:
                track.good_t_ms, track.good_mono_s, track.good_value = t_ms, at.mono_s, value
                track.held_t_ms = None
        return Reading(track.series, t_ms, value, Flag(flags) if flags else Flag.NONE, None if value == raw else raw)

    def _in_order(self, track: Track, value: float, at: Moment) -> tuple[int, int]:
        """The label, and whether it fits. Only a device that states its own time can be out of order."""
        if not at.stated:
            return self._given(track, at), 0
        stated_ms = track.stated_ms
        # A label that lies in what is now the future was said while a clock was wrong: that must not last.
        if stated_ms is None or at.t_ms > stated_ms or stated_ms > at.heard_ms + FUTURE_LIMIT_MS:
            track.stated_ms = at.t_ms
            return at.t_ms, 0
        if at.t_ms < stated_ms:
            return at.t_ms, int(Flag.OUT_OF_ORDER)
        return at.t_ms, int(Flag.DUPLICATE) if value == track.good_value else 0

    def _given(self, track: Track, at: Moment) -> int:
        """The label of a reading that states no time: when it was heard, moved on where the series has that millisecond
        already, so that each of a burst keeps a row of its own. Where the wall clock went back, we go on with it."""
        went_back = track.clock_ms is not None and at.t_ms < track.clock_ms - CORRECTED_MS
        free_ms = at.t_ms if track.given_ms is None or went_back else track.given_ms + 1
        track.clock_ms, track.given_ms = at.t_ms, max(at.t_ms, free_ms)
        return track.given_ms

    def _in_range(self, quantity: str, raw: float) -> tuple[float, int]:
        limits = self.limits
        if quantity == "temperature_c":
            return raw, 0 if limits.temperature_min_c <= raw <= limits.temperature_max_c else int(Flag.RANGE)
        if not 0.0 <= raw <= limits.humidity_max_pct:
            return raw, int(Flag.RANGE)
        # A wet sensor's curve overshoots: just above 100 it is the saturated end, not a fault.
        return (100.0, int(Flag.SATURATED)) if raw >= 100.0 else (raw, 0)

    def _jumps(self, track: Track, quantity: str, value: float, at: Moment) -> bool:
        """Whether the value left the last good one faster than air can, and no second reading agrees with it yet."""
        if track.good_t_ms is None:
            return False
        if self._near(quantity, value - track.good_value, _since_s(track.good_t_ms, track.good_mono_s, at)):
            return False
        # The same label again is the same reading sent again: no second witness.
        held_ms = track.held_t_ms
        witnessed = (
            held_ms is not None
            and held_ms != at.t_ms
            and self._near(quantity, value - track.held_value, _since_s(held_ms, track.held_mono_s, at))
        )
        if not witnessed:
            track.held_t_ms, track.held_mono_s, track.held_value = at.t_ms, at.mono_s, value
        return not witnessed

    def _near(self, quantity: str, change: float, seconds: float) -> bool:
        limits = self.limits
        rate = limits.temperature_rate_c_per_min if quantity == "temperature_c" else limits.humidity_rate_pct_per_min
        return abs(change) <= rate * max(abs(seconds), limits.rate_floor_s) / 60.0


def _since_s(t_ms: int, mono_s: float | None, at: Moment) -> float:
    """Seconds from an earlier reading to this one: by the labels where the device states them, else on the monotonic
    clock, which no setting of the clock moves; before a restart only the labels are known. Below 0 where a clock was
    wrong."""
    if at.stated or mono_s is None:
        return (at.t_ms - t_ms) / 1000.0
    return at.mono_s - mono_s


def _believable_time(sample: RawSample, now: Instant) -> tuple[int, int]:
    """When it was measured: the payload's own time if it has a believable one, else when it was heard. What was
    measured some time before it was heard, nobody knows when, says so."""
    flags = 0 if now.wall_is_set else int(Flag.CLOCK_UNSET)
    if sample.own_ms is not None:
        if -PAST_LIMIT_MS <= sample.own_ms - sample.heard_ms <= FUTURE_LIMIT_MS:
            return sample.own_ms, flags
        flags |= int(Flag.TIME)
    if sample.retained:
        flags |= int(Flag.RETAINED)
    if sample.backlog or sample.redelivered:
        flags |= int(Flag.BACKLOG)
    return sample.heard_ms, flags


def _measured_mono_s(sample: RawSample, t_ms: int, now: Instant) -> float:
    """The monotonic clock when it was measured: for a live sample when it was heard, however wrong the device's clock;
    one that waited at a broker is as old as it says."""
    if now.wall_is_set and (sample.backlog or sample.redelivered or sample.retained):
        return sample.heard_mono_s - max(0, sample.heard_ms - t_ms) / 1000.0
    return sample.heard_mono_s


def _unplaced_id(sample: RawSample) -> str:
    """A name for what was heard but not configured, so that it is kept and Setup can offer it."""
    return f"{sample.source}:{sample.device}"
