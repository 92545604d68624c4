"""When a sample was measured: which time is believed, whether it fits, and the label it is kept under."""

from __future__ import annotations

from sensors.sample import RawSample
from server.clock import Instant
from server.reading import Flag
from server.screening.track import Moment, Track

FUTURE_LIMIT_MS = 120_000
"""A device's own time may run this far ahead of ours before it is not believed."""
PAST_LIMIT_MS = 400 * 86_400_000
"""Nor may it lie further back than this: a device with an unset clock says 1970."""
CORRECTED_MS = 5000
"""The wall clock may be corrected back by this much and labels go on from the last; further back, it was set."""


def believable_time(sample: RawSample, now: Instant) -> tuple[int, int]:
    """When it was measured: the payload's own time if it has a believable one, else when it was heard. What was
    measured some time before it was heard, nobody knows when, says so.

    While our clock is not set, what we label says so and is moved later; a time that a device states is its own and is
    not. One that lies well after ours may be the right one, and ours be late: nobody can tell, so it is not believed,
    and the reading is moved with ours."""
    flags = 0 if now.wall_is_set else int(Flag.CLOCK_UNSET)
    if sample.own_ms is not None:
        if -PAST_LIMIT_MS <= sample.own_ms - sample.heard_ms <= FUTURE_LIMIT_MS:
            return sample.own_ms, 0
        flags |= int(Flag.TIME)
    if sample.retained:
        flags |= int(Flag.RETAINED)
    if sample.backlog or sample.redelivered:
        flags |= int(Flag.BACKLOG)
    return sample.heard_ms, flags


def is_live(sample: RawSample) -> bool:
    """Whether it was measured just now: it did not wait anywhere, and its own time, if it states one, is ours."""
    if sample.backlog or sample.redelivered or sample.retained:
        return False
    return sample.own_ms is None or abs(sample.own_ms - sample.heard_ms) <= FUTURE_LIMIT_MS


def measured_mono_s(sample: RawSample, t_ms: int, now: Instant) -> float:
    """The monotonic clock when it was measured: for a live sample when it was heard, however wrong the device's clock;
    one that waited at a broker is as old as it says."""
    if now.wall_is_set and (sample.backlog or sample.redelivered or sample.retained):
        return sample.heard_mono_s - max(0, sample.heard_ms - t_ms) / 1000.0
    return sample.heard_mono_s


def in_order(track: Track, value: float, at: Moment) -> tuple[int, int]:
    """The label, and whether it fits. Only a device that states its own time can be out of order."""
    if not at.stated:
        return given(track, at), 0
    stated_ms = track.stated_ms
    # A label that lies in what is now the future was said while a clock was wrong: that must not last.
    if stated_ms is None or at.t_ms > stated_ms or stated_ms > at.heard_ms + FUTURE_LIMIT_MS:
        track.stated_ms = at.t_ms
        return at.t_ms, 0
    if at.t_ms < stated_ms:
        return at.t_ms, int(Flag.OUT_OF_ORDER)
    return at.t_ms, int(Flag.DUPLICATE) if value == track.good_value else 0


def given(track: Track, at: Moment) -> int:
    """The label of a reading that states no time: when it was heard, moved on where the series has that millisecond
    already, so that each of a burst keeps a row of its own. Where the wall clock went back, we go on with it."""
    went_back = track.clock_ms is not None and at.t_ms < track.clock_ms - CORRECTED_MS
    free_ms = at.t_ms if track.given_ms is None or went_back else track.given_ms + 1
    track.clock_ms, track.given_ms = at.t_ms, max(at.t_ms, free_ms)
    return track.given_ms
