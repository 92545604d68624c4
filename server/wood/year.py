"""A year of air as one knows it of a place: its driest and its dampest time, and a smooth way from one to the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from server.wood.air import Floats, vapour_pressure_pa
from server.wood.air_series import AirSeries
from server.wood.emc import emc_pct
from server.wood.ranges import within

YEAR_DAYS = 365.0
DAY_S = 86_400.0
MIDDLES = (15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349)
"""The middle day of each month."""
LEAST_APART_DAYS = 30.0


@dataclass(frozen=True, slots=True)
class Year:
    """Humidity, 0..1, and temperature, °C, of the driest and the dampest time, and which days of the year those are.

    Between them each goes by half a cosine, so that it stands still at both. Raises ValueError for what is out of
    range, for a driest time that is the damper one, and for days less than a month apart.
    """

    dry_rh: float
    damp_rh: float
    dry_c: float
    damp_c: float
    driest_day: float
    dampest_day: float

    def __post_init__(self) -> None:
        for name, low, high, unit in (
            ("rh", 0.0, 1.0, "(a fraction)"), ("c", -20.0, 60.0, "°C"), ("day", 0.0, YEAR_DAYS, "(day of the year)")
        ):  # fmt: skip
            ends = ("driest", "dampest") if name == "day" else ("dry", "damp")
            for end in ends:
                within(f"{end}_{name}", getattr(self, f"{end}_{name}"), low, high, unit)
        apart = (self.dampest_day - self.driest_day) % YEAR_DAYS
        if not LEAST_APART_DAYS <= apart <= YEAR_DAYS - LEAST_APART_DAYS:
            right = f"{LEAST_APART_DAYS:g} to {YEAR_DAYS - LEAST_APART_DAYS:g} days after the driest"
            raise ValueError(f"dampest_day: found {apart:g} days after the driest; would be right: {right}")
        dry, damp = (float(emc_pct(c, h)) for c, h in ((self.dry_c, self.dry_rh), (self.damp_c, self.damp_rh)))
        if dry > damp:
            right = f"at most the dampest time's {damp:.1f} % EMC"
            raise ValueError(f"dry_rh: found {dry:.1f} % EMC at the driest time; would be right: {right}")

    def share(self, day: ArrayLike) -> Floats:
        """0 at the driest day, 1 at the dampest, on any day."""
        up = (self.dampest_day - self.driest_day) % YEAR_DAYS
        since = np.mod(np.asarray(day, np.float64) - self.driest_day, YEAR_DAYS)
        turn = np.where(since <= up, since / up, 1.0 + (since - up) / (YEAR_DAYS - up))
        return np.asarray(0.5 - 0.5 * np.cos(np.pi * turn))

    def temperature_c(self, day: ArrayLike) -> Floats:
        """The air's temperature on any day."""
        return self.dry_c + (self.damp_c - self.dry_c) * self.share(day)

    def humidity(self, day: ArrayLike) -> Floats:
        """Its relative humidity, 0..1, on any day."""
        return self.dry_rh + (self.damp_rh - self.dry_rh) * self.share(day)

    def emc_pct(self, day: ArrayLike) -> Floats:
        """What it draws wood to on any day, % MC."""
        return emc_pct(self.temperature_c(day), self.humidity(day))

    def ends_pct(self) -> tuple[float, float]:
        """The least and the most it draws wood to, % MC. Where temperature goes far that can be between the driest and
        the dampest time: at equal humidity air of 2 °C draws to more than colder and warmer air."""
        every = self.emc_pct(np.append(np.arange(YEAR_DAYS), [self.driest_day, self.dampest_day]))
        return float(every.min()), float(every.max())

    def air(self, first_days: ArrayLike = 0.0, steps: int = int(YEAR_DAYS)) -> AirSeries:
        """One whole year in ``steps`` from each of ``first_days`` (zones,) on, straight within a step."""
        edges = np.linspace(0.0, YEAR_DAYS, steps + 1)
        day = edges[:, None] + np.atleast_1d(np.asarray(first_days, np.float64))
        c = self.temperature_c(day)
        pa = vapour_pressure_pa(c, self.humidity(day))
        known = np.ones((steps, day.shape[1]), np.bool_)
        return AirSeries(edges * DAY_S, c[:-1], c[1:], pa[:-1], pa[1:], known)
