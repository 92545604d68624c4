"""A zone's past: raw while it fits, else hours, else days; a range takes its beginning and leaves its end."""

from __future__ import annotations

from pathlib import Path

import pytest

from server.clock import ManualClock
from server.history import HOUR_MS, HistoryDocument, history_of
from server.reading import ZONE_QUANTITIES, Flag, Reading
from server.stores.catalog import open_store
from server.stores.port import History

DAY_MS = 24 * HOUR_MS
T0 = 1_799_712_000_000
"""Tuesday 12 January 2027, 0:00 UTC."""
GAP_FROM, GAP_TO = 30, 40
SERIES = "zone:bench/emc_pct"


@pytest.fixture
async def history(tmp_path: Path):
    """Sixty hours at ten minutes, ten of them missing, one reading not good."""
    store, reading_side = open_store(tmp_path, "UTC", ManualClock(T0))
    rows = [
        Reading(SERIES, T0 + n * 600_000, 6.0 + n / 100)
        for n in range(60 * 6)
        if not GAP_FROM * 6 <= n < GAP_TO * 6
    ]  # fmt: skip
    await store.append([*rows, Reading(SERIES, T0 + 1000, 99.0, Flag.RANGE)])
    yield reading_side
    await store.close()


def asked(history: History, from_h: float, to_h: float, points: int = 500) -> HistoryDocument:
    return history_of(history, "bench", "emc_pct", T0 + round(from_h * HOUR_MS), T0 + round(to_h * HOUR_MS), points)


async def test_a_short_range_is_raw_with_its_beginning_and_without_its_end(history: History):
    found = asked(history, 1, 2)
    assert (found.resolution, found.unit, found.columns) == ("raw", "% MC", ("t_ms", "minimum", "mean", "maximum"))
    assert [row[0] for row in found.points] == [T0 + HOUR_MS + n * 600_000 for n in range(6)]
    assert found.points[0] == (T0 + HOUR_MS, 6.06, 6.06, 6.06)


async def test_what_was_not_good_is_not_in_it(history: History):
    assert max(row[3] for row in asked(history, 0, 1).points) < 7
    assert max(row[3] for row in asked(history, 0, 24, 24).points) < 8


@pytest.mark.parametrize(
    ("hours", "points", "resolution"),
    [
        (1.0, 2, "raw"),  # an hour is never answered in hours
        (1.01, 2, "hour"),
        (48.0, 228, "raw"),  # 38 hours of six values; ten hours of the gap lie in it
        (48.0, 227, "hour"),
        (48.0, 38, "hour"),
        (48.0, 37, "day"),
        (24.0 * 400, 500, "day"),
    ],
)
async def test_the_resolution_is_the_finest_that_fits(history: History, hours: float, points: int, resolution: str):
    found = asked(history, 0, hours, points)
    assert found.resolution == resolution
    assert len(found.points) <= points


async def test_more_rows_than_asked_for_are_put_together(history: History):
    found = asked(history, 0, 1, 2)
    assert found.points == [
        (T0, 6.0, pytest.approx(6.01), 6.02),
        (T0 + 3 * 600_000, 6.03, pytest.approx(6.04), 6.05),
    ]


async def test_hours_are_those_that_begin_in_the_range_and_a_gap_is_a_gap(history: History):
    found = asked(history, 0.5, 60, 100)
    assert [row[0] for row in found.points] == [
        T0 + h * HOUR_MS for h in range(1, 60) if not GAP_FROM <= h < GAP_TO
    ]  # fmt: skip
    t_ms, least, mean, most = found.points[0]
    # Independent: the six values of that hour, by hand.
    values = [6.0 + n / 100 for n in range(6, 12)]
    assert (t_ms, least, most) == (T0 + HOUR_MS, min(values), max(values))
    assert mean == pytest.approx(sum(values) / 6)


async def test_days(history: History):
    found = asked(history, 0, 72, 24)
    assert [row[0] for row in found.points] == [T0, T0 + DAY_MS, T0 + 2 * DAY_MS]
    assert found.points[0][2] == pytest.approx(sum(6.0 + n / 100 for n in range(144)) / 144)


async def test_nothing_there_is_no_rows(history: History):
    assert asked(history, GAP_FROM, GAP_TO, 5).points == []
    assert asked(history, 100, 101).points == []
    assert history_of(history, "cellar", "emc_pct", T0, T0 + HOUR_MS, 500).points == []


@pytest.mark.parametrize("quantity", ZONE_QUANTITIES)
async def test_every_quantity_of_a_zone_has_its_unit(history: History, quantity: str):
    assert history_of(history, "bench", quantity, T0, T0 + 1, 2).unit
