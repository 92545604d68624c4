"""A jump needs a second witness: the sensor's own next reading, or another sensor of the zone that moved likewise.

Field pitfall 11: single-wire sensors let halved and doubled values pass their checksum now and then. A lone one is held
and moves nothing; a door that opens moves every sensor behind it.
"""

from __future__ import annotations

from collections.abc import Iterable

from server.config import ScreeningTable
from server.screening.track import Moment, Track, since_s

WITNESS_MS = 300_000
"""A neighbour's move counts for so long. Common practice, no source; so are the two ratios."""
BASE_MS = 1_800_000
"""What it moved from may be older, but not older than this."""
LEAST_LIKE, MOST_LIKE = 0.5, 2.0


def near(limits: ScreeningTable, quantity: str, change: float, seconds: float) -> bool:
    """Whether air may have changed so much in so many seconds."""
    rate = limits.temperature_rate_c_per_min if quantity == "temperature_c" else limits.humidity_rate_pct_per_min
    return abs(change) <= rate * max(abs(seconds), limits.rate_floor_s) / 60.0


def jumps(
    limits: ScreeningTable, track: Track, quantity: str, value: float, *, at: Moment, mates: Iterable[Track]
) -> bool:
    """Whether the value left the last good one faster than air can, and nothing agrees with it yet."""
    if track.good_t_ms is None:
        return False
    change = value - track.good_value
    if near(limits, quantity, change, since_s(track.good_t_ms, track.good_mono_s, at)):
        return False
    # The same label again is the same reading sent again: no second witness.
    held_ms = track.held_t_ms
    witnessed = (
        held_ms is not None
        and held_ms != at.t_ms
        and near(limits, quantity, value - track.held_value, since_s(held_ms, track.held_mono_s, at))
    )
    if witnessed or any(_moved_likewise(mate, change, at.t_ms) for mate in mates):
        return False
    track.held_t_ms, track.held_mono_s, track.held_value = at.t_ms, at.mono_s, value
    return True


def remember_move(track: Track, value: float, t_ms: int) -> None:
    """Keep what a witness is asked for later."""
    if track.recent is not None:
        track.recent.append((t_ms, value))


def _moved_likewise(mate: Track, change: float, t_ms: int) -> bool:
    """Whether a neighbour has moved the same way, between half and twice as far, within the last minutes."""
    said = [(when, value) for when, value in mate.recent or () if t_ms - BASE_MS <= when <= t_ms + WITNESS_MS]
    if len(said) < 2 or abs(said[-1][0] - t_ms) > WITNESS_MS:
        return False
    before = [value for when, value in said if when < said[-1][0] - WITNESS_MS]
    base = before[-1] if before else said[0][1]
    return LEAST_LIKE <= (said[-1][1] - base) / change <= MOST_LIKE
