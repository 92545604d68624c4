"""A sensor as rules see it: from when it was last heard, and what screening knows of it."""

from __future__ import annotations

import math

from server.clock import Instant
from server.rules.base import SensorView
from server.screening import Screening
from server.zones import Ear


def sensor_view(name: str, ear: Ear, screening: Screening, now: Instant) -> SensorView:
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
    )


def _missed_for_s(sensor: str, ear: Ear, screening: Screening, now: Instant) -> float:
    """How long it has said nothing that counts. A sensor that hung over a salt is missed from its return on."""
    silent_s, back_s = ear.silent_for_s(now.mono_s), screening.calibration.back_for_s(sensor, now.wall_ms)
    return silent_s if back_s is None else min(silent_s, back_s)
