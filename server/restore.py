"""Picking up where the record ends, so that a restart forgets nothing: last values, rhythm, half hours, alerts."""

from __future__ import annotations

from server.alerts.book import AlertBook
from server.clock import Instant
from server.engine import Engine
from server.reading import Reading
from server.zones import PERIODS_LEARNT

DAY_MS = 86_400_000
BACK_DAYS = 3
PER_ZONE = ("temperature_c", "vapour_pressure_pa", "emc_pct")


def restore(engine: Engine, now: Instant) -> None:
    """Fill a fresh engine from its own history. Reads only; blocks, so it is called before the loop has work."""
    for sensor in engine.zones.ears:
        _restore_sensor(engine, sensor, now)
    for zone in engine.aims:
        columns = [engine.history.columns(f"zone:{zone}/{q}", now.wall_ms - BACK_DAYS * DAY_MS, now.wall_ms + 1)
                   for q in PER_ZONE]  # fmt: skip
        by_time = [dict(zip(times, values, strict=True)) for times, values in columns]
        for t_ms in columns[0][0]:
            if all(t_ms in column for column in by_time):
                t_c, p_pa, emc = (column[t_ms] for column in by_time)
                engine.bins[zone].add_value(t_ms, (t_c, p_pa, emc))
        engine.bins[zone].close_due(now.wall_ms)
    engine.book = AlertBook.restore(engine.history.alerts())


def _restore_sensor(engine: Engine, sensor: str, now: Instant) -> None:
    """Its newest readings through the same stages, without storing them again; silence is counted from the last one."""
    recent: list[Reading] = []
    for quantity in ("temperature_c", "humidity_pct"):
        newest = engine.history.latest(f"{sensor}/{quantity}")
        if newest is not None:
            rows = engine.history.readings(newest.series, newest.t_ms - DAY_MS, newest.t_ms + 1, good_only=False)
            engine.screening.remember(rows[-2 * PERIODS_LEARNT :])
            recent += [r for r in rows if r.good][-PERIODS_LEARNT - 1 :]
    recent.sort(key=lambda r: r.t_ms)
    if not recent:
        return
    # Before the wall clock is set an age cannot be known: silence then counts from the start.
    gone_s = max(0.0, (now.wall_ms - recent[-1].t_ms) / 1000.0) if now.wall_is_set else 0.0
    for air in engine.zones.combine(recent, {sensor: now.mono_s - gone_s}):
        engine.air[air.zone] = air
