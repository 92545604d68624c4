"""Forecasting moments the forecaster has not seen, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import pytest

from server.outlook import outlook

HOUR_MS = 3_600_000
LEADS_H = (6, 12, 24, 48, 72, 96)


@dataclass(frozen=True)
class Trial:
    """Held-out forecasts: one row a forecast, one column a lead of LEADS_H; nan where nothing came."""

    origins: int
    error_pct: np.ndarray
    persistence_error_pct: np.ndarray
    inside: np.ndarray

    @property
    def coverage(self) -> float:
        return float(np.nanmean(self.inside))

    @property
    def coverage_by_lead(self) -> dict[int, float]:
        return dict(zip(LEADS_H, np.nanmean(self.inside, axis=0).round(3).tolist(), strict=True))

    @property
    def skill(self) -> float:
        """Share of plain persistence's squared error that is gone."""
        return 1.0 - float(np.nansum(self.error_pct**2) / np.nansum(self.persistence_error_pct**2))


def _trial(emc_pct: np.ndarray, first_h: int, origins: Iterable[int]) -> Trial:
    hour_ms = (first_h + np.arange(emc_pct.size)) * HOUR_MS
    rows = []
    for origin in (o for o in origins if np.isfinite(emc_pct[o])):
        points = outlook(hour_ms[:origin], emc_pct[:origin], int(hour_ms[origin]), float(emc_pct[origin]))
        came = emc_pct[origin + np.array(LEADS_H)]
        middle, low, high = (
            np.array([getattr(points[lead], name) for lead in LEADS_H])
            for name in ("emc_pct", "emc_low_pct", "emc_high_pct")
        )
        inside = np.where(np.isfinite(came), (low <= came) & (came <= high), np.nan)
        rows.append((middle - came, emc_pct[origin] - came, inside))
    return Trial(len(rows), *(np.array(column) for column in zip(*rows, strict=True)))


@pytest.fixture(scope="session")
def trial() -> Callable[[np.ndarray, int, Iterable[int]], Trial]:
    """Forecasts from each origin with the data before it only, beside what came."""
    return _trial


@pytest.fixture(scope="session")
def pooled() -> Callable[[list[Trial]], Trial]:
    """Several trials as one."""

    def together(trials: list[Trial]) -> Trial:
        columns = ("error_pct", "persistence_error_pct", "inside")
        return Trial(
            sum(t.origins for t in trials), *(np.vstack([getattr(t, column) for t in trials]) for column in columns)
        )

    return together


@dataclass(frozen=True)
class Recipe:
    """A made-up zone of known parameters: 8 % + season + day + AR(1) of that memory and standard deviation."""

    memory_h: float = 60.0
    sd_pct: float = 0.8
    season_pct: float = 1.5
    day_pct: float = 0.4
    first_h: int = 450_000

    def record(self, hours: int, seed: int) -> np.ndarray:
        draw = np.random.default_rng(seed)
        kept = np.exp(-1.0 / self.memory_h)
        pushes = draw.normal(0.0, self.sd_pct * np.sqrt(1.0 - kept**2), hours)
        wander = np.empty(hours)
        value = draw.normal(0.0, self.sd_pct)
        for hour in range(hours):
            value = kept * value + pushes[hour]
            wander[hour] = value
        hour = self.first_h + np.arange(hours)
        season = self.season_pct * np.cos(2 * np.pi * hour / 8765.82)
        return 8.0 + season + self.day_pct * np.sin(2 * np.pi * hour / 24) + wander


@pytest.fixture(scope="session")
def recipe() -> Recipe:
    return Recipe()
