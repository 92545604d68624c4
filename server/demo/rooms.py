"""The three rooms of the fictional workshop as numbers. Every figure is invented for the demo, within what rooms do."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Room:
    """One zone as a box of air. Rates are per hour, volumes in m³, temperatures in °C, water in grams per hour."""

    zone: str
    volume_m3: float
    day_c: float
    """Set-point on working days, from half past five until work ends at five."""
    night_c: float
    """Set-point of nights and weekends; heating only from October to May."""
    warm_up_k_per_h: float
    """How fast the heating can warm the room: its power, put simply."""
    cooling_h: float
    """Time constant towards outdoors without heating: walls and stock."""
    gain_k: float
    """How much warmer than outdoors an unheated room floats: sun on the roof, machines, people."""
    closed_per_h: float
    """Air changes with outdoors through gaps, nothing running."""
    working_per_h: float
    """Air changes in working hours: doors, and what the dust extractor blows out."""
    open_per_h: float
    """Air changes in working hours of June to August, windows open."""
    wick_per_h: float
    """A wick humidifier, October to May: evaporates this share of the air's missing vapour an hour."""
    buffer_per_h: float
    """Exchange of vapour with stock, timber walls and plaster."""
    buffer_ratio: float
    """How many times more vapour than the air that buffer holds for the same change of humidity."""
    water_g_per_h: float
    """What people and their work give off in working hours."""

    def __post_init__(self) -> None:
        for name in ("volume_m3", "warm_up_k_per_h", "cooling_h", "buffer_ratio"):
            if not getattr(self, name) > 0:
                raise ValueError(f"{self.zone}: {name}: found {getattr(self, name)}; would be right: more than 0")
        for name in ("closed_per_h", "working_per_h", "open_per_h", "wick_per_h", "buffer_per_h"):
            if not getattr(self, name) >= 0:
                raise ValueError(f"{self.zone}: {name}: found {getattr(self, name)}; would be right: 0 or more")


ROOMS = (
    Room(
        zone="bench-room",
        volume_m3=320.0,
        day_c=20.0,
        night_c=18.0,
        warm_up_k_per_h=1.5,
        cooling_h=40.0,
        gain_k=4.0,
        closed_per_h=0.30,
        working_per_h=0.50,
        open_per_h=2.0,
        wick_per_h=0.088,
        buffer_per_h=0.7,
        buffer_ratio=40.0,
        water_g_per_h=120.0,
    ),
    Room(
        zone="rack-loft",
        volume_m3=180.0,
        day_c=17.5,
        night_c=17.0,
        warm_up_k_per_h=1.0,
        cooling_h=30.0,
        gain_k=4.5,
        closed_per_h=0.20,
        working_per_h=0.25,
        open_per_h=1.0,
        wick_per_h=0.08,
        buffer_per_h=1.5,
        buffer_ratio=90.0,
        water_g_per_h=0.0,
    ),
    Room(
        zone="finishing-room",
        volume_m3=90.0,
        day_c=20.0,
        night_c=19.0,
        warm_up_k_per_h=2.0,
        cooling_h=40.0,
        gain_k=4.0,
        closed_per_h=0.30,
        working_per_h=0.45,
        open_per_h=2.0,
        wick_per_h=0.095,
        buffer_per_h=0.8,
        buffer_ratio=40.0,
        water_g_per_h=60.0,
    ),
)
