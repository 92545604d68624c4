"""When somebody works in the shop, day by day, as the file and the wall write it: ``mon = "07:30-17:00"``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Annotated, Literal, get_args
from zoneinfo import ZoneInfo

from pydantic import AfterValidator

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
_FORM = re.compile(r"([01]\d|2[0-4]):([0-5]\d)-([01]\d|2[0-4]):([0-5]\d)", re.ASCII)
RIGHT = (
    "two times of one day such as 07:30-17:00, the end after its beginning and 24:00 at the latest; work that goes on "
    "over midnight is told as far as midnight"
)


def open_minutes(hours: str) -> tuple[int, int]:
    """From when until when, in minutes of the day by the shop's clock, 0 to 1440. Raises ValueError with what would be
    right: hours that run over midnight are none."""
    found = _FORM.fullmatch(hours)
    if found is None:
        raise ValueError(RIGHT)
    a, b, c, d = (int(part) for part in found.groups())
    begin, end = 60 * a + b, 60 * c + d
    if not begin < end <= 24 * 60:
        raise ValueError(RIGHT)
    return begin, end


def _told(hours: str) -> str:
    open_minutes(hours)
    return hours


Hours = Annotated[str, AfterValidator(_told)]


def spans_of(hours: Mapping[Weekday, Hours], timezone: str, now_ms: int) -> tuple[tuple[int, int], ...]:
    """From when until when somebody works, ms since 1970 UTC, from yesterday to eight days ahead. A time that the
    clocks leave out in spring is that of an hour later."""
    zone, found = ZoneInfo(timezone), []
    today = (
        datetime.fromtimestamp(now_ms / 1000, UTC).astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0)
    )
    for ahead in range(-1, 9):
        day = today.replace(tzinfo=None) + timedelta(days=ahead)
        told = hours.get(get_args(Weekday)[day.weekday()])
        if told is not None:
            ends = (day + timedelta(minutes=m) for m in open_minutes(told))
            begin_ms, end_ms = (round(one.replace(tzinfo=zone).timestamp() * 1000) for one in ends)
            if begin_ms < end_ms:
                found.append((begin_ms, end_ms))
    return tuple(found)
