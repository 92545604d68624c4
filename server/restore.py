"""Picking up where the record ends, so that a restart forgets nothing: last values, rhythm, half hours, alerts.

The last hours of each zone go through the same stages once more, without being stored or said again. So a wait that
had begun (half an hour past a limit) goes on, and the same air gives the same alerts whether or not the server was
restarted meanwhile: what has held in the record for longer than its wait is said at the first turn. Outlooks of those
hours are made again as far as a wait can reach. Rules about lots and rooms, whose past is not made again, wait anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from server.alerts.book import AlertBook
from server.alerts.lifecycle import catch_up
from server.alerts.marks import raises_of
from server.bins import BIN_MS, HOLD_MS, KEPT, Bins
from server.clock import Instant
from server.engine import RECENT_MOST, Engine
from server.reading import OutlookPoint, Reading
from server.rules.base import RuleView
from server.screening import FUTURE_LIMIT_MS
from server.zones import LEAST_SILENCE_S, PERIODS_LEARNT, SLOT_MS

HOUR_MS, DAY_MS = 3_600_000, 86_400_000
BINS_BACK_MS = (KEPT + 1) * BIN_MS + HOLD_MS
"""So that the oldest half hour that is kept is whole."""
MARGIN_MS = 900_000
"""A wait is looked for this much further back than it can last: it began at a reading, and those are minutes apart."""
PER_ZONE = ("temperature_c", "vapour_pressure_pa", "emc_pct")

Row = tuple[int, tuple[float, float, float]]
Ahead = Callable[[str, int, float], tuple[OutlookPoint, ...]]
"""A zone's outlook as it was at a moment, with what its air drew wood to then (% MC)."""


def restore(engine: Engine, now: Instant, ahead: Ahead | None = None) -> None:
    """Fill a fresh engine from its own history. Reads only; blocks, so it is called before the loop has work. Without
    ``ahead`` there are no outlooks of the past."""
    day = engine.history.alert_changes(now.wall_ms - DAY_MS, now.wall_ms + FUTURE_LIMIT_MS)
    engine.book = AlertBook.restore(engine.history.alerts(), raises_of(day, now.wall_ms, now.mono_s))
    engine.recent = tuple(day[-RECENT_MOST:])
    for zone in engine.aims:
        readings = _recent(engine, zone, now)
        newest_ms = readings[-1].t_ms if readings else now.wall_ms
        rows = _zone_rows(engine, zone, now)
        raise_ms, longest_ms = _waits_ms(engine, now)
        from_ms = newest_ms - longest_ms - MARGIN_MS
        _learn(engine, [r for r in readings if r.t_ms < from_ms], now)
        stands = any(zone == subject for _, subject in engine.book.standing)
        ahead_ms = newest_ms - (longest_ms if stands else raise_ms) - MARGIN_MS  # each takes a tenth of a second
        past = _Past(engine, zone, ahead, ahead_ms)
        _watch_again(past, [r for r in readings if r.t_ms >= from_ms], rows, now)


def zone_bins(engine: Engine, zone: str, now: Instant) -> tuple[Bins, int]:
    """A zone's half hours made again from the record, and the time of the last value in them (0 where there is none).
    Reads only."""
    bins, last_ms = Bins(zone), 0
    for t_ms, air in _zone_rows(engine, zone, now):
        bins.add_value(t_ms, air)
        last_ms = t_ms
    return bins, last_ms


def later_rows(engine: Engine, zone: str, after_ms: int) -> list[Row]:
    """The zone's air since a moment, likewise."""
    return list(_rows_between(engine, zone, after_ms + 1, 1 << 60))


def _newest_ms(engine: Engine, series: str, now: Instant) -> int | None:
    """The newest time of a series that counts: what was written under a clock that ran ahead is history."""
    newest = engine.history.latest(series)
    return None if newest is None else min(newest.t_ms, now.wall_ms + FUTURE_LIMIT_MS)


def _recent(engine: Engine, zone: str, now: Instant) -> list[Reading]:
    """The last good readings of a zone's sensors, in time order; screening is told of all their last readings. Of a
    quantity that has been dead for longer, the last good one: its sensor is missed, and not as if it had none."""
    longest_h = [sensor.stuck_after_h or 0.0 for sensor in engine.screening.sensors]
    back_ms = DAY_MS + round(max([engine.screening.limits.stuck_after_h, *longest_h]) * HOUR_MS) + HOUR_MS
    recent: list[Reading] = []
    for ear in engine.zones.by_zone.get(zone, []):
        rows: list[Reading] = []
        for quantity in ("temperature_c", "humidity_pct"):
            series = f"{ear.sensor.id}/{quantity}"
            newest_ms = _newest_ms(engine, series, now)
            if newest_ms is not None:
                late = engine.history.readings(series, newest_ms - back_ms, newest_ms + 1, good_only=False)
                rows += late if any(r.good for r in late) else [*_last_good(engine, series, newest_ms - back_ms), *late]
        rows.sort(key=lambda r: r.t_ms)
        engine.screening.remember(rows)
        recent += [r for r in rows if r.good]
    return sorted(recent, key=lambda r: r.t_ms)


def _last_good(engine: Engine, series: str, before_ms: int) -> list[Reading]:
    """The last good reading of a series before that, none if there is none. Where raw readings were pruned since, the
    mean of its hour stands for it."""
    hours = [h for h in engine.history.rollups(series, "hour", 0, before_ms) if h.count]
    if not hours:
        return []
    start_ms = hours[-1].start_ms
    return engine.history.readings(series, start_ms, min(start_ms + HOUR_MS, before_ms))[-1:] or [
        Reading(series, start_ms, hours[-1].mean)
    ]


def _zone_rows(engine: Engine, zone: str, now: Instant) -> Iterator[Row]:
    """The zone's stored air, in time order, as its half hours take it."""
    newest_ms = _newest_ms(engine, f"zone:{zone}/emc_pct", now)
    if newest_ms is None:
        return
    yield from _rows_between(engine, zone, newest_ms - BINS_BACK_MS, newest_ms + 1)


def _rows_between(engine: Engine, zone: str, from_ms: int, to_ms: int) -> Iterator[Row]:
    series = (f"zone:{zone}/{quantity}" for quantity in PER_ZONE)
    columns = [engine.history.columns(name, from_ms, to_ms) for name in series]
    by_time = [dict(zip(times, values, strict=True)) for times, values in columns]
    for t_ms in columns[0][0]:
        if all(t_ms in column for column in by_time):
            t_c, p_pa, emc = (column[t_ms] for column in by_time)
            yield t_ms, (t_c, p_pa, emc)


def _learn(engine: Engine, readings: list[Reading], now: Instant) -> None:
    """Each sensor's rhythm and last word, from so many readings of both its quantities."""
    last = _last_of_each(readings)
    for air in engine.zones.combine(last, _measured(last, now), live=False):
        engine.air[air.zone] = air


def _last_of_each(readings: list[Reading]) -> list[Reading]:
    left: dict[str, int] = {}
    kept = []
    for reading in reversed(readings):
        left[reading.series] = left.get(reading.series, PERIODS_LEARNT + 1) - 1
        if left[reading.series] >= 0:
            kept.append(reading)
    return kept[::-1]


@dataclass(slots=True)
class _Past:
    """A zone that is looked at again, with the outlooks that it had: each hour one, from ``ahead_ms`` on."""

    engine: Engine
    zone: str
    ahead: Ahead | None
    ahead_ms: int
    _hour: int = 0

    def catch_up(self, at: Instant) -> None:
        """The rules at this moment."""
        self._look_ahead(at)
        engine, view = self.engine, _view_of(self.engine, self.zone, at)
        engine.book = catch_up(engine.book, [f for rule in engine.rules for f in rule.findings(view)], at.mono_s)

    def _look_ahead(self, at: Instant) -> None:
        """The outlook of this moment, as :func:`server.outlooks.refresh` would have hung it by then."""
        if self.ahead is None:
            return
        air = self.engine.present_air(self.zone, at)
        if air is None:
            self.engine.outlooks.pop(self.zone, None)
            self._hour = 0
        elif at.wall_ms >= self.ahead_ms and at.wall_ms // HOUR_MS != self._hour:
            self._hour = at.wall_ms // HOUR_MS
            try:
                self.engine.outlooks[self.zone] = self.ahead(self.zone, at.wall_ms, air.emc_pct)
            except Exception as e:  # noqa: BLE001 - a bug of ours must not keep a server from starting
                self.engine.outlooks.pop(self.zone, None)
                self.engine.faults.note("outlooks", e, at.wall_ms, self.zone)


def _watch_again(past: _Past, readings: list[Reading], rows: Iterator[Row], now: Instant) -> None:
    """The last hours, ten seconds of readings at a time, as turns saw them."""
    engine, zone = past.engine, past.zone
    before_ms = readings[0].t_ms if readings else now.wall_ms
    row = next(rows, None)
    for _, slot in groupby(readings, key=lambda r: r.t_ms // SLOT_MS):
        heard = list(slot)
        at_ms = heard[-1].t_ms
        if at_ms - before_ms >= LEAST_SILENCE_S * 1000.0:  # long enough for a silence to have been noticed
            past.catch_up(_instant(at_ms - 1, now))
        for air in engine.zones.combine(heard, _measured(heard, now), live=False):
            engine.air[air.zone] = air
        while row is not None and row[0] <= at_ms:
            engine.bins[zone].add_value(*row)
            row = next(rows, None)
        engine.bins[zone].close_due(at_ms)
        past.catch_up(_instant(at_ms, now))
        before_ms = at_ms
    while row is not None:
        engine.bins[zone].add_value(*row)
        row = next(rows, None)
    engine.bins[zone].close_due(now.wall_ms)
    past.catch_up(now)


def _view_of(engine: Engine, zone: str, at: Instant) -> RuleView:
    view = engine.rule_view(at)
    zones, sensors = [z for z in view.zones if z.zone == zone], [s for s in view.sensors if s.zone == zone]
    return replace(view, zones=zones, sensors=sensors)


def _waits_ms(engine: Engine, now: Instant) -> tuple[int, int]:
    """The longest wait before anything is raised, and the longest of all."""
    findings = [finding for rule in engine.rules for finding in rule.findings(engine.rule_view(now))]
    raises_s = max((f.raise_after_s for f in findings), default=0.0)
    return round(1000.0 * raises_s), round(1000.0 * max([raises_s, *(f.clear_after_s for f in findings)]))


def _measured(readings: list[Reading], now: Instant) -> list[float]:
    """When each was measured, on the monotonic clock."""
    return [_instant(r.t_ms, now).mono_s for r in readings]


def _instant(t_ms: int, now: Instant) -> Instant:
    """A moment of the past on both clocks. Before the wall clock is set nobody knows for how long we were gone: labels
    go on from the newest reading, which so counts as of the start. Whether it was set then is not asked: that wait
    begins anew."""
    return Instant(t_ms, now.mono_s - max(0.0, (now.wall_ms - t_ms) / 1000.0))
