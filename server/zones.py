"""From sensors to the air of a zone: mean temperature and mean vapour pressure of the good sensors heard lately.

Vapour pressure, not humidity, is what mixes: two sensors of one room may stand at different temperatures and still feel
the same vapour. Humidity, dew point and EMC follow from the two means.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import median

import numpy as np

from server.clock import Instant
from server.config import Sensor
from server.reading import Flag, Reading, ZoneAir
from server.wood.air import dew_point_c, relative_humidity, vapour_pressure_pa
from server.wood.emc import emc_half_width_pct, emc_pct, outside_fit

PERIODS_LEARNT = 20
PERIODS_FRESH = 2.0
"""A sensor counts towards its zone's air for this many of its own periods, and its figure is shown without its age."""
PERIODS_SILENT = 3.0
LEAST_SILENCE_S = 600.0
PERIOD_UNKNOWN_S = 300.0
"""What a sensor's period is taken to be until two readings have come."""
LONGEST_INTERVAL_MS = 6 * 3_600_000
"""A longer pause is no period but an absence."""
AGREES_S, AGREES_SHARE = 10.0, 0.25
"""A pause teaches a period only where labels and the monotonic clock say the same of it, to so much or to this share of
it: a clock that was set, or a device that sends what it kept, says nothing of a rhythm. Common practice, no source."""
TOLD_APART_MS = 120_000
"""A device whose own clock is further off than this is shown as heard when we heard it."""
LEAST_PERIOD_S = 15.0
"""A sensor that speaks more often than this is not called old within half a minute."""
SLOT_MS = 10_000
"""Within one batch a zone's air is written at most once in this time; the newest reading of the slot names it."""
APART_PCT = 1.0
"""Sensors of one zone whose EMC, all at the zone's temperature, differs by more are flagged: one of them is wrong, or
stands in other air."""


@dataclass(slots=True)
class Ear:
    """What is known of one sensor's latest good readings and of its rhythm. Labels in ms, waiting in monotonic s."""

    sensor: Sensor
    started_mono_s: float
    values: dict[str, tuple[int, float]] = field(default_factory=dict)
    saturated: bool = False
    """Whether its last humidity stood at the sensor's wet end."""
    heard_mono: dict[str, float] = field(default_factory=dict)
    told_ms: dict[str, int] = field(default_factory=dict)
    """The label of each quantity's last word; :meth:`tell_by` may say better."""
    live: set[str] = field(default_factory=set)
    """Quantities heard since the start; of the others the record knows."""
    kept_for_it: dict[str, float] = field(default_factory=dict)
    """What a broker replayed as its last word, of an unknown time: shown until it speaks, and moving nothing."""
    intervals_s: dict[str, deque[float]] = field(default_factory=dict)
    since_ms: int = 0
    """From when on what it measures counts for its zone."""
    reach_ms: float = 1000.0 * PERIODS_FRESH * PERIOD_UNKNOWN_S
    """How long a value of this sensor speaks for its zone."""
    period_s: float | None = None
    """The learnt period: the median of the last twenty intervals of a quantity, the longer of the two where they come
    in messages of their own. None until there is one."""
    pause_s: float | None = None
    """Likewise the second longest of them."""

    @property
    def heard_ms(self) -> int | None:
        """Its last good word; of a sensor that has measured both quantities, when it last had both. One whose humidity
        died says nothing of the air, however well its thermometer lives."""
        return min(self.told_ms.values(), default=None)

    @property
    def heard_mono_s(self) -> float | None:
        """The same on the monotonic clock."""
        return min(self.heard_mono.values(), default=None)

    @property
    def silence_s(self) -> float:
        """So long without a word is silence."""
        return max(PERIODS_SILENT * (self.period_s or 0.0), LEAST_SILENCE_S)

    def silent_for_s(self, mono_s: float) -> float:
        """Since the last good reading, or since the start."""
        heard_mono_s = self.heard_mono_s
        return mono_s - (self.started_mono_s if heard_mono_s is None else heard_mono_s)

    def is_silent(self, mono_s: float) -> bool:
        """Three periods without a good reading, and at least ten minutes."""
        return self.silent_for_s(mono_s) > self.silence_s

    def is_old(self, mono_s: float) -> bool:
        """Older than twice its period: the figure is then shown with its age."""
        return self.silent_for_s(mono_s) > PERIODS_FRESH * max(self.period_s or PERIOD_UNKNOWN_S, LEAST_PERIOD_S)

    def note(self, quantity: str, t_ms: int, value: float, mono_s: float, *, live: bool = True) -> None:
        """One more good reading, measured at ``mono_s``."""
        before = self.values.get(quantity)
        if before is not None and self._is_rhythm(t_ms - before[0], mono_s - self.heard_mono[quantity]):
            self.intervals_s.setdefault(quantity, deque(maxlen=PERIODS_LEARNT)).append((t_ms - before[0]) / 1000.0)
            self.period_s = max(median(intervals) for intervals in self.intervals_s.values())
            self.pause_s = max(sorted(intervals)[-2:][0] for intervals in self.intervals_s.values())
            self.reach_ms = 1000.0 * PERIODS_FRESH * max(self.period_s or 0.0, LEAST_PERIOD_S)
        self.values[quantity] = (t_ms, value)
        self.told_ms[quantity] = t_ms
        self.heard_mono[quantity] = max(mono_s, self.heard_mono.get(quantity, mono_s))
        if live:
            self.live.add(quantity)

    @staticmethod
    def _is_rhythm(labels_ms: int, gone_s: float) -> bool:
        """Whether a pause between two readings is one of the sensor's own."""
        if not 0 < labels_ms < LONGEST_INTERVAL_MS:
            return False
        return abs(labels_ms / 1000.0 - gone_s) <= max(AGREES_S, AGREES_SHARE * gone_s)

    def tell_by(self, now: Instant) -> None:
        """Where our clock was set since it was heard, or its own is wrong: when that was, as our clock stands now."""
        for quantity in self.live:
            heard_ms = now.wall_ms - round((now.mono_s - self.heard_mono[quantity]) * 1000.0)
            if abs(heard_ms - self.told_ms[quantity]) > TOLD_APART_MS:
                self.told_ms[quantity] = heard_ms

    def believes(self, quantity: str, reading: Reading) -> bool:
        """Whether a reading may move anything; what a broker replayed is remembered, to be shown and no more."""
        if reading.flags & Flag.RETAINED:
            self.kept_for_it[quantity] = reading.value
        return reading.good

    def speaks_at(self, t_ms: int) -> tuple[Ear, float, float] | None:
        """Temperature and humidity, if both are known and fresh enough at that time to speak for the zone."""
        t, rh = self.values.get("temperature_c"), self.values.get("humidity_pct")
        if t is None or rh is None or t_ms - min(t[0], rh[0]) > self.reach_ms or max(t[0], rh[0]) > t_ms:
            return None  # one is not known, too old by then, or was measured only after
        if min(t[0], rh[0]) < self.since_ms:
            return None  # measured where it stood before
        return self, t[1], rh[1]


Row = tuple[str, int, list[tuple[Ear, float, float]]]
"""A zone, a time, and what each sensor that speaks for it says: °C and % RH."""


@dataclass(slots=True)
class Zones:
    """The ears of every zone; :meth:`combine` is the stage."""

    sensors: Iterable[Sensor]
    started_mono_s: float
    ears: dict[str, Ear] = field(default_factory=dict)
    by_zone: dict[str, list[Ear]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for sensor in self.sensors:
            self.add_sensor(sensor, self.started_mono_s)

    def add_sensor(self, sensor: Sensor, mono_s: float) -> None:
        """One more sensor, waited for from that moment on the monotonic clock."""
        ear = self.ears[sensor.id] = Ear(sensor, mono_s)
        self.by_zone.setdefault(sensor.zone, []).append(ear)

    def remove_sensor(self, sensor: str) -> None:
        """It is taken away: its zone is no longer made of what it said."""
        ear = self.ears.pop(sensor)
        self.by_zone[ear.sensor.zone].remove(ear)

    def move_sensor(self, sensor: Sensor, since_ms: int) -> None:
        """It hangs in another zone: what it measured since then counts there, and its last word with it. What it says
        later of before counts nowhere."""
        ear = self.ears[sensor.id]
        self.by_zone[ear.sensor.zone].remove(ear)
        ear.sensor, ear.since_ms = sensor, since_ms
        self.by_zone.setdefault(sensor.zone, []).append(ear)

    def combine(
        self, readings: Sequence[Reading], measured_mono_s: Mapping[str, float] | Sequence[float], *, live: bool = True
    ) -> list[ZoneAir]:
        """The air of every zone that has something new, oldest first: one value a zone and ten-second slot.

        ``measured_mono_s`` says when, of each reading or of each sensor; ``live`` that it was heard since the start.
        """
        rows: list[Row] = []
        open_slot: dict[str, int] = {}  # zone to the time of its newest reading, not yet a row
        unset: set[tuple[str, int]] = set()
        for number, reading in enumerate(readings):
            owner, _, quantity = reading.series.rpartition("/")
            ear = self.ears.get(owner)
            if ear is None or not ear.believes(quantity, reading) or reading.t_ms < ear.since_ms:
                continue
            zone, t_ms = ear.sensor.zone, reading.t_ms
            before = open_slot.get(zone)
            if before is not None and before // SLOT_MS != t_ms // SLOT_MS:
                self._row(rows, zone, before)
                before = None
            open_slot[zone] = t_ms if before is None else max(before, t_ms)
            if reading.flags & Flag.CLOCK_UNSET:
                unset.add((zone, t_ms))
            if isinstance(measured_mono_s, Mapping):
                mono_s = measured_mono_s.get(owner, self.started_mono_s)
            else:
                mono_s = measured_mono_s[number]
            ear.note(quantity, t_ms, reading.value, mono_s, live=live)
            if quantity == "humidity_pct":
                ear.saturated = bool(reading.flags & Flag.SATURATED)
        for zone, t_ms in open_slot.items():
            self._row(rows, zone, t_ms)
        air = _mixed(rows)
        if unset:  # the label that a reading gave to its zone's air is as unsure as its own
            air = [replace(a, flags=a.flags | Flag.CLOCK_UNSET) if (a.zone, a.t_ms) in unset else a for a in air]
        return air

    def tell_by(self, now: Instant) -> None:
        """Once a turn: when each sensor was heard, by the clock as it stands."""
        for ear in self.ears.values():
            ear.tell_by(now)

    def last_known(self, zone: str) -> tuple[float, float] | None:
        """Temperature and humidity that a broker has kept of a sensor there; None where it has not both."""
        for ear in self.by_zone.get(zone, []):
            t, rh = ear.kept_for_it.get("temperature_c"), ear.kept_for_it.get("humidity_pct")
            if t is not None and rh is not None:
                return t, rh
        return None

    def _row(self, rows: list[Row], zone: str, t_ms: int) -> None:
        """The zone as its sensors stand at that time, if any of them speaks.

        A sensor at its wet end is more often wet itself than standing in saturated air: it speaks only where no other
        sensor of the zone says otherwise.
        """
        speaking = [said for ear in self.by_zone[zone] if (said := ear.speaks_at(t_ms))]
        if dry := [said for said in speaking if not said[0].saturated]:
            speaking = dry
        if speaking:
            rows.append((zone, t_ms, speaking))


def _mixed(rows: Sequence[Row]) -> list[ZoneAir]:
    """Mean temperature and vapour pressure of each row's sensors, and what follows, for all rows at once."""
    if not rows:
        return []
    counts = np.array([len(speaking) for _, _, speaking in rows])
    starts = np.concatenate(([0], np.cumsum(counts)[:-1]))
    t_each = np.array([t for _, _, speaking in rows for _, t, _ in speaking])
    rh_each = np.array([rh for _, _, speaking in rows for _, _, rh in speaking]) / 100.0
    limits = np.array(
        [(e.sensor.accuracy_c, e.sensor.accuracy_humidity_pct / 100.0) for _, _, s in rows for e, _, _ in s]
    )
    p_each = vapour_pressure_pa(t_each, rh_each)
    t = np.add.reduceat(t_each, starts) / counts
    p = np.add.reduceat(p_each, starts) / counts
    # A mean of vapour pressures can pass saturation at the mean temperature by a hair; air cannot.
    rh = np.minimum(relative_humidity(t, p), 1.0)
    emc = emc_pct(t, rh)
    accuracy = np.sqrt(np.add.reduceat(limits**2, starts)) / counts[:, None]
    half = emc_half_width_pct(t, rh, accuracy_c=accuracy[:, 0], accuracy_rh=accuracy[:, 1])
    # What two right sensors share is the vapour: one that hangs in warmer air says less humidity, and is right.
    t_one = np.repeat(t, counts)
    emc_each = emc_pct(t_one, np.minimum(relative_humidity(t_one, p_each), 1.0))
    apart = np.maximum.reduceat(emc_each, starts) - np.minimum.reduceat(emc_each, starts) > APART_PCT
    flags = int(Flag.WITNESSES_APART) * apart + int(Flag.OUTSIDE_FIT) * outside_fit(t, rh)
    columns = (t, p, 100.0 * rh, dew_point_c(p), emc, np.maximum(emc - half, 0.0), emc + half)
    return [
        ZoneAir(row[0], row[1], t_c, p_pa, rh_pct, dew_c, mid, low, high, Flag(mark) if mark else Flag.NONE)
        for row, (t_c, p_pa, rh_pct, dew_c, mid, low, high), mark in zip(
            rows, np.stack(columns, axis=1).tolist(), flags.tolist(), strict=True
        )
    ]


def as_readings(air: Iterable[ZoneAir]) -> list[Reading]:
    """The zone's air as derived series, stored beside the readings it came from."""
    return [
        Reading(f"zone:{a.zone}/{quantity}", a.t_ms, getattr(a, quantity), a.flags)
        for a in air
        for quantity in ("temperature_c", "vapour_pressure_pa", "humidity_pct", "emc_pct")
    ]
