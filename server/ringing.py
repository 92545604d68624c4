"""From when an alert may ring: what can wait does not wake anybody. It changes ringing alone, never what is shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from server.reading import Alert
from server.rules.spans import Span, joined, span_with, without
from server.working_hours import Hours, Weekday, spans_of


def somebody_from_ms(
    hours: Mapping[Weekday, Hours], timezone: str, away: Sequence[Span], now_ms: int
) -> int | None:  # fmt: skip
    """When somebody is next at work, ms since 1970 UTC, by the shop's ``hours`` and the times ``away``; None while
    somebody is, and where the shop tells no hours."""
    if not hours:
        return None
    work = tuple(without(spans_of(hours, timezone, now_ms), away))
    if span_with(work, now_ms) is not None:
        return None
    begins = [begin_ms for begin_ms, _ in work if begin_ms > now_ms]
    # A time away may go on for longer than hours are worked out; those around its end are looked at then.
    for _, back_ms in joined(away):
        if begins:
            break
        later = without(spans_of(hours, timezone, back_ms), away)
        begins = [max(begin_ms, back_ms) for begin_ms, end_ms in later if end_ms > max(back_ms, now_ms)]
    return min(begins, default=None)


def rings_from_ms(alert: Alert, somebody_ms: int | None) -> int | None:
    """From when it may: None where it may at once, or never. ``somebody_ms`` is when somebody is next at work."""
    waits = alert.state == "unacknowledged" and alert.asks == "now" and not alert.urgent
    return somebody_ms if waits else None
