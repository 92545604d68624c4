"""A wall clock that leaps and falls back while the shop runs: nothing steps over a negative or absurd interval."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sensors.sample import RawSample
from server.bins import BIN_MS, HOLD_MS, Bins
from server.clock import Instant, ManualClock
from server.deeds import AlertCommand
from server.reading import Flag
from server.shop_clock import JUMP_MS
from server.zones import AGREES_S, AGREES_SHARE, Ear
from tests.unit.spine import DAY, HOUR, MINUTE, START_MS, Bench, config, sample

ALWAYS = (0, 2**53)
SERIES = "bench-1/humidity_pct"
START = START_MS // BIN_MS * BIN_MS


class LeapingClock(ManualClock):
    """A wall clock that stands ``ahead_s`` from where it should; nobody vouches for it while ``is_set`` is False."""

    def __init__(self) -> None:
        super().__init__(START_MS)
        self.ahead_s, self.is_set = 0, True

    def now(self) -> Instant:
        plain = super().now()
        return Instant(plain.wall_ms + self.ahead_s * 1000, plain.mono_s, self.is_set, self.is_set or None)


class Shop:
    """A spine on such a clock."""

    def __init__(self, folder: Path, rules: str = "") -> None:
        self.clock = LeapingClock()
        self.bench = Bench(folder, config(rules), self.clock)
        self.engine = self.bench.spine.engine
        self.heard = 0

    def said(self, humidity_pct: float | None = None, **more: Any) -> RawSample:
        now = self.engine.clock.now()
        self.heard += 1
        value = 40.0 + self.heard / 1000 if humidity_pct is None else humidity_pct
        return replace(sample("bench-1", now.mono_s, 20.0, value, **more), heard_ms=now.wall_ms)

    async def hear(self, every_s: float, times: int = 1, humidity_pct: float | None = None) -> None:
        for _ in range(times):
            self.clock.advance(every_s)
            await self.engine.turn([self.said(humidity_pct)])

    async def tick(self, seconds: float) -> None:
        self.clock.advance(seconds)
        await self.engine.turn(())

    @property
    def ear(self) -> Ear:
        return self.engine.zones.ears["bench-1"]


@pytest.fixture
async def shop(tmp_path: Path):
    made = Shop(tmp_path, "[rules.dry-limit]\nraise_after_min = 0\n")
    yield made
    await made.bench.close()


deeds = st.lists(
    st.one_of(
        st.tuples(st.just("hear"), st.integers(1, 1500)),
        st.tuples(st.just("tick"), st.integers(1, 4000)),
        st.tuples(st.just("leap"), st.sampled_from([30 * DAY, -HOUR, -400 * DAY, -30 * DAY, 3 * MINUTE, 7, -7, 2, -2])),
        st.tuples(st.just("lose"), st.just(0)),
    ),
    min_size=5,
    max_size=40,
)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(deeds=deeds)
async def test_no_story_of_leaps_makes_an_interval_that_never_was(tmp_path_factory, deeds):
    """Field pitfall 3, as a property: whatever the wall clock does, no half hour is covered for longer than the
    monotonic clock ran, none is longer than half an hour or counted twice, no rhythm is learnt that was not heard, and
    no reading is lost."""
    shop = Shop(tmp_path_factory.mktemp("leaps"))
    pauses: list[float] = []
    heard_s: float | None = None
    leaps = 0
    for deed, amount in deeds:
        if deed == "leap":
            # back to before the release would be no time at all; that is what "lose" is for
            shop.clock.ahead_s = max(shop.clock.ahead_s + amount, -40 * DAY)
            leaps += 1
        elif deed == "lose":
            shop.clock.is_set = not shop.clock.is_set
        elif deed == "hear":
            await shop.hear(amount)
            now_s = shop.clock.now().mono_s
            if heard_s is not None:
                pauses.append(now_s - heard_s)
            heard_s = now_s
        else:
            await shop.tick(amount)
    await shop.tick(3000)
    closed = list(shop.engine.bins["bench"].closed)
    assert [b.end_ms % BIN_MS for b in closed] == [0] * len(closed)
    assert [b.end_ms for b in closed] == sorted({b.end_ms for b in closed})
    assert all(0.0 < b.covered <= 1.0 + 1e-9 for b in closed)
    ran_s = shop.clock.now().mono_s
    assert sum(b.covered for b in closed) * BIN_MS / 1000 <= ran_s + leaps * JUMP_MS / 1000
    for learnt in shop.ear.intervals_s.values():
        for interval_s in learnt:
            assert any(abs(interval_s - p) <= max(AGREES_S, AGREES_SHARE * p) for p in pauses), interval_s
    kept = shop.bench.spine.history.readings(SERIES, *ALWAYS, good_only=False)
    replaced = "SELECT count(*) FROM replaced JOIN series ON series.id = series WHERE name = ?"
    given_way = shop.bench.spine.history._ask(replaced, (SERIES,))[0][0]  # type: ignore[attr-defined]
    assert len(kept) + given_way == shop.heard
    assert not shop.clock.is_set or not any(r.flags & Flag.CLOCK_UNSET for r in kept)
    await shop.bench.close()


async def test_a_leap_ahead_fills_no_half_hour_with_a_stale_value(shop: Shop):
    await shop.hear(MINUTE, 10)
    shop.clock.ahead_s = 30 * DAY
    await shop.tick(1)
    await shop.tick(HOUR)
    closed = list(shop.engine.bins["bench"].closed)
    assert [(b.end_ms, b.covered) for b in closed] == [(START + BIN_MS, pytest.approx(541 / 1800))]


@pytest.mark.parametrize("ahead_s", [30 * DAY, -HOUR, -400 * DAY + 360 * DAY])
async def test_a_leap_is_an_event_and_the_air_stays_on_the_wall(
    shop: Shop, ahead_s: int, caplog: pytest.LogCaptureFixture
):
    await shop.hear(MINUTE, 10)
    shop.clock.ahead_s = ahead_s
    await shop.hear(MINUTE, 10)
    (entry,) = shop.bench.spine.history.journal("clock-set")
    at_ms = START_MS + 11 * 60_000
    assert entry.data == {"from_ms": at_ms, "to_ms": at_ms + ahead_s * 1000}
    assert (entry.t_ms, entry.subject) == (at_ms + ahead_s * 1000, "clock")
    assert "The wall clock was set from" in caplog.text
    assert shop.engine.counts.clock_jumps == 1
    zone = shop.bench.document.zones[0]
    assert (zone.state, zone.air is not None) == ("fresh", True)
    assert zone.heard_ms == shop.clock.now().wall_ms
    assert shop.ear.period_s == MINUTE
    assert not [a for a in shop.engine.book.alerts if a.subject == "bench-1"]


async def test_what_was_last_heard_before_a_leap_is_as_old_as_it_is(shop: Shop):
    await shop.hear(MINUTE, 5)
    shop.clock.ahead_s = -HOUR
    await shop.tick(5 * MINUTE)
    assert shop.bench.document.zones[0].heard_ms == shop.clock.now().wall_ms - 5 * 60_000


async def test_slow_steering_is_no_event(shop: Shop):
    for n in range(60):
        shop.clock.ahead_s = n  # as much as a second a minute
        await shop.hear(MINUTE)
    assert shop.bench.spine.history.journal("clock-set") == []
    assert shop.engine.counts.clock_jumps == 0
    closed = shop.engine.bins["bench"].closed
    assert [b.end_ms for b in closed] == [START + BIN_MS, START + 2 * BIN_MS]
    assert [b.covered for b in closed] == pytest.approx([0.967, 1.0], abs=0.002)


async def test_an_alert_on_the_shelf_comes_back_after_its_hours_whatever_the_wall_clock_did(shop: Shop):
    await shop.hear(MINUTE, 3, 20.0)
    (alert,) = [a for a in shop.engine.book.alerts if a.rule == "dry-limit"]
    await shop.engine.command(AlertCommand("c", "shelve", alert.id, 2.0))
    shop.clock.ahead_s = 30 * DAY
    await shop.hear(MINUTE, 60, 20.0)
    (kept,) = [a for a in shop.bench.spine.history.alerts() if a.rule == "dry-limit"]
    assert kept.shelved_until_ms == START_MS + (3 * MINUTE + 2 * HOUR + 30 * DAY) * 1000
    await shop.bench.restart()
    shop.engine = shop.bench.spine.engine
    await shop.hear(MINUTE, 59, 20.0)
    assert [a.state for a in shop.engine.book.alerts if a.rule == "dry-limit"] == ["shelved"]
    await shop.hear(MINUTE, 2, 20.0)
    assert [a.state for a in shop.engine.book.alerts if a.rule == "dry-limit"] == ["unacknowledged"]


async def test_a_device_whose_own_clock_is_an_hour_slow_ends_its_silence(shop: Shop):
    async def say() -> None:
        shop.clock.advance(MINUTE)
        said = shop.said()
        await shop.engine.turn([replace(said, own_ms=said.heard_ms - HOUR * 1000)])

    for _ in range(5):
        await say()
    for _ in range(20):
        await shop.tick(MINUTE)
    silent = {"bench-1": "suppressed", "zone:bench": "unacknowledged"}  # none of its zone is heard: said once, of it
    assert {a.subject: a.state for a in shop.engine.book.alerts if a.subject in silent} == silent
    await say()
    assert {a.subject: a.state for a in shop.engine.book.alerts if a.subject in silent} == {"zone:bench": "returned"}


def test_a_value_let_go_holds_until_then_and_a_bin_goes_on_in_its_half_hour():
    bins = Bins("z")
    bins.add_value(START, (20.0, 900.0, 6.0))
    assert bins.let_go(START + 300_000) == []
    bins.add_value(START + 900_000, (20.0, 900.0, 9.0))
    (closed,) = bins.close_due(START + BIN_MS + 120_000)
    assert (closed.emc_pct, closed.covered) == (
        pytest.approx((300 * 6.0 + 900 * 9.0) / 1200),
        pytest.approx(1200 / 1800),
    )
    assert Bins("z").let_go(START) == []
    old = Bins("z")
    old.add_value(START, (20.0, 900.0, 6.0))
    (closed,) = old.let_go(START + 10 * HOLD_MS)
    assert closed.covered == 1.0
