"""A sensor as rules see it: from when it was last heard, and what screening knows of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from server.clock import Instant
from server.rules.base import SensorView
from server.screening import Screening
from server.zones import Ear


@dataclass(slots=True)
class Wires:
    """Until when an alert said of each source that it is lost (monotonic): its sensors are missed from then on."""

    _lost_s: dict[str, float] = field(default_factory=dict)

    def note(self, lost: Iterable[str], now: Instant) -> None:
        """The sources of which one says so now."""
        self._lost_s.update(dict.fromkeys(lost, now.mono_s))

    def back_for_s(self, source: str, now: Instant) -> float | None:
        """Since when none says so; None where none has since the start."""
        lost_s = self._lost_s.get(source)
        return None if lost_s is None else max(0.0, now.mono_s - lost_s)


def sensor_view(name: str, ear: Ear, screening: Screening, wires: Wires, now: Instant) -> SensorView:
    """At this moment."""
    quiet_s = screening.quiet_for_s(name, now)
    return SensorView(
        name,
        ear.sensor.zone,
        ear.heard_ms,
        _missed_for_s(name, ear, screening, now),
        ear.period_s,
        screening.stuck(name),
        screening.wet(name),
        screening.calibration.due_ms.get(name),
        talking=quiet_s is not None and quiet_s <= ear.silence_s,
        quiet_for_s=min(now.mono_s - ear.started_mono_s, math.inf if quiet_s is None else quiet_s),
        over_salt=screening.calibration.is_away(name, now.wall_ms, live=True),
        pause_s=ear.pause_s,
        wire=ear.sensor.source,
        wire_back_s=wires.back_for_s(ear.sensor.source, now),
    )


def _missed_for_s(sensor: str, ear: Ear, screening: Screening, now: Instant) -> float:
    """How long it has said nothing that counts. A sensor that hung over a salt is missed from its return on."""
    silent_s, back_s = ear.silent_for_s(now.mono_s), screening.calibration.back_for_s(sensor, now.wall_ms)
    return silent_s if back_s is None else min(silent_s, back_s)
