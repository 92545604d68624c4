"""What is believed, and that nothing heard is lost: every value comes out with its flags and its raw value."""

from __future__ import annotations

import dataclasses

import pytest

from sensors.sample import RawSample, RefusedPayload
from server.clock import Instant
from server.config import ScreeningTable, Sensor
from server.reading import Flag, Reading
from server.screening import Screening

T0 = 1_800_000_000_000
NOW = Instant(T0 + 3_600_000, 3600.0)
BENCH = Sensor(id="bench-1", source="line", device="", zone="bench")


def sample(minutes: float, t: float | None = 20.0, rh: float | None = 40.0, **more) -> RawSample:
    values = tuple((q, v) for q, v in (("temperature_c", t), ("humidity_pct", rh)) if v is not None)
    heard = T0 + round(minutes * 60_000)
    return RawSample("line", "any", values, heard, minutes * 60.0, **more)


def screening(**limits) -> Screening:
    return Screening(ScreeningTable(**limits), [BENCH])


def flags_of(screened, quantity: str) -> list[Flag]:
    return [r.flags for r in screened.readings if r.series.endswith(quantity)]


def test_a_plain_sample_is_good_and_names_its_sensor():
    found = screening().screen([sample(0)], NOW)
    assert [(r.series, r.value, r.flags, r.raw) for r in found.readings] == [
        ("bench-1/temperature_c", 20.0, Flag.NONE, None),
        ("bench-1/humidity_pct", 40.0, Flag.NONE, None),
    ]
    assert found.heard == {"bench-1": 0.0}


@pytest.mark.parametrize(("t", "expected"), [(-40.0, False), (-40.1, True), (85.0, False), (85.1, True)])
def test_temperature_range(t, expected):
    flags = flags_of(screening().screen([sample(0, t=t)], NOW), "temperature_c")[0]
    assert bool(flags & Flag.RANGE) is expected


@pytest.mark.parametrize(
    ("rh", "value", "flags", "raw"),
    [
        (99.9, 99.9, Flag.NONE, None),
        (100.0, 100.0, Flag.SATURATED, None),
        (104.2, 100.0, Flag.SATURATED, 104.2),
        (105.1, 105.1, Flag.RANGE, None),
        (-0.1, -0.1, Flag.RANGE, None),
    ],
)
def test_humidity_just_above_100_is_saturated_and_keeps_its_raw_value(rh, value, flags, raw):
    reading = screening().screen([sample(0, rh=rh)], NOW).readings[1]
    assert (reading.value, reading.flags, reading.raw) == (value, flags, raw)
    assert reading.good is (flags != Flag.RANGE)


def test_a_jump_waits_for_a_second_witness():
    found = screening().screen([sample(0), sample(1, rh=65), sample(2, rh=66), sample(3, rh=66)], NOW)
    assert flags_of(found, "humidity_pct") == [Flag.NONE, Flag.RATE, Flag.NONE, Flag.NONE]


def test_a_lone_spike_moves_nothing_and_the_next_true_value_is_believed_at_once():
    found = screening().screen([sample(0), sample(1, t=60), sample(2), sample(3, t=-20), sample(4)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE, Flag.RATE, Flag.NONE, Flag.RATE, Flag.NONE]


def test_two_spikes_that_disagree_are_no_witnesses():
    found = screening().screen([sample(0), sample(1, t=60), sample(2, t=5), sample(3)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE, Flag.RATE, Flag.RATE, Flag.NONE]


def test_after_a_long_silence_the_air_may_have_changed():
    found = screening().screen([sample(0, t=20), sample(59, t=8)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE, Flag.NONE]


def test_fast_sensors_are_judged_over_a_minute_so_that_noise_is_no_jump():
    found = screening().screen([sample(0, t=20.0), sample(1 / 60, t=20.3), sample(2 / 60, t=19.9)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE] * 3


def test_stuck_needs_both_quantities_bit_identical_for_the_whole_time():
    later = Instant(T0 + 30 * 3_600_000, 0.0)
    hours = [sample(60 * h) for h in range(26)]
    flags = flags_of(screening().screen(hours, later), "humidity_pct")
    assert flags[23] == Flag.NONE
    assert flags[24] == flags[25] == Flag.STUCK
    moving = [sample(60 * h, rh=40 + h / 1000) for h in range(26)]
    assert set(flags_of(screening().screen(moving, later), "temperature_c")) == {Flag.NONE}


def test_a_retained_value_moves_nothing_unless_it_brings_its_own_time():
    found = screening().screen([sample(0, retained=True), sample(1, retained=True, own_ms=T0 + 50_000)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.RETAINED, Flag.NONE]
    assert found.readings[2].t_ms == T0 + 50_000
    assert found.heard == {"bench-1": 50.0}, "as old as it says, not as new as its replay"


def test_what_waited_at_the_broker_without_a_time_of_its_own_is_kept_and_moves_nothing():
    burst = [sample(1, rh=41 + n, backlog=True) for n in range(3)]
    found = screening().screen([sample(0), *burst, sample(2, rh=50)], NOW)
    assert flags_of(found, "humidity_pct") == [Flag.NONE, *[Flag.BACKLOG] * 3, Flag.NONE]
    labels = [r.t_ms for r in found.readings if r.series.endswith("humidity_pct")]
    assert labels == [T0, T0 + 60_000, T0 + 60_001, T0 + 60_002, T0 + 120_000], "each keeps a row of its own"


def test_what_waited_with_a_time_of_its_own_is_simply_itself():
    burst = [sample(9, rh=41 + n, backlog=True, own_ms=T0 + n * 60_000) for n in range(3)]
    found = screening().screen(burst, NOW)
    assert [(r.t_ms, r.flags) for r in found.readings[1::2]] == [(T0 + n * 60_000, Flag.NONE) for n in range(3)]


def test_what_waited_with_a_time_of_its_own_was_heard_when_it_says():
    late = screening().screen([sample(60, own_ms=T0, backlog=True)], NOW)
    assert late.heard == {"bench-1": 0.0}
    both = screening().screen([sample(60, own_ms=T0, backlog=True), sample(61)], NOW)
    assert both.heard == {"bench-1": 61 * 60.0}
    slow_clock = screening().screen([sample(60, own_ms=T0)], NOW)
    assert slow_clock.heard == {"bench-1": 3600.0}, "a live sample is heard now, however wrong the device's clock"


@pytest.mark.parametrize("how", [{"backlog": True}, {"redelivered": True}, {"retained": True}])
def test_what_waited_with_a_time_that_cannot_be_is_not_taken_for_live(how):
    """A device with an unset clock says 1970."""
    found = screening().screen([sample(60, own_ms=0, **how)], NOW)
    assert flags_of(found, "humidity_pct") == [Flag.TIME | (Flag.RETAINED if "retained" in how else Flag.BACKLOG)]
    assert not found.heard


def test_a_long_burst_whose_labels_ran_ahead_of_the_clock_is_overwritten_by_nothing_live():
    burst = [dataclasses.replace(sample(1, rh=41.0), backlog=True) for _ in range(8000)]
    after = [sample(1.05 + n / 60, rh=41.0) for n in range(8)]
    found = screening().screen([*burst, *after], NOW)
    labels = [r.t_ms for r in found.readings[1::2]]
    assert len(set(labels)) == len(labels)
    assert labels == sorted(labels)
    assert labels[-1] == T0 + round((1.05 + 7 / 60) * 60_000), "and labels are the clock's again"


def test_a_jump_sent_again_is_no_witness_of_itself():
    found = screening().screen([sample(n, t=t, own_ms=T0 + n * 60_000) for n, t in ((0, 20), (1, 60))], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE, Flag.RATE]
    one = screening()
    one.screen([sample(0, own_ms=T0), sample(1, t=60, own_ms=T0 + 60_000)], NOW)
    again = one.screen([sample(2, t=60, own_ms=T0 + 60_000, redelivered=True)], NOW)
    assert not again.readings[0].good


def test_a_redelivery_moves_nothing_a_second_time():
    again = [sample(3 + n, rh=40 + n, redelivered=True) for n in range(3)]
    found = screening().screen([sample(n, rh=40 + n) for n in range(3)] + again, NOW)
    assert all(not r.good for r in found.readings[6:])
    stated = [sample(5, own_ms=T0, redelivered=True)]
    same = screening().screen([sample(0, own_ms=T0), *stated], NOW)
    rows = [(r.series, r.t_ms, r.value) for r in same.readings]
    assert rows[:2] == rows[2:], "the store keeps such a row once"


@pytest.mark.parametrize("step_min", [-60, -525_600, 43_200])
def test_a_wall_clock_that_is_set_silences_no_sensor(step_min):
    moved = Instant(NOW.wall_ms + step_min * 60_000, NOW.mono_s)
    before = [sample(n) for n in range(5)]
    after = [dataclasses.replace(sample(5 + n), heard_ms=T0 + (5 + n + step_min) * 60_000) for n in range(5)]
    one = screening()
    one.screen(before, NOW)
    found = one.screen(after, moved)
    assert all(r.good for r in found.readings)
    assert [r.t_ms for r in found.readings[::2]] == [s.heard_ms for s in after]
    # A jump is still a jump: what counts is the monotonic clock, not the hour the wall clock gained.
    spike = dataclasses.replace(sample(10.5, t=60), heard_ms=T0 + round((10.5 + step_min) * 60_000))
    assert flags_of(one.screen([spike], moved), "temperature_c") == [Flag.RATE]


def test_a_restart_on_a_record_from_the_future_goes_on():
    late, day_ms = screening(), 86_400_000
    late.remember([Reading("bench-1/temperature_c", T0 + 365 * day_ms, 20.0)])
    late.remember([Reading("bench-1/humidity_pct", T0 + 365 * day_ms, 40.0)])
    assert all(r.good for r in late.screen([sample(1), sample(2, own_ms=T0 + 120_000)], NOW).readings)


def test_quantities_in_messages_of_their_own_are_stuck_only_together():
    later = Instant(T0 + 40 * 3_600_000, 0.0)
    halves = [s for h in range(30) for s in (sample(60 * h, rh=None), sample(60 * h + 1, t=None, rh=40 + h / 1000))]
    assert all(r.good for r in screening().screen(halves, later).readings)
    frozen = [s for h in range(30) for s in (sample(60 * h, rh=None), sample(60 * h + 1, t=None, rh=40.0))]
    assert screening().screen(frozen, later).readings[-1].flags == Flag.STUCK


def test_the_same_time_and_value_again_is_a_duplicate():
    found = screening().screen([sample(0, own_ms=T0), sample(1, own_ms=T0)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE, Flag.DUPLICATE]


def test_an_older_own_time_is_out_of_order():
    found = screening().screen([sample(5, own_ms=T0 + 60_000), sample(6, own_ms=T0)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE, Flag.OUT_OF_ORDER]


def test_an_own_time_is_in_order_with_own_times_only():
    found = screening().screen([sample(5, own_ms=T0 + 60_000), sample(6), sample(7, own_ms=T0 + 120_000)], NOW)
    assert flags_of(found, "temperature_c") == [Flag.NONE] * 3


@pytest.mark.parametrize("own_ms", [0, T0 + 10 * 60_000, T0 - 401 * 86_400_000])
def test_a_time_that_cannot_be_is_replaced_by_when_it_was_heard(own_ms):
    reading = screening().screen([sample(0, own_ms=own_ms)], NOW).readings[0]
    assert (reading.t_ms, reading.flags) == (T0, Flag.TIME)
    assert reading.good, "it was heard just now, whatever its clock says"


def test_before_the_clock_is_set_readings_say_so_and_still_move_things():
    reading = screening().screen([sample(0)], Instant(T0, 0.0, wall_is_set=False)).readings[0]
    assert reading.flags == Flag.CLOCK_UNSET
    assert reading.good


def test_a_device_nobody_placed_is_kept_under_its_wire_and_moves_nothing():
    only = Screening(ScreeningTable(), [Sensor(id="loft-1", source="mq", device="loft", zone="loft")])
    heard = RawSample("mq", "cellar", (("temperature_c", 12.0),), T0, 0.0)
    found = only.screen([heard], NOW)
    assert [(r.series, r.flags) for r in found.readings] == [("mq:cellar/temperature_c", Flag.UNPLACED)]
    assert not found.heard


def test_what_cannot_be_read_is_kept_with_its_reason():
    found = screening().screen([RefusedPayload("line", "tty", b"\xff", "not text", T0)], NOW)
    assert [(r.source, r.payload, r.reason) for r in found.refused] == [("line", b"\xff", "not text")]
    assert not found.readings


def test_a_restart_neither_forgets_nor_believes_a_jump():
    before = screening()
    readings = before.screen([sample(0)], NOW).readings
    after = screening()
    after.remember(readings)
    assert flags_of(after.screen([sample(1, t=70)], NOW), "temperature_c") == [Flag.RATE]
