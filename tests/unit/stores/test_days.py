"""Where a day begins. Dates of clock changes: IANA time-zone database (the tzdata package)."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from server.clock import ManualClock
from server.reading import Reading
from server.stores.catalog import open_store
from server.stores.rollups import HOUR_MS, Days


def ms(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()) * 1000


@pytest.mark.parametrize(
    ("zone", "inside", "start", "hours"),
    [
        ("UTC", "2027-01-12 13:30", "2027-01-12 00:00", 24),
        ("America/New_York", "2027-01-12 04:59", "2027-01-11 05:00", 24),
        ("America/New_York", "2027-01-12 05:00", "2027-01-12 05:00", 24),
        ("Europe/Berlin", "2026-03-29 12:00", "2026-03-28 23:00", 23),  # clocks forward
        ("Europe/Berlin", "2026-10-25 12:00", "2026-10-24 22:00", 25),  # clocks back
        ("Asia/Kolkata", "2027-01-12 18:29", "2027-01-11 18:30", 24),  # +5:30
        ("Asia/Kolkata", "2027-01-12 18:30", "2027-01-12 18:30", 24),
        ("America/Sao_Paulo", "2018-11-04 12:00", "2018-11-04 03:00", 23),  # midnight skipped: from 01:00
        ("America/Havana", "2025-11-02 04:30", "2025-11-02 04:00", 25),  # midnight twice: from the first
        ("America/Havana", "2025-11-02 05:30", "2025-11-02 04:00", 25),
        ("America/St_Johns", "2010-11-07 02:40", "2010-11-07 02:30", 25),  # 00:01 back to 23:01 of the day before
        ("America/St_Johns", "2010-11-07 03:00", "2010-11-07 02:30", 25),  # that evening's second time
        ("Pacific/Apia", "2011-12-30 09:00", "2011-12-29 10:00", 24),  # 30 December was left out
        ("Pacific/Apia", "2011-12-30 10:00", "2011-12-30 10:00", 24),
    ],
)
def test_bounds(zone: str, inside: str, start: str, hours: int) -> None:
    begin, end = Days(zone).bounds_ms(ms(inside))
    assert (begin, end - begin) == (ms(start), hours * HOUR_MS)


@pytest.mark.parametrize("zone", ["America/New_York", "Asia/Kolkata", "Pacific/Chatham", "Africa/Cairo"])
def test_days_follow_each_other_without_gap_for_two_years(zone: str) -> None:
    days = Days(zone)
    start = days.bounds_ms(ms("2026-01-01 00:00"))[0]
    for _ in range(731):
        begin, end = days.bounds_ms(start)
        assert begin == start
        assert days.bounds_ms(end - 1) == (begin, end)
        start = end


@pytest.mark.parametrize("zone", ["", "America", "Lantern/Hill", "../etc/passwd", "/etc/localtime"])
def test_an_unknown_zone_is_named(zone: str) -> None:
    with pytest.raises(ValueError, match="timezone: found"):
        Days(zone)


async def test_half_hour_zone_counts_the_hours_that_begin_in_the_day(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "Asia/Kolkata", ManualClock())
    midnight = ms("2027-01-12 18:30")
    minutes = {-31: 1.0, -1: 2.0, 0: 3.0, 29: 4.0, 30: 5.0}  # 18:00 UTC holds all but the first and the last
    await store.append([Reading("t1/x", midnight + m * 60_000, v) for m, v in minutes.items()])
    await store.close()
    days = history.rollups("t1/x", "day", 0, 1 << 50)
    assert [(d.start_ms, d.count, d.maximum) for d in days] == [
        (ms("2027-01-11 18:30"), 4, 4.0),
        (midnight, 1, 5.0),
    ]


async def test_days_are_made_again_when_the_shop_moves(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "America/New_York", ManualClock())
    noon = ms("2027-01-12 12:00")
    await store.append([Reading("t1/x", noon + h * HOUR_MS, float(h)) for h in range(30)])
    await store.close()
    assert [d.count for d in history.rollups("t1/x", "day", 0, 1 << 50)] == [17, 13]
    store, history = open_store(tmp_path, "Europe/Berlin", ManualClock())
    try:
        days = history.rollups("t1/x", "day", 0, 1 << 50)
        assert [(d.start_ms, d.count) for d in days] == [(ms("2027-01-11 23:00"), 11), (ms("2027-01-12 23:00"), 19)]
    finally:
        await store.close()
