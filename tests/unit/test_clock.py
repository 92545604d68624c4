"""Two numbers for time: labels and durations; a demo's run faster alike, a test's move when told."""

from __future__ import annotations

import asyncio
import re

import pytest

from server.clock import ManualClock, ScaledClock, SystemClock

T0 = 1_799_755_200_000


def test_the_machines_clock_is_set_from_its_release_on():
    now = SystemClock().now()
    assert now.wall_is_set
    assert SystemClock(now.wall_ms).now().wall_is_set
    assert not SystemClock(now.wall_ms + 3_600_000).now().wall_is_set


def test_the_monotonic_number_never_goes_back():
    clock = SystemClock()
    moments = [clock.now().mono_s for _ in range(100)]
    assert moments == sorted(moments)


@pytest.mark.parametrize("speed", [1.0, 60.0, 3600.0])
def test_a_scaled_clock_scales_both_numbers_alike(speed: float):
    clock = ScaledClock(T0, speed)
    machine = SystemClock()
    began = machine.now().mono_s
    for _ in range(1000):
        now = clock.now()
        assert now.wall_ms - T0 == round(now.mono_s * 1000)
    assert 0 <= now.mono_s <= (machine.now().mono_s - began + 1.0) * speed
    assert now.wall_is_set


async def test_a_scaled_clocks_hour_is_shorter_for_who_waits():
    clock = ScaledClock(T0, 3600.0)
    before = clock.now()
    await asyncio.wait_for(clock.sleep(36.0), 5)
    assert clock.now().mono_s - before.mono_s >= 36.0


@pytest.mark.parametrize("speed", [0.0, -1.0, 3600.5, float("nan")])
def test_a_speed_that_cannot_be_is_refused(speed: float):
    with pytest.raises(ValueError, match=re.escape(f"speed: found {speed}; would be right: more than 0 and at most")):
        ScaledClock(T0, speed)


async def test_a_manual_clock_moves_only_when_told():
    clock = ManualClock(T0)
    assert clock.now() == clock.now()
    clock.advance(1.5)
    await clock.sleep(60)
    assert (clock.now().wall_ms, clock.now().mono_s) == (T0 + 61_500, 61.5)
    with pytest.raises(ValueError, match="advance: found -1 s; would be right: 0 or more"):
        clock.advance(-1)
