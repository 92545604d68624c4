"""Outdoors at the fictional workshop: a real typical year, made colder by a stated constant.

The hours in ``weather.csv`` are a station's own (provenance in its head). Three things are ours:

* ``COLDER_BY_K`` is taken off every temperature, because the demo's town has colder winters than the station. Relative
  humidity over water is kept, so the vapour pressure falls with the temperature.
* The year repeats. A typical year is stitched from months of different years: the file eases temperature over some
  hours at each month's end, humidity steps there, and we add nothing but the straight line between two hours.
  29 February repeats the 28th.
* ``LATER_BY_DAYS``: our days are the station's of some days before, so that the cold spell that begins there on 5
  January comes to our town on the 12th, the morning of the demo's first start, and lasts through the week.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from server.wood.air import Floats, vapour_pressure_pa

COLDER_BY_K = 5.0
"""Invented for the demo."""
LATER_BY_DAYS = 7
"""Invented for the demo."""
STANDARD_TIME_H = -5
"""Hours the station's clock is ahead of UTC, all year: the file knows no daylight saving."""
HOUR_MS = 3_600_000
HOURS = 8760
DAYS = 365
_FEB_29 = 59
"""Day of a leap year, counted from 0."""


@dataclass(frozen=True, slots=True)
class OutdoorYear:
    """8,760 hours of the station from 1 January 01:00: temperature °C (already colder) and relative humidity 0..1."""

    temperature_c: Floats
    rh: Floats

    @staticmethod
    def load() -> OutdoorYear:
        """The year of ``weather.csv``, read once. Raises ValueError if the file is not a whole year in order."""
        return _load()

    def at(self, t_ms: ArrayLike) -> tuple[Floats, Floats]:
        """Temperature °C and vapour pressure Pa at any moment of any year (ms since 1970 UTC; any shape, kept).

        Temperature and relative humidity are straight between the hours, so the air is never above saturation.
        """
        local_h = np.asarray(t_ms, dtype=np.float64) / HOUR_MS + STANDARD_TIME_H
        before = np.floor(local_h)
        share = local_h - before
        first, second = _row(before.astype(np.int64)), _row(before.astype(np.int64) + 1)
        temperature_c = self.temperature_c[first] * (1 - share) + self.temperature_c[second] * share
        rh = self.rh[first] * (1 - share) + self.rh[second] * share
        return temperature_c, vapour_pressure_pa(temperature_c, rh)


def _row(local_h: NDArray[np.int64]) -> NDArray[np.int64]:
    """Row of the file for a whole hour since 1970 in standard time; midnight is hour 24 of the day before."""
    day = (local_h - 1) // 24
    hour = local_h - 24 * day
    date = day.astype("datetime64[D]")
    year = date.astype("datetime64[Y]")
    new_year = year.astype("datetime64[D]").astype(np.int64)
    leap = (year + 1).astype("datetime64[D]").astype(np.int64) - new_year == 366
    day_of_year = day - new_year
    common = day_of_year - (leap & (day_of_year >= _FEB_29))
    row: NDArray[np.int64] = (common - LATER_BY_DAYS) % DAYS * 24 + hour - 1
    return row


@cache
def _load() -> OutdoorYear:
    text = resources.files(__package__).joinpath("weather.csv").read_text(encoding="utf-8")
    table = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    hours = [int(row["hour"]) for row in table]
    if hours != [1 + n % 24 for n in range(HOURS)]:
        raise ValueError(f"weather.csv: found {len(table)} rows; would be right: {HOURS}, hours 1..24 day by day")
    temperature_c = np.array([float(row["temperature_c"]) for row in table]) - COLDER_BY_K
    rh = np.array([float(row["humidity_pct"]) for row in table]) / 100.0
    for column in (temperature_c, rh):
        column.flags.writeable = False  # shared by everyone who loads the year
    return OutdoorYear(temperature_c, rh)
