"""Days of the year without a year, as ``05-15``, and the spans between two of them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

from pydantic import AfterValidator

A_LEAP_YEAR = 2000


def _month_day(value: str) -> str:
    try:
        month, day = value.split("-")
        date(A_LEAP_YEAR, int(month), int(day))
    except ValueError as e:
        raise ValueError("a month and a day, as 05-15") from e
    return f"{int(month):02}-{int(day):02}"


MonthDay = Annotated[str, AfterValidator(_month_day)]
"""``MM-DD``, 01-01 to 12-31."""
Season = tuple[MonthDay, MonthDay]
"""First and last day, both included; one that ends before it begins runs over the end of the year."""


def within(season: Season, t_ms: int, timezone: str) -> bool:
    """Whether a moment lies in it, by the shop's own calendar."""
    day = _local(t_ms, timezone).strftime("%m-%d")
    first, last = season
    return first <= day <= last if first <= last else day >= first or day <= last


def last_day_ms(season: Season, t_ms: int, timezone: str) -> int:
    """Noon of the last day of the season in which a moment lies. A season to 02-29 ends on the 28th where there is
    no 29th."""
    here = _local(t_ms, timezone)
    month, day = (int(part) for part in season[1].split("-"))
    year = here.year + (here.strftime("%m-%d") > season[1])
    try:
        last = datetime(year, month, day, 12, tzinfo=ZoneInfo(timezone))
    except ValueError:
        last = datetime(year, month, day - 1, 12, tzinfo=ZoneInfo(timezone))
    return round(last.timestamp() * 1000)


def _local(t_ms: int, timezone: str) -> datetime:
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=t_ms)).astimezone(ZoneInfo(timezone))
