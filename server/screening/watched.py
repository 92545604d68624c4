"""What is remembered of one sensor as a whole: its limits, its stillness, its heater, how long it has been wet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from server.clock import Instant
from server.config import ScreeningTable, Sensor
from server.reading import Flag, Reading
from server.screening.corrections import Corrector
from server.screening.limits import SECONDS_PER_HOUR, Limits, limits_of
from server.screening.stillness import Stillness
from server.screening.track import Moment, Track, since_s

Since = tuple[int, float | None]
"""A label in ms and the monotonic clock then, None where it was before the start."""


@dataclass(slots=True)
class Watched:
    """One sensor, configured or only heard. ``wet``: at its wet end for so long that it is wet itself, or has failed;
    then none of its figures counts, so that it is missed like a silent one."""

    sensor: str
    shop: ScreeningTable
    limits: Limits
    corrector: Corrector | None
    tracks: dict[str, Track] = field(default_factory=dict)
    still: Stillness = field(default_factory=Stillness)
    wet: bool = False
    _wet_since: Since | None = None
    _heated: Since | None = None

    @staticmethod
    def of(sensor: str, shop: ScreeningTable, configured: Sensor | None) -> Watched:
        """A sensor nothing is remembered of yet."""
        return Watched(sensor, shop, limits_of(shop, configured), Corrector.of(configured))

    def flags(self, values: Sequence[tuple[str, float]], at: Moment, *, heating: bool, away: bool = False) -> int:
        """What is to be said of all of a sample because of what its sensor has been doing. ``away``: it hangs over a
        salt, where to stand still, and wet, is what is wanted."""
        flags = int(Flag.HEATING) if self._is_heated(heating=heating, at=at) else 0
        if away:
            self._rest()
        else:
            self._watch(values, at)
        return flags | (int(Flag.STUCK) if self.still.stuck or self.wet else 0)

    def _watch(self, values: Sequence[tuple[str, float]], at: Moment) -> None:
        """Whether it stands still, or at its wet end, and for too long."""
        self.still.note(values, at)
        for quantity, raw in values:
            if quantity == "humidity_pct":
                self._note_wet(raw, (at.t_ms, at.mono_s))
        self.still.judge(at, self.limits.stuck_after_s, self.shop.stuck_floor_h * SECONDS_PER_HOUR)
        wet_s = 0.0 if self._wet_since is None else since_s(*self._wet_since, at)
        self.wet = wet_s >= self.shop.wet_after_h * SECONDS_PER_HOUR

    def _rest(self) -> None:
        """Neither judge nor learn: what it says in a jar says nothing of how it is in its zone."""
        self.still.rest()
        self.wet, self._wet_since = False, None

    def quiet_for_s(self, now: Instant) -> float | None:
        """Since it last said anything, believed or not; of what the record says by its label. None if it never did."""
        said = [track for track in self.tracks.values() if track.last_raw is not None]
        return min((_gone_s(track, now) for track in said), default=None)

    def remember(self, quantity: str, raw: float, reading: Reading) -> None:
        """One reading of the record, before anything is heard."""
        at = Moment(reading.t_ms, reading.t_ms, None, stated=True)
        if reading.flags & Flag.UNPLACED:
            self._rest()
        else:
            self._watch(((quantity, raw),), at)
        if reading.flags & Flag.HEATING:
            self._heated = (reading.t_ms, None)

    def _note_wet(self, raw: float, since: Since) -> None:
        if raw < self.limits.wet_end_pct:
            self._wet_since = None
        elif self._wet_since is None:
            self._wet_since = since

    def _is_heated(self, *, heating: bool, at: Moment) -> bool:
        """While its heater runs and until it has cooled down: such air is the heater's (Field pitfall 15)."""
        if heating:
            self._heated = (at.t_ms, at.mono_s)
        if self._heated is None:
            return False
        if not 0.0 <= since_s(*self._heated, at) <= self.shop.heating_recovery_s and not heating:
            self._heated = None
            return False
        return True


def _gone_s(track: Track, now: Instant) -> float:
    return (now.wall_ms - track.said_ms) / 1000.0 if track.said_mono_s is None else now.mono_s - track.said_mono_s
