"""Outlooks kept fresh: each zone from its own hours, by the shop's clock, once an hour."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from server import outlooks
from server.clock import ManualClock
from server.outlooks import _offset_h, keep_outlooks, refresh, zone_outlook
from tests.flow.conftest import until
from tests.unit.spine import HOUR, START_MS, Bench, sample


class PacedClock(ManualClock):
    """Its sleepers wait until the test lets them go, and are written down."""

    def __init__(self) -> None:
        super().__init__(START_MS)
        self.slept: list[float] = []
        self.go_on = asyncio.Event()

    async def sleep(self, seconds: float) -> None:
        self.slept.append(seconds)
        self.go_on.clear()
        await self.go_on.wait()
        self.advance(seconds)


@pytest.fixture
async def bench(tmp_path: Path):
    made = Bench(tmp_path / "state", clock=PacedClock())
    yield made
    await made.close()


@contextlib.asynccontextmanager
async def kept(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[PacedClock]:
    monkeypatch.setattr(outlooks, "LEAST_PAUSE_S", 0.0)
    assert isinstance(bench.clock, PacedClock)
    task = asyncio.create_task(keep_outlooks(bench.spine.engine, bench.clock, "Europe/Oslo"))
    yield bench.clock
    task.cancel()
    await asyncio.wait({task})


async def test_a_zone_gets_its_outlook_once_an_hour_and_none_while_it_is_silent(bench: Bench):
    engine = bench.spine.engine
    await bench.hear([sample("bench-1", n * HOUR / 6, 20.0, 40.0 + n / 50) for n in range(103)])
    bench.until(17 * HOUR + 600)
    await refresh(engine, bench.clock, "Europe/Oslo")
    points = engine.outlooks["bench"]
    assert engine.outlooks.keys() == {"bench"}, "a zone that was never heard has none"
    assert points[0].emc_pct == pytest.approx(engine.air["bench"].emc_pct, abs=0.1)
    assert points[-1].t_ms - bench.clock.now().wall_ms == pytest.approx(96 * HOUR * 1000, abs=HOUR * 1000)
    assert all(p.emc_low_pct <= p.emc_pct <= p.emc_high_pct for p in points)

    await bench.hear([sample("bench-1", 17 * HOUR + s, 20.0, 60.0) for s in (1200, 1800, 2400, 3000, 3500)])
    await refresh(engine, bench.clock, "Europe/Oslo")
    assert engine.outlooks["bench"] is points, "not again within the hour"
    assert bench.document.zones[0].ahead, "the wall draws it"

    await bench.hear([sample("bench-1", 18 * HOUR + 100, 20.0, 60.0)])
    await refresh(engine, bench.clock, "Europe/Oslo")
    assert engine.outlooks["bench"][0].t_ms > points[0].t_ms

    bench.until(20 * HOUR)
    await refresh(engine, bench.clock, "Europe/Oslo")
    assert engine.outlooks == {}, "days-old air is no now to look ahead from"


async def test_it_looks_once_a_minute_of_the_shops_clock(bench: Bench, monkeypatch: pytest.MonkeyPatch):
    async with kept(bench, monkeypatch) as clock:
        await until(lambda: clock.slept, "the first round")
        clock.go_on.set()
        await until(lambda: len(clock.slept) == 2, "the second round")
        assert clock.slept == [60.0, 60.0]
        assert bench.spine.engine.outlooks == {}


async def test_a_gap_in_the_record_is_no_hour(bench: Bench):
    await bench.hear([sample("loft-1", n * HOUR, 18.0, 50.0) for n in (*range(12), *range(30, 40))])
    found = zone_outlook(bench.spine.history, "loft", bench.clock.now().wall_ms, 9.0)
    assert found[0].emc_pct == pytest.approx(9.0, abs=0.1)
    assert found[-1].t_ms > bench.clock.now().wall_ms


async def test_a_zone_without_a_record_has_no_outlook(bench: Bench):
    assert zone_outlook(bench.spine.history, "loft", START_MS, 7.0) == ()


def test_the_shops_hours_ahead_of_utc_follow_its_summer_time():
    # 31 March 2024, 1:00 UTC: Central European Summer Time begins (Directive 2000/84/EC, article 2).
    change_ms = 1_711_846_800_000
    assert (_offset_h(change_ms - 1, "Europe/Oslo"), _offset_h(change_ms, "Europe/Oslo")) == (1.0, 2.0)
    assert _offset_h(change_ms, "Asia/Kathmandu") == 5.75
