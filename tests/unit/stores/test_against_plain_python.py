"""Any sequence of appends leaves the readings and rollups that plain Python computes from all of them at once."""

from __future__ import annotations

import asyncio
import math
import tempfile
from collections import defaultdict
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.clock import ManualClock
from server.reading import Flag, Reading
from server.stores.catalog import open_store
from server.stores.port import History, Rollup

HOUR = 3_600_000
SERIES = ("t1/temperature_c", "t1/humidity_pct", "zone:loft/emc_pct")
STARTS = {  # two days around a change of the clocks, where there is one
    "America/New_York": 1_793_484_000_000,  # 2026-10-31 22:00 UTC; back on 1 November
    "Europe/Berlin": 1_774_648_800_000,  # 2026-03-27 22:00 UTC; forward on the 29th
    "Asia/Kolkata": 1_774_648_800_000,  # +5:30: midnight inside a UTC hour
}

moments = st.integers(0, 300).map(lambda n: n * 600_000) | st.integers(0, 50 * HOUR)
values = st.floats(-40, 105, width=32) | st.sampled_from([0.0, 20.0, 45.5])
flags = st.sampled_from([Flag.NONE, Flag.NONE, Flag.SATURATED, Flag.RANGE, Flag.RATE | Flag.SATURATED, Flag.DUPLICATE])
rows = st.tuples(st.sampled_from(SERIES), moments, values, flags, st.none() | st.just(1.5))
appends = st.lists(st.lists(rows, max_size=25), max_size=8)


@settings(max_examples=60, deadline=None)
@given(zone=st.sampled_from(sorted(STARTS)), calls=appends, together=st.booleans(), in_order=st.booleans())
def test_any_sequence(zone: str, calls: list[list[tuple[str, int, float, Flag, float | None]]], together: bool,
                      in_order: bool) -> None:  # fmt: skip
    start = STARTS[zone]
    batches = [[Reading(name, start + t_ms, *rest) for name, t_ms, *rest in call] for call in calls]
    if in_order:
        flat = iter(sorted((r for batch in batches for r in batch), key=lambda r: r.t_ms))
        batches = [[next(flat) for _ in batch] for batch in batches]
    with tempfile.TemporaryDirectory() as folder:
        history = asyncio.run(_append(Path(folder), zone, batches, together))
        expected = _last_of_each_moment(batches)
        for name in SERIES:
            mine = [r for r in expected if r.series == name]
            assert history.readings(name, 0, 1 << 50, good_only=False) == mine
            hours = _hours(name, mine)
            _same(history.rollups(name, "hour", 0, 1 << 50), hours)
            _same(history.rollups(name, "day", 0, 1 << 50), _days(name, hours, ZoneInfo(zone)))


async def _append(folder: Path, zone: str, batches: list[list[Reading]], together: bool) -> History:
    store, history = open_store(folder, zone, ManualClock(STARTS[zone]))
    if together:  # queued at once: they share transactions, in this order
        await asyncio.gather(*(store.append(batch) for batch in batches))
    else:
        for batch in batches:
            await store.append(batch)
    await store.close()
    return history


def _last_of_each_moment(batches: list[list[Reading]]) -> list[Reading]:
    kept: dict[tuple[str, int], Reading] = {}
    for r in (r for batch in batches for r in batch):
        there = kept.get((r.series, r.t_ms))
        if there is None or there.value != r.value:
            raw = None if r.raw == r.value else r.raw
            kept[r.series, r.t_ms] = Reading(r.series, r.t_ms, r.value, r.flags, raw)
    return sorted(kept.values(), key=lambda r: r.t_ms)


def _rollup(name: str, start_ms: int, values: list[float]) -> Rollup:
    return Rollup(name, start_ms, min(values), math.fsum(values) / len(values), max(values), len(values))


def _hours(name: str, readings: list[Reading]) -> list[Rollup]:
    found: dict[int, list[float]] = defaultdict(list)
    for r in readings:
        if r.good:
            found[r.t_ms // HOUR * HOUR].append(r.value)
    return [_rollup(name, start, values) for start, values in sorted(found.items())]


def _days(name: str, hours: list[Rollup], zone: ZoneInfo) -> list[Rollup]:
    found: dict[int, list[Rollup]] = defaultdict(list)
    for hour in hours:
        local = datetime.fromtimestamp(hour.start_ms / 1000, zone)
        midnight = local.replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
        found[round(midnight.timestamp() * 1000)].append(hour)
    return [
        Rollup(
            name,
            start,
            min(h.minimum for h in of_day),
            math.fsum(h.mean * h.count for h in of_day) / sum(h.count for h in of_day),
            max(h.maximum for h in of_day),
            sum(h.count for h in of_day),
        )
        for start, of_day in sorted(found.items())
    ]


def _same(found: list[Rollup], expected: list[Rollup]) -> None:
    assert [(r.series, r.start_ms, r.minimum, r.maximum, r.count) for r in found] == [
        (r.series, r.start_ms, r.minimum, r.maximum, r.count) for r in expected
    ]
    # a double's rounding, once for each of a few hundred merges of numbers up to 105
    assert [r.mean for r in found] == pytest.approx([r.mean for r in expected], rel=1e-12, abs=1e-11)


def test_the_starts_hold_a_change_of_the_clocks() -> None:
    def lengths(zone: str) -> set[timedelta | None]:
        begin = datetime.fromtimestamp(STARTS[zone] / 1000, ZoneInfo(zone))
        return {(begin + timedelta(days=n)).utcoffset() for n in range(3)}

    assert len(lengths("America/New_York")) == len(lengths("Europe/Berlin")) == 2
    assert lengths("Asia/Kolkata") == {timedelta(hours=5, minutes=30)}
