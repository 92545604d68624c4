"""A sensor over a saturated salt: when the two have settled, what that says of the sensor, and what the journal keeps.

Pure: journal entries and readings are handed in. How long, how still and how far apart are parameters of the
configuration and common practice, no source; the published humidity is :mod:`server.wood.salts`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import inf, isfinite
from typing import Any, Literal

import numpy as np

from server.config import SaltCheckTable, Sensor
from server.reading import Correction, JournalEntry
from server.wood.air import saturation_pressure_pa

BEGUN, CHECKED, GIVEN_UP, WITHDRAWN = (
    "salt-check-begun",
    "salt-checked",
    "salt-check-given-up",
    "salt-check-withdrawn",
)
KINDS = (BEGUN, CHECKED, GIVEN_UP, WITHDRAWN)
HOUR_MS, DAY_MS = 3_600_000, 86_400_000
LEAST_READINGS = 12
LEAST_COVERED = 0.8
"""So much of the last hours must lie between the first and the last reading of them."""

Kept = Literal["open", "done", "given up", "withdrawn"]
Waiting = Literal["unheard", "short", "moving", "scattered", "warming", "saturated"]
Points = Sequence[tuple[int, float]]
"""(t_ms, value), in time order."""


@dataclass(frozen=True, slots=True)
class Check:
    """One check as the journal has it. ``data`` is what was found when it was finished."""

    id: str
    sensor: str
    salt: str
    begun_ms: int
    kept: Kept = "open"
    ended_ms: int | None = None
    data: Mapping[str, Any] = field(default_factory=dict)

    @property
    def correction(self) -> Correction | None:
        """What it found; None unless it is done."""
        if self.kept != "done" or self.ended_ms is None:
            return None
        gain, offset_pct, unsure_pct = (float(self.data[key]) for key in ("gain", "offset_pct", "uncertainty_pct"))
        return Correction(gain, offset_pct, unsure_pct, self.ended_ms)

    @property
    def leans_on(self) -> str | None:
        """The earlier check whose point it was made with, if any."""
        with_check = self.data.get("with_check")
        return None if with_check is None else str(with_check)


def folded(entries: Iterable[JournalEntry]) -> dict[str, Check]:
    """Every check by its id, oldest first. A correction made from two checks falls with either. Kinds go in their own
    order, not by the clock: somebody may have set it between a beginning and its end."""
    checks: dict[str, Check] = {}
    for entry in sorted(entries, key=lambda e: KINDS.index(e.kind)):
        if entry.kind == BEGUN:
            checks[entry.id] = Check(entry.id, entry.subject, str(entry.data["salt"]), entry.t_ms)
            continue
        check = checks.get(str(entry.data.get("check")))
        if check is None:
            continue
        if entry.kind == CHECKED:
            checks[check.id] = replace(check, kept="done", ended_ms=entry.t_ms, data=entry.data)
        elif entry.kind == GIVEN_UP:
            checks[check.id] = replace(check, kept="given up", ended_ms=entry.t_ms)
        elif entry.kind == WITHDRAWN:
            for one in [check, *(other for other in checks.values() if other.leans_on == check.id)]:
                checks[one.id] = replace(one, kept="withdrawn")
    return checks


def steps_over(t_ms: int, steps: Iterable[JournalEntry]) -> list[JournalEntry]:
    """Steps of the clock (``from_ms`` to ``to_ms``) that went back over a label. One on moves nothing: a sensor is then
    believed a little early on its way back, and nobody can tell which labels the clock was behind for."""
    found = []
    for step in steps:
        from_ms, to_ms = step.data.get("from_ms"), step.data.get("to_ms")
        if isinstance(from_ms, int) and isinstance(to_ms, int) and to_ms < t_ms <= from_ms:
            found.append(step)
    return found


def as_the_clock_has_it(entry: JournalEntry, steps: Iterable[JournalEntry]) -> JournalEntry:
    """The entry under the label it would have, had the clock been right: steps that were past when it was written are
    named in it (``past_steps``), by every later one over it it moves."""
    past = entry.data.get("past_steps", ())
    for step in steps:
        if isinstance(past, Sequence) and step.id not in past and steps_over(entry.t_ms, [step]):
            entry = replace(entry, t_ms=entry.t_ms + int(str(step.data["to_ms"])) - int(str(step.data["from_ms"])))
    return entry


@dataclass(frozen=True, slots=True)
class Settling:
    """How the last hours look. % RH and °C are means of them; None where nothing was heard. ``waiting`` names what is
    not steady yet, None when all is."""

    hours: float
    waiting: Waiting | None
    humidity_pct: float | None = None
    temperature_c: float | None = None
    slope_pct_per_h: float | None = None
    scatter_pct: float | None = None
    temperature_spread_c: float | None = None


def settling(
    begun_ms: int,
    now_ms: int,
    humidity: Points,
    temperature: Points,
    limits: SaltCheckTable,
    *,
    at_end: bool = False,
) -> Settling:
    """Whether sensor and salt have come to rest: long enough over it, and in the last hours neither a slope (straight
    line) nor a scatter about it beyond the limits, at a temperature that stood still too. ``at_end``: some of those
    readings stood at 100 %, where a scale ends and nothing can be compared."""
    hours = max(0.0, (now_ms - begun_ms) / HOUR_MS)
    from_ms = max(begun_ms, now_ms - round(limits.window_h * HOUR_MS))
    rh, t = _since(humidity, from_ms), _since(temperature, from_ms)
    if len(rh) < LEAST_READINGS or len(t) < 2 or now_ms - rh[-1][0] > 0.5 * limits.window_h * HOUR_MS:
        return Settling(hours, "unheard")
    at_h, values = np.array([(when - now_ms) / HOUR_MS for when, _ in rh]), np.array([value for _, value in rh])
    slope, level = np.polyfit(at_h, values, 1)
    scatter = float(np.std(values - (slope * at_h + level)))
    warmth = np.array([value for _, value in t])
    spread_c = float(np.ptp(warmth))
    covered = (at_h[-1] - at_h[0]) >= LEAST_COVERED * limits.window_h
    waiting: Waiting | None = None
    if hours < limits.least_h or not covered:
        waiting = "short"
    elif at_end:
        waiting = "saturated"
    elif abs(slope) > limits.slope_pct_per_h:
        waiting = "moving"
    elif scatter > limits.scatter_pct:
        waiting = "scattered"
    elif spread_c > limits.temperature_spread_c:
        waiting = "warming"
    return Settling(hours, waiting, float(values.mean()), float(warmth.mean()), float(slope), scatter, spread_c)


@dataclass(frozen=True, slots=True)
class Point:
    """One settled comparison, % RH: what is published, what was read, and how sure that is (±)."""

    published_pct: float
    read_pct: float
    uncertainty_pct: float


def point_of(
    settled: Settling, published_pct: float, salt_pct: float, slope_pct_per_c: float, accuracy_c: float
) -> Point:
    """The comparison with its uncertainty, four parts in quadrature: the salt's own as printed (its coverage is not
    said), the sensor's repeatability (the scatter), its thermometer's limit times the salt's slope, and half the
    spread of temperature, during which sensor and salt need not have been equally warm (about 6 % of the humidity a
    kelvin). Raises ValueError for what has not settled."""
    if settled.waiting is not None or settled.humidity_pct is None or settled.temperature_c is None:
        raise ValueError("a comparison needs a sensor that has settled")
    t, half_c = settled.temperature_c, 0.5 * (settled.temperature_spread_c or 0.0)
    apart = float(saturation_pressure_pa(t + half_c) / saturation_pressure_pa(t)) - 1.0
    parts = (salt_pct, settled.scatter_pct or 0.0, slope_pct_per_c * accuracy_c, published_pct * apart)
    return Point(published_pct, settled.humidity_pct, float(np.hypot.reduce(parts)))


def corrected_by(point: Point, earlier: Point | None, made_ms: int) -> Correction:
    """One point: an offset. Two points: the line through both, as good as the worse of them."""
    if earlier is None:
        return Correction(1.0, point.published_pct - point.read_pct, point.uncertainty_pct, made_ms)
    apart = point.read_pct - earlier.read_pct
    gain = (point.published_pct - earlier.published_pct) / apart if apart else inf
    unsure = max(point.uncertainty_pct, earlier.uncertainty_pct)
    return Correction(gain, point.published_pct - gain * point.read_pct, unsure, made_ms)


def largest_change_pct(correction: Correction) -> float:
    """The most a correction changes anything that can be said, 0..100 %; a straight line is furthest off at an end."""
    if not isfinite(correction.gain):
        return inf
    return max(abs(correction.corrected_pct(end) - end) for end in (0.0, 100.0))


def partner(
    sensor: Sensor, published_pct: float, checks: Iterable[Check], *, now_ms: int, limits: SaltCheckTable
) -> Check | None:
    """The newest finished check of the same sensor over another salt, recent enough and far enough apart."""
    settings = settings_of(sensor)
    near = [
        other
        for other in checks
        if other.sensor == sensor.id
        and other.kept == "done"
        and other.data.get("settings") == settings
        and other.ended_ms is not None
        and now_ms - other.ended_ms <= limits.pair_within_days * DAY_MS
        and abs(float(other.data["published_pct"]) - published_pct) >= limits.pair_apart_pct
    ]
    return max(near, key=lambda other: other.ended_ms or 0, default=None)


def point_kept(check: Check) -> Point:
    """The comparison that a finished check made."""
    return Point(*(float(check.data[key]) for key in ("published_pct", "read_pct", "point_uncertainty_pct")))


def settings_of(sensor: Sensor) -> dict[str, object]:
    """What of a sensor's table a check is made on top of. Where that changed since, the check says nothing any more."""
    return sensor.identity


def in_force(checks: Iterable[Check], sensor: Sensor) -> Check | None:
    """The newest finished check of a sensor whose table is as it was then."""
    done = [c for c in checks if c.sensor == sensor.id and c.kept == "done"]
    done = [c for c in done if c.data.get("settings") == settings_of(sensor)]
    return max(done, key=lambda c: c.ended_ms or 0, default=None)


def _since(points: Points, from_ms: int) -> list[tuple[int, float]]:
    return [point for point in points if point[0] >= from_ms]
