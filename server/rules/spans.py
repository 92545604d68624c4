"""Spans of time, ms since 1970 UTC, each from its beginning to before its end: hours of work, and times away."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

Span = tuple[int, int]
NIGHT_MS = 16 * 3_600_000
"""From the end of work until tomorrow. Common practice, no source."""


def joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The same time in spans that lie apart, in order."""
    found: list[Span] = []
    for begin_ms, end_ms in sorted(spans):
        if found and begin_ms <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], end_ms)
        else:
            found.append((begin_ms, end_ms))
    return tuple(found)


def span_with(spans: Sequence[Span], at_ms: int) -> Span | None:
    """The span in which a moment lies, those that touch taken as one; None where it lies in none."""
    return next((span for span in joined(spans) if span[0] <= at_ms < span[1]), None)


def without(spans: Sequence[Span], cut: Sequence[Span]) -> Iterator[Span]:
    """What is left of ``spans`` outside of all that is ``cut``, in order."""
    for begin_ms, end_ms in joined(spans):
        for from_ms, to_ms in joined(cut):
            if to_ms <= begin_ms or end_ms <= from_ms:
                continue
            if begin_ms < from_ms:
                yield begin_ms, from_ms
            begin_ms = max(begin_ms, to_ms)  # noqa: PLW2901 - what is left of it
        if begin_ms < end_ms:
            yield begin_ms, end_ms


def leaves_ms(work: Sequence[Span], away: Sequence[Span], now_ms: int) -> int | None:
    """When somebody who works now stops; None while nobody works."""
    now = span_with(tuple(without(work, away)), now_ms)
    return None if now is None else now[1]


def back_ms(work: Sequence[Span], away: Sequence[Span], now_ms: int) -> int:
    """When somebody next comes to work, or is back; where no hours are told, after a night (:data:`NIGHT_MS`)."""
    begins = (begin_ms for begin_ms, _ in without(work, away) if begin_ms > now_ms)
    told = span_with(away, now_ms)
    return next(begins, now_ms + NIGHT_MS if told is None else told[1])
