"""A board that starts without knowing the time and learns it later: afterwards everything is as if it had always known.

Field pitfall 3: no clock chip, a boot in 1970 or at a saved time, the time service hours later. Each story is told
twice, to a shop whose clock is right and to one whose clock is set only at its end, and both must look alike.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from sensors.sample import RawSample, RefusedPayload
from server.clock import Instant, ManualClock
from server.deeds import AlertCommand
from server.outlooks import refresh
from server.reading import Flag
from server.stores.port import StoreFull
from tests.unit.spine import HOUR, MINUTE, START_MS, Bench, config, sample, with_store

ALWAYS = (0, 2**53)
SERIES = "bench-1/humidity_pct"
RULES = """
[rules.dry-limit]
raise_after_min = 20
clear_after_min = 20
[rules.clock-unset]
raise_after_min = 1440
[rules.sensor-silent]
at_least_min = 600
"""
"""One that knows the time also knows at once that nothing was heard for hours: that is no part of these stories."""
AWAY_S = 5 * HOUR
"""How long the board was without power."""


class BoardClock(ManualClock):
    """A board's two clocks after a boot: the monotonic one from 0, the wall in 1970 until it is set."""

    def __init__(self, true_ms: int, *, is_set: bool) -> None:
        super().__init__(0)
        self.true_ms, self.is_set = true_ms, is_set

    def now(self) -> Instant:
        mono_s = super().now().mono_s
        gone_ms = round(mono_s * 1000)
        return Instant(
            self.true_ms + gone_ms if self.is_set else 60_000 + gone_ms, mono_s, self.is_set, self.is_set or None
        )


class Board:
    """A spine that ran for an hour, was without power, and started again with its clock set or not."""

    def __init__(self, folder: Path) -> None:
        self.bench = Bench(folder, config(RULES))
        self.clock = BoardClock(START_MS + HOUR * 1000 + AWAY_S * 1000, is_set=True)

    async def started_again(self, *, is_set: bool) -> Board:
        await self.bench.hear([sample("bench-1", n * MINUTE, 20.0, 45.0 + n % 5 / 10) for n in range(61)])
        self.clock.is_set = is_set
        self.bench.clock = self.clock
        self.bench.machine_boot = "machine-2"
        await self.bench.restart()
        return self

    def said(self, device: str, humidity_pct: float, **more: Any) -> RawSample:
        """What a device says now, as a wire hands it on."""
        now = self.bench.spine.engine.clock.now()
        return replace(sample(device, now.mono_s, 20.0, humidity_pct, **more), heard_ms=now.wall_ms)

    async def hear(self, minutes: int, humidity_pct: float) -> None:
        for n in range(minutes):
            self.clock.advance(MINUTE)
            said = [self.said("bench-1", humidity_pct + n % 5 / 10), self.said("bench-2", humidity_pct + n % 3 / 10)]
            await self.bench.spine.engine.turn(said)

    async def tick(self, minutes: int = 1) -> None:
        for _ in range(minutes):
            self.clock.advance(MINUTE)
            await self.bench.spine.engine.turn(())

    async def restart(self) -> None:
        await self.bench.restart("boot-3")

    @property
    def alerts(self) -> list[tuple[str, str, str, int]]:
        return [(a.rule, a.subject, a.state, a.raised_ms) for a in self.bench.spine.engine.book.alerts]

    def told(self) -> dict[str, Any]:
        """All that can be seen from outside, without the marks of having been moved."""
        history, engine = self.bench.spine.history, self.bench.spine.engine
        rows = {
            series: [(r.t_ms, r.value) for r in history.readings(series, *ALWAYS, good_only=False)]
            for series in (SERIES, "bench-2/temperature_c", "zone:bench/emc_pct", "zone:bench/humidity_pct")
        }
        hours = {series: history.rollups(series, "hour", *ALWAYS) for series in rows}
        document = self.bench.pictured()
        document["notices"] = [n for n in document["notices"] if n["key"] != "clock-not-set"]
        document["changes"] = [c for c in document["changes"] if c["rule"] != "clock-unset"]
        return {
            "rows": rows,
            "hours": [(s, h.start_ms, h.count, round(h.mean, 9)) for s, found in hours.items() for h in found],
            "refused": history._ask("SELECT t_ms, reason FROM refused ORDER BY id"),  # type: ignore[attr-defined]
            "journal": [(e.t_ms, e.kind, e.subject) for e in history.journal() if e.kind != "clock-set"],
            "alert story": [line for line in self.bench.alert_story() if line[1] != "clock-unset"],
            "bins": {zone: list(bins.closed) for zone, bins in engine.bins.items()},
            "air": {zone: replace(air, flags=Flag.NONE) for zone, air in engine.air.items()},
            "rhythm": {n: (e.period_s, e.heard_ms, e.reach_ms) for n, e in engine.zones.ears.items()},
            "document": document,
        }


async def story(board: Board, *, restarts: bool = False) -> None:
    """Four hours: the air goes past its dry limit, a person sees it and shelves it, a payload cannot be read."""
    engine = board.bench.spine.engine
    await board.hear(30, 45.0)
    await board.hear(40, 20.0)
    if restarts:
        await board.restart()
        engine = board.bench.spine.engine
    (alert,) = [a for a in engine.book.alerts if a.rule == "dry-limit"]
    await engine.command(AlertCommand("seen", "acknowledge", alert.id))
    await engine.command(AlertCommand("later", "shelve", alert.id, 2.0))
    board.clock.advance(1.0)
    await engine.turn([RefusedPayload("mq", "shop/x/air", b"?", "no sample", engine.clock.now().wall_ms)])
    await board.hear(65, 21.0)
    board.clock.advance(-(board.clock.now().mono_s % 1) or 0.0)


async def both(folder: Path, *, restarts: bool = False) -> tuple[Board, Board]:
    right = await Board(folder / "right").started_again(is_set=True)
    late = await Board(folder / "late").started_again(is_set=False)
    for board in (right, late):
        await story(board, restarts=restarts)
    return right, late


@pytest.mark.parametrize("restarts", [False, True], ids=["one start", "two starts"])
async def test_afterwards_everything_is_as_if_the_clock_had_been_set(tmp_path: Path, restarts: bool):
    right, late = await both(tmp_path, restarts=restarts)
    assert late.bench.document.shop.clock_set is False
    assert "clock-not-set" in [n.key for n in late.bench.document.notices]
    before = late.bench.spine.history.readings(SERIES, *ALWAYS)
    assert [r.t_ms for r in before] == sorted({r.t_ms for r in before})
    assert {r.flags for r in before[61:]} == {Flag.CLOCK_UNSET}
    late.clock.is_set = True
    for board in (right, late):
        await board.tick()
        await refresh(board.bench.spine.engine, board.bench.spine.engine.clock, "Europe/Oslo")
        await board.bench.spine.engine.publish()
    expected, found = right.told(), late.told()
    for part, value in expected.items():
        assert found[part] == value, part
    rows = late.bench.spine.history.readings(SERIES, *ALWAYS)
    assert {r.flags for r in rows[61:]} == {Flag.RELABELLED}
    assert {r.flags for r in rows[:61]} == {Flag.NONE}
    boot = late.bench.spine.history.boot()
    assert boot is not None
    assert (boot.clock_set, boot.moved_by_ms) == (True, AWAY_S * 1000 - 1)
    for board in (right, late):
        await board.bench.close()


async def test_no_alert_comes_twice_or_goes_and_comes_by_it_and_waits_go_on(tmp_path: Path):
    right, late = await both(tmp_path)
    late.clock.is_set = True
    for board in (right, late):  # the shelf ends, the air is better, the alert clears after its wait
        await board.tick(2)
        await board.hear(50, 21.0)
        await board.hear(40, 45.0)
    assert late.alerts == right.alerts
    assert late.told()["alert story"] == right.told()["alert story"]
    for board in (right, late):
        await board.bench.close()


async def test_it_is_an_event_for_the_journal_the_log_and_health(tmp_path: Path, caplog: pytest.LogCaptureFixture):
    late = await Board(tmp_path).started_again(is_set=False)
    await late.hear(5, 45.0)
    from_ms = late.bench.spine.engine.clock.now().wall_ms
    late.clock.is_set = True
    await late.tick()
    (entry,) = late.bench.spine.history.journal("clock-set")
    assert entry.data == {"from_ms": from_ms + 60_000, "to_ms": late.clock.now().wall_ms}
    assert "the wall clock is set: what was written since the start is moved by 17999.999 s" in caplog.text.lower()
    counts = late.bench.spine.engine.counts
    assert (counts.clock_jumps, counts.clock_moved_by_ms) == (1, AWAY_S * 1000 - 1)
    await late.tick(3)
    assert late.bench.spine.engine.counts.clock_jumps == 1
    await late.bench.close()


async def test_what_was_heard_before_and_comes_to_its_turn_after_it_is_labelled_right(tmp_path: Path):
    late = await Board(tmp_path).started_again(is_set=False)
    await late.hear(3, 45.0)
    late.clock.advance(30.0)
    waiting = [
        late.said("bench-1", 46.0),
        RefusedPayload("mq", "x", b"?", "no", late.bench.spine.engine.clock.now().wall_ms),
    ]
    heard_ms = late.clock.true_ms + 3 * 60_000 + 30_000
    late.clock.advance(5.0)
    late.clock.is_set = True
    await late.bench.spine.engine.turn(waiting[:1])
    late.clock.advance(1.0)
    await late.bench.spine.engine.turn(waiting[1:])
    newest = late.bench.spine.history.latest(SERIES)
    assert newest is not None
    assert (newest.t_ms, newest.flags) == (heard_ms, Flag.NONE)
    assert late.told()["refused"] == [(heard_ms, "no")]
    await late.bench.close()


async def test_a_device_that_states_its_time_is_not_moved_with_ours(tmp_path: Path):
    """Its time may be right where ours is late: then it is not believed until ours is set, and the value is moved with
    ours. One that fits ours is kept as it says."""
    late = await Board(tmp_path).started_again(is_set=False)
    true_ms = late.clock.true_ms
    late.clock.advance(60.0)
    shop_ms = late.bench.spine.engine.clock.now().wall_ms
    said = [
        replace(late.said("bench-1", 45.0), own_ms=true_ms + 60_000),
        replace(late.said("bench-2", 45.0), own_ms=shop_ms - 10_000),
    ]
    await late.bench.spine.engine.turn(said)
    late.clock.is_set = True
    await late.tick()
    history = late.bench.spine.history
    live, kept = history.latest(SERIES), history.latest("bench-2/humidity_pct")
    assert live is not None
    assert kept is not None
    assert (live.t_ms, live.flags) == (true_ms + 60_000, Flag.TIME | Flag.RELABELLED)
    assert (kept.t_ms, kept.flags) == (shop_ms - 10_000, Flag.NONE)
    await late.bench.close()


async def test_a_former_boot_that_never_knew_the_time_stays_as_it_is(tmp_path: Path):
    late = await Board(tmp_path).started_again(is_set=False)
    await late.hear(5, 45.0)
    late.clock = late.bench.clock = BoardClock(late.clock.true_ms + 9 * HOUR * 1000, is_set=False)
    late.bench.machine_boot = "machine-3"
    await late.bench.restart()
    await late.hear(5, 45.0)
    late.clock.is_set = True
    await late.tick()
    flags = [r.flags for r in late.bench.spine.history.readings(SERIES, *ALWAYS)]
    assert flags == [Flag.NONE] * 61 + [Flag.CLOCK_UNSET] * 5 + [Flag.RELABELLED] * 5
    await late.bench.close()


async def test_a_clock_set_while_the_server_was_down_is_made_good_at_its_next_start(tmp_path: Path):
    late = await Board(tmp_path).started_again(is_set=False)
    await late.hear(5, 45.0)
    true_ms = late.clock.true_ms
    late.clock.is_set = True
    late.clock.advance(600.0)
    await late.restart()
    rows = late.bench.spine.history.readings(SERIES, *ALWAYS)[61:]
    assert [r.t_ms for r in rows] == [true_ms + n * 60_000 for n in range(1, 6)]
    assert {r.flags for r in rows} == {Flag.RELABELLED}
    await late.bench.close()


class Full:
    """A record that has no room for the move."""

    def __init__(self, store: Any) -> None:
        self._store, self.full = store, True

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    async def set_clock(self, *values: Any) -> int:
        if self.full:
            raise StoreFull("record.sqlite: no room")
        return await self._store.set_clock(*values)


async def test_a_full_disk_puts_it_off_and_nothing_is_half_done(tmp_path: Path):
    late = await Board(tmp_path).started_again(is_set=False)
    await late.hear(5, 45.0)
    store = Full(late.bench.spine.store)
    with_store(late.bench, store)
    late.clock.is_set = True
    await late.hear(3, 45.0)
    flags = {r.flags for r in late.bench.spine.history.readings(SERIES, *ALWAYS)[61:]}
    assert flags == {Flag.CLOCK_UNSET}
    assert late.bench.document.shop.clock_set is False
    store.full = False
    await late.tick()
    rows = late.bench.spine.history.readings(SERIES, *ALWAYS)[61:]
    assert [r.t_ms for r in rows] == [late.clock.true_ms + n * 60_000 for n in range(1, 9)]
    assert late.bench.document.shop.clock_set is True
    await late.bench.close()


async def test_a_set_clock_that_falls_to_1970_goes_on_marked_and_comes_back(tmp_path: Path):
    late = await Board(tmp_path).started_again(is_set=True)
    await late.hear(5, 45.0)
    late.clock.is_set = False
    await late.hear(5, 45.0)
    late.clock.is_set = True
    await late.hear(5, 45.0)
    rows = late.bench.spine.history.readings(SERIES, *ALWAYS)[61:]
    assert [r.t_ms for r in rows] == [late.clock.true_ms + n * 60_000 for n in range(1, 16)]
    # the fifth was heard while the clock was set and the tenth before its turn saw that it is again
    assert [r.flags for r in rows] == [Flag.NONE] * 5 + [Flag.RELABELLED] * 5 + [Flag.NONE] * 5
    await late.bench.close()
