"""For how long it holds what a person last said of how a lot lies."""

from __future__ import annotations

from collections.abc import Sequence

from server.shop.lot import Lot

DAY_MS = 86_400_000
HOLDS_MS, FRESH_HOLDS_MS = 7 * DAY_MS, DAY_MS
"""When one lot in ten is taken to have been moved or opened without a word: after a week, and after a day where it was
freshly milled, for such stock is in work. Common practice, no source."""
FRESH_MS = 7 * DAY_MS
"""So long stock counts as freshly milled. Common practice, no source."""


def freshly_milled(lot: Lot, at_ms: int) -> bool:
    """Whether a face was opened within the week before ``at_ms``."""
    return lot.milled_ms is not None and 0 <= at_ms - lot.milled_ms < FRESH_MS


def holds_until_ms(lot: Lot, away: Sequence[tuple[int, int]] = ()) -> int:
    """From when on it may lie otherwise: the lot's limit after it was last confirmed, not counting the times in which
    nobody was there (``away``)."""
    at_ms = lot.confirmed_ms
    left_ms = FRESH_HOLDS_MS if freshly_milled(lot, at_ms) else HOLDS_MS
    for from_ms, to_ms in sorted(away):
        if to_ms <= at_ms:
            continue
        if at_ms + left_ms <= from_ms:
            break
        left_ms -= max(0, from_ms - at_ms)
        at_ms = to_ms
    return at_ms + left_ms
