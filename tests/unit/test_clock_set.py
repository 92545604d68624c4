"""The wall clock is set while the shop runs: labels follow it, and nothing else does."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from sensors.sample import RawSample
from server.clock import Instant, ManualClock
from server.reading import Flag
from server.screening import FUTURE_LIMIT_MS
from tests.unit.spine import DAY, HOUR, MINUTE, START_MS, Bench, sample

ALWAYS = (0, 2**53)
HOURS_BACK = -HOUR
MONTH_AHEAD = 30 * DAY


class SettableClock(ManualClock):
    """A clock whose wall time is ``ahead_s`` of what it would be; ``is_set`` says whether anybody vouches for it."""

    def __init__(self, start_ms: int) -> None:
        super().__init__(start_ms)
        self.ahead_s, self.is_set = 0, True

    def now(self) -> Instant:
        plain = super().now()
        return Instant(plain.wall_ms + self.ahead_s * 1000, plain.mono_s, self.is_set)


class Shop:
    """A spine that hears a reading a minute, labelled by the clock as it stands."""

    def __init__(self, folder: Path, *, stated: bool) -> None:
        self.clock = SettableClock(START_MS)
        self.bench = Bench(folder, clock=self.clock)
        self.stated, self.minute = stated, 1

    def _said(self, device: str, humidity_pct: float) -> RawSample:
        heard_ms = self.bench.spine.engine.clock.now().wall_ms
        said = sample(device, self.clock.now().mono_s, 20.0, humidity_pct)
        return replace(said, heard_ms=heard_ms, own_ms=heard_ms - 200 if self.stated else None)

    async def hear(self, minutes: int, *, varied: bool = True) -> None:
        for _ in range(minutes):
            self.bench.until(self.minute * MINUTE)
            humidity_pct = 45.0 + self.minute % 7 / 10 if varied else 45.0
            await self.bench.spine.engine.turn([self._said(d, humidity_pct) for d in ("bench-1", "bench-2")])
            self.minute += 1
            zone = self.bench.document.zones[0]
            assert (zone.state, zone.air is None) == ("fresh", False), f"minute {self.minute}"
            air = self.bench.spine.engine.air["bench"]
            # Nothing stands further in the future than a device's clock may run ahead.
            assert -FUTURE_LIMIT_MS <= self.bench.spine.engine.clock.now().wall_ms - air.t_ms < MINUTE * 1000

    def ends(self) -> list[int]:
        """When the half hours that the wall draws ended, in minutes from the start."""
        return [round((b.end_ms - START_MS) / 60_000) for b in self.bench.spine.engine.bins["bench"].closed]

    def flags(self) -> Counter[Flag]:
        """How many readings of one series carry which flags."""
        rows = self.bench.spine.history.readings("bench-1/humidity_pct", *ALWAYS, good_only=False)
        return Counter(row.flags for row in rows)


@pytest.fixture(params=[False, True], ids=["no time", "own time"])
async def shop(request: pytest.FixtureRequest, tmp_path: Path):
    made = Shop(tmp_path, stated=request.param)
    yield made
    await made.bench.close()


@pytest.mark.parametrize("restart", [False, True], ids=["running", "restarted"])
async def test_an_hour_back_silences_nothing_and_half_hours_go_on(shop: Shop, restart: bool):
    await shop.hear(100)
    assert shop.ends() == [30, 60, 90]
    shop.clock.ahead_s = HOURS_BACK
    if restart:
        await shop.bench.restart()
    await shop.hear(90)
    assert shop.ends() == [30, 60, 90, 120]
    # A restart takes the record up to two minutes ahead, as far as a device's clock may run: so long they are late.
    late = shop.flags().get(Flag.OUT_OF_ORDER, 0)
    assert late <= (2 if restart and shop.stated else 0)
    assert shop.flags().keys() <= {Flag.NONE, Flag.OUT_OF_ORDER}
    assert not {subject for _, _, subject, _ in shop.bench.alert_story() if subject.startswith("bench-")}


@pytest.mark.parametrize("restart", [False, True], ids=["running", "restarted"])
async def test_a_month_ahead_and_back_again_leaves_history_and_goes_on(shop: Shop, restart: bool):
    await shop.hear(65)
    shop.clock.ahead_s = MONTH_AHEAD
    await shop.hear(40)
    assert shop.ends()[-1] > 30 * 24 * 60
    shop.clock.ahead_s = 0
    if restart:
        await shop.bench.restart()
    await shop.hear(80)
    assert shop.ends()[:2] == [30, 60]
    assert shop.ends()[-2:] == [150, 180]
    assert shop.flags().keys() == {Flag.NONE}
    assert len(shop.bench.spine.history.readings("bench-1/humidity_pct", *ALWAYS)) == 185, "all is kept"


async def test_a_sensor_that_repeats_itself_after_such_a_month_is_not_called_stuck(shop: Shop):
    shop.clock.ahead_s = MONTH_AHEAD
    await shop.hear(3, varied=False)
    shop.clock.ahead_s = 0
    await shop.bench.restart()
    await shop.hear(3, varied=False)
    assert shop.flags().keys() == {Flag.NONE}


async def test_a_sensor_that_died_in_such_a_month_is_not_shown_as_fresh(shop: Shop):
    await shop.hear(5)
    shop.clock.ahead_s = MONTH_AHEAD
    await shop.hear(5)
    shop.clock.ahead_s = 0
    shop.bench.until(2 * HOUR)
    await shop.bench.restart()
    assert (shop.bench.document.zones[0].state, shop.bench.document.zones[0].air) == ("silent", None)


async def test_a_start_in_1970_shows_the_air_and_keeps_the_days_of_the_wall(tmp_path: Path):
    shop = Shop(tmp_path, stated=False)
    await shop.hear(100)
    shop.clock.ahead_s, shop.clock.is_set = -START_MS // 1000, False
    await shop.bench.restart()
    await shop.hear(5)
    shop.clock.ahead_s, shop.clock.is_set = 0, True
    await shop.hear(50)
    assert shop.ends() == [30, 60, 90, 120, 150]
    assert shop.flags() == {Flag.NONE: 150, Flag.RELABELLED: 5}
    await shop.bench.close()


async def test_a_correction_of_some_seconds_loses_no_reading(tmp_path: Path):
    bench = Bench(tmp_path)
    labels_ms = [0, 1000, 2000, 1500, 2500]  # after the third the clock was put back by a second and a half
    items = [
        replace(sample("bench-1", n, 20.0, 45.0 + n / 10), heard_ms=START_MS + label_ms)
        for n, label_ms in enumerate(labels_ms)
    ]
    await bench.hear(items)
    rows = bench.spine.history.readings("bench-1/humidity_pct", *ALWAYS)
    assert [row.value for row in rows] == [45.0, 45.1, 45.2, 45.3, 45.4]
    await bench.close()
