"""Real servers that are stopped, killed, slow, refusing, wiped or away: afterwards the remote equals the record."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import pytest

from server.reading import Flag, Reading
from tests.faults.copying import SERIES, T0, Copying, local, readings
from tests.flow.conftest import until
from tests.remotes import InfluxServer, SlowWire, VictoriaServer, own_folder, running

pytestmark = pytest.mark.whole
KINDS = {"influx": InfluxServer, "victoria": VictoriaServer}


@pytest.fixture(params=sorted(KINDS))
def server(request: pytest.FixtureRequest) -> Iterator[Any]:
    with own_folder() as folder, running(KINDS[request.param](folder / "server")) as made:
        yield made


@pytest.fixture
def influx() -> Iterator[InfluxServer]:
    with own_folder() as folder, running(InfluxServer(folder / "server")) as made:
        yield made


@pytest.fixture
async def slow(influx: InfluxServer) -> AsyncIterator[SlowWire]:
    async with SlowWire(int(influx.url.rpartition(":")[2]), 0.15) as wire:
        yield wire


async def test_stopped_and_started_again_in_the_middle(tmp_path: Path, server: Any):
    copying = Copying(tmp_path, server)
    async with copying.running():
        await copying.store.append(readings(0, 200))
        await copying.sent(200 * len(SERIES) // 2)
        await asyncio.to_thread(server.stop)
        await copying.store.append(readings(200, 300))
        await copying.becomes("held")
        assert copying.state.behind_rows >= 300 * len(SERIES)
        await asyncio.to_thread(server.start)
        await copying.store.append(readings(500, 10))
        await copying.equal()


async def test_killed_five_times_in_full_flow(tmp_path: Path, influx: InfluxServer):
    """Field pitfalls 1 and 2: what the remote had said yes to is there, all else is sent again."""
    copying = Copying(tmp_path, influx, batch_rows=100)
    async with copying.running():
        for spell in range(5):
            await copying.store.append(readings(spell * 100, 100))
            await copying.sent(spell * 100 * len(SERIES) + 1)
            await asyncio.to_thread(influx.kill)
            await copying.store.append([Reading("t0/temperature_c", T0 + 60_000 * spell + 1, 9.0)])  # late
            await copying.becomes("held")
            await asyncio.to_thread(influx.start)
        await copying.equal()


async def test_away_for_a_simulated_week(tmp_path: Path, server: Any):
    """Field pitfall 2: nobody answers for a week of readings; behind by a week, then every row of it is there."""
    server.stop()
    copying = Copying(tmp_path, server, batch_rows=5000)
    async with copying.running():
        await copying.becomes("idle")
        for day in range(7):
            await copying.store.append(readings(day * 1440, 1440)[::5])
            copying.clock.advance(86_400)
        await copying.becomes("held")
        assert copying.state.behind_s == pytest.approx(7 * 86_400, abs=600)
        assert copying.state.behind_rows == len(local(tmp_path)) == 7 * 1440 * len(SERIES) // 5
        await asyncio.to_thread(server.start)
        await copying.equal()


async def test_wiped_and_sent_again(tmp_path: Path, server: Any):
    copying = Copying(tmp_path, server)
    async with copying.running():
        await copying.store.append(readings(0, 150))
        await copying.equal()
        await asyncio.to_thread(server.wipe)
        await copying.remotes.rewind("there", 0, "c1")
        await copying.equal()
        before = copying.state.sent
        await copying.remotes.rewind("there", T0, "c2")  # nothing was lost this time: sent twice is there once
        await copying.sent(before + 150 * len(SERIES))
        await copying.equal()


async def test_a_slow_wire_only_takes_longer(tmp_path: Path, influx: InfluxServer, slow: SlowWire):
    copying = Copying(tmp_path, influx, url=f"http://127.0.0.1:{slow.port}")
    async with copying.running():
        await copying.store.append(readings(0, 100))
        await copying.equal()


async def test_a_wire_that_hangs_is_given_up_and_tried_again(tmp_path: Path, influx: InfluxServer, slow: SlowWire):
    slow.flowing.clear()
    copying = Copying(tmp_path, influx, url=f"http://127.0.0.1:{slow.port}", timeout_s=0.5)
    async with copying.running():
        await copying.store.append(readings(0, 100))
        await copying.becomes("held")
        assert "Timeout" in copying.state.error
        slow.flowing.set()
        await copying.equal()


async def test_a_stop_while_a_write_hangs_takes_no_time_and_loses_nothing(
    tmp_path: Path, influx: InfluxServer, slow: SlowWire
):
    """Field pitfalls 1 and 28."""
    slow.flowing.clear()
    copying = Copying(tmp_path, influx, url=f"http://127.0.0.1:{slow.port}", timeout_s=3.0)
    async with copying.running():
        await copying.store.append(readings(0, 20))
        await until(lambda: slow.connections, "a write under way")
        began_s = asyncio.get_running_loop().time()
    assert asyncio.get_running_loop().time() - began_s < 2.0  # and not the three that the write may hang
    slow.flowing.set()
    async with copying.running():
        await copying.equal()


async def test_a_bucket_that_is_missing_is_shown_until_somebody_makes_it(tmp_path: Path, influx: InfluxServer):
    influx.drop_bucket()
    copying = Copying(tmp_path, influx)
    async with copying.running():
        await copying.store.append(readings(0, 30))
        await copying.becomes("refused")
        assert "404" in copying.state.error
        assert "database not found" in copying.state.error
        assert copying.state.condemned == 0
        await asyncio.to_thread(influx.make_bucket)
        await copying.equal()


async def test_one_bad_row_among_five_thousand_is_condemned_alone(tmp_path: Path, influx: InfluxServer):
    """InfluxDB cannot hold times after 2262, so it refuses that row for good: it says 400 and writes the others."""
    beyond = Reading("t9/emc_pct", 10_413_792_000_000, 8.0)
    copying = Copying(tmp_path, influx, batch_rows=5000)
    async with copying.running():
        await copying.store.append([*readings(0, 556)[:4999], beyond])
        await copying.sent(4999)
        wanted = {key: row for key, row in local(tmp_path).items() if key[0] != beyond.series}
        assert len(wanted) == 4999
        assert await asyncio.to_thread(influx.kept) == wanted
        assert copying.state.condemned == 1
        assert copying.state.sent == 4999
        letters = copying.store.outbox._asked(  # type: ignore[union-attr]
            lambda reader: reader.execute("SELECT t_ms, value, status, reason FROM dead_letter").fetchall()
        )
        assert [letter[:3] for letter in letters] == [(beyond.t_ms, 8.0, 400)]
        assert "time outside range" in letters[0][3]
        await copying.store.append(readings(556, 2))  # it blocks nothing that follows
        await copying.sent(4999 + 2 * len(SERIES))


async def test_years_before_there_was_a_remote_go_over_with_progress(tmp_path: Path, server: Any):
    """Backfill: five years of one reading in six hours; what is left falls to nothing."""
    copying = Copying(tmp_path, server)
    quarter_days = [
        Reading(
            series, T0 - 5 * 365 * 86_400_000 + n * 21_600_000, n % 64 / 4, Flag.SATURATED if n % 50 == 0 else Flag.NONE
        )
        for n in range(5 * 365 * 4)
        for series in SERIES[:3]
    ]
    async with copying.running():
        pass  # a remote is known, and the years come to the record before it is running again
    async with copying.running():
        await copying.store.append(quarter_days)
        left = {copying.state.behind_rows}

        def idle() -> bool:
            left.add(copying.state.behind_rows)
            return copying.state.state == "idle"

        await copying.sent(1)
        await until(idle, "it caught up", 60.0)
        assert len(left) > 3
        await copying.equal()
        assert copying.state.sent == len(quarter_days)
