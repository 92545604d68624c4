"""Figures and times as they are read: rounded, signed, in the units asked for. SI comes in, texts go out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

UNITS = ("metric", "imperial")
MINUS = "\N{MINUS SIGN}"


def number(value: float, places: int) -> str:
    """``value`` with that many places, a true minus sign, and never a minus before zero."""
    text = f"{value:.{places}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace("-", MINUS)


def pct(value: float, places: int = 1) -> str:
    return f"{number(value, places)} %"


def temperature(celsius: float, units: str) -> str:
    """One place in °C, or in °F (exactly 9/5 of the Celsius figure and 32 more)."""
    return f"{number(celsius * 9 / 5 + 32, 1)} °F" if units == "imperial" else f"{number(celsius, 1)} °C"


def maybe_temperature(celsius: float | None, units: str) -> str:
    """The same, or a dash where there is none: air without vapour has no dew point."""
    return "—" if celsius is None else temperature(celsius, units)


def spread(low: float, high: float) -> str:
    """Half of the distance between the ends, at least the smallest step shown."""
    return f"± {number(max(0.1, (high - low) / 2), 1)}"


def zone_of(name: str) -> ZoneInfo:
    """The shop's time zone; UTC when this machine does not know the name (the labels' days may then shift)."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return ZoneInfo("UTC")


def local(t_ms: int, timezone: str) -> datetime:
    """That moment in the shop's time zone."""
    return datetime.fromtimestamp(t_ms / 1000, UTC).astimezone(zone_of(timezone))


def clock(t_ms: int, timezone: str) -> str:
    """Hours and minutes as the server writes them: ``7:42``."""
    then = local(t_ms, timezone)
    return f"{then.hour}:{then.minute:02d}"


def midnights(from_ms: int, to_ms: int, timezone: str) -> list[tuple[int, int]]:
    """(t_ms, weekday 0..6 from Monday) of every local midnight inside; 23 and 25 hour days come out right."""
    day = local(from_ms, timezone).replace(hour=0, minute=0, second=0, microsecond=0)
    found: list[tuple[int, int]] = []
    while True:
        day = (day.replace(tzinfo=None) + timedelta(days=1)).replace(tzinfo=day.tzinfo)
        t_ms = round(day.timestamp() * 1000)
        if t_ms > to_ms:
            return found
        if t_ms > from_ms:
            found.append((t_ms, day.weekday()))
