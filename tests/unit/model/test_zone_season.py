"""A zone's season out of a real record: whole days only, worked out once a day."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import numpy as np
import pytest

from server.clock import ManualClock
from server.model.zone_season import DAY_MS, ZoneSeasons, zone_season
from server.reading import Reading
from server.stores.catalog import open_store
from server.stores.port import History, Store
from tests.unit.spine import START_MS

TODAY_MS = START_MS // DAY_MS * DAY_MS
DAYS = 380
HOURS_MS = TODAY_MS - DAYS * DAY_MS + np.arange(DAYS * 8) * (DAY_MS // 8)


def emc(t_ms: np.ndarray) -> np.ndarray:
    return 8.0 - 2.0 * np.cos(2 * np.pi * (t_ms - TODAY_MS) / DAY_MS / 365.2425)


async def keep(store: Store, t_ms: np.ndarray, zone: str = "bench") -> None:
    for name, values in (("temperature_c", np.full(t_ms.size, 19.0)), ("emc_pct", emc(t_ms))):
        pairs = zip(t_ms.tolist(), values.tolist(), strict=True)
        await store.append([Reading(f"zone:{zone}/{name}", t, v) for t, v in pairs])


@pytest.fixture
async def record(tmp_path: Path) -> AsyncIterator[tuple[Store, History]]:
    store, history = open_store(tmp_path, "UTC", ManualClock(START_MS))
    await keep(store, HOURS_MS)
    yield store, history
    await store.close()


async def test_a_year_of_record_tells_the_weeks_to_come(record: tuple[Store, History]) -> None:
    store, history = record
    found = zone_season(history, "bench", TODAY_MS)
    assert found is not None
    assert found.heard_days == DAYS
    later = TODAY_MS / DAY_MS + np.array([30.0, 60.0, 120.0])
    assert found.emc_pct(later) == pytest.approx(emc(later * DAY_MS), abs=0.02)
    assert found.temperature_c(later) == pytest.approx(19.0)
    await keep(store, TODAY_MS + np.arange(4) * (DAY_MS // 8))
    part_of_today = zone_season(history, "bench", TODAY_MS + DAY_MS // 2)
    assert part_of_today is not None
    assert part_of_today.heard_days == DAYS
    assert zone_season(history, "loft", TODAY_MS) is None
    assert zone_season(history, "bench", TODAY_MS - 60 * DAY_MS) is None


async def test_a_day_that_was_hardly_heard_is_left_out(record: tuple[Store, History]) -> None:
    store, history = record
    await keep(store, TODAY_MS + np.arange(2) * (DAY_MS // 8))
    found = zone_season(history, "bench", TODAY_MS + DAY_MS)
    assert found is not None
    assert found.heard_days == DAYS


async def test_it_is_worked_out_once_a_day(
    record: tuple[Store, History], monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    _, history = record
    asked: list[int] = []

    def counting(_: History, __: str, until_ms: int) -> None:
        asked.append(until_ms)

    monkeypatch.setattr("server.model.zone_season.zone_season", counting)
    seasons = ZoneSeasons()
    for hour in range(30):
        assert seasons.of(history, "bench", TODAY_MS + hour * DAY_MS // 24) is None
    assert asked == [TODAY_MS, TODAY_MS + DAY_MS]
    seasons.of(history, "loft", TODAY_MS)
    assert len(asked) == 3
