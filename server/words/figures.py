"""Moments as texts, in the shop's own time zone and a language's words. All times are ms since 1970 UTC."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from server.words.functions import figure_text, temperature_text
from server.words.loader import Words

__all__ = ["at_text", "clock_text", "date_text", "day_text", "figure_text", "stamp_text", "temperature_text"]


def _local(t_ms: int, timezone: str) -> datetime:
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=t_ms)).astimezone(ZoneInfo(timezone))


def clock_text(t_ms: int, timezone: str) -> str:
    """``7:41``."""
    t = _local(t_ms, timezone)
    return f"{t.hour}:{t.minute:02}"


def day_text(t_ms: int, timezone: str, words: Words) -> str:
    """``Saturday``."""
    return words.say("weekday", {"day": _local(t_ms, timezone).isoweekday()})


def stamp_text(t_ms: int, timezone: str, words: Words) -> str:
    """``Tue 12 Jan · 7:42``."""
    return words.say("when-stamp", _parts(t_ms, timezone, words))


def date_text(t_ms: int, timezone: str, words: Words) -> str:
    """``12 Jan``."""
    return words.say("when-date", _parts(t_ms, timezone, words))


def at_text(t_ms: int, now_ms: int, timezone: str, words: Words) -> str:
    """``7:41`` today, ``3:00 tomorrow``, ``22:10 yesterday``, else ``7:12 on Sat 9 Jan``."""
    days = (_local(t_ms, timezone).date() - _local(now_ms, timezone).date()).days
    if days == 0:
        return clock_text(t_ms, timezone)
    if abs(days) == 1:
        key = "when-tomorrow" if days == 1 else "when-yesterday"
        return words.say(key, {"clock": clock_text(t_ms, timezone)})
    return words.say("when-other", _parts(t_ms, timezone, words))


def _parts(t_ms: int, timezone: str, words: Words) -> dict[str, float | int | str]:
    t = _local(t_ms, timezone)
    return {
        "weekday": words.say("weekday-short", {"day": t.isoweekday()}),
        "date": t.day,
        "month": words.say("month-short", {"month": t.month}),
        "clock": clock_text(t_ms, timezone),
    }
