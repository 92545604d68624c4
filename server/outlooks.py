"""Keeps every zone's outlook fresh: once an hour of the shop's clock, off the event loop, from hours in the record."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from server.clock import Clock
from server.engine import Engine
from server.outlook import outlook
from server.reading import OutlookPoint
from server.stores.port import History

HOUR_MS = 3_600_000
BACK_MS = 430 * 24 * HOUR_MS
LEAST_PAUSE_S = 10.0
"""Real seconds between two rounds, however fast the clock runs."""
LOOK_S = 60.0


async def refresh(engine: Engine, clock: Clock, timezone: str) -> None:
    """The outlook of every zone with air that has none of this hour; a zone without air has no outlook."""
    for zone in engine.aims:
        now = clock.now()
        air = engine.present_air(zone, now)
        made = engine.outlooks.get(zone)
        if air is None:
            engine.outlooks.pop(zone, None)
        elif not made or made[0].t_ms // HOUR_MS != now.wall_ms // HOUR_MS:
            try:
                engine.outlooks[zone] = await asyncio.to_thread(
                    zone_outlook, engine.history, zone, now.wall_ms, air.emc_pct, _offset_h(now.wall_ms, timezone)
                )
            except Exception as e:  # noqa: BLE001 - a bug of ours: no old one stands where no new one can be made
                engine.outlooks.pop(zone, None)
                engine.faults.note("outlooks", e, now.wall_ms, zone)


async def keep_outlooks(engine: Engine, clock: Clock, timezone: str) -> None:
    """For ever: looks once a minute of the shop's clock whether an outlook is due."""
    while True:
        await asyncio.sleep(LEAST_PAUSE_S)
        await clock.sleep(LOOK_S)
        await refresh(engine, clock, timezone)


def zone_outlook(
    history: History, zone: str, now_ms: int, latest_pct: float, utc_offset_h: float = 0.0,
    *, until_ms: int | None = None,
) -> tuple[OutlookPoint, ...]:  # fmt: skip
    """Four days of one zone from its own hours (those that begin before ``until_ms``, where that is given); empty when
    the record holds none."""
    to_ms = now_ms if until_ms is None else until_ms
    rows = history.rollups(f"zone:{zone}/emc_pct", "hour", now_ms - BACK_MS, to_ms)
    if not rows:
        return ()
    first = rows[0].start_ms
    hours = np.arange(first, rows[-1].start_ms + 1, HOUR_MS, dtype=np.int64)
    emc = np.full(hours.shape, np.nan)
    emc[[(r.start_ms - first) // HOUR_MS for r in rows]] = [r.mean for r in rows]
    return outlook(hours, emc, now_ms, latest_pct, utc_offset_h=utc_offset_h)


def past_outlooks(history: History, timezone: str) -> Callable[[str, int, float], tuple[OutlookPoint, ...]]:
    """Gives a zone's outlook as it was at a moment of the past, ms since 1970 UTC, with what its air drew wood to then,
    % MC: from the hours that were over, for of the one it lies in the record by now holds all."""

    def made(zone: str, at_ms: int, emc_pct: float) -> tuple[OutlookPoint, ...]:
        hours_end_ms = at_ms - at_ms % HOUR_MS
        return zone_outlook(history, zone, at_ms, emc_pct, _offset_h(at_ms, timezone), until_ms=hours_end_ms)

    return made


def _offset_h(now_ms: int, timezone: str) -> float:
    """The shop's hours ahead of UTC, so that the daily cycle keeps to its clock."""
    offset = datetime.fromtimestamp(now_ms / 1000.0, ZoneInfo(timezone)).utcoffset()
    return offset.total_seconds() / 3600.0 if offset else 0.0
