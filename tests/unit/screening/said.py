"""Samples as a wire hands them on, minutes after a fixed start."""

from __future__ import annotations

from typing import Any

from sensors.sample import RawSample
from server.clock import Instant

T0 = 1_800_000_000_000
NOW = Instant(T0 + 90 * 86_400_000, 0.0)


def sample(minutes: float, t: float | None = 20.0, rh: float | None = 40.0, device: str = "", **more: Any) -> RawSample:
    """What a device says, heard so many minutes after T0, when the monotonic clock stood at 0."""
    values = tuple((q, v) for q, v in (("temperature_c", t), ("humidity_pct", rh)) if v is not None)
    return RawSample("line", device, values, T0 + round(minutes * 60_000), minutes * 60.0, **more)  # type: ignore[arg-type]
